/**
 * Bench of the record store and the review: generated logs of about 100 events a job are imported into the
 * embedded store and, where STEPCALLER_TEST_DATABASE_URL is set, into a server, some thousands at a time; then the
 * per-step table and the whole review are computed. Wall time and processor time of this program are both told,
 * because the machine may be shared.
 *
 *     STEPCALLER_BENCH_JOBS=1000,10000 npm run bench -- review     (default 1000; 100000 by hand)
 *
 * Goals: a million events imported in 60 s into the server, the per-step table over them in 2 s.
 */
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { randomFromSeed } from '../../electron/core/base/random.ts';
import type { JobRecord } from '../../electron/core/job/model.ts';
import { hashOfJson } from '../../electron/core/log/canonical-json.ts';
import { fieldsFromRecord } from '../../electron/core/log/codec.ts';
import { LOG_FORMAT } from '../../electron/core/log/model.ts';
import { timestampFromEpochMs } from '../../electron/core/log/timestamp.ts';
import type { Plan } from '../../electron/core/plan/model.ts';
import { bytesFromJobFile } from '../../electron/disk/job-file.ts';
import { createNodeDisk } from '../../electron/disk/node-disk.ts';
import { createNodeProcesses } from '../../electron/disk/node-processes.ts';
import { openStore, type Store } from '../../electron/store/client.ts';
import { emptyStore, importJobs } from '../../electron/store/import-jobs.ts';
import { quickRead, sha256Of } from '../../electron/store/quick-read.ts';
import { reviewFromStore, stepTable } from '../../electron/store/tables.ts';
import { finished, opened, SAMPLE_PLAN, sampleFile, sampleStep, shown } from '../core/review/sample-job.ts';

const STEPS = 24;
const PLAN: Plan = {
  ...SAMPLE_PLAN,
  steps: Array.from({ length: STEPS }, (_, index) =>
    sampleStep(`step-${String(index + 1).padStart(2, '0')}`),
  ),
};
const PLAN_HASH = hashOfJson(PLAN);

/** About 100 events: each step shown, read out, once in a while helped with, and confirmed. */
function recordsOf(seed: number): JobRecord[] {
  const random = randomFromSeed(seed);
  let at_ms = 0;
  const records: JobRecord[] = [opened(`Technician ${'ABCDE'[seed % 5]}`)];
  for (const { id: step } of PLAN.steps) {
    records.push(shown(at_ms, step));
    at_ms += 3000;
    records.push({ event: 'step.read', at_ms, step, outcome: 'completed' });
    at_ms += Math.round(10_000 * Math.exp(0.3 * random.normal()));
    records.push({
      event: 'help.given',
      at_ms,
      step,
      what: random.next() < 0.1 ? 'repeat' : 'torque',
      source: 'voice',
    });
    at_ms += 1000;
    records.push({
      event: 'step.confirmed',
      at_ms,
      step,
      source: 'voice',
      confidence: 0.95,
      with_help: true,
    });
  }
  records.push({
    event: 'note.taken',
    at_ms,
    step: 'step-24',
    item: null,
    text: 'ok',
    audio: null,
    source: 'key',
  });
  records.push(finished(at_ms));
  return records;
}

/** The same lines as the log writer makes, with the platform's hash; `run` checks one job with the reader. */
function textOf(records: readonly JobRecord[], firstPrev: string, startMs: number): string {
  let prev = firstPrev;
  let text = '';
  for (const [index, record] of records.entries()) {
    const seq = index + 1;
    const fields = fieldsFromRecord(record);
    const sorted = Object.fromEntries(Object.entries(fields).sort(([a], [b]) => (a < b ? -1 : 1)));
    const head = {
      batch_first: seq,
      batch_last: seq,
      event: record.event,
      fields: sorted,
      mono_ms: record.at_ms,
      prev,
      seq,
    };
    const tail = { v: LOG_FORMAT, wall: timestampFromEpochMs(startMs + record.at_ms, 60) };
    const sum = sha256Of(JSON.stringify({ ...head, ...tail })).slice(0, 16);
    const line = JSON.stringify({ ...head, sum, ...tail });
    prev = sha256Of(line);
    text += `${line}\n`;
  }
  return text;
}

/** Jobs written, imported and thrown away at a time: 100,000 of them would fill 6 GB of the disk. */
const CHUNK_JOBS = 5000;

/** Writes the job folders from number `from` up to `to`; gives the number of events. */
function writeLogs(folder: string, from: number, to: number): number {
  let events = 0;
  for (let index = from; index < to; index += 1) {
    const name = `job-${String(index).padStart(6, '0')}`;
    const bytes = bytesFromJobFile({ ...sampleFile(name, PLAN), plan_sha256: PLAN_HASH });
    const records = recordsOf(index + 1);
    const text = textOf(records, sha256Of(bytes), Date.UTC(2026, 0, 5) + index * 600_000);
    if (index === 0 && quickRead(new TextEncoder().encode(text), sha256Of(bytes)) === undefined)
      throw new Error('the bench writes logs that are no logs');
    mkdirSync(join(folder, name));
    writeFileSync(join(folder, name, 'job.json'), bytes);
    writeFileSync(join(folder, name, 'log.jsonl'), text);
    events += records.length;
  }
  return events;
}

interface Measured<T> {
  readonly value: T;
  readonly wall_s: number;
  readonly cpu_s: number;
}

async function measure<T>(work: () => Promise<T>): Promise<Measured<T>> {
  const [cpu, wall] = [process.cpuUsage(), performance.now()];
  const value = await work();
  const spent = process.cpuUsage(cpu);
  return { value, wall_s: (performance.now() - wall) / 1000, cpu_s: (spent.user + spent.system) / 1e6 };
}

const told = ({ wall_s, cpu_s }: Pick<Measured<unknown>, 'wall_s' | 'cpu_s'>): string =>
  `${wall_s.toFixed(2)} s (processor ${cpu_s.toFixed(2)} s)`;

interface Imported {
  readonly events: number;
  readonly wall_s: number;
  readonly cpu_s: number;
  /** The last chunk once more, with nothing new in it. */
  readonly again: Measured<unknown>;
}

async function importInChunks(store: Store, jobs: number): Promise<Imported> {
  let [events, wall_s, cpu_s] = [0, 0, 0];
  let again: Measured<unknown> | undefined;
  for (let from = 0; from < jobs; from += CHUNK_JOBS) {
    const folder = mkdtempSync(join(tmpdir(), 'stepcaller-bench-'));
    try {
      const to = Math.min(jobs, from + CHUNK_JOBS);
      const written = writeLogs(folder, from, to);
      const imported = await measure(() => importJobs(store, folder));
      if (!imported.value.ok || imported.value.value.events !== written)
        throw new Error('the import lost something');
      events += written;
      wall_s += imported.wall_s;
      cpu_s += imported.cpu_s;
      if (to === jobs) again = await measure(() => importJobs(store, folder));
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  }
  if (again === undefined) throw new Error('no jobs');
  return { events, wall_s, cpu_s, again };
}

const peakMb = (): number => Math.round(process.resourceUsage().maxRSS / 1000);

async function benchStore(name: string, open: () => Promise<Store>, jobs: number): Promise<void> {
  const say = (text: string): void => console.log(`  ${name}, ${jobs} jobs: ${text}`);
  const made = await measure(open);
  say(`made and opened in ${told(made)}`);
  let store = made.value;
  await emptyStore(store);
  const imported = await importInChunks(store, jobs);
  const { events } = imported;
  say(`${events} events imported in ${told(imported)}, ${Math.round(events / imported.wall_s)} events/s`);
  say(`the last ${Math.min(jobs, CHUNK_JOBS)} again, nothing new ${told(imported.again)}`);
  // What a server does by itself after a minute.
  await store.query('ANALYZE');
  for (const turn of ['first', 'second']) {
    const table = await measure(() => stepTable(store));
    say(`per-step table of ${table.value.length} steps, ${turn} time ${told(table)}`);
  }
  await store.close();
  const opened = await measure(open);
  store = opened.value;
  say(`opened again in ${told(opened)}`);
  const review = await measure(() => reviewFromStore(store));
  say(`first screen: review of the latest ${review.value.jobs.total} jobs ${told(review)}`);
  say(`most memory of this program so far ${peakMb()} MB`);
  await store.close();
}

async function must(place: Parameters<typeof openStore>[0]): Promise<Store> {
  const opened = await openStore(place);
  if (!opened.ok) throw new Error(opened.error.message);
  return opened.value;
}

/**
 * Runs the bench for the sizes of STEPCALLER_BENCH_JOBS; STEPCALLER_BENCH_STORES limits it to "embedded" or "server".
 * With STEPCALLER_BENCH_KEEP=1 the jobs stay on the server, for comparing its table with another program's.
 */
export async function run(): Promise<void> {
  const sizes = (process.env.STEPCALLER_BENCH_JOBS ?? '1000').split(',').map(Number);
  const kinds = (process.env.STEPCALLER_BENCH_STORES ?? 'embedded,server').split(',');
  const url = process.env.STEPCALLER_TEST_DATABASE_URL;
  for (const jobs of sizes) {
    if (kinds.includes('server') && url !== undefined) {
      await benchStore('server', () => must({ kind: 'server', url }), jobs);
      if (process.env.STEPCALLER_BENCH_KEEP !== '1') {
        const store = await must({ kind: 'server', url });
        await emptyStore(store);
        await store.close();
      }
    }
    if (kinds.includes('embedded')) {
      const folder = mkdtempSync(join(tmpdir(), 'stepcaller-bench-store-'));
      const open = (): Promise<Store> =>
        must({
          kind: 'embedded',
          folder,
          disk: createNodeDisk(),
          processes: createNodeProcesses('bench'),
          since: '',
          token: 'bench',
        });
      try {
        await benchStore('embedded', open, jobs);
      } finally {
        rmSync(folder, { recursive: true, force: true });
      }
    }
  }
}
