/**
 * How the program feels: from its start to a first screen that can be used, and from a key or a touch to the
 * changed picture, in Electron and in Chromium. Times of keys are taken in the page, from the event's own time
 * stamp to the frame that shows its effect, the log's sync on the disk included.
 */
import type { Page } from 'playwright-core';
import { PRESS_AGAIN_MS } from '../../electron/core/job/engine.ts';
import { Home, onTheBench, openChromium, openElectron } from '../journey/programs.ts';
import { startBrowserMode } from '../journey/served.ts';

const STARTS = 8;
const PRESSES = 60;
/** Keys that are answered at every step without moving on, and one that moves on. */
const KEYS = ['i', 'c', 't', 'r', 'l', ' '] as const;
const SILENT = { PULSE_SERVER: 'unix:/nowhere' };

function told(name: string, unit: string, values: readonly number[], goal: number): void {
  const sorted = [...values].sort((a, b) => a - b);
  const at = (share: number): number =>
    sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? 0;
  const over = sorted.filter((value) => value > goal).length;
  console.log(
    `${name}: median ${Math.round(at(0.5))}, p95 ${Math.round(at(0.95))}, most ${Math.round(sorted.at(-1) ?? 0)} ${unit}; ${over} of ${sorted.length} over ${goal}`,
  );
}

/** The moment (milliseconds since 1970) at which units can be chosen on the first screen. */
function usableAt(page: Page): Promise<number> {
  return page
    .waitForFunction(() =>
      document.querySelector('.unit') === null ? null : performance.timeOrigin + performance.now(),
    )
    .then((found) => found.jsonValue() as Promise<number>);
}

async function startsOfElectron(): Promise<void> {
  const home = new Home({ voice: 'off' });
  const starts: number[] = [];
  for (let run = 0; run <= STARTS; run += 1) {
    const { app, page } = await openElectron(home, SILENT);
    const usable = await usableAt(page);
    const created = await app.evaluate(() => process.getCreationTime());
    await app.close();
    // The first start fills the caches of code; "warm" begins with the second.
    if (run > 0 && created !== null) starts.push(usable - created);
  }
  home.remove();
  told('Electron, process made to units shown', 'ms', starts, 2000);
}

/** Presses keys on the bench; gives for each the time to the frame that shows an effect. */
async function answersOnBench(page: Page, touch: boolean): Promise<number[]> {
  // What compiles this file wraps named functions in a call that the page does not know.
  await page.evaluate('globalThis.__name ??= (named) => named');
  await page.evaluate(() => {
    const times: number[] = [];
    Object.assign(window, { feelTimes: times });
    let pressed = 0;
    const begin = (event: Event): void => {
      pressed = event.timeStamp;
    };
    window.addEventListener('keydown', begin, { capture: true });
    window.addEventListener('pointerdown', begin, { capture: true });
    new MutationObserver(() => {
      if (pressed === 0) return;
      const from = pressed;
      pressed = 0;
      // The frame after the next callback has been drawn.
      requestAnimationFrame(() => {
        const channel = new MessageChannel();
        channel.port1.onmessage = () => times.push(performance.now() - from);
        channel.port2.postMessage(null);
      });
    }).observe(document.querySelector('main.bench') as Element, {
      subtree: true,
      childList: true,
      characterData: true,
      attributes: true,
    });
  });
  for (let press = 0; press < PRESSES; press += 1) {
    const large = page.locator('.phrase-key.large:enabled').first();
    if (touch && (await large.count()) > 0) await large.click();
    else await page.keyboard.press(KEYS[press % KEYS.length] ?? 'i');
    // A press that comes sooner counts as the echo of the one before and has no answer.
    await page.waitForTimeout(PRESS_AGAIN_MS + 50);
    if (await page.locator('.phrase-key.large').filter({ hasText: 'understood' }).count()) {
      await page.keyboard.press('u');
      await page.waitForTimeout(PRESS_AGAIN_MS + 50);
    }
    if ((await page.locator('.finished-card').count()) > 0) break;
  }
  return page.evaluate(() => (window as unknown as { feelTimes: number[] }).feelTimes);
}

/** The paper unit: none of its steps has a field that would take the keys as text. */
async function toBench(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'Start the practice' }).click();
  await page.getByRole('button', { name: 'Start the job' }).click();
  await onTheBench(page);
}

async function answersInElectron(): Promise<void> {
  for (const touch of [false, true]) {
    const home = new Home({ voice: 'off' });
    const { app, page } = await openElectron(home, SILENT);
    await toBench(page);
    told(`Electron, ${touch ? 'touch' : 'key'} to picture`, 'ms', await answersOnBench(page, touch), 100);
    await app.close();
    home.remove();
  }
}

async function inChromium(): Promise<void> {
  const home = new Home({ voice: 'off' });
  const served = await startBrowserMode(home);
  const browser = await openChromium(SILENT);
  const page = await browser.newPage();
  await page.goto(served.address);
  const opens: number[] = [];
  for (let run = 0; run < STARTS; run += 1) {
    await page.reload();
    opens.push((await usableAt(page)) - (await page.evaluate(() => performance.timeOrigin)));
  }
  told('Chromium, page opened to units shown', 'ms', opens, 2000);
  await toBench(page);
  told('Chromium, key to picture', 'ms', await answersOnBench(page, false), 100);
  await browser.close();
  await served.end();
  home.remove();
}

export async function run(): Promise<void> {
  await startsOfElectron();
  await answersInElectron();
  await inChromium();
}
