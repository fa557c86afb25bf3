/**
 * Long runs: a job of 10,000 steps, a folder of 20,000 jobs, 48 hours of ticks, and what a synced write costs
 * on this disk. Prints figures; judges nothing. Time is simulated, so 48 hours take minutes at most.
 */
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { performance } from 'node:perf_hooks';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { SimulatedClock } from '../../electron/clock.ts';
import { stateFromRecords } from '../../electron/core/job/engine.ts';
import { hashOfJson } from '../../electron/core/log/canonical-json.ts';
import { encodeBatch, readLog, recordFromLine } from '../../electron/core/log/codec.ts';
import { verifyLog } from '../../electron/core/log/verify.ts';
import type { Plan } from '../../electron/core/plan/model.ts';
import { DiskError, type DiskPort, type OpenFile } from '../../electron/disk/disk-port.ts';
import { bytesFromJobFile } from '../../electron/disk/job-file.ts';
import { listJobs } from '../../electron/disk/job-list.ts';
import { createNodeDisk } from '../../electron/disk/node-disk.ts';
import { createNodeProcesses } from '../../electron/disk/node-processes.ts';
import { JobService } from '../../electron/job-service.ts';
import { jobFileOf, SHORT_PLAN } from '../crash/short-plan.ts';

const STEPS = Number(process.env.SOAK_STEPS ?? 10_000);
const JOBS = Number(process.env.SOAK_JOBS ?? 20_000);
const HOURS = 48;

/** A disk of chunks in memory: appending costs the same however long the file is. */
class ChunkDisk implements DiskPort {
  readonly #files = new Map<string, Uint8Array[]>();
  readonly #folders = new Set<string>(['/']);
  bytes = 0;

  #open(path: string): OpenFile {
    const chunks = this.#files.get(path) ?? [];
    let size = chunks.reduce((sum, chunk) => sum + chunk.length, 0);
    return {
      write: async (bytes) => {
        chunks.push(bytes);
        size += bytes.length;
        this.bytes += bytes.length;
        return bytes.length;
      },
      datasync: async () => undefined,
      sync: async () => undefined,
      truncate: async () => {
        throw new DiskError('EIO', 'truncate', path);
      },
      size: async () => size,
      isInPlace: async () => true,
      close: async () => undefined,
    };
  }
  async openAppend(path: string): Promise<OpenFile> {
    if (!this.#files.has(path)) throw new DiskError('ENOENT', 'open-append', path);
    return this.#open(path);
  }
  async createExclusive(path: string): Promise<OpenFile> {
    if (this.#files.has(path)) throw new DiskError('EEXIST', 'create', path);
    this.#files.set(path, []);
    return this.#open(path);
  }
  async readFile(path: string): Promise<Uint8Array> {
    const chunks = this.#files.get(path);
    if (chunks === undefined) throw new DiskError('ENOENT', 'read', path);
    return Buffer.concat(chunks);
  }
  async rename(from: string, to: string): Promise<void> {
    for (const path of [...this.#files.keys()].filter((one) => one === from || one.startsWith(`${from}/`))) {
      this.#files.set(to + path.slice(from.length), this.#files.get(path) ?? []);
      this.#files.delete(path);
    }
    if (this.#folders.delete(from)) this.#folders.add(to);
  }
  async mkdir(path: string): Promise<void> {
    this.#folders.add(path);
  }
  async syncFolder(): Promise<void> {}
  async readdir(): Promise<readonly string[]> {
    return [];
  }
  async stat(path: string) {
    if (this.#folders.has(path)) return { size: 0, isFolder: true, modifiedMs: 0 };
    const chunks = this.#files.get(path);
    if (chunks === undefined) return undefined;
    return { size: chunks.reduce((sum, chunk) => sum + chunk.length, 0), isFolder: false, modifiedMs: 0 };
  }
  async unlink(path: string): Promise<void> {
    this.#files.delete(path);
  }
}

/** A plan of any length from the four steps of the short one; tray and reading included. */
function longPlan(steps: number): Plan {
  const rounds = Math.ceil(steps / SHORT_PLAN.steps.length);
  const all = Array.from({ length: rounds }, (_, round) =>
    SHORT_PLAN.steps.map((step) => ({ ...step, id: `${step.id}-${round}` })),
  ).flat();
  return { ...SHORT_PLAN, steps: all.slice(0, steps) };
}

const megabytes = (bytes: number): string => `${(bytes / 1_048_576).toFixed(1)} MB`;
// What is left after a collection: without one the figure is that of the garbage.
setFlagsFromString('--expose-gc');
const collect = runInNewContext('gc') as () => void;
const heap = (): number => {
  collect();
  return process.memoryUsage().heapUsed;
};
const quantile = (sorted: readonly number[], share: number): number =>
  sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? 0;

async function longJob(): Promise<void> {
  const disk = new ChunkDisk();
  const clock = new SimulatedClock(1_772_353_800_000);
  let tokens = 0;
  const token = (): string => {
    tokens += 1;
    return `b${tokens}`;
  };
  const service = new JobService({ disk, clock, processes: createNodeProcesses('soak'), token });
  const plan = longPlan(STEPS);
  const jobFile = jobFileOf(plan, 'long');
  const spoken: number[] = [];
  service.onPush((push) => {
    if (push.type === 'effect' && push.effect.type === 'say') spoken.push(push.effect.utterance);
  });
  const began = performance.now();
  await service.start('/jobs', jobFile, { technician: 'Technician A' });
  const times: number[] = [];
  let marks = 0;
  const before = heap();
  for (let view = service.view(); view !== null && view.outcome === null; view = service.view()) {
    const start = performance.now();
    const utterance = spoken.shift();
    if (utterance !== undefined) await service.handle({ type: 'spoken', utterance, outcome: 'completed' });
    else if (view.question !== null || view.value_proposed !== null) {
      await service.handle({ type: 'phrase', phrase: 'yes', source: 'key' });
    } else if (view.caution !== null)
      await service.handle({ type: 'phrase', phrase: 'understood', source: 'key' });
    else if (view.waits_for === 'reading') await service.handle({ type: 'reading', value: 5, source: 'key' });
    else await service.handle({ type: 'phrase', phrase: 'next', source: 'key' });
    times.push(performance.now() - start);
    clock.advance(400);
    const tenth = Math.floor(STEPS / 10);
    if (view.step_number % tenth === 0 && marks < view.step_number / tenth) {
      const recent = times.slice(-200).sort((a, b) => a - b);
      marks += 1;
      const median = quantile(recent, 0.5).toFixed(2);
      console.log(`  at step ${view.step_number}: ${median} ms an input, heap ${megabytes(heap())}`);
    }
  }
  const sorted = [...times].sort((a, b) => a - b);
  console.log(
    `job of ${STEPS} steps: ${times.length} inputs in ${((performance.now() - began) / 1000).toFixed(1)} s`,
  );
  console.log(
    `  an input: median ${quantile(sorted, 0.5).toFixed(2)} ms, p95 ${quantile(sorted, 0.95).toFixed(2)} ms, p99.9 ${quantile(sorted, 0.999).toFixed(2)} ms`,
  );
  console.log(`  heap ${megabytes(before)} before, ${megabytes(heap())} after; log ${megabytes(disk.bytes)}`);
  const bytes = await disk.readFile('/jobs/long/log.jsonl');
  const reading = performance.now();
  const log = readLog(bytes);
  const check = verifyLog(jobFile, log);
  console.log(
    `  read and verified ${log.lines.length} lines in ${((performance.now() - reading) / 1000).toFixed(2)} s: ${check.verdict}, ${check.findings.length} findings`,
  );
  const replaying = performance.now();
  const records = log.lines.flatMap((line) => {
    const record = recordFromLine(line);
    return record.ok ? [record.value] : [];
  });
  const state = stateFromRecords(plan, records);
  console.log(`  replayed in ${((performance.now() - replaying) / 1000).toFixed(2)} s: ${state.outcome}`);
}

/** 48 hours of a job that is open and listens: a tick a second, a refused utterance each minute. */
async function longListening(): Promise<void> {
  const clock = new SimulatedClock(1_772_353_800_000);
  let tokens = 0;
  const token = (): string => {
    tokens += 1;
    return `l${tokens}`;
  };
  const disk = new ChunkDisk();
  const service = new JobService({ disk, clock, processes: createNodeProcesses('soak'), token });
  await service.start('/jobs', jobFileOf(SHORT_PLAN, 'idle'), { technician: 'Technician A' });
  const before = heap();
  const began = performance.now();
  for (let minute = 0; minute < HOURS * 60; minute += 1) {
    for (let second = 0; second < 60; second += 1) {
      clock.advance(1000);
      await service.settled();
    }
    await service.handle({ type: 'unheard', reason: 'unknown-words' });
    if (minute % (HOURS * 10) === 0) console.log(`  hour ${minute / 60}: heap ${megabytes(heap())}`);
  }
  const seconds = (performance.now() - began) / 1000;
  console.log(
    `${HOURS} hours of listening: ${HOURS * 3600} ticks in ${seconds.toFixed(1)} s, log ${megabytes(disk.bytes)}`,
  );
  console.log(`  heap ${megabytes(before)} before, ${megabytes(heap())} after`);
  await service.leave();
}

/** A folder of many short jobs on the real disk. */
async function manyJobs(folder: string): Promise<void> {
  const jobs = join(folder, 'jobs');
  mkdirSync(jobs);
  for (let number = 0; number < JOBS; number += 1) {
    const name = `20260101-${String(number).padStart(6, '0')}-demo-box`;
    const jobFile = jobFileOf(SHORT_PLAN, name);
    const end = { seq: 0, prev: hashOfJson(jobFile), mono_ms: 0 };
    const opening = encodeBatch(
      [
        {
          event: 'job.opened',
          at_ms: 0,
          technician: 'Technician A',
          unit_serial: null,
          work_order: null,
          reported_fault: null,
          verbosity: 'full',
        },
        { event: 'step.shown', at_ms: 0, step: 'prepare.isolate', visit: 1 },
        { event: 'job.finished', at_ms: 9, outcome: 'given-up', open_compartments: 0, source: 'key' },
      ],
      '2026-03-01T09:30:00.000+01:00',
      end,
    );
    if (!opening.ok) throw new Error(opening.error.code);
    mkdirSync(join(jobs, name));
    writeFileSync(join(jobs, name, 'job.json'), bytesFromJobFile(jobFile));
    writeFileSync(join(jobs, name, 'log.jsonl'), opening.value.text);
  }
  const list = async (what: string): Promise<void> => {
    const began = performance.now();
    const answer = await listJobs({
      disk: createNodeDisk(),
      processes: createNodeProcesses('soak'),
      token: () => 'soak',
      jobsFolder: jobs,
      openJob: null,
    });
    const shown = answer.ok ? answer.value.length : 0;
    console.log(
      `  ${what}: ${shown} of ${JOBS} jobs listed in ${((performance.now() - began) / 1000).toFixed(2)} s, heap ${megabytes(heap())}`,
    );
  };
  console.log(`folder of ${JOBS} jobs:`);
  await list('first time');
  await list('again');
}

async function syncedWrites(folder: string): Promise<void> {
  const file = await createNodeDisk().createExclusive(join(folder, 'writes'));
  const line = new Uint8Array(300).fill(0x61);
  const times: number[] = [];
  for (let count = 0; count < 500; count += 1) {
    const began = performance.now();
    await file.write(line);
    await file.datasync();
    times.push(performance.now() - began);
  }
  await file.close();
  times.sort((a, b) => a - b);
  console.log(
    `a synced write of 300 bytes on this disk: median ${quantile(times, 0.5).toFixed(2)} ms, p99 ${quantile(times, 0.99).toFixed(2)} ms`,
  );
}

/** Runs all soaks, or those named in SOAK (`SOAK=job,folder`), and prints their figures; minutes each. */
export async function run(): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'stepcaller-soak-'));
  const soaks: Readonly<Record<string, () => Promise<void>>> = {
    writes: () => syncedWrites(folder),
    job: longJob,
    listening: longListening,
    folder: () => manyJobs(folder),
  };
  try {
    for (const name of (process.env.SOAK ?? Object.keys(soaks).join(',')).split(',')) {
      const soak = soaks[name];
      if (soak === undefined) throw new Error(`no soak ${name}: choose of ${Object.keys(soaks).join(', ')}`);
      await soak();
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
