/**
 * What the journeys of manners share: one bench in Electron or in Chromium, opened once for several tests, used
 * by touch as a gloved hand does, and looked at through the log on the disk.
 */
import type { BrowserContext, CDPSession, Locator, Page } from 'playwright-core';
import { expect } from 'vitest';
import { PRESS_AGAIN_MS } from '../../electron/core/job/engine.ts';
import type { BenchView } from '../../electron/core/job/model.ts';
import type { Settings } from '../../electron/ipc/contract.ts';
import { SyntheticTechnician } from '../../electron/synthetic-technician.ts';
import { viewFromLog } from './job-on-disk.ts';
import { Home, openChromium, openElectron } from './programs.ts';
import { startBrowserMode } from './served.ts';

/** A touch or a key has an effect in the log within this time on a busy machine. */
export const EFFECT_MS = 20_000;
const TURNS_MAX = 120;
/** 20 mm at 96 px to the inch; half a pixel for rounding. */
const GLOVE_PX = 75.5;
const SIZE = { width: 1280, height: 800 } as const;
/** The journeys of manners have no sound: nothing waits for it. */
const SILENT = { PULSE_SERVER: 'unix:/nowhere' };

export type Program = 'Electron' | 'Chromium';
export const PROGRAMS: readonly Program[] = ['Electron', 'Chromium'];

export interface Bench {
  readonly home: Home;
  readonly page: Page;
  /** Addresses that were not answered well, and uncaught faults. */
  readonly failed: string[];
  view(): Promise<BenchView | null>;
  tap(what: Locator): Promise<void>;
  close(): Promise<void>;
}

/** Opens the program on a home of its own. `prepare` puts files there before the start. */
export async function openBench(
  program: Program,
  settings: Partial<Settings> = {},
  prepare?: (home: Home) => unknown,
  environment: Record<string, string> = SILENT,
): Promise<Bench> {
  const home = new Home({ voice: 'off', verbosity: 'full', technician: 'A', ...settings });
  await prepare?.(home);
  const { page, end } = await (program === 'Electron'
    ? inElectron(home, environment)
    : inChromium(home, environment));
  const failed: string[] = [];
  page.on(
    'response',
    (answer) => answer.status() >= 400 && failed.push(`${answer.status()} ${answer.url()}`),
  );
  page.on('pageerror', (fault) => failed.push(`uncaught: ${fault.message}`));
  const touch = await page.context().newCDPSession(page);
  await touch.send('Emulation.setTouchEmulationEnabled', { enabled: true });
  return {
    home,
    page,
    failed,
    view: () => viewFromLog(home.jobs),
    tap: (what) => tap(touch, what),
    close: async () => {
      await end();
      home.remove();
    },
  };
}

async function inElectron(home: Home, environment: Record<string, string>) {
  const { app, page } = await openElectron(home, environment);
  await app.evaluate(
    ({ BrowserWindow }, size) => BrowserWindow.getAllWindows()[0]?.setContentSize(size.width, size.height),
    SIZE,
  );
  return { page, end: () => app.close() };
}

async function inChromium(home: Home, environment: Record<string, string>) {
  const served = await startBrowserMode(home);
  const browser = await openChromium(environment);
  const context: BrowserContext = await browser.newContext({ viewport: SIZE });
  const page = await context.newPage();
  await page.goto(served.address);
  await page.getByRole('heading', { level: 1 }).first().waitFor();
  return {
    page,
    end: async () => {
      await browser.close();
      await served.end();
    },
  };
}

/** A finger on the middle of something that can be touched: Electron's pages know no other way to be tapped. */
async function tap(touch: CDPSession, what: Locator): Promise<void> {
  const one = what.first();
  // Visible, still, enabled and not covered.
  await one.click({ trial: true });
  const box = await one.boundingBox();
  if (box === null) throw new Error('nothing to touch');
  const touchPoints = [{ x: box.x + box.width / 2, y: box.y + box.height / 2 }];
  await touch.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints });
  await touch.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
}

/** What must change when something was done; clocks aside. */
export function stateOf(view: BenchView | null): string {
  if (view === null) return 'no job';
  const { step, phase, caution, question, value_proposed, waits_for, technician, outcome } = view;
  const asked = question === null ? null : question.text;
  return JSON.stringify([step.id, phase, caution?.id, asked, value_proposed, waits_for, technician, outcome]);
}

/** Does something and waits until the log shows an effect. */
export async function withEffect(bench: Bench, act: () => Promise<unknown>): Promise<BenchView | null> {
  const before = stateOf(await bench.view());
  await act();
  await expect.poll(async () => stateOf(await bench.view()), { timeout: EFFECT_MS }).not.toBe(before);
  // A second press at once would count as the first one's echo.
  await bench.page.waitForTimeout(PRESS_AGAIN_MS);
  return bench.view();
}

/** Touches the large key, or the one with these words. */
export async function tapLarge(bench: Bench, word?: RegExp): Promise<void> {
  const keys = bench.page.locator('.phrase-key.large:enabled');
  await bench.tap(word === undefined ? keys : keys.filter({ hasText: word }));
}

/** Touches keys of a pad one after the other. */
export async function tapOn(bench: Bench, pad: string, ...keys: readonly string[]): Promise<void> {
  const form = bench.page.getByRole('form', { name: pad, exact: true });
  for (const key of keys) await bench.tap(form.getByRole('button', { name: key, exact: true }));
}

/** Touches a button by its name. */
export const tapButton = (bench: Bench, name: string | RegExp): Promise<void> =>
  bench.tap(bench.page.getByRole('button', { name }));

/** Targets of the bench that are too small for a glove. */
export function smallTargets(page: Page): Promise<string[]> {
  return page.evaluate(
    (least) =>
      [...document.querySelectorAll('.bench button')].flatMap((button) => {
        const { width, height } = button.getBoundingClientRect();
        return button.checkVisibility() && Math.min(width, height) < least
          ? [`${width} × ${height}: ${button.textContent}`]
          : [];
      }),
    GLOVE_PX,
  );
}

/** The keys of the number pad for a value. */
function padKeysOf(value: number): readonly string[] {
  const names: Record<string, string> = { '-': 'Minus', '.': 'Decimal point' };
  return [...String(value)].map((sign) => names[sign] ?? sign);
}

/** Works on by touch until `test` holds: the large key, a pad for a number or a code, E signs where it is due. */
export async function workByTouch(bench: Bench, test: (view: BenchView) => boolean): Promise<BenchView> {
  const counter = new SyntheticTechnician(1, { straying: 0, pace: 0 });
  for (let turn = 0; turn < TURNS_MAX; turn += 1) {
    const view = await bench.view();
    if (view !== null && test(view)) return view;
    const wantsValue =
      view?.question?.kind === 'count' ||
      (view?.phase === 'step' && (view.waits_for === 'reading' || view.waits_for === 'serial'));
    const due = view !== null && wantsValue ? counter.next(view).input : undefined;
    if (due?.type === 'number' || due?.type === 'reading')
      await withEffect(bench, () => tapOn(bench, 'Number pad', ...padKeysOf(due.value), 'Enter'));
    else if (due?.type === 'serial')
      await withEffect(bench, () => tapOn(bench, 'Spelling pad', ...due.value, 'Enter'));
    else if (view?.phase === 'step' && view.waits_for === 'sign-off')
      await withEffect(bench, () => tapOn(bench, 'Sign-off', 'E', 'Sign'));
    else await withEffect(bench, () => tapLarge(bench));
  }
  throw new Error(`not reached: ${stateOf(await bench.view())}`);
}
