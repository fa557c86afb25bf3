/** The record store in its own thread answers as the one in this thread does. */
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { createNodeDisk } from '../../electron/disk/node-disk.ts';
import { createNodeProcesses } from '../../electron/disk/node-processes.ts';
import { openStore } from '../../electron/store/client.ts';
import { RecordStore } from '../../electron/store/record-store.ts';
import { RecordStoreThread } from '../../electron/store/record-store-thread.ts';
import { sampleRecords } from '../core/review/sample-job.ts';
import { realJobFile, writeJob } from './log-folders.ts';

const SETUP_MS = 120_000;
const root = mkdtempSync(join(tmpdir(), 'stepcaller-thread-'));
const jobs = join(root, 'jobs');
const folder = join(root, 'store');
const disk = createNodeDisk();
const held = { folder, since: '2026-01-05T09:00:00.000Z', token: 'thread' };
const threaded = (): RecordStoreThread =>
  new RecordStoreThread({ kind: 'embedded', program: 'test', ...held }, jobs, disk);

beforeAll(() => {
  mkdirSync(jobs);
  writeJob(jobs, realJobFile('job-1'), sampleRecords('Pat'));
  const broken = join(writeJob(jobs, realJobFile('job-2'), sampleRecords('Pat')), 'log.jsonl');
  writeFileSync(broken, readFileSync(broken, 'utf8').replace('"visit":2', '"visit":3'));
});
afterAll(() => rmSync(root, { recursive: true, force: true }));

it('makes a database in a folder and gives what this thread gives', { timeout: SETUP_MS }, async () => {
  const store = threaded();
  expect([store.isShared, await store.isMade(), store.isOpen, store.isBusy]).toEqual([
    false,
    false,
    false,
    false,
  ]);
  const asked = Promise.all([store.review({ show: 'names' }), store.past(), store.update(), store.rebuild()]);
  expect(store.isBusy).toBe(true);
  const [review, past, update, rebuilt] = await asked;
  expect([await store.isMade(), store.isOpen, store.isBusy]).toEqual([true, true, false]);
  const here = new RecordStore({ kind: 'memory' }, jobs);
  expect(review).toEqual(await here.review({ show: 'names' }));
  expect(review.ok && review.value.rejected).toMatchObject([{ job: 'job-2', line: 15 }]);
  expect(past).toEqual(await here.past());
  expect(past.ok && past.value.get('sample')?.length).toBe(1);
  expect(update.ok && update.value).toMatchObject({ imported: 0, unchanged: 1 });
  expect(rebuilt.ok && rebuilt.value.imported).toBe(1);
  await here.close();

  // Closed, the thread holds the folder no more.
  await store.close();
  expect(store.isOpen).toBe(false);
  const place = { kind: 'embedded', disk, processes: createNodeProcesses('other'), ...held } as const;
  const other = await openStore({ ...place, token: 'other' });
  if (!other.ok) throw new Error(other.error.message);
  await other.value.close();

  // Closed, it opens again by itself; what was asked before an interruption is put off.
  const late = store.review({});
  store.interrupt();
  const answer = await late;
  expect(!answer.ok && answer.error.code).toBe('store/interrupted');
  const again = await store.update();
  expect(again.ok && again.value).toMatchObject({ imported: 0, unchanged: 1 });
  await store.close();
});

it('tells that its thread ended, and starts another for the next request', {
  timeout: SETUP_MS,
}, async () => {
  const entry = join(import.meta.dirname, 'broken-thread.mjs');
  const store = new RecordStoreThread({ kind: 'memory' }, jobs, disk, entry);
  for (let turn = 0; turn < 2; turn += 1) {
    const [one, other] = await Promise.all([store.review({}), store.past()]);
    for (const answer of [one, other])
      expect(!answer.ok && answer.error).toMatchObject({ code: 'store/failed' });
    expect(!one.ok && one.error.message).toContain('on purpose');
    expect([store.isBusy, store.isOpen]).toEqual([false, false]);
  }
  await store.close();
});
