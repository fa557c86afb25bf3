/**
 * L5 and L6 of electron/disk/FAULTS.md: a log cut at every byte, and with every single bit changed. After each
 * cut: open, verify, go on, verify. A changed bit is found wherever it is, and the log is then left alone.
 */
import { beforeAll, describe, expect, test } from 'vitest';
import { randomFromSeed } from '../../electron/core/base/random.ts';
import { readLog } from '../../electron/core/log/codec.ts';
import { verifyLog } from '../../electron/core/log/verify.ts';
import { bytesFromJobFile, jobFileFromBytes } from '../../electron/disk/job-file.ts';
import { closeJob, openJob } from '../../electron/disk/job-folder.ts';
import { folderPorts, SimulatedProcesses } from './ports.ts';
import { beginsWith, Session, sameBytes, verified } from './session.ts';
import { jobFileOf, SHORT_PLAN } from './short-plan.ts';
import { SimulatedDisk } from './simulated-disk.ts';

const FOLDER = '/jobs/job-1';
const LOG = `${FOLDER}/log.jsonl`;
const JOB = jobFileOf(SHORT_PLAN);
/** By hand, some minutes: CRASH_ALL=1 npx vitest run tests/crash/cuts-and-flips.test.ts changes every bit of everything. */
const ALL = process.env.CRASH_ALL === '1';
const TIMEOUT_MS = ALL ? 3_600_000 : 60_000;
/** Log of a whole job. */
let whole: Uint8Array;
/** Its first three writes: opening with caution, caution read, caution acknowledged. */
let short: Uint8Array;

async function diskWith(log: Uint8Array, jobFile = bytesFromJobFile(JOB)): Promise<SimulatedDisk> {
  const disk = new SimulatedDisk();
  await disk.mkdir('/jobs');
  await disk.mkdir(FOLDER);
  disk.put(`${FOLDER}/job.json`, jobFile);
  disk.put(LOG, log);
  return disk;
}

const open = (disk: SimulatedDisk) => openJob(folderPorts(disk, new SimulatedProcesses().start()), FOLDER);

beforeAll(async () => {
  const disk = new SimulatedDisk();
  const session = new Session(disk, new SimulatedProcesses().start(), JOB);
  await session.start();
  await session.work(0);
  whole = disk.peek(LOG) ?? new Uint8Array();
  const { lines } = readLog(whole);
  const text = new TextDecoder().decode(whole).split('\n');
  const third = lines.filter((line) => line.batch_first === line.seq)[2];
  short = new TextEncoder().encode(`${text.slice(0, third?.batch_last).join('\n')}\n`);
});

describe('L5 a log cut at any byte', () => {
  test('opens with the whole writes before the cut, keeps the rest aside, and the job goes on to its end', async () => {
    const firstEnd = new TextDecoder().decode(short).indexOf('\n') + 1;
    let cuts = 0;
    for (let at = firstEnd; at <= short.length; at += 1) {
      const disk = await diskWith(short.slice(0, at));
      const job = await open(disk);
      if (!job.ok) throw new Error(`cut at ${at}: ${job.error.code}`);
      const { lines, recovered } = job.value;
      expect(lines.at(-1)?.seq ?? 0, `cut at ${at}`).toBe(lines.at(-1)?.batch_last ?? 0);
      const left = disk.peek(LOG) ?? new Uint8Array();
      const kept =
        recovered?.keptIn == null ? new Uint8Array() : (disk.peek(recovered.keptIn) ?? new Uint8Array());
      expect(left.length + kept.length, `cut at ${at}`).toBe(at);
      expect(sameBytes(new Uint8Array([...left, ...kept]), short.slice(0, at)), `cut at ${at}`).toBe(true);
      expect((await verified(disk, FOLDER)).findings, `cut at ${at}`).toEqual([]);
      await closeJob(job.value);
      if (lines.length === 0) continue;
      if (at % 17 !== 0) continue; // going on to the end of the job takes longer: every seventeenth cut
      cuts += 1;
      const session = new Session(disk, new SimulatedProcesses().start(), JOB, at);
      expect((await session.reopen()).ok, `cut at ${at}`).toBe(true);
      expect(await session.work(0), `cut at ${at}`).toBe(true);
      expect(await verified(disk, FOLDER), `cut at ${at}`).toMatchObject({
        verdict: 'complete',
        findings: [],
      });
      expect(beginsWith(disk.peek(LOG) ?? new Uint8Array(), left), `cut at ${at}`).toBe(true);
    }
    expect(cuts).toBeGreaterThan(30);
  });

  test('of a whole job: each cut is a clean end or a torn tail, never damage', () => {
    // Every cut in the last fifth, every third before it: the first test has every cut of the beginning.
    const tail = Math.floor(whole.length * 0.8);
    for (let at = 0; at <= whole.length; at += at < tail ? 3 : 1) {
      const log = readLog(whole.subarray(0, at));
      if (log.verdict === 'unknown') throw new Error(`cut at ${at}: ${log.diagnostics[0]?.code}`);
      expect(log.goodBytes + (log.tornTail?.bytes ?? 0), `cut at ${at}`).toBe(at);
    }
  });
});

describe('L3 what a loss of power leaves of one write', () => {
  const SECTOR = 512;
  /** Every size the file can have, and for each every set of sectors whose new part was lost. */
  function* remains(before: number, after: number): Generator<readonly [name: string, bytes: Uint8Array]> {
    for (let size = before + 1; size <= after; size += 1) {
      const first = Math.floor(before / SECTOR);
      const sectors = Math.floor((size - 1) / SECTOR) - first + 1;
      for (let lost = 0; lost < 2 ** sectors; lost += 1) {
        const bytes = whole.slice(0, size);
        for (let sector = 0; sector < sectors; sector += 1) {
          const from = Math.max(before, (first + sector) * SECTOR);
          if ((lost & (2 ** sector)) !== 0)
            bytes.fill(0, from, Math.min(size, (first + sector + 1) * SECTOR));
        }
        yield [`size ${size}, lost ${lost.toString(2)}`, bytes];
      }
    }
  }

  test(
    'is never damage, and counts as a whole or not at all',
    () => {
      const ends = readLog(whole).lines.filter((line) => line.batch_last === line.seq);
      const text = new TextDecoder().decode(whole).split('\n');
      const endOf = (seq: number): number =>
        new TextEncoder().encode(`${text.slice(0, seq).join('\n')}\n`).length;
      let before = 0;
      for (const [index, { seq }] of ends.entries()) {
        const after = endOf(seq);
        // Every fourth write; all of them by hand.
        if (ALL || index % 4 === 1)
          for (const [name, bytes] of remains(before, after)) {
            const log = readLog(bytes);
            if (log.verdict === 'unknown')
              throw new Error(`write ${index}, ${name}: ${log.diagnostics[0]?.code}`);
            if (log.goodBytes !== before)
              expect([name, sameBytes(bytes, whole.slice(0, after))]).toEqual([name, true]);
          }
        before = after;
      }
      expect(before).toBe(whole.length);
    },
    TIMEOUT_MS,
  );
});

describe('L6 a changed bit', () => {
  test('anywhere in a log is found; nothing is written, nothing cut', async () => {
    for (let at = 0; at < short.length; at += 1) {
      for (let bit = 0; bit < 8; bit += 1) {
        const changed = short.slice();
        changed[at] = (changed[at] ?? 0) ^ (1 << bit);
        const log = readLog(changed);
        const check = log.verdict === 'unknown' ? undefined : verifyLog(JOB, log);
        const found = check === undefined || check.verdict === 'unknown';
        if (!found)
          throw new Error(`bit ${bit} of byte ${at} (${String.fromCharCode(short[at] ?? 0)}) is not noticed`);
        if (at % 10 !== 0) continue;
        const disk = await diskWith(changed);
        const job = await open(disk);
        expect(job.ok, `bit ${bit} of byte ${at}`).toBe(false);
        expect(disk.peek(LOG), `bit ${bit} of byte ${at}`).toBe(changed);
      }
    }
  });

  test('anywhere in the log of a whole job is found (one bit of each eighth byte; all by hand)', {
    timeout: TIMEOUT_MS,
  }, () => {
    const random = randomFromSeed(6);
    let changes = 0;
    for (let at = 0; at < whole.length; at += ALL ? 1 : 8) {
      for (const bit of ALL ? [0, 1, 2, 3, 4, 5, 6, 7] : [random.integer(0, 7)]) {
        const changed = whole.slice();
        changed[at] = (changed[at] ?? 0) ^ (1 << bit);
        const log = readLog(changed);
        changes += 1;
        if (log.verdict !== 'unknown' && verifyLog(JOB, log).verdict !== 'unknown')
          throw new Error(`bit ${bit} of byte ${at} is not noticed`);
      }
    }
    expect(changes).toBeGreaterThan(700);
  });

  test('anywhere in the job file is found (one bit of each byte; all by hand)', {
    timeout: TIMEOUT_MS,
  }, async () => {
    const bytes = bytesFromJobFile(JOB);
    const random = randomFromSeed(8);
    for (let at = 0; at < bytes.length; at += 1) {
      for (const bit of ALL ? [0, 1, 2, 3, 4, 5, 6, 7] : [random.integer(0, 7)]) {
        const changed = bytes.slice();
        changed[at] = (changed[at] ?? 0) ^ (1 << bit);
        const jobFile = jobFileFromBytes(changed, 'job.json');
        if (!jobFile.ok) continue;
        const job = await open(await diskWith(short, changed));
        if (job.ok) throw new Error(`bit ${bit} of byte ${at} of job.json is not noticed`);
      }
    }
  });
});

test('a log with lines taken out, doubled or exchanged is never continued', () => {
  const lines = new TextDecoder().decode(whole).trimEnd().split('\n');
  const log = (list: readonly string[]): string => readLog(`${list.join('\n')}\n`).verdict;
  for (let at = 0; at < lines.length - 1; at += 1) {
    const batchEnds = readLog(whole).lines[at]?.batch_last === at + 1;
    expect(log([...lines.slice(0, at), ...lines.slice(at + 1)]), `without line ${at + 1}`).toBe('unknown');
    expect(
      log([...lines.slice(0, at + 1), lines[at] ?? '', ...lines.slice(at + 1)]),
      `line ${at + 1} twice`,
    ).toBe('unknown');
    const exchanged = [...lines];
    [exchanged[at], exchanged[at + 1]] = [lines[at + 1] ?? '', lines[at] ?? ''];
    expect(log(exchanged), `lines ${at + 1} and ${at + 2} exchanged (${batchEnds})`).toBe('unknown');
  }
});
