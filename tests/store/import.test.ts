import { appendFileSync, cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { JobRecord } from '../../electron/core/job/model.ts';
import { hashOfJson } from '../../electron/core/log/canonical-json.ts';
import { encodeBatch } from '../../electron/core/log/codec.ts';
import { stepStatistics } from '../../electron/core/review/step-statistics.ts';
import type { Store } from '../../electron/store/client.ts';
import {
  emptyStore,
  type ImportOptions,
  type ImportReport,
  importJobs,
  rebuildStore,
  type SeenLogs,
} from '../../electron/store/import-jobs.ts';
import { MIGRATIONS, migrate } from '../../electron/store/schema.ts';
import {
  compareInStore,
  loadJobTimes,
  pastJobs,
  rejectedLogs,
  reviewFromStore,
  stepTable,
} from '../../electron/store/tables.ts';
import {
  confirmed,
  finished,
  opened,
  SAMPLE_PLAN,
  sampleFile,
  sampleRecords,
  shown,
} from '../core/review/sample-job.ts';
import { logText, realJobFile, writeJob } from './log-folders.ts';
import { dropDatabases, newDatabase, openServer, SERVER_MISSING, SERVER_URL, STORE_KINDS } from './stores.ts';

const SETUP_MS = 120_000;
let folder = '';
let store: Store;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'stepcaller-store-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));
afterAll(dropDatabases, SETUP_MS);

/** Records of a whole job with another pace, so that jobs differ. */
function paced(factor: number, technician = 'Technician A'): JobRecord[] {
  return sampleRecords(technician).map((record) => ({ ...record, at_ms: Math.round(record.at_ms * factor) }));
}
const jobName = (index: number): string => `job-${String(index).padStart(3, '0')}`;
function writeJobs(count: number, from = 0): void {
  for (let index = from; index < from + count; index += 1)
    writeJob(
      folder,
      realJobFile(jobName(index)),
      paced(1 + index / 50),
      Date.UTC(2026, 0, 5, 9) + index * 3_600_000,
    );
}
async function imported(into: Store, options?: ImportOptions): Promise<ImportReport> {
  const report = await importJobs(into, folder, options);
  if (!report.ok) throw new Error(report.error.message);
  return report.value;
}
const countOf = async (table: string, from: Store = store): Promise<number> =>
  (await from.query<{ n: number }>(`SELECT count(*)::int AS n FROM stepcaller.${table}`))[0]!.n;
async function everything(from: Store = store): Promise<unknown> {
  return {
    times: await loadJobTimes(from),
    events: await from.query(
      `SELECT j.job, e.seq, e.event, e.step, e.fields, e.mono_ms::float8 AS mono_ms, e.wall::text AS wall
         FROM stepcaller.event e JOIN stepcaller.job j ON j.id = e.job_id ORDER BY j.job, e.seq`,
    ),
  };
}

it('the server is there where it must be', () => {
  expect(SERVER_MISSING).toBe(false);
});

describe.each(STORE_KINDS)('import into the $name store', ({ open }) => {
  // Making an embedded database takes seconds, so the tests share one and begin with it empty.
  beforeAll(async () => {
    store = await open();
  }, SETUP_MS);
  beforeEach(() => emptyStore(store));
  afterAll(() => store.close());

  it('takes jobs with their events and times', async () => {
    writeJobs(3);
    const report = await imported(store);
    expect(report).toMatchObject({ found: 3, imported: 3, updated: 0, unchanged: 0, rejected: [] });
    expect(report.events).toBe(3 * sampleRecords().length);
    expect(await countOf('event')).toBe(report.events);
    expect(await countOf('plan_step')).toBe(4);
  });

  it('changes nothing the second time', async () => {
    writeJobs(5);
    await imported(store);
    const before = await everything();
    expect(await imported(store)).toMatchObject({
      found: 5,
      imported: 0,
      updated: 0,
      unchanged: 5,
      events: 0,
    });
    expect(await everything()).toEqual(before);
  });

  it('takes up a job that has grown, and not an older copy of it', async () => {
    const file = realJobFile('job-000');
    const path = writeJob(folder, file, sampleRecords().slice(0, 8));
    await imported(store);
    expect((await loadJobTimes(store))[0]!.outcome).toBe(null);
    const old = readFileSync(join(path, 'log.jsonl'));
    writeFileSync(join(path, 'log.jsonl'), logText(file, sampleRecords()));
    expect(await imported(store)).toMatchObject({ imported: 0, updated: 1 });
    expect((await loadJobTimes(store))[0]!.outcome).toBe('completed');
    writeFileSync(join(path, 'log.jsonl'), old);
    expect(await imported(store)).toMatchObject({ imported: 0, updated: 0, unchanged: 1 });
    expect((await loadJobTimes(store))[0]!.outcome).toBe('completed');
  });

  it('forgets jobs whose folder is gone, where it is to mirror the folder', async () => {
    writeJobs(3);
    await imported(store, { prune: true });
    rmSync(join(folder, 'job-001'), { recursive: true });
    expect(await imported(store)).toMatchObject({ found: 2, unchanged: 2 });
    expect((await loadJobTimes(store)).length).toBe(3);
    await imported(store, { prune: true });
    expect((await loadJobTimes(store)).map((job) => job.job)).toEqual(['job-000', 'job-002']);
    expect(await countOf('event')).toBe(2 * sampleRecords().length);
  });

  it('does not read again what looks as it did, and sees what has grown', async () => {
    const seen: SeenLogs = new Map();
    writeJobs(2);
    const file = realJobFile('job-009');
    const log = join(writeJob(folder, file, sampleRecords().slice(0, 8)), 'log.jsonl');
    await imported(store, { seen });
    await imported(store, { seen, prune: true });
    expect([...seen.keys()].sort()).toEqual(['job-000', 'job-001', 'job-009']);
    writeFileSync(log, logText(file, sampleRecords()));
    expect(await imported(store, { seen, prune: true })).toMatchObject({
      found: 3,
      updated: 1,
      unchanged: 2,
    });
    // An emptied store is filled again whatever was seen.
    await emptyStore(store);
    expect(await imported(store, { seen })).toMatchObject({ imported: 3, unchanged: 0 });
  });

  it('tells when only the latest jobs are in the review', async () => {
    writeJobs(4);
    await imported(store);
    const codes = async (most: number): Promise<string[]> =>
      (await reviewFromStore(store, {}, most)).notices.map((one) => one.code);
    expect(await codes(4)).not.toContain('review/latest-only');
    const summary = await reviewFromStore(store, {}, 3);
    expect(summary.jobs.total).toBe(3);
    expect(summary.notices[0]).toMatchObject({ code: 'review/latest-only', facts: { jobs: 3, total: 4 } });
  });

  it('gives the latest finished jobs by product, the oldest first', async () => {
    writeJobs(3);
    writeJob(folder, realJobFile('job-008'), sampleRecords().slice(0, 8));
    await imported(store);
    const times = (await loadJobTimes(store)).filter((job) => job.outcome === 'completed');
    const past = (await pastJobs(store, 2)).get(times[0]!.product)!;
    expect(past.map((job) => job.job)).toEqual(times.slice(1).map((job) => job.job));
    for (const step of times[2]!.steps.filter((one) => one.state === 'confirmed'))
      expect(past[1]!.steps[step.step]).toBeCloseTo(step.active_ms / 1000, 9);
  });

  it('rejects a broken chain and shows where, until it is mended', async () => {
    writeJobs(2);
    const path = join(folder, 'job-001', 'log.jsonl');
    const good = readFileSync(path, 'utf8');
    writeFileSync(path, good.replace('Technician A', 'Technician B'));
    const report = await imported(store);
    expect(report).toMatchObject({ found: 2, imported: 1 });
    expect(report.rejected).toMatchObject([{ code: 'log/checksum', line: 1 }]);
    expect(await rejectedLogs(store)).toMatchObject([{ folder: join(folder, 'job-001'), line: 1 }]);
    expect((await rejectedLogs(store))[0]!.message.length).toBeGreaterThan(10);
    writeFileSync(path, good);
    expect(await imported(store)).toMatchObject({ imported: 1, unchanged: 1, rejected: [] });
    expect(await rejectedLogs(store)).toEqual([]);
  });

  it('rejects a log that belongs to another job file, a damaged job file and another history', async () => {
    writeJobs(3);
    cpSync(join(folder, 'job-000', 'log.jsonl'), join(folder, 'job-001', 'log.jsonl'));
    writeFileSync(join(folder, 'job-002', 'job.json'), '{"format":1}');
    const report = await imported(store);
    expect(report.imported).toBe(1);
    expect(report.rejected.map((one) => one.code)).toEqual(['log/first-hash', 'job/damaged']);
    const file = realJobFile('job-000');
    const longer: JobRecord[] = [...paced(2), { event: 'job.left', at_ms: 999_999 }];
    writeFileSync(join(folder, 'job-000', 'log.jsonl'), logText(file, longer));
    const again = await imported(store);
    expect(again.rejected.map((one) => one.code)).toContain('store/other-history');
    expect((await loadJobTimes(store))[0]!.active_ms).toBe(60_000);
  });

  it('takes the trusted part of a log with a torn tail', async () => {
    const path = writeJob(folder, realJobFile('job-000'), sampleRecords().slice(0, 10));
    appendFileSync(join(path, 'log.jsonl'), '{"batch_first":11,"batch_la');
    expect(await imported(store)).toMatchObject({ imported: 1, rejected: [], events: 10 });
  });

  it('goes on where it was cut off', async () => {
    writeJobs(6);
    const stop = new AbortController();
    stop.abort();
    expect(await imported(store, { signal: stop.signal })).toMatchObject({ imported: 0 });
    writeJobs(2, 6);
    expect(await imported(store)).toMatchObject({ imported: 8, unchanged: 0 });
  });

  it('leaves nothing of a batch that fails', async () => {
    writeJobs(2);
    await store.query(
      'ALTER TABLE stepcaller.event ADD CONSTRAINT no_finish CHECK (event <> $$job.finished$$)',
    );
    await expect(importJobs(store, folder)).rejects.toThrow(/no_finish/);
    expect([await countOf('job'), await countOf('event'), await countOf('step_time')]).toEqual([0, 0, 0]);
    await store.query('ALTER TABLE stepcaller.event DROP CONSTRAINT no_finish');
    expect(await imported(store)).toMatchObject({ imported: 2 });
  });

  it('is made again from the logs with the same result', async () => {
    writeJobs(4);
    await imported(store);
    const before = await everything();
    await store.query(
      'DELETE FROM stepcaller.step_time WHERE kind = (SELECT min(kind) FROM stepcaller.step_time)',
    );
    const rebuilt = await rebuildStore(store, folder);
    expect(rebuilt.ok && rebuilt.value.imported).toBe(4);
    expect(await everything()).toEqual(before);
  });

  it('keeps what it has when the logs cannot be read', async () => {
    writeJobs(1);
    await imported(store);
    const gone = await rebuildStore(store, join(folder, 'nowhere'));
    expect(!gone.ok && gone.error.code).toBe('store/no-jobs-folder');
    expect(await countOf('job')).toBe(1);
  });

  it('takes texts of every kind', async () => {
    const evil = 'O\'Hara "x" \\ {a,b} NULL \u0000 \u{1f600} \n';
    writeJob(folder, realJobFile('job-000'), paced(1, evil));
    await imported(store);
    expect((await loadJobTimes(store))[0]!.technician).toBe(evil.replace('\u0000', '\ufffd'));
  });

  it('an empty folder is no error', async () => {
    expect(await imported(store)).toEqual({
      found: 0,
      imported: 0,
      updated: 0,
      unchanged: 0,
      events: 0,
      rejected: [],
    });
    expect((await reviewFromStore(store)).notices[0]!.code).toBe('review/no-jobs');
    expect(await stepTable(store)).toEqual([]);
  });

  it('one job is reviewed by itself', async () => {
    writeJobs(1);
    await imported(store);
    const review = await reviewFromStore(store);
    expect(review.jobs).toMatchObject({ total: 1, completed: 1 });
    expect(review.types[0]!.notices.map((one) => one.code)).toEqual(['review/one-job']);
    expect(review.types[0]!.chart).toBe(null);
  });

  it('all jobs broken: says so and lists each with its line', async () => {
    writeJobs(3);
    for (const index of [0, 1, 2]) {
      const path = join(folder, jobName(index), 'log.jsonl');
      writeFileSync(path, readFileSync(path, 'utf8').replace('"visit":2', '"visit":3'));
    }
    expect(await imported(store)).toMatchObject({ found: 3, imported: 0 });
    const review = await reviewFromStore(store);
    expect(review.notices.map((one) => one.code)).toEqual(['review/all-unknown']);
    expect(review.rejected.map((one) => [one.job, one.line])).toEqual([
      ['job-000', 15],
      ['job-001', 15],
      ['job-002', 15],
    ]);
    expect(await stepTable(store)).toEqual([]);
  });

  it('clocks that jump back or change their zone, and a job of two days, keep their durations', async () => {
    const day = 86_400_000;
    const file = realJobFile('job-000');
    const walls = [
      '2026-01-05T10:00:00.000+01:00',
      '2026-01-04T09:00:00.000+01:00',
      '2026-01-07T03:00:00.000-06:00',
    ];
    const records = [opened('A'), shown(0, 'a'), confirmed(2 * day, 'a'), finished(2 * day)];
    let end = { seq: 0, prev: hashOfJson(file), mono_ms: 0 };
    const text = records
      .map((record, index) => {
        const batch = encodeBatch([record], walls[index % 3]!, end);
        if (!batch.ok) throw new Error(JSON.stringify(batch.error));
        end = batch.value.end;
        return batch.value.text;
      })
      .join('');
    const path = writeJob(folder, file, records);
    writeFileSync(join(path, 'log.jsonl'), text);
    expect(await imported(store)).toMatchObject({ imported: 1, rejected: [] });
    const [job] = await loadJobTimes(store);
    expect(job).toMatchObject({ active_ms: 2 * day, span_ms: 2 * day, clock_jumps: 2 });
    const review = await reviewFromStore(store);
    expect(review.notices.map((one) => one.code)).toEqual(['review/clock-jumped']);
    expect(review.types[0]!.median.value).toBe(2 * day);
  });

  it('passes over folders that hold no job', async () => {
    writeJobs(1);
    writeFileSync(join(folder, 'a-file'), '');
    writeJob(folder, realJobFile('.new-job-009'), sampleRecords());
    expect(await imported(store)).toMatchObject({ found: 1, imported: 1 });
  });

  it('gives the per-step table that the analysis gives', async () => {
    writeJobs(30);
    await imported(store);
    const table = await stepTable(store);
    const expected = stepStatistics(await loadJobTimes(store));
    expect(table.length).toBe(4);
    for (const row of table) {
      const step = expected.find((one) => one.step === row.step)!;
      expect(row.n).toBe(30);
      expect(row.median_ms).toBeCloseTo(step.median.value!, 6);
      expect(row.p90_ms).toBeCloseTo(step.p90_ms, 6);
      expect(row.median_low_ms).toBe(step.median.low);
      expect(row.median_high_ms).toBe(step.median.high);
      expect(row.mean_ms).toBeCloseTo(step.mean_ms, 6);
      expect(row.share).toBeCloseTo(step.share, 10);
      expect(row.revisits / row.n).toBeCloseTo(step.revisit_rate.value!, 10);
    }
    expect(await stepTable(store, 'another product')).toEqual([]);
  });

  it('gives one person one pseudonym, whichever product is looked at', async () => {
    const plan = { ...SAMPLE_PLAN, product: 'other' };
    const other = { ...sampleFile(jobName(0), plan), plan_sha256: hashOfJson(plan) };
    writeJob(folder, other, paced(1, 'Pat'), Date.UTC(2026, 0, 5));
    writeJob(folder, realJobFile(jobName(1)), paced(1, 'Sam'), Date.UTC(2026, 0, 6));
    await imported(store);
    const aliasIn = async (product: string | null): Promise<unknown> =>
      (await reviewFromStore(store, { product })).types.map((type) => type.jobs.map((job) => job.technician));
    expect(await aliasIn(null)).toEqual([['T1'], ['T2']]);
    expect(await aliasIn('sample')).toEqual([['T2']]);
    const all = { job_type: null, people: [], from: null, to: null, revisions: [] };
    const { comparison } = await compareInStore(store, { ...all, people: ['T2'] }, all, {
      product: 'sample',
    });
    expect([comparison.jobs_a, comparison.jobs_b]).toEqual([1, 0]);
  });

  it('keeps the times of a store that the first version made', async () => {
    writeJobs(8);
    const file = realJobFile(jobName(8));
    writeJob(folder, file, sampleRecords().slice(0, 12));
    await imported(store);
    const before = [await everything(), await stepTable(store)];
    // The table as the first migration made it, with these rows in it.
    const [first] = MIGRATIONS;
    const old = first!.statements.find((one) => one.includes('CREATE TABLE stepcaller.step_time'))!;
    await store.query(old.replace('stepcaller.step_time', 'stepcaller.old_time'));
    await store.query(
      `INSERT INTO stepcaller.old_time
       SELECT s.job_id, k.step, s.active_ms, s.hands_ms, s.reading_ms, s.waiting_ms, s.first_pass_ms, s.visits,
              s.repeats, s.say_agains, s.helps, s.problems, s.undone, s.state
         FROM stepcaller.step_time s JOIN stepcaller.step_kind k ON k.id = s.kind`,
    );
    await store.query('DROP TABLE stepcaller.step_time');
    await store.query('DROP TABLE stepcaller.step_kind');
    await store.query('ALTER TABLE stepcaller.old_time RENAME TO step_time');
    await store.query('DELETE FROM stepcaller.migration WHERE number > 1');
    expect((await migrate(store)).ok).toBe(true);
    expect([await everything(), await stepTable(store)]).toEqual(before);
    expect(await imported(store)).toMatchObject({ found: 9, unchanged: 9 });
  });

  it('gives the same review as the logs themselves', async () => {
    writeJobs(12);
    await imported(store);
    const review = await reviewFromStore(store);
    expect(review.jobs.completed).toBe(12);
    expect(review.types[0]!.steps.map((step) => step.say)).toEqual(['Do a.', 'Do b.', 'Do c.', 'Do m.']);
    expect(review.lapses.some((lapse) => lapse.kind === 'reading-out-of-limits')).toBe(true);
    expect((await loadJobTimes(store, { limit: 5 })).map((job) => job.job)).toEqual(
      [7, 8, 9, 10, 11].map(jobName),
    );
  });
});

describe.runIf(SERVER_URL !== undefined)('many benches at once', () => {
  it('import the same jobs without loss, duplicates or deadlock', async () => {
    writeJobs(60);
    const url = await newDatabase();
    const stores = await Promise.all(Array.from({ length: 6 }, () => openServer(url)));
    const reports = await Promise.all(stores.map((one) => imported(one)));
    expect(reports.reduce((sum, one) => sum + one.imported, 0)).toBe(60);
    expect(reports.every((one) => one.rejected.length === 0 && one.found === 60)).toBe(true);
    const first = stores[0]!;
    expect(await countOf('job', first)).toBe(60);
    expect(await countOf('event', first)).toBe(60 * sampleRecords().length);
    expect(await countOf('step_time', first)).toBe(240);
    await Promise.all(stores.map((one) => one.close()));
  });

  it('import growing jobs at once', async () => {
    const url = await newDatabase();
    const stores = await Promise.all(Array.from({ length: 4 }, () => openServer(url)));
    for (const length of [6, 12, 18, sampleRecords().length]) {
      for (let index = 0; index < 10; index += 1)
        writeJob(folder, realJobFile(jobName(index)), sampleRecords().slice(0, length));
      await Promise.all(stores.map((one) => imported(one)));
    }
    await imported(stores[0]!);
    const jobs = await loadJobTimes(stores[0]!);
    expect(jobs.length).toBe(10);
    expect(jobs.every((job) => job.outcome === 'completed' && job.active_ms === 60_000)).toBe(true);
    expect(await countOf('event', stores[0]!)).toBe(10 * sampleRecords().length);
    await Promise.all(stores.map((one) => one.close()));
  });

  it('open a new database at once: one of them makes the schema', async () => {
    const url = await newDatabase();
    const stores = await Promise.all(Array.from({ length: 8 }, () => openServer(url)));
    expect(await countOf('migration', stores[0]!)).toBe(MIGRATIONS.length);
    await Promise.all(stores.map((one) => one.close()));
  });
});
