/**
 * L1 to L4 of electron/disk/FAULTS.md: every disk call of a whole job fails once, fails for good, and is the last
 * before a loss of power. After each: open, verify, go on, verify. Invariant: what the user was told is in the
 * log; what was not told counts at most as the one write that was under way.
 */
import { describe, expect, test } from 'vitest';
import { randomFromSeed } from '../../electron/core/base/random.ts';
import { readLog } from '../../electron/core/log/codec.ts';
import type { DiskErrorCode } from '../../electron/disk/disk-port.ts';
import { SimulatedProcesses } from './ports.ts';
import { beginsWith, Session, sameBytes, verified } from './session.ts';
import { jobFileOf, SHORT_PLAN } from './short-plan.ts';
import { PowerLoss, SimulatedDisk } from './simulated-disk.ts';

const CODES: readonly DiskErrorCode[] = ['ENOSPC', 'EIO', 'EACCES', 'EROFS'];
const LOG = '/jobs/job-1/log.jsonl';
/** Fixed seeds, and one more from the environment for a run by hand. */
const SEEDS = [1, 2, 3, ...(process.env.CRASH_SEED === undefined ? [] : [Number(process.env.CRASH_SEED)])];

/** Calls of a job without any fault. */
async function callsOfWholeJob(): Promise<number> {
  const disk = new SimulatedDisk();
  const session = new Session(disk, new SimulatedProcesses().start(), jobFileOf(SHORT_PLAN));
  expect((await session.start()).ok).toBe(true);
  expect(await session.work(0)).toBe(true);
  const calls = disk.calls.length;
  expect(await verified(disk, session.folder)).toMatchObject({ verdict: 'complete', findings: [] });
  return calls;
}

describe('L1 and L8: a call that fails once', () => {
  test('the input is refused aloud, changes nothing, and counts when it is said again', async () => {
    const total = await callsOfWholeJob();
    expect(total).toBeGreaterThan(60);
    let refused = 0;
    for (let at = 1; at <= total; at += 1) {
      const disk = new SimulatedDisk();
      const name = `call ${at}`;
      disk.fault = { at, code: CODES[at % CODES.length] ?? 'EIO', forGood: false };
      const process = new SimulatedProcesses().start();
      let session = new Session(disk, process, jobFileOf(SHORT_PLAN));
      if (!(await session.start()).ok) {
        refused += 1;
        // Nothing may be half there: starting again under another name works at once.
        session = new Session(disk, process, jobFileOf(SHORT_PLAN, 'job-2'));
        expect((await session.start()).ok, name).toBe(true);
      }
      const mark = session.pushes.length;
      expect(await session.work(1), name).toBe(true);
      const check = await verified(disk, session.folder);
      expect(check, `${name} ${disk.calls[at - 1]?.call}`).toMatchObject({
        verdict: 'complete',
        findings: [],
      });
      expect(sameBytes(disk.peek(`${session.folder}/log.jsonl`), session.confirmed), name).toBe(true);
      // Also on the disk itself: what a failed sync called clean must have been written anew.
      const later = disk.afterPowerLoss(randomFromSeed(at));
      expect(sameBytes(later.peek(`${session.folder}/log.jsonl`), session.confirmed), name).toBe(true);
      if (session.faults.length > 0) {
        refused += 1;
        const effects = session.effectsSince(mark);
        const trouble = effects.filter((effect) => effect.type === 'say' && effect.kind === 'trouble');
        expect(trouble, name).toHaveLength(1);
        expect(
          effects.some((effect) => effect.type === 'chime' && effect.chime === 'refused'),
          name,
        ).toBe(true);
        expect(
          session.pushes.some((push) => push.type === 'host-trouble'),
          name,
        ).toBe(true);
      }
    }
    // Calls that need not succeed (closing, removing a temporary file) are few.
    expect(refused).toBeGreaterThan(total * 0.8);
  });

  test('what was refused is gone from the log when that is said, and from the disk', async () => {
    const total = await callsOfWholeJob();
    let refused = 0;
    for (let at = 1; at <= total; at += 1) {
      const disk = new SimulatedDisk();
      const name = `call ${at}`;
      disk.fault = { at, code: CODES[at % CODES.length] ?? 'EIO', forGood: false };
      const session = new Session(disk, new SimulatedProcesses().start(), jobFileOf(SHORT_PLAN));
      session.onRefused = () => {
        if (session.confirmed.length === 0) return; // the job itself could not be made
        refused += 1;
        const path = `${session.folder}/log.jsonl`;
        expect(sameBytes(disk.peek(path), session.confirmed), `${name}, the program dies now`).toBe(true);
        for (let chance = 0; chance < 8; chance += 1) {
          const later = disk.afterPowerLoss(randomFromSeed(at * 100 + chance));
          expect(sameBytes(later.peek(path), session.confirmed), `${name}, power lost, ${chance}`).toBe(true);
        }
      };
      if ((await session.start()).ok) expect(await session.work(1), name).toBe(true);
    }
    expect(refused).toBeGreaterThan(total / 3);
  });

  test('a sync that failed is never tried again: what it should have written is cut off and written anew', async () => {
    const total = await callsOfWholeJob();
    let pairs = 0;
    for (let at = 1; at <= total; at += 1) {
      const disk = new SimulatedDisk();
      // The sync of a write fails, and then that of the cut that takes the write back (two calls later).
      disk.fault = { at, code: 'EIO', forGood: false, alsoAt: [at + 2] };
      const session = new Session(disk, new SimulatedProcesses().start(), jobFileOf(SHORT_PLAN));
      const name = `call ${at}`;
      if (!(await session.start()).ok) continue; // the calls that make the job are another test's matter
      expect(await session.work(2), name).toBe(true);
      if (disk.calls[at - 1]?.call !== 'datasync') continue;
      expect([disk.calls[at]?.call, disk.calls[at + 1]?.call], name).toEqual(['truncate', 'sync']);
      expect(disk.calls[at + 2]?.call, `${name}: after a sync that failed`).not.toMatch(/sync/);
      pairs += 1;
      const path = `${session.folder}/log.jsonl`;
      expect(sameBytes(disk.peek(path), session.confirmed), name).toBe(true);
      for (let chance = 0; chance < 8; chance += 1) {
        const later = disk.afterPowerLoss(randomFromSeed(at * 100 + chance));
        expect(sameBytes(later.peek(path), session.confirmed), `${name}, power lost, ${chance}`).toBe(true);
      }
    }
    expect(pairs).toBeGreaterThan(10);
  });

  test('a refused input leaves the view as it was, apart from the trouble', async () => {
    const disk = new SimulatedDisk();
    const session = new Session(disk, new SimulatedProcesses().start(), jobFileOf(SHORT_PLAN));
    await session.start();
    const before = session.service.view();
    disk.fault = { at: disk.calls.length + 1, code: 'ENOSPC', forGood: true };
    const utterance = session.effectsSince(0).findLast((effect) => effect.type === 'say');
    const input = {
      type: 'spoken',
      utterance: utterance?.type === 'say' ? utterance.utterance : 0,
      outcome: 'completed',
    } as const;
    expect((await session.handle(input)).ok).toBe(false);
    const during = session.service.view();
    expect(during).toEqual({ ...before, troubles: ['disk-full'] });
    disk.fault = undefined;
    expect((await session.handle(input)).ok).toBe(true);
    const after = session.service.view();
    expect(after?.troubles).toEqual([]);
    expect(after?.caution?.read).toBe(true);
  });
});

describe('L2 a call from which on all fail', () => {
  test('nothing said meanwhile counts; with a good disk the job goes on from what was told', async () => {
    const total = await callsOfWholeJob();
    for (let at = 1; at <= total; at += 1) {
      const name = `call ${at}`;
      const disk = new SimulatedDisk();
      disk.fault = { at, code: CODES[at % CODES.length] ?? 'EIO', forGood: true };
      const processes = new SimulatedProcesses();
      const process = processes.start();
      const first = new Session(disk, process, jobFileOf(SHORT_PLAN));
      const started = await first.start();
      if (started.ok) {
        const finished = await first.work(3);
        expect(first.faults.length > 0 || finished, name).toBe(true);
        await first.service.leave();
      }
      processes.end(process);
      const well = disk.afterKill();
      if ((await well.stat(LOG)) === undefined) {
        expect(started.ok, name).toBe(false);
        continue;
      }
      expect(beginsWith(well.peek(LOG) ?? new Uint8Array(), first.confirmed), name).toBe(true);
      await goOn(well, processes, first, name);
    }
  });
});

/** Opens the job on a disk that is well, finishes it and checks all that was told. */
async function goOn(
  disk: SimulatedDisk,
  processes: SimulatedProcesses,
  before: Session,
  name: string,
): Promise<void> {
  const session = new Session(disk, processes.start(), before.jobFile);
  const opened = await session.reopen();
  if (!opened.ok) {
    const code = session.faults[0]?.code;
    // A job whose end was told cannot be opened again; one whose opening was never told has not begun.
    if (code === 'job/finished') {
      expect(await verified(disk, session.folder), name).toMatchObject({ verdict: 'complete' });
      return;
    }
    expect([code, before.confirmed.length], name).toEqual(['job/not-begun', 0]);
    return;
  }
  const recovered = disk.peek(LOG) ?? new Uint8Array();
  expect(beginsWith(recovered, before.confirmed), name).toBe(true);
  expect(await session.work(0), name).toBe(true);
  expect(await verified(disk, session.folder), name).toMatchObject({ verdict: 'complete', findings: [] });
  expect(beginsWith(disk.peek(LOG) ?? new Uint8Array(), before.confirmed), name).toBe(true);
}

describe('L3 loss of power', () => {
  test.each(SEEDS)('before every call, seed %i', async (seed) => {
    const total = await callsOfWholeJob();
    for (let at = 1; at <= total; at += 1) {
      const name = `call ${at}, seed ${seed}`;
      const disk = new SimulatedDisk();
      disk.powerLossAt = at;
      const processes = new SimulatedProcesses();
      const process = processes.start();
      const first = new Session(disk, process, jobFileOf(SHORT_PLAN));
      const finished = await untilPowerLoss(async () => (await first.start()).ok && (await first.work(0)));
      expect(finished, name).toBe(false);
      processes.end(process);
      const after = disk.afterPowerLoss(randomFromSeed(seed * 1000 + at));
      if ((await after.stat('/jobs/job-1/job.json')) === undefined) {
        expect(first.confirmed.length, name).toBe(0);
        continue;
      }
      const found = after.peek(LOG) ?? new Uint8Array();
      expect(beginsWith(found, first.confirmed), name).toBe(true);
      // What was not told: at most the one write under way, and it counts as a whole or not at all.
      const told = readLog(first.confirmed);
      const log = readLog(found);
      expect(log.verdict, name).not.toBe('unknown');
      const extra = log.lines.slice(told.lines.length);
      expect(new Set(extra.map((line) => line.batch_first)).size, name).toBeLessThanOrEqual(1);
      await goOn(after, processes, first, name);
    }
  });

  test.each(SEEDS)('again while the job is being opened after the first one, seed %i', async (seed) => {
    const random = randomFromSeed(seed);
    const total = await callsOfWholeJob();
    for (let round = 0; round < 40; round += 1) {
      const name = `round ${round}, seed ${seed}`;
      const processes = new SimulatedProcesses();
      const process = processes.start();
      let disk = new SimulatedDisk();
      disk.powerLossAt = random.integer(Math.floor(total / 3), total);
      const first = new Session(disk, process, jobFileOf(SHORT_PLAN));
      await untilPowerLoss(async () => (await first.start()).ok && (await first.work(0)));
      processes.end(process);
      disk = disk.afterPowerLoss(random);
      for (let again = 0; again < 3; again += 1) {
        const other = processes.start();
        disk.powerLossAt = disk.calls.length + random.integer(1, 25);
        const session = new Session(disk, other, first.jobFile);
        await untilPowerLoss(async () => (await session.reopen()).ok && (await session.work(0)));
        if (session.confirmed.length > first.confirmed.length) first.confirmed = session.confirmed;
        processes.end(other);
        disk = disk.afterPowerLoss(random);
        expect(beginsWith(disk.peek(LOG) ?? new Uint8Array(), first.confirmed), name).toBe(true);
      }
      await goOn(disk, processes, first, name);
    }
  });
});

/** True where the work came to its end, false where the power went. */
async function untilPowerLoss(work: () => Promise<boolean>): Promise<boolean> {
  try {
    return await work();
  } catch (thrown) {
    if (thrown instanceof PowerLoss) return false;
    throw thrown;
  }
}

test('L4 a program that dies at any moment leaves a job that goes on, without a stale lock in the way', async () => {
  const total = await callsOfWholeJob();
  for (let at = 1; at <= total; at += 1) {
    const disk = new SimulatedDisk();
    disk.powerLossAt = at; // the program stops; what it wrote stays in the memory of the system
    const processes = new SimulatedProcesses();
    const process = processes.start();
    const first = new Session(disk, process, jobFileOf(SHORT_PLAN));
    await untilPowerLoss(async () => (await first.start()).ok && (await first.work(0)));
    processes.end(process);
    const after = disk.afterKill();
    if ((await after.stat('/jobs/job-1/job.json')) === undefined) continue;
    await goOn(after, processes, first, `call ${at}`);
  }
});
