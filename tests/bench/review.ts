/**
 * Bench of the record store and the review: generated logs of about 100 events a job are imported into the
 * embedded store and, where STEPCALLER_TEST_DATABASE_URL is set, into a server; then the per-step table and the
 * whole review are computed. Wall time and processor time of this program are both told, because the machine may
 * be shared.
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
import { timestampFromEpochMs } from '../../electron/core/log/timestamp.ts';
import type { Plan } from '../../electron/core/plan/model.ts';
import { bytesFromJobFile } from '../../electron/disk/job-file.ts';
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
    const tail = { v: 1, wall: timestampFromEpochMs(startMs + record.at_ms, 60) };
    const sum = sha256Of(JSON.stringify({ ...head, ...tail })).slice(0, 16);
    const line = JSON.stringify({ ...head, sum, ...tail });
    prev = sha256Of(line);
    text += `${line}\n`;
  }
  return text;
}

function writeLogs(folder: string, jobs: number): number {
  let events = 0;
  for (let index = 0; index < jobs; index += 1) {
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

const told = ({ wall_s, cpu_s }: Measured<unknown>): string =>
  `${wall_s.toFixed(2)} s (processor ${cpu_s.toFixed(2)} s)`;

async function benchStore(name: string, store: Store, folder: string, events: number): Promise<void> {
  await emptyStore(store);
  const imported = await measure(() => importJobs(store, folder));
  if (!imported.value.ok || imported.value.value.events !== events)
    throw new Error('the import lost something');
  console.log(`  ${name}: import ${told(imported)}, ${Math.round(events / imported.wall_s)} events/s`);
  console.log(`  ${name}: import again, nothing new ${told(await measure(() => importJobs(store, folder)))}`);
  await store.query('ANALYZE stepcaller.step_time, stepcaller.job');
  const table = await measure(() => stepTable(store));
  console.log(`  ${name}: per-step table of ${table.value.length} steps ${told(table)}`);
  const review = await measure(() => reviewFromStore(store));
  console.log(`  ${name}: whole review (first screen) of ${review.value.jobs.total} jobs ${told(review)}`);
  console.log(`  ${name}: memory ${Math.round(process.memoryUsage().rss / 1e6)} MB`);
}

async function must(place: Parameters<typeof openStore>[0]): Promise<Store> {
  const opened = await openStore(place);
  if (!opened.ok) throw new Error(opened.error.message);
  return opened.value;
}

/** Runs the bench for the sizes of STEPCALLER_BENCH_JOBS; STEPCALLER_BENCH_STORES limits it to "embedded" or "server". */
export async function run(): Promise<void> {
  const sizes = (process.env.STEPCALLER_BENCH_JOBS ?? '1000').split(',').map(Number);
  const kinds = (process.env.STEPCALLER_BENCH_STORES ?? 'embedded,server').split(',');
  const url = process.env.STEPCALLER_TEST_DATABASE_URL;
  for (const jobs of sizes) {
    const folder = mkdtempSync(join(tmpdir(), 'stepcaller-bench-'));
    try {
      const made = await measure(async () => writeLogs(folder, jobs));
      console.log(`  ${jobs} jobs, ${made.value} events; written in ${told(made)}`);
      if (kinds.includes('server') && url !== undefined) {
        const store = await must({ kind: 'server', url });
        await benchStore('server', store, folder, made.value);
        await store.close();
      }
      if (kinds.includes('embedded')) {
        const store = await must({ kind: 'memory' });
        await benchStore('embedded', store, folder, made.value);
        await store.close();
      }
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  }
}
