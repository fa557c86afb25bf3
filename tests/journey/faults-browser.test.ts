/** Faults of microphone, model and disk in the middle of a job, in Chromium beside a host with a disk that fails. */
import { randomBytes } from 'node:crypto';
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterEach, describe, expect, it } from 'vitest';
import { createNodeClock } from '../../electron/clock.ts';
import { DiskError, type DiskPort } from '../../electron/disk/disk-port.ts';
import { createNodeDisk } from '../../electron/disk/node-disk.ts';
import { createNodeProcesses } from '../../electron/disk/node-processes.ts';
import { createHost } from '../../electron/host.ts';
import type { Host } from '../../electron/ipc/bridge.ts';
import type { PageInput } from '../../electron/ipc/contract.ts';
import { ARGUMENT_CHECKS } from '../../electron/ipc/schemas.ts';
import { type Serving, serve } from '../../electron/serve.ts';
import { workByKeysTo } from './by-keys.ts';
import { theJob } from './job-on-disk.ts';
import { beginJob, Home, openChromium, ROOT } from './programs.ts';
import { Room } from './room.ts';

/** A real disk that is full as long as the switch says so. */
function diskThatFills(full: () => boolean): DiskPort {
  const disk = createNodeDisk();
  return new Proxy(disk, {
    get(target, name) {
      const call = Reflect.get(target, name) as unknown;
      if (typeof call !== 'function') return call;
      return async (...given: unknown[]) => {
        const result: unknown = await (call as (...args: unknown[]) => Promise<unknown>).apply(target, given);
        if (result === null || typeof result !== 'object' || !('datasync' in result)) return result;
        return new Proxy(result, {
          get(file, part) {
            const method = Reflect.get(file, part) as unknown;
            if (part === 'write' && full()) {
              return () => Promise.reject(new DiskError('ENOSPC', 'write', String(given[0])));
            }
            return typeof method === 'function' ? method.bind(file) : method;
          },
        });
      };
    },
  });
}

interface Bench {
  readonly home: Home;
  readonly host: Host;
  readonly page: Page;
  full: boolean;
}

const endings: (() => unknown)[] = [];
afterEach(async () => {
  for (const end of endings.splice(0).reverse()) await end();
});

interface BenchOptions {
  readonly models?: string;
  /** Without a grant the browser refuses the microphone, as a user who says no. */
  readonly refuseMicrophone?: boolean;
  readonly room?: Room;
}

async function openBench(options: BenchOptions = {}): Promise<Bench> {
  const home = new Home();
  const bench = { full: false };
  const host = createHost({
    disk: diskThatFills(() => bench.full),
    clock: createNodeClock(),
    processes: createNodeProcesses('journey'),
    token: () => randomBytes(8).toString('hex'),
    jobsFolder: home.jobs,
    proceduresFolders: [join(ROOT, 'procedures')],
    reportsFolder: join(home.folder, 'reports'),
    settingsPath: join(home.folder, 'settings.json'),
    version: '0',
    mode: 'browser',
    modelSha256: null,
  });
  const serving: Serving = await serve({
    roots: {
      pages: join(ROOT, 'out/renderer'),
      models: options.models ?? join(ROOT, 'models'),
      procedures: [join(ROOT, 'procedures')],
    },
    host,
    checks: ARGUMENT_CHECKS,
    port: 0,
    report: () => undefined,
  });
  const environment = options.room?.environment() ?? { PULSE_SERVER: 'unix:/nowhere' };
  const browser: Browser = await openChromium(
    environment,
    options.room === undefined ? ['--use-fake-device-for-media-stream'] : [],
    options.refuseMicrophone !== true,
  );
  const context = await browser.newContext();
  // To grant one thing is to refuse all others, without a question that nobody answers.
  if (options.refuseMicrophone === true) await context.grantPermissions(['geolocation']);
  const page = await context.newPage();
  endings.push(
    () => home.remove(),
    () => serving.close(),
    () => host.close(),
    () => browser.close(),
  );
  await page.goto(serving.newAddress());
  await page.getByRole('heading', { level: 1 }).first().waitFor();
  await beginJob(page, /wt-3/i, /battery pack/i);
  return Object.assign(bench, { home, host, page });
}

async function viewOf({ host }: Bench) {
  const answer = await host.ask('job.view', null);
  return answer.ok ? answer.value : null;
}

/** The screen says what is wrong. */
const told = (bench: Bench, words: string | RegExp): Promise<void> =>
  bench.page.getByText(words).first().waitFor({ timeout: 60_000 });

const isTold = (bench: Bench, words: string): Promise<boolean> =>
  bench.page.getByText(words).first().isVisible();

/** Works to a step by inputs, then goes one step further by the key itself. */
async function goOnByKeys(bench: Bench, step_number = 3): Promise<void> {
  const { host } = bench;
  const give = async (input: PageInput): Promise<boolean> => (await host.ask('job.input', input)).ok;
  await workByKeysTo({ view: () => viewOf(bench), give }, step_number);
  await pressUntil(bench, async () => ((await viewOf(bench))?.step_number ?? 0) > step_number);
}

/** Presses the key for "next", and again where the page was too busy to take it, until something is so. */
async function pressUntil(bench: Bench, isSo: () => Promise<boolean>): Promise<void> {
  const press = async (): Promise<boolean> => {
    if (await isSo()) return true;
    await bench.page.keyboard.press('PageDown');
    await bench.page.waitForTimeout(1500);
    return isSo();
  };
  await expect.poll(press, { timeout: 60_000, interval: 100 }).toBe(true);
}

describe('the job goes on by keys, and the screen says what is wrong', () => {
  it('when the microphone is refused', async () => {
    const bench = await openBench({ refuseMicrophone: true });
    await told(bench, 'The microphone is not allowed.');
    await goOnByKeys(bench);
  });

  it('when a file of the model is damaged: it is not loaded at all', async () => {
    const models = mkdtempSync(join(tmpdir(), 'stepcaller-models-'));
    endings.push(() => rmSync(models, { recursive: true, force: true }));
    cpSync(join(ROOT, 'models'), models, { recursive: true });
    const file = join(models, 'en/am/final.mdl');
    const bytes = readFileSync(file);
    const middle = Math.floor(bytes.length / 2);
    bytes[middle] = (bytes[middle] ?? 0) ^ 1;
    writeFileSync(file, bytes);
    const bench = await openBench({ models });
    await told(bench, 'The speech model is damaged and was not loaded.');
    await goOnByKeys(bench);
  });

  it('when the model is missing', async () => {
    const models = mkdtempSync(join(tmpdir(), 'stepcaller-models-'));
    endings.push(() => rmSync(models, { recursive: true, force: true }));
    const bench = await openBench({ models });
    await told(bench, 'The speech model is missing.');
    await goOnByKeys(bench);
  });

  it('when the microphone is pulled out, of which the browser learns nothing', async () => {
    const room = await Room.open();
    const bench = await openBench({ room });
    endings.push(() => room.close());
    await expect.poll(async () => room.heardMs(), { timeout: 40_000 }).toBeGreaterThan(500);
    // The program hears its own voice from what is left: only when that is over is there nothing.
    await expect.poll(async () => room.quietForMs(), { timeout: 40_000 }).toBeGreaterThan(1_000);
    expect(await isTold(bench, 'No sound comes from the microphone.')).toBe(false);
    await room.unplugMicrophone();
    await told(bench, 'No sound comes from the microphone.');
    await goOnByKeys(bench);
  });

  it('when the sound server goes away in the middle', async () => {
    const room = await Room.open();
    const bench = await openBench({ room });
    endings.push(() => room.close());
    await expect.poll(async () => room.heardMs(), { timeout: 40_000 }).toBeGreaterThan(500);
    room.close();
    await told(bench, /^(No sound comes from the microphone|No microphone found)\./);
    await goOnByKeys(bench);
  });
});

describe('a full disk', () => {
  it('is told at once, the step does not count, and it counts once there is room again', async () => {
    const bench = await openBench();
    await goOnByKeys(bench);
    const before = await viewOf(bench);
    const lines = (await theJob(bench.home.jobs))?.records.length;
    bench.full = true;
    await pressUntil(bench, () => isTold(bench, 'The disk is full. The step does not count as done.'));
    const during = await viewOf(bench);
    expect(during?.step.id).toBe(before?.step.id);
    expect(during?.troubles.some((code) => code === 'disk-full' || code === 'log-not-written')).toBe(true);
    expect((await theJob(bench.home.jobs))?.records.length).toBe(lines);
    bench.full = false;
    await pressUntil(bench, async () => (await viewOf(bench))?.step.id !== before?.step.id);
  });
});
