/**
 * The pages in Chromium on the core in memory. The text of every step is never smaller than the
 * smallest visual angle for reading (ISO 9241-303: 16 minutes of arc) at the set distance, and nothing of it is cut
 * off; the main screens have no fault of accessibility; everything can be reached and done with the keyboard alone.
 */

import { type Browser, chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { BenchView } from '../../electron/core/job/model.ts';
import { ARC_MINUTES, fontSize_px } from '../../renderer/reading-distance.ts';
import { againstAxe, cutOff } from '../screens/faults-of-page.ts';
import { SCENES } from '../screens/scenes.ts';
import { serveCorePage } from '../screens/serve-core-page.ts';
import { CHROMIUM, SANDBOX_FLAGS } from './programs.ts';

const DISTANCE_M = 1.5;
const STEPS_MAX = 600;
const TABS_MAX = 80;
/** Half a pixel for rounding. */
const LEAST_PX = fontSize_px(DISTANCE_M, ARC_MINUTES.minimum) - 0.5;
const WIDE = { width: 1280, height: 800 };
const TALL = { width: 800, height: 1280 };

interface Seen {
  readonly texts: number;
  readonly paged: number;
  readonly wrong: readonly string[];
}

let pages: Awaited<ReturnType<typeof serveCorePage>>;
let browser: Browser;
beforeAll(async () => {
  pages = await serveCorePage('pages-alone');
  browser = await chromium.launch({ executablePath: CHROMIUM, args: [...SANDBOX_FLAGS] });
});
afterAll(async () => {
  await browser?.close();
  await pages?.close();
});

/** Begins the job with every part that can be replaced, no question about the unit answered. */
async function begin(page: Page, file: string): Promise<void> {
  await page.goto(`${pages.address}/core-page.html?theme=light&distance=${DISTANCE_M}`);
  await page.getByRole('heading', { level: 1 }).waitFor();
  await page.evaluate(async (wanted) => {
    const { bridge } = window.stage;
    const opened = await bridge.ask('product.open', { file: wanted });
    const parts = opened.ok ? opened.value.parts.filter((part) => part.replaceable) : [];
    await bridge.ask('job.start', {
      file: wanted,
      replace: parts.map((part) => part.id),
      variants: {},
      technician: 'A',
      unit_serial: null,
      work_order: null,
      reported_fault: null,
    });
    await bridge.ask('job.leave', null);
  }, file);
  // Another screen and back: the list of jobs is read again.
  await page.getByRole('button', { name: 'Help' }).click();
  await page.getByRole('button', { name: 'Jobs' }).click();
  await page.getByRole('button', { name: /Go on at/ }).click();
  await page.getByRole('progressbar').waitFor();
}

/** Works through the job; looks at every step, caution and question once it is drawn. */
function lookAtAll(page: Page): Promise<Seen> {
  return page.evaluate(
    async ({ least_px, turns }) => {
      const { bridge } = window.stage;
      const push = bridge.push.bind(bridge);
      const isShown = (view: BenchView): boolean =>
        document.querySelector(`.bench.phase-${view.phase}`) !== null &&
        document.querySelector('.step-number b')?.textContent === String(view.step_number);
      const wrong: string[] = [];
      let texts = 0;
      let paged = 0;
      for (let turn = 0; turn < turns; turn += 1) {
        const view = bridge.view();
        if (view === null || view.outcome !== null) return { texts, paged, wrong };
        for (let wait = 0; wait < 100 && !isShown(view); wait += 1)
          await new Promise((later) => setTimeout(later));
        // What gave way to a text is seen with the next frame, and the text fitted to its new place.
        if (document.querySelector('.paged') !== null)
          await new Promise((drawn) => requestAnimationFrame(() => setTimeout(drawn)));
        const outer = document.querySelector('.fitted');
        const inner = document.querySelector('.fitted-flow');
        if (outer !== null && inner !== null) {
          const size_px = Number.parseFloat(getComputedStyle(outer).fontSize);
          const inPages = outer.classList.contains('paged');
          const place = inPages ? inner : outer;
          texts += 1;
          if (inPages) paged += 1;
          if (size_px < least_px) wrong.push(`${view.step.id} ${view.phase}: ${size_px} px`);
          if (place.scrollHeight > place.clientHeight + 1)
            wrong.push(
              `${view.step.id} ${view.phase}: cut off by ${place.scrollHeight - place.clientHeight} px`,
            );
          if (inPages && document.querySelector('.page-turn') === null)
            wrong.push(`${view.step.id} ${view.phase}: no key turns the page`);
        }
        // Told once what has come of it, not each moment on the way there.
        bridge.push = () => {};
        bridge.oneByScript(3000);
        bridge.push = push;
        push({ type: 'view', view: bridge.view() });
      }
      return { texts, paged, wrong: [...wrong, 'the job did not end'] };
    },
    { least_px: LEAST_PX, turns: STEPS_MAX },
  );
}

describe('text at the bench', () => {
  it.each([
    ['wt-3.yaml', 'a wide window', WIDE],
    ['bp-60.yaml', 'a wide window', WIDE],
    ['dp-8.yaml', 'a wide window', WIDE],
    ['dp-8.yaml', 'a tall window', TALL],
  ])('of all steps of %s in %s can be read at the set distance', async (file, _, viewport) => {
    const page = await browser.newPage({ viewport, reducedMotion: 'reduce' });
    await begin(page, file);
    const seen = await lookAtAll(page);
    expect(seen.wrong).toEqual([]);
    expect(seen.texts).toBeGreaterThan(100);
    // Pages are the exception: at this distance nearly everything fits on one.
    expect(seen.paged).toBeLessThan(seen.texts / 8);
    await page.close();
  });
});

describe('the main screens', () => {
  // The others, the dark theme and two more sizes: `npm run screens`.
  it.each(['start', 'bench-caution', 'bench-step', 'review', 'desk-broken', 'settings'])(
    '%s has no fault of contrast, names or targets, and nothing is cut off',
    async (name) => {
      const scene = SCENES.find((one) => one.name === name);
      const page = await browser.newPage({ viewport: WIDE, reducedMotion: 'reduce' });
      await page.goto(`${pages.address}/core-page.html?theme=light`);
      await page.getByRole('heading', { level: 1 }).waitFor();
      await scene?.play(page);
      expect([scene?.name, await cutOff(page), await againstAxe(page)]).toEqual([name, [], []]);
      await page.close();
    },
  );
});

/** Presses Tab until what has the focus is named so. */
async function tabTo(page: Page, name: RegExp): Promise<void> {
  const seen: string[] = [];
  for (let press = 0; press < TABS_MAX; press += 1) {
    await page.keyboard.press('Tab');
    const named = await page.evaluate(() => {
      const at = document.activeElement === document.body ? null : document.activeElement;
      const label = at instanceof HTMLInputElement || at instanceof HTMLSelectElement ? at.labels?.[0] : at;
      return `${at?.getAttribute('aria-label') ?? ''} ${label?.textContent ?? ''}`;
    });
    if (name.test(named)) return;
    seen.push(named.trim());
  }
  throw new Error(`${name} is not reached by Tab: ${seen.join(', ')}`);
}

/** The key that a person would press now. */
function keyFor(view: BenchView | null): string {
  if (view?.phase === 'caution') return 'u';
  return view?.question === null ? ' ' : 'y';
}

describe('the keyboard alone', () => {
  it('does a whole job, looks at its record, and works at the author’s desk', async () => {
    const page = await browser.newPage({ viewport: WIDE, reducedMotion: 'reduce' });
    await page.goto(`${pages.address}/core-page.html?theme=dark`);
    await page.getByRole('heading', { level: 1 }).waitFor();
    await tabTo(page, /Start the practice/);
    await page.keyboard.press('Enter');
    await page.getByRole('button', { name: 'Start the job' }).waitFor();
    await tabTo(page, /Start the job/);
    await page.keyboard.press('Enter');
    await page.getByRole('progressbar').waitFor();
    const view = (): Promise<BenchView | null> => page.evaluate(() => window.stage.bridge.view());
    let now = await view();
    for (let press = 0; now !== null && press < STEPS_MAX; press += 1) {
      await page.keyboard.press(keyFor(now));
      now = await view();
    }
    await page.getByText('The job is done').waitFor();
    await tabTo(page, /See the job/);
    await page.keyboard.press('Enter');
    await page.getByRole('table').first().waitFor();

    await page.reload();
    await tabTo(page, /Author’s desk/);
    await page.keyboard.press('Enter');
    await tabTo(page, /wt-3\.yaml/);
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { name: 'Plan preview' }).waitFor();
    await tabTo(page, /Part to replace/);
    const sentences = page.locator('.sheet');
    const before = await sentences.textContent();
    await page.keyboard.press('ArrowDown');
    await expect.poll(() => sentences.textContent()).not.toBe(before);
    await tabTo(page, /Play sentence/);
    await page.close();
  });
});
