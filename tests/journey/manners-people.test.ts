/**
 * The manners of the bench with people at it, in Chromium against the served program: gloves, a trainee at a
 * hold point, an interruption with a hand-over. Without a voice, so that nothing waits for sound.
 */
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import type { BenchView } from '../../electron/core/job/model.ts';
import type { Settings } from '../../electron/ipc/contract.ts';
import { SyntheticTechnician } from '../../electron/synthetic-technician.ts';
import { stepcaller, theJob, viewFromLog } from './job-on-disk.ts';
import { beginJob, Home, onTheBench, openChromium, ROOT } from './programs.ts';
import { type Served, startBrowserMode } from './served.ts';

/** A touch or a key has an effect in the log within this time on a busy machine. */
const EFFECT_MS = 20_000;
const TURNS_MAX = 120;
/** 20 mm at 96 px to the inch; half a pixel for rounding. */
const GLOVE_PX = 75.5;

let browser: Browser;
beforeAll(async () => {
  browser = await openChromium({ PULSE_SERVER: 'unix:/nowhere' });
});
afterAll(() => browser?.close());

const endings: (() => unknown)[] = [];
afterEach(async () => {
  for (const end of endings.splice(0).reverse()) await end();
});

interface Bench {
  readonly home: Home;
  readonly page: Page;
  /** Addresses that were not answered well. */
  readonly failed: string[];
  view(): Promise<BenchView | null>;
}

async function open(settings: Partial<Settings> = {}, prepare?: (home: Home) => void): Promise<Bench> {
  const home = new Home({ voice: 'off', verbosity: 'full', technician: 'A', ...settings });
  endings.push(() => home.remove());
  prepare?.(home);
  const served: Served = await startBrowserMode(home);
  endings.push(() => served.end());
  const context: BrowserContext = await browser.newContext({
    hasTouch: true,
    viewport: { width: 1280, height: 800 },
  });
  endings.push(() => context.close());
  const page = await context.newPage();
  const failed: string[] = [];
  page.on(
    'response',
    (answer) => answer.status() >= 400 && failed.push(`${answer.status()} ${answer.url()}`),
  );
  page.on('pageerror', (fault) => failed.push(`uncaught: ${fault.message}`));
  await page.goto(served.address);
  await page.getByRole('heading', { level: 1 }).first().waitFor();
  return { home, page, failed, view: () => viewFromLog(home.jobs) };
}

/** What must change when something was done; clocks aside. */
function stateOf(view: BenchView | null): string {
  if (view === null) return 'no job';
  const { step, phase, caution, question, value_proposed, waits_for, technician, outcome } = view;
  const asked = question === null ? null : question.text;
  return JSON.stringify([step.id, phase, caution?.id, asked, value_proposed, waits_for, technician, outcome]);
}

/** Does something and waits until the log shows an effect. */
async function withEffect(bench: Bench, act: () => Promise<unknown>): Promise<BenchView | null> {
  const before = stateOf(await bench.view());
  await act();
  await expect.poll(async () => stateOf(await bench.view()), { timeout: EFFECT_MS }).not.toBe(before);
  return bench.view();
}

const tapLarge = async ({ page }: Bench, word?: RegExp): Promise<void> => {
  const keys = page.locator('.phrase-key.large:enabled');
  await (word === undefined ? keys : keys.filter({ hasText: word })).first().tap();
};

async function tapOn({ page }: Bench, pad: string, ...keys: readonly string[]): Promise<void> {
  const form = page.getByRole('form', { name: pad, exact: true });
  for (const key of keys) await form.getByRole('button', { name: key, exact: true }).tap();
}

/** Targets of the bench that are too small for a glove. */
function smallTargets(page: Page): Promise<string[]> {
  return page.evaluate(
    (least) =>
      [...document.querySelectorAll('.bench button')].flatMap((button) => {
        const { width, height } = button.getBoundingClientRect();
        return Math.min(width, height) < least ? [`${width} × ${height}: ${button.textContent}`] : [];
      }),
    GLOVE_PX,
  );
}

/** Works on by touch until `test` holds: the large key, the number pad for a count, E signs where it is due. */
async function workByTouch(bench: Bench, test: (view: BenchView) => boolean): Promise<BenchView> {
  const counter = new SyntheticTechnician(1, { straying: 0, pace: 0 });
  for (let turn = 0; turn < TURNS_MAX; turn += 1) {
    const view = await bench.view();
    if (view !== null && test(view)) return view;
    const due = view?.question?.kind === 'count' ? counter.next(view).input : undefined;
    if (due?.type === 'number')
      await withEffect(bench, () => tapOn(bench, 'Number pad', ...String(due.value), 'Enter'));
    else if (view?.phase === 'step' && view.waits_for === 'sign-off')
      await withEffect(bench, () => tapOn(bench, 'Sign-off', 'E', 'Sign'));
    else await withEffect(bench, () => tapLarge(bench));
  }
  throw new Error(`not reached: ${stateOf(await bench.view())}`);
}

describe('gloves', () => {
  it('do a whole job by touch alone, from the first screen to its record', async () => {
    const bench = await open();
    const { page, home } = bench;
    await page.getByRole('button', { name: 'Start the practice' }).tap();
    await page.getByRole('button', { name: 'Start the job' }).tap();
    await onTheBench(page);
    expect(await smallTargets(page)).toEqual([]);
    await workByTouch(bench, (view) => view.outcome !== null);
    await page.getByRole('button', { name: 'See the job' }).tap();
    await page.getByRole('table').first().waitFor();
    const job = await theJob(home.jobs);
    const sources = (job?.records ?? []).flatMap((one) => ('source' in one ? [one.source] : []));
    expect(new Set(sources)).toEqual(new Set(['touch']));
    expect(stepcaller('verify', job?.folder ?? '').json).toMatchObject({ verdict: 'complete' });
    expect(bench.failed).toEqual([]);
  });
});

/** The paper unit under another name, with a second person wanted where the sheet is folded. */
function withHold(home: Home): void {
  const text = readFileSync(join(ROOT, 'procedures/practice.yaml'), 'utf8')
    .replace('id: practice', 'id: held')
    .replace('name: Paper unit for practice', 'name: Held sheet')
    .replace(
      'what: Fold the sheet in half',
      'what: Fold the sheet in half\n        hold: A second person sees the fold',
    );
  mkdirSync(join(home.folder, 'procedures'), { recursive: true });
  writeFileSync(join(home.folder, 'procedures/held.yaml'), text);
}

describe('a trainee', () => {
  it('is told why, tells counts, and waits at a hold point for another person', async () => {
    const bench = await open({ verbosity: 'trainee' }, withHold);
    const { page } = bench;
    await beginJob(page, /Held sheet/, /paper sheet/);
    await workByTouch(bench, (view) => view.phase === 'step' && view.step.fasteners.length > 0);
    await page.locator('.aside').filter({ hasText: 'There is one dot in each corner.' }).waitFor();
    await page
      .locator('.aside')
      .filter({ hasText: 'The count tells you what must lie in the tray.' })
      .waitFor();

    const wrong = await withEffect(bench, () => tapLarge(bench, /next/));
    expect(wrong?.question?.kind).toBe('count');
    await tapOn(bench, 'Number pad', '9', 'Enter');
    await page.getByText('you counted 9').first().waitFor();
    expect((await bench.view())?.step.id).toBe(wrong?.step.id);

    await workByTouch(bench, (view) => view.phase === 'step' && view.waits_for === 'sign-off');
    await page.getByText('A second person sees the fold').first().waitFor();
    await tapOn(bench, 'Sign-off', 'A', 'Sign');
    await page.getByText('must come from another person').first().waitFor();
    expect((await bench.view())?.waits_for).toBe('sign-off');
    const signed = await withEffect(bench, () => tapOn(bench, 'Sign-off', 'E', 'Sign'));
    expect(signed?.waits_for).toBeNull();
    await workByTouch(bench, (view) => view.outcome !== null);
    const records = (await theJob(bench.home.jobs))?.records ?? [];
    const signers = records.flatMap((one) => (one.event === 'hold.signed' ? [one.person] : []));
    expect(new Set(signers)).toEqual(new Set(['E']));
    expect(bench.failed).toEqual([]);
  });
});

describe('an interruption', () => {
  it('goes on at the same step, gives a colleague all cautions again, and jumps only after asking', async () => {
    const bench = await open();
    const { page } = bench;
    await page.getByRole('button', { name: 'Start the practice' }).tap();
    await page.getByRole('button', { name: 'Start the job' }).tap();
    await onTheBench(page);
    const folding = await workByTouch(
      bench,
      (view) => view.phase === 'step' && view.step.cautions.length > 0 && view.caution === null,
    );
    await page.getByRole('button', { name: 'Leave for later' }).tap();
    await page.reload();
    await page.getByRole('button', { name: `Go on at step ${folding.step_number}`, exact: false }).tap();
    await onTheBench(page);
    // The same person at the same step knows them; a colleague does not.
    const reopened = async () =>
      (await theJob(bench.home.jobs))?.records.some((one) => one.event === 'job.reopened');
    await expect.poll(reopened, { timeout: EFFECT_MS }).toBe(true);
    expect((await bench.view())?.step.id).toBe(folding.step.id);
    await page.getByRole('button', { name: 'Hand over' }).tap();
    const handed = await withEffect(bench, () => tapOn(bench, 'Hand over', 'B', 'Hand over the job'));
    expect(handed).toMatchObject({ technician: 'B', phase: 'caution', step_number: folding.step_number });
    await page.getByRole('region', { name: /^CAUTION/ }).waitFor();
    await withEffect(bench, () => tapLarge(bench, /understood/));

    await page.getByRole('button', { name: 'All steps' }).tap();
    const rows = page.getByRole('region', { name: 'All steps' }).locator('.step-row');
    expect(await rows.count()).toBe(folding.step_number);
    const asked = await withEffect(bench, () => rows.first().tap());
    expect(asked).toMatchObject({ step_number: folding.step_number, question: { kind: 'go-back' } });
    const back = await withEffect(bench, () => tapLarge(bench, /yes/));
    expect(back?.step_number).toBe(1);

    await workByTouch(bench, (view) => view.outcome !== null);
    const records = (await theJob(bench.home.jobs))?.records ?? [];
    const understood = records.filter((one) => one.event === 'caution.acknowledged');
    expect(understood.length).toBeGreaterThanOrEqual(2);
    expect(records.filter((one) => one.event === 'job.handed-over')).toMatchObject([{ from: 'A', to: 'B' }]);
    expect(bench.failed).toEqual([]);
  });
});
