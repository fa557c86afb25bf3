/** Job folders: made whole or not at all, one writer, torn tails kept aside, damage left alone. */
import { describe, expect, test } from 'vitest';
import { randomFromSeed } from '../../electron/core/base/random.ts';
import type { JobRecord } from '../../electron/core/job/model.ts';
import { bytesFromText, hashOfJson } from '../../electron/core/log/canonical-json.ts';
import { encodeBatch } from '../../electron/core/log/codec.ts';
import { verifyLog } from '../../electron/core/log/verify.ts';
import { writeAtomically } from '../../electron/disk/atomic-write.ts';
import type { DiskErrorCode } from '../../electron/disk/disk-port.ts';
import { closeJob, createJob, type OpenJob, openJob, readJob } from '../../electron/disk/job-folder.ts';
import { lockHolderOf } from '../../electron/disk/lock.ts';
import { folderPorts, SimulatedProcesses } from './ports.ts';
import { jobFileOf, SHORT_PLAN } from './short-plan.ts';
import { PowerLoss, SimulatedDisk } from './simulated-disk.ts';

const WALL = '2026-03-01T09:30:00.000+01:00';
const FOLDER = '/jobs/job-1';
const opened: JobRecord = {
  event: 'job.opened',
  at_ms: 0,
  technician: 'Technician A',
  unit_serial: null,
  work_order: null,
  reported_fault: null,
  verbosity: 'full',
};

async function made(disk: SimulatedDisk, processes = new SimulatedProcesses().start()): Promise<OpenJob> {
  const job = await createJob(folderPorts(disk, processes), '/jobs', jobFileOf(SHORT_PLAN));
  if (!job.ok) throw new Error(job.error.code);
  return job.value;
}

function openingBytes(job: OpenJob): Uint8Array {
  const batch = encodeBatch(
    [opened, { event: 'step.shown', at_ms: 0, step: 'prepare.isolate', visit: 1 }],
    WALL,
    job.end,
  );
  if (!batch.ok) throw new Error(batch.error.code);
  return bytesFromText(batch.value.text);
}

describe('a new job', () => {
  test('has its plan and an empty log that continues job.json', async () => {
    const disk = new SimulatedDisk();
    const job = await made(disk);
    expect(job.end).toEqual({ seq: 0, prev: hashOfJson(jobFileOf(SHORT_PLAN)), mono_ms: 0 });
    expect(job.lines).toEqual([]);
    expect(disk.peek(`${FOLDER}/job.json`)?.length).toBeGreaterThan(1000);
    expect(await disk.readdir('/jobs')).toEqual(['job-1']);
  });

  test('does not take the place of another, and needs a plain name', async () => {
    const disk = new SimulatedDisk();
    await made(disk);
    const ports = folderPorts(disk, new SimulatedProcesses().start());
    expect(await createJob(ports, '/jobs', jobFileOf(SHORT_PLAN))).toMatchObject({
      error: { code: 'job/exists' },
    });
    for (const name of ['../x', 'a/b', '.hidden', '', 'a..b', 'x'.repeat(121), 'a\\b', 'c:']) {
      const answer = await createJob(ports, '/jobs', jobFileOf(SHORT_PLAN, name));
      expect(answer, name).toMatchObject({ error: { code: 'job/bad-name' } });
    }
  });

  test.each<DiskErrorCode>(['ENOSPC', 'EACCES', 'EROFS', 'EIO'])(
    'any call failing with %s leaves no half job under its name',
    async (code) => {
      for (let at = 1; ; at += 1) {
        const disk = new SimulatedDisk();
        disk.fault = { at, code, forGood: false };
        const process = new SimulatedProcesses().start();
        const answer = await createJob(folderPorts(disk, process), '/jobs', jobFileOf(SHORT_PLAN));
        if (disk.calls.length < at) {
          expect(answer.ok).toBe(true);
          expect(at).toBeGreaterThan(20);
          break;
        }
        disk.fault = undefined;
        if (answer.ok) continue; // the failing call was one that need not succeed
        expect(answer.error.code).toBe(`disk/${code.toLowerCase()}`);
        expect(answer.error.mend.length).toBeGreaterThan(10);
        const there = await disk.stat(FOLDER);
        if (there === undefined) continue;
        // Its name is there: then it is whole, and opens.
        const again = await openJob(folderPorts(disk, process), FOLDER);
        expect(again.ok, `call ${at}`).toBe(true);
      }
    },
  );
});

describe('one writer', () => {
  test('a second program is told who holds the job', async () => {
    const disk = new SimulatedDisk();
    const processes = new SimulatedProcesses();
    const first = processes.start();
    await made(disk, first);
    const second = await openJob(folderPorts(disk, processes.start()), FOLDER);
    expect(second.ok).toBe(false);
    if (second.ok) return;
    expect(second.error.code).toBe('job/locked');
    expect(second.error.message).toContain(`process ${first.pid} on bench-7`);
    expect(second.error.message).toContain('Stepcaller 0.1.0');
    expect(second.error.mend).toBe('Close the job there first.');
    expect(await lockHolderOf(disk, FOLDER, processes.start())).toMatchObject({ value: { pid: first.pid } });
  });

  test('the lock goes with the job, and with its process', async () => {
    const disk = new SimulatedDisk();
    const processes = new SimulatedProcesses();
    const first = processes.start();
    await closeJob(await made(disk, first));
    expect(await disk.readdir(FOLDER)).toEqual(['job.json', 'log.jsonl']);
    const second = processes.start();
    const again = await openJob(folderPorts(disk, second), FOLDER);
    expect(again.ok && again.value.lock.wasStale).toBe(false);
    processes.end(second); // killed: the lock file stays
    const third = await openJob(folderPorts(disk, processes.start()), FOLDER);
    expect(third.ok && third.value.lock.wasStale).toBe(true);
    expect((await disk.readdir(FOLDER)).filter((name) => name.includes('stale'))).toEqual([]);
  });

  test('a process number given out again does not keep a dead lock alive', async () => {
    const disk = new SimulatedDisk();
    const processes = new SimulatedProcesses();
    const first = processes.start(500);
    await made(disk, first);
    processes.end(first);
    processes.start(500); // another program with the same number
    const again = await openJob(folderPorts(disk, processes.start()), FOLDER);
    expect(again.ok && again.value.lock.wasStale).toBe(true);
  });

  test('where the system does not say when a process started, a running number counts as the holder', async () => {
    const disk = new SimulatedDisk();
    const processes = new SimulatedProcesses();
    await made(disk, processes.start(500, false));
    const second = await openJob(folderPorts(disk, processes.start()), FOLDER);
    // It may be another program with that number, so the user is told how to go on.
    expect(second).toMatchObject({
      error: { code: 'job/locked', mend: expect.stringContaining(`${FOLDER}/lock`) },
    });
  });

  test('a lock of another computer is never called stale', async () => {
    const disk = new SimulatedDisk();
    const processes = new SimulatedProcesses();
    const elsewhere = { ...processes.start(), host: 'bench-8', startOf: async () => null };
    await made(disk, elsewhere);
    const here = await openJob(folderPorts(disk, processes.start()), FOLDER);
    expect(here).toMatchObject({ error: { code: 'job/locked' } });
    expect(!here.ok && here.error.mend).toContain('bench-8');
  });

  test('a lock file of rubbish (cut by a loss of power) does not lock anybody out', async () => {
    const disk = new SimulatedDisk();
    await closeJob(await made(disk));
    for (const rubbish of ['', '{', '[]', 'null', '{"pid":-1}', '{"pid":"1"}']) {
      disk.put(`${FOLDER}/lock`, bytesFromText(rubbish));
      const again = await openJob(folderPorts(disk, new SimulatedProcesses().start()), FOLDER);
      expect(again.ok, rubbish).toBe(true);
      if (again.ok) await closeJob(again.value);
    }
  });

  test('of many programs that find a stale lock at the same moment, exactly one gets it', async () => {
    const disk = new SimulatedDisk();
    const processes = new SimulatedProcesses();
    const first = processes.start();
    await made(disk, first);
    processes.end(first);
    const tries = await Promise.all(
      Array.from({ length: 8 }, () => openJob(folderPorts(disk, processes.start()), FOLDER)),
    );
    expect(tries.filter((answer) => answer.ok)).toHaveLength(1);
  });
});

describe('opening a job again', () => {
  async function jobWith(bytes: (opening: Uint8Array) => Uint8Array): Promise<SimulatedDisk> {
    const disk = new SimulatedDisk();
    const job = await made(disk);
    const opening = openingBytes(job);
    await closeJob(job);
    disk.put(`${FOLDER}/log.jsonl`, bytes(opening));
    return disk;
  }
  const open = (disk: SimulatedDisk) => openJob(folderPorts(disk, new SimulatedProcesses().start()), FOLDER);
  const join = (...parts: Uint8Array[]): Uint8Array => Uint8Array.from(parts.flatMap((part) => [...part]));

  test('a torn tail is kept in a side file, synced, before it is cut off, and told', async () => {
    const torn = bytesFromText('{"batch_first":3,"batch_last":3,"event":"step.conf');
    const disk = await jobWith((opening) => join(opening, torn));
    const calls = disk.calls.length;
    const job = await open(disk);
    expect(job.ok).toBe(true);
    if (!job.ok) return;
    expect(job.value.recovered?.keptIn).toBe(`${FOLDER}/log.torn-1.bin`);
    expect(job.value.recovered?.finding.facts).toMatchObject({ bytes: 50, line: 3 });
    expect(disk.peek(`${FOLDER}/log.torn-1.bin`)).toEqual(torn);
    expect(job.value.lines).toHaveLength(2);
    const order = disk.calls.slice(calls).map(({ call, path }) => `${call} ${path.split('/').at(-1)}`);
    const kept = order.indexOf('sync log.torn-1.bin');
    const cut = order.indexOf('truncate log.jsonl');
    expect(kept).toBeGreaterThan(0);
    expect(order.slice(kept, cut)).toContain('sync-folder job-1');
    expect(order.slice(cut)).toContain('sync log.jsonl');
  });

  test('torn tails of several losses of power are all kept', async () => {
    const torn = (text: string): Uint8Array => bytesFromText(`{"batch_first":3,"ba${text}`);
    const disk = await jobWith((opening) => join(opening, torn('t')));
    for (const [index, text] of ['t', 'tc', 'tch'].entries()) {
      const log = disk.peek(`${FOLDER}/log.jsonl`) ?? new Uint8Array();
      if (index > 0) disk.put(`${FOLDER}/log.jsonl`, join(log, torn(text)));
      const job = await open(disk);
      expect(job.ok).toBe(true);
      if (job.ok) await closeJob(job.value);
      expect(disk.peek(`${FOLDER}/log.torn-${index + 1}.bin`)).toEqual(torn(text));
    }
  });

  test('a damaged log is not touched', async () => {
    const disk = await jobWith((opening) => {
      const bytes = opening.slice();
      bytes[40] = (bytes[40] ?? 0) ^ 1;
      return bytes;
    });
    const before = disk.peek(`${FOLDER}/log.jsonl`);
    const job = await open(disk);
    expect(job).toMatchObject({ error: { code: 'job/log-unknown' } });
    expect(disk.peek(`${FOLDER}/log.jsonl`)).toBe(before);
    expect(await disk.readdir(FOLDER)).toEqual(['job.json', 'log.jsonl']);
  });

  test('a log of another job is not continued', async () => {
    const disk = await jobWith((opening) => opening);
    const other = jobFileOf({ ...SHORT_PLAN, product_revision: 2 });
    disk.put(`${FOLDER}/job.json`, bytesFromText(JSON.stringify(other)));
    expect(await open(disk)).toMatchObject({ error: { code: 'job/log-unknown' } });
    const read = await readJob(disk, FOLDER);
    expect(read.ok && verifyLog(read.value.jobFile, read.value.log)).toMatchObject({ verdict: 'unknown' });
  });

  test.each([
    ['no JSON', '{', 'job/damaged'],
    ['nothing', '', 'job/damaged'],
    ['a list', '[]', 'job/damaged'],
    ['a newer format', '{"format":2}', 'job/newer-version'],
    [
      'a changed plan',
      JSON.stringify({ ...jobFileOf(SHORT_PLAN), plan: { ...SHORT_PLAN, product: 'x' } }),
      'job/damaged',
    ],
    ['a plan without steps', JSON.stringify(jobFileOf({ ...SHORT_PLAN, steps: [] })), 'job/damaged'],
  ])('job.json with %s is refused in words', async (_name, text, code) => {
    const disk = await jobWith((opening) => opening);
    disk.put(`${FOLDER}/job.json`, bytesFromText(text));
    const job = await open(disk);
    expect(job).toMatchObject({ error: { code } });
    expect(await disk.readdir(FOLDER)).toEqual(['job.json', 'log.jsonl']);
  });

  test('a folder without a job, and a job without a log', async () => {
    const disk = await jobWith((opening) => opening);
    const ports = folderPorts(disk, new SimulatedProcesses().start());
    expect(await openJob(ports, '/jobs/none')).toMatchObject({ error: { code: 'job/not-found' } });
    await disk.unlink(`${FOLDER}/log.jsonl`);
    expect(await openJob(ports, FOLDER)).toMatchObject({ error: { code: 'disk/enoent' } });
  });
});

describe('a file replaced in one step', () => {
  const old = bytesFromText('old');
  const next = bytesFromText('the new content');

  test('is old or new after any failing call, and leaves no temporary file', async () => {
    for (let at = 1; ; at += 1) {
      const disk = new SimulatedDisk();
      await disk.mkdir('/data');
      disk.put('/data/settings.json', old);
      disk.fault = { at: disk.calls.length + at, code: 'ENOSPC', forGood: false };
      const written = await writeAtomically(disk, '/data/settings.json', next, 'm1');
      const content = disk.peek('/data/settings.json');
      if (written.ok) {
        expect(content).toEqual(next);
        expect(at).toBeGreaterThan(5);
        return;
      }
      expect([old, next]).toContainEqual(content);
      disk.fault = undefined;
      expect((await disk.readdir('/data')).filter((name) => name !== 'settings.json')).toEqual([]);
    }
  });

  test('is old or new after a loss of power at any call', async () => {
    for (let seed = 1; seed <= 20; seed += 1) {
      for (let at = 1; at <= 8; at += 1) {
        const disk = new SimulatedDisk();
        await disk.mkdir('/data');
        await disk.syncFolder('/');
        disk.put('/data/settings.json', old);
        disk.powerLossAt = disk.calls.length + at;
        const written = await writeAtomically(disk, '/data/settings.json', next, 'm1').catch(
          (thrown: unknown) => {
            if (!(thrown instanceof PowerLoss)) throw thrown;
            return undefined;
          },
        );
        const content = disk.afterPowerLoss(randomFromSeed(seed * 100 + at)).peek('/data/settings.json');
        expect([old, next], `call ${at}, seed ${seed}`).toContainEqual(content);
        if (written?.ok === true) expect(content).toEqual(next);
      }
    }
  });
});
