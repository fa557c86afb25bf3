/** Faults of microphone, model and disk in the middle of a job, in Chromium beside a host with a disk that fails. */
import { execFileSync } from 'node:child_process';
import { randomBytes } from 'node:crypto';
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Frame, Page, Worker } from 'playwright-core';
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
import { SAMPLE_RATE_HZ } from '../../renderer/ears/decoder.ts';
import { speak } from '../sound/voices.ts';
import { workByKeysTo } from './by-keys.ts';
import { voice } from './by-voice.ts';
import { theJob } from './job-on-disk.ts';
import { beginJob, Home, openChromium, ROOT } from './programs.ts';
import { Room } from './room.ts';

declare global {
  interface Window {
    /** All audio contexts of a frame, as `keepAudioContexts` keeps them. */
    madeContexts: AudioContext[];
  }
}

/** Tries of one word before the journey fails. */
const TRIES_MAX = 6;
const ASLEEP_MS = 5_000;
/** Looks for what a word has done, ten a second. */
const LOOKS_MAX = 30;

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
  /** Where the fault has nothing to do with sound, nothing waits for cautions to be read. */
  readonly voice?: 'off';
  readonly room?: Room;
}

async function openBench(options: BenchOptions = {}): Promise<Bench> {
  const home = new Home(options.voice === undefined ? {} : { voice: options.voice });
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
  await page.addInitScript(keepAudioContexts);
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

/** Runs in every frame before its own scripts: its audio contexts can be had by the test. */
function keepAudioContexts(): void {
  const made: AudioContext[] = [];
  class KeptContext extends AudioContext {
    constructor(options?: AudioContextOptions) {
      super(options);
      made.push(this);
    }
  }
  Object.assign(globalThis, { AudioContext: KeptContext, madeContexts: made });
}

/** The hidden frame that listens, and the worker in which the recogniser runs. */
function earsOf({ page }: Bench): { readonly frame: Frame; readonly worker: Worker } {
  const frame = page.frames().find((one) => one.url().includes('/ears/ears.html'));
  const worker = page.workers().find((one) => one.url().includes('ear-worker'));
  if (frame === undefined || worker === undefined) throw new Error('no ear in the page');
  return { frame, worker };
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

/**
 * Says “next” until the job has gone on by it; who is not understood says it again.
 *
 * @returns how often it was said
 */
async function sayNext(bench: Bench, room: Room): Promise<number> {
  const before = (await viewOf(bench))?.step_number;
  for (let said = 1; said <= TRIES_MAX; said += 1) {
    await room.say(await speak(voice, 'next'), SAMPLE_RATE_HZ);
    for (let look = 0; look < LOOKS_MAX; look += 1) {
      if ((await viewOf(bench))?.step_number !== before) return said;
      await bench.page.waitForTimeout(100);
    }
  }
  throw new Error(`“next” was not heard in ${TRIES_MAX} tries`);
}

describe('the job goes on by keys, and the screen says what is wrong', () => {
  it('when the microphone is refused', async () => {
    const bench = await openBench({ refuseMicrophone: true, voice: 'off' });
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
    const bench = await openBench({ models, voice: 'off' });
    await told(bench, 'The speech model is damaged and was not loaded.');
    await goOnByKeys(bench);
  });

  it('when the model is missing', async () => {
    const models = mkdtempSync(join(tmpdir(), 'stepcaller-models-'));
    endings.push(() => rmSync(models, { recursive: true, force: true }));
    const bench = await openBench({ models, voice: 'off' });
    await told(bench, 'The speech model is missing.');
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

/** What stops the ear in the middle of a job, what the screen says, and how it ends where it does not by itself. */
const STOPS: readonly {
  readonly what: string;
  readonly told: string;
  readonly stop: (bench: Bench, room: Room) => Promise<unknown>;
  readonly end?: (bench: Bench, room: Room) => Promise<unknown>;
}[] = [
  {
    what: 'the system holds the sound back',
    told: 'Sound is held back by the system.',
    // A system that holds it back does not let go because it was asked.
    stop: (bench) =>
      earsOf(bench).frame.evaluate(() => {
        for (const context of window.madeContexts) {
          context.resume = () => Promise.reject(new Error('held back'));
          void context.suspend();
        }
      }),
    end: (bench) =>
      earsOf(bench).frame.evaluate(() => {
        for (const context of window.madeContexts)
          context.resume = () => AudioContext.prototype.resume.call(context);
      }),
  },
  {
    what: 'the microphone sleeps',
    told: 'No sound comes from the microphone.',
    stop: (_bench, room) => room.putMicrophoneToSleep(true),
    end: (_bench, room) => room.putMicrophoneToSleep(false),
  },
  {
    what: 'the recogniser throws',
    told: 'The ear has stopped.',
    // At the next block of samples.
    stop: (bench) =>
      earsOf(bench).worker.evaluate(() => {
        performance.now = () => {
          throw new RangeError('out of memory');
        };
      }),
  },
  {
    what: 'the recogniser’s worker fails outside of all care',
    told: 'The ear has stopped.',
    stop: (bench) =>
      earsOf(bench).worker.evaluate(() => {
        setTimeout(() => {
          throw new Error('broken');
        });
      }),
  },
  {
    what: 'the recogniser’s worker ends without a word',
    told: 'The ear has stopped.',
    stop: (bench) => earsOf(bench).worker.evaluate(() => void setTimeout(() => self.close())),
  },
];

/** Holds browser and sound server, and whatever they started, as a computer that is shut for so long. */
async function sleepAll(forMs: number): Promise<void> {
  const rows = execFileSync('ps', ['-eo', 'pid=,ppid='], { encoding: 'utf8' }).trim().split('\n');
  const pairs = rows.map((row) => row.trim().split(/\s+/).map(Number) as [number, number]);
  const below = (parent: number): number[] =>
    pairs.filter(([, ppid]) => ppid === parent).flatMap(([pid]) => [pid, ...below(pid)]);
  const held = below(process.pid);
  const signal = (name: 'SIGSTOP' | 'SIGCONT'): void => {
    for (const pid of held) {
      try {
        process.kill(pid, name);
      } catch {
        // `ps` itself is among them, and gone.
      }
    }
  };
  signal('SIGSTOP');
  await new Promise((resolve) => setTimeout(resolve, forMs));
  signal('SIGCONT');
}

describe('an ear that stops in the middle of a job', () => {
  it('says so, comes back by itself and hears the next word; without a microphone keys go on', async () => {
    const room = await Room.open();
    const bench = await openBench({ room, voice: 'off' });
    endings.push(() => room.close());
    await bench.page.locator('.ear-panel.live').waitFor({ timeout: 60_000 });
    await goOnByKeys(bench);
    let said = await sayNext(bench, room);
    for (const { what, told: words, stop, end } of STOPS) {
      const stoppedAt = performance.now();
      const seen = told(bench, words);
      await stop(bench, room);
      await seen;
      const toldAt = performance.now();
      await end?.(bench, room);
      await bench.page.getByText(words).first().waitFor({ state: 'hidden' });
      const backAt = performance.now();
      process.stdout.write(
        `${what}: told after ${Math.round(toldAt - stoppedAt)} ms, over ${Math.round(backAt - toldAt)} ms later\n`,
      );
      said += await sayNext(bench, room);
    }
    const heard = (await theJob(bench.home.jobs))?.records.filter(
      (record) => record.event === 'step.confirmed' && record.source === 'voice',
    );
    // An ear that has only just come back may be late: then the word said a second time counts as well, but none twice.
    expect(heard?.length).toBeGreaterThanOrEqual(STOPS.length + 1);
    expect(heard?.length).toBeLessThanOrEqual(said);

    await sleepAll(ASLEEP_MS);
    await sayNext(bench, room);

    // Pulled out for good, of which the browser learns nothing.
    await room.unplugMicrophone();
    await told(bench, 'No sound comes from the microphone.');
    await goOnByKeys(bench, (await viewOf(bench))?.step_number);
  });
});

describe('a full disk', () => {
  it('is told at once, the step does not count, and it counts once there is room again', async () => {
    const bench = await openBench({ voice: 'off' });
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
