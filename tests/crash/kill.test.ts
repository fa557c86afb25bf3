/**
 * L4 and L7 on the real disk: a program killed with SIGKILL in the middle of a job, and two programs on one job
 * folder. A kill alone proves nothing about loss of power (the system keeps what was written); that is L3.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { randomFromSeed } from '../../electron/core/base/random.ts';
import { createNodeProcesses } from '../../electron/disk/node-processes.ts';
import { realDisk } from './child.ts';
import { beginsWith, Session, verified } from './session.ts';
import { jobFileOf, SHORT_PLAN } from './short-plan.ts';

const ROUNDS = 4;
const SEED = Number(process.env.CRASH_SEED ?? 5);
const PATIENCE_MS = 120_000;
let jobsFolder = '';

beforeEach(() => {
  jobsFolder = mkdtempSync(join(tmpdir(), 'stepcaller-kill-'));
});
afterEach(() => rmSync(jobsFolder, { recursive: true, force: true }));

const log = (): string => join(jobsFolder, 'job-1', 'log.jsonl');

function child(mode: string): ChildProcess {
  const args = ['--import', 'tsx', join(import.meta.dirname, 'child.ts'), jobsFolder, mode];
  return spawn(process.execPath, args, { stdio: ['ignore', 'pipe', 'inherit'] });
}

/** Lines of a child until `enough` says so or it ends. */
async function linesOf(
  program: ChildProcess,
  enough: (lines: readonly string[]) => boolean,
): Promise<string[]> {
  const lines: string[] = [];
  let rest = '';
  for await (const chunk of program.stdout ?? []) {
    const pieces = (rest + String(chunk)).split('\n');
    rest = pieces.pop() ?? '';
    lines.push(...pieces);
    if (enough(lines)) break;
  }
  return lines;
}

async function killed(program: ChildProcess): Promise<void> {
  const ended = new Promise((resolve) => program.once('exit', resolve));
  program.kill('SIGKILL');
  await ended;
}

test(
  `a job killed ${ROUNDS} times goes on each time from what was told (seed ${SEED})`,
  async () => {
    const random = randomFromSeed(SEED);
    let told = new Uint8Array();
    for (let round = 0; round < ROUNDS; round += 1) {
      const program = child(existsSync(log()) ? 'reopen' : 'start');
      const wanted = random.integer(1, 3);
      const lines = await linesOf(program, (all) => all.length >= wanted);
      await killed(program);
      const confirmed = lines
        .filter((line) => line.startsWith('confirmed'))
        .map((line) => Number(line.split(' ')[1]));
      expect(lines[0], `round ${round}`).toMatch(/^confirmed/);
      const found = new Uint8Array(readFileSync(log()));
      expect(found.length, `round ${round}`).toBeGreaterThanOrEqual(Math.max(...confirmed));
      expect(beginsWith(found, told), `round ${round}`).toBe(true);
      told = found.slice(0, Math.max(...confirmed));
    }
    const session = new Session(
      realDisk(),
      createNodeProcesses('test'),
      jobFileOf(SHORT_PLAN),
      1,
      jobsFolder,
    );
    const opened = await session.reopen();
    if (opened.ok) expect(await session.work(0)).toBe(true);
    else expect(session.faults[0]?.code).toBe('job/finished');
    expect(await verified(realDisk(), session.folder)).toMatchObject({ verdict: 'complete', findings: [] });
    expect(beginsWith(new Uint8Array(readFileSync(log())), told)).toBe(true);
  },
  PATIENCE_MS,
);

test(
  'L7 a second program is refused and told who holds the job; the lock of a killed one is stale',
  async () => {
    const first = new Session(
      realDisk(),
      createNodeProcesses('the first'),
      jobFileOf(SHORT_PLAN),
      1,
      jobsFolder,
    );
    expect((await first.start()).ok).toBe(true);
    const second = child('reopen');
    const refused = await linesOf(second, () => false);
    expect(refused[0]).toContain('refused job/locked');
    expect(refused[0]).toContain(`the first (process ${process.pid} on `);
    await first.service.leave();

    const holder = child('hold');
    await linesOf(holder, (lines) => lines.length > 0);
    const here = new Session(realDisk(), createNodeProcesses('test'), jobFileOf(SHORT_PLAN), 1, jobsFolder);
    expect((await here.reopen()).ok).toBe(false);
    expect(here.faults[0]).toMatchObject({ code: 'job/locked' });
    expect(here.faults[0]?.message).toContain(`process ${holder.pid}`);
    await killed(holder);
    expect(readdirSync(join(jobsFolder, 'job-1'))).toContain('lock');
    expect((await here.reopen()).ok).toBe(true);
    expect(await here.work(0)).toBe(true);
    expect(readdirSync(join(jobsFolder, 'job-1')).sort()).toEqual(['job.json', 'log.jsonl']);
  },
  PATIENCE_MS,
);
