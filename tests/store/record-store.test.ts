import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { createNodeDisk } from '../../electron/disk/node-disk.ts';
import { createNodeProcesses } from '../../electron/disk/node-processes.ts';
import { storePlaceFrom } from '../../electron/store/place.ts';
import { RecordStore } from '../../electron/store/record-store.ts';
import { sampleRecords } from '../core/review/sample-job.ts';
import { realJobFile, writeJob } from './log-folders.ts';

const SETUP_MS = 120_000;
const root = mkdtempSync(join(tmpdir(), 'stepcaller-record-store-'));
const jobs = join(root, 'jobs');
const embedded = {
  folder: join(root, 'store'),
  disk: createNodeDisk(),
  processes: createNodeProcesses('test'),
  since: '2026-01-05T09:00:00.000Z',
  token: 'one',
};
afterAll(() => rmSync(root, { recursive: true, force: true }));

it('is on the server that the environment names, else in the folder', () => {
  expect(storePlaceFrom({}, embedded).kind).toBe('embedded');
  expect(storePlaceFrom({ STEPCALLER_DATABASE_URL: '' }, embedded).kind).toBe('embedded');
  expect(storePlaceFrom({ STEPCALLER_DATABASE_URL: 'postgres://x/y' }, embedded)).toEqual({
    kind: 'server',
    url: 'postgres://x/y',
  });
});

describe('the record store of a bench', () => {
  let store: RecordStore;
  beforeAll(() => {
    mkdirSync(jobs);
    store = new RecordStore(storePlaceFrom({}, embedded), jobs);
  });
  afterAll(() => store.close(), SETUP_MS);

  it('follows the logs: nothing, a job, a broken job, made again', { timeout: SETUP_MS }, async () => {
    const empty = await store.review({});
    expect(empty.ok && empty.value.notices.map((one) => one.code)).toEqual(['review/no-jobs']);
    writeJob(jobs, realJobFile('job-1'), sampleRecords('Pat'));
    const broken = join(writeJob(jobs, realJobFile('job-2'), sampleRecords('Pat')), 'log.jsonl');
    writeFileSync(broken, readFileSync(broken, 'utf8').replace('"visit":2', '"visit":3'));
    // Two requests at once are answered one after the other.
    const [one, table] = await Promise.all([store.review({ show: 'names' }), store.stepTable(null)]);
    if (!one.ok) throw new Error(one.error.message);
    expect(one.value.jobs).toMatchObject({ total: 2, completed: 1, unknown: 1 });
    expect(one.value.rejected).toMatchObject([{ job: 'job-2', line: 15 }]);
    expect(one.value.people).toEqual([{ alias: 'Pat', name: 'Pat', jobs: 1 }]);
    expect(table.ok && table.value.length).toBe(4);
    const rebuilt = await store.rebuild();
    expect(rebuilt.ok && rebuilt.value.imported).toBe(1);
    await store.close();
    // Closed, it opens again by itself and has kept what it had.
    const again = await store.update();
    expect(again.ok && again.value).toMatchObject({ imported: 0, unchanged: 1 });
  });

  it('puts an import off that was asked for before a job began', { timeout: SETUP_MS }, async () => {
    const other = new RecordStore({ kind: 'memory' }, jobs);
    const asked = other.review({});
    // Also while the database is still being made.
    other.interrupt();
    const late = await asked;
    expect(!late.ok && late.error.code).toBe('store/interrupted');
    const now = await other.review({});
    expect(now.ok && now.value.jobs.total).toBe(2);
    await other.close();
  });

  it('tells a failure and goes on with the next request', { timeout: SETUP_MS }, async () => {
    const gone = new RecordStore({ kind: 'server', url: 'postgres://127.0.0.1:1/none' }, jobs);
    const first = await gone.review({});
    expect(!first.ok && first.error.code).toBe('store/unreachable');
    const second = await gone.review({});
    expect(!second.ok && second.error.code).toBe('store/unreachable');
    await gone.close();
  });
});
