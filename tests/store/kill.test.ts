/** An import that is killed in the middle: the next one makes the store whole, with nothing lost or doubled. */
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { createNodeDisk } from '../../electron/disk/node-disk.ts';
import { createNodeProcesses } from '../../electron/disk/node-processes.ts';
import { openStore, type Store } from '../../electron/store/client.ts';
import { importJobs } from '../../electron/store/import-jobs.ts';
import { loadJobTimes } from '../../electron/store/tables.ts';
import { sampleRecords } from '../core/review/sample-job.ts';
import { realJobFile, writeJob } from './log-folders.ts';
import { dropDatabases, newDatabase, openServer, SERVER_URL } from './stores.ts';

const SETUP_MS = 180_000;
const JOBS = 60;
const root = mkdtempSync(join(tmpdir(), 'stepcaller-killed-'));
const jobs = join(root, 'jobs');

beforeAll(() => {
  for (let index = 0; index < JOBS; index += 1)
    writeJob(
      jobs,
      realJobFile(`job-${String(index).padStart(3, '0')}`),
      sampleRecords(`Technician ${index}`),
    );
});
afterAll(async () => {
  rmSync(root, { recursive: true, force: true });
  await dropDatabases();
}, SETUP_MS);

/** Imports in a program of its own and kills it at its `after`-th batch; gives whether it was killed in time. */
function killedImport(place: string, after: number): Promise<boolean> {
  return new Promise((resolve, reject) => {
    const child = spawn(
      process.execPath,
      ['--import', 'tsx', join(import.meta.dirname, 'import-child.ts'), jobs, place],
      { stdio: ['ignore', 'pipe', 'inherit'] },
    );
    let said = '';
    child.stdout.on('data', (chunk: Buffer) => {
      said += String(chunk);
      if (said.split('\n').length > after) child.kill('SIGKILL');
    });
    child.on('error', reject);
    child.on('exit', (_code, signal) => resolve(signal === 'SIGKILL' && !said.includes('the end')));
  });
}

async function isWhole(store: Store, atMost: number): Promise<void> {
  const before = (await loadJobTimes(store)).length;
  expect(before).toBeLessThan(atMost);
  const report = await importJobs(store, jobs);
  expect(report.ok && report.value).toMatchObject({
    found: JOBS,
    imported: JOBS - before,
    unchanged: before,
    rejected: [],
  });
  const times = await loadJobTimes(store);
  expect(times.map((job) => job.technician).sort()).toEqual(
    Array.from({ length: JOBS }, (_, index) => `Technician ${index}`).sort(),
  );
  expect(times.every((job) => job.active_ms === 60_000 && job.steps.length === 4)).toBe(true);
  const [{ events } = { events: 0 }] = await store.query<{ events: number }>(
    'SELECT count(*)::int AS events FROM stepcaller.event',
  );
  expect(events).toBe(JOBS * sampleRecords().length);
}

describe('killed in the middle of an import', () => {
  it('the embedded store is whole after the next', { timeout: SETUP_MS }, async () => {
    const folder = join(root, 'store');
    // The first kill finds a database just made, the second one that is there.
    for (const batch of [1, 3]) expect(await killedImport(folder, batch)).toBe(true);
    const opened = await openStore({
      kind: 'embedded',
      folder,
      disk: createNodeDisk(),
      processes: createNodeProcesses('test'),
      since: '2026-01-05T09:00:00.000Z',
      token: 'after',
    });
    if (!opened.ok) throw new Error(opened.error.message);
    await isWhole(opened.value, JOBS);
    await opened.value.close();
  });

  it.runIf(SERVER_URL !== undefined)(
    'the store on a server is whole after the next',
    { timeout: SETUP_MS },
    async () => {
      const url = await newDatabase();
      for (const batch of [1, 2, 4]) expect(await killedImport(url, batch)).toBe(true);
      const store = await openServer(url);
      await isWhole(store, JOBS);
      await store.close();
    },
  );
});
