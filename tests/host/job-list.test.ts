/** L11, L12, L13: the list of jobs, with whatever else lies in the folder. */
import { beforeEach, describe, expect, test } from 'vitest';
import { ENGLISH, languageOf } from '../../electron/core/base/language.ts';
import { listJobs } from '../../electron/disk/job-list.ts';
import { findJobs } from '../../electron/disk/job-search.ts';
import type { ProcessPort } from '../../electron/disk/lock.ts';
import { SimulatedProcesses } from '../crash/ports.ts';
import { Session } from '../crash/session.ts';
import { jobFileOf, SHORT_PLAN } from '../crash/short-plan.ts';
import { SimulatedDisk } from '../crash/simulated-disk.ts';
import { pseudoTable } from '../language/pseudo-locale.ts';

let disk: SimulatedDisk;
let processes: SimulatedProcesses;
let here: ProcessPort;

beforeEach(() => {
  disk = new SimulatedDisk();
  processes = new SimulatedProcesses();
  here = processes.start();
});

async function job(name: string, until: 'end' | 'left' | 'open', process = here): Promise<Session> {
  const session = new Session(disk, process, jobFileOf(SHORT_PLAN, name));
  await session.start();
  if (until === 'end') await session.work(0);
  if (until === 'left') await session.service.leave();
  return session;
}

async function list(openJob: string | null = null, language = ENGLISH) {
  const ports = { disk, processes: here, token: () => 'mark', jobsFolder: '/jobs' };
  const answer = await listJobs({ ...ports, openJob, language });
  if (!answer.ok) throw new Error(answer.error.message);
  return answer.value;
}

const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);

describe('the list', () => {
  test('is empty where there is no folder yet', async () => {
    expect(await list()).toEqual([]);
  });

  test('has the newest first, with state, step and technician', async () => {
    await job('20260301-a', 'end');
    await job('20260302-b', 'left');
    expect(await list()).toMatchObject([
      {
        job: '20260302-b',
        state: 'unfinished',
        step_number: 1,
        step_total: 4,
        technician: 'Technician A',
        trouble: null,
      },
      { job: '20260301-a', state: 'completed', step_number: 4, product: 'demo-box', trouble: null },
    ]);
  });

  test('is made from kept summaries, and anew where a log has changed', async () => {
    await job('20260301-a', 'end');
    await list();
    const readsOf = async (): Promise<number> => {
      const before = disk.calls.length;
      await list();
      return disk.calls
        .slice(before)
        .filter(({ call, path }) => call === 'read' && path.endsWith('log.jsonl')).length;
    };
    expect(await readsOf()).toBe(0);
    disk.put('/jobs/20260301-a/summary.json', bytes('{"log_bytes":1}'));
    expect(await readsOf()).toBe(1);
    expect(await readsOf()).toBe(0);
    const log = disk.peek('/jobs/20260301-a/log.jsonl') ?? new Uint8Array();
    disk.put('/jobs/20260301-a/log.jsonl', log.slice(0, -30));
    expect((await list())[0]?.state).toBe('unfinished');
  });

  test('says who has a job open, but not of the own one', async () => {
    const other = processes.start();
    await job('20260301-a', 'open', other);
    expect((await list())[0]?.trouble).toContain(`process ${other.pid}`);
    expect((await list('20260301-a'))[0]?.trouble).toBeNull();
    processes.end(other);
    expect((await list())[0]?.trouble).toBeNull();
  });

  test('L13 passes rubbish over and lists broken jobs with their trouble', async () => {
    await job('20260301-a', 'end');
    await disk.mkdir('/jobs/.new-half');
    disk.put('/jobs/.new-half/job.json', bytes('{'));
    disk.put('/jobs/readme.txt', bytes('hello'));
    await disk.mkdir('/jobs/holiday pictures');
    await disk.mkdir('/jobs/empty');
    await disk.mkdir('/jobs/never-begun');
    disk.put('/jobs/never-begun/log.jsonl', bytes(''));
    await disk.mkdir('/jobs/no-plan');
    disk.put('/jobs/no-plan/job.json', bytes('[]'));
    disk.put('/jobs/no-plan/log.jsonl', bytes('{}\n'));
    await disk.mkdir('/jobs/newer');
    disk.put('/jobs/newer/job.json', bytes('{"format":99}'));
    disk.put('/jobs/newer/log.jsonl', bytes('{}\n'));
    const listed = await list();
    expect(listed.map(({ job: name, state }) => `${name} ${state}`)).toEqual([
      'no-plan unknown',
      'newer unknown',
      '20260301-a completed',
    ]);
    expect(listed[0]?.trouble).toContain('not a job file');
    expect(listed[1]?.trouble).toContain('newer version');
  });

  test('tells every trouble in the language asked for, also what was listed in another before', async () => {
    const pseudo = languageOf(pseudoTable());
    await job('20260301-held', 'open', processes.start());
    for (const name of ['20260302-damaged', '20260303-foreign', '20260304-none']) await job(name, 'end');
    const log = (disk.peek('/jobs/20260302-damaged/log.jsonl') ?? new Uint8Array()).slice();
    log[300] = 0x21;
    disk.put('/jobs/20260302-damaged/log.jsonl', log);
    disk.put(
      '/jobs/20260303-foreign/log.jsonl',
      disk.peek('/jobs/20260304-none/log.jsonl') ?? new Uint8Array(),
    );
    disk.put('/jobs/20260304-none/job.json', bytes('[]'));
    const english = await list();
    expect(english.map(({ trouble }) => trouble?.includes('⟦'))).toEqual([false, false, false, false]);
    for (const { trouble } of await list(null, pseudo)) expect(trouble).toMatch(/^⟦.*⟧$/u);
    expect(await list()).toEqual(english);
  });

  test('a damaged log is listed with its trouble', async () => {
    await job('20260301-a', 'end');
    const log = (disk.peek('/jobs/20260301-a/log.jsonl') ?? new Uint8Array()).slice();
    log[300] = 0x21;
    disk.put('/jobs/20260301-a/log.jsonl', log);
    expect(await list()).toMatchObject([
      { state: 'unknown', trouble: expect.stringContaining('of the log') },
    ]);
  });

  test('a log that belongs to another job is listed as not to be trusted', async () => {
    await job('20260301-a', 'end');
    await job('20260302-b', 'end');
    disk.put('/jobs/20260302-b/log.jsonl', disk.peek('/jobs/20260301-a/log.jsonl') ?? new Uint8Array());
    expect((await list())[0]).toMatchObject({
      job: '20260302-b',
      state: 'unknown',
      trouble: expect.stringContaining('job.json'),
    });
  });

  test('a disk that cannot be written still gives the list', async () => {
    await job('20260301-a', 'end');
    const before = disk.calls.length;
    const whole = await list();
    const calls = disk.calls.slice(before).map(({ call }) => call);
    const create = calls.indexOf('create');
    expect(create).toBeGreaterThan(0);
    disk.put('/jobs/20260301-a/summary.json', bytes('old'));
    disk.fault = { at: disk.calls.length + create + 1, code: 'EROFS', forGood: true };
    expect(await list()).toEqual(whole);
  });

  test('L11 a job folder that was copied is a job under its new name', async () => {
    await job('20260301-a', 'end');
    await disk.mkdir('/jobs/20260301-a-copy');
    for (const file of ['job.json', 'log.jsonl']) {
      disk.put(`/jobs/20260301-a-copy/${file}`, disk.peek(`/jobs/20260301-a/${file}`) ?? new Uint8Array());
    }
    expect((await list()).map(({ job: name, state }) => [name, state])).toEqual([
      ['20260301-a-copy', 'completed'],
      ['20260301-a', 'completed'],
    ]);
  });
});

test('jobs are searched for in a folder of jobs, or the folder is one itself', async () => {
  await job('20260302-b', 'end');
  await job('20260301-a', 'end');
  disk.put('/jobs/x', bytes('no folder'));
  expect(await findJobs(disk, '/jobs')).toEqual({
    ok: true,
    value: ['/jobs/20260301-a', '/jobs/20260302-b'],
  });
  expect(await findJobs(disk, '/jobs/20260302-b')).toEqual({ ok: true, value: ['/jobs/20260302-b'] });
  expect(await findJobs(disk, '/nowhere')).toMatchObject({ error: { code: 'disk/enoent' } });
});
