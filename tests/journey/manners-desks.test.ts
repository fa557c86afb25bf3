/** The author with a broken file and the supervisor with the review, in Chromium against the served program. */
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { writeDemoData } from '../../electron/demo-data.ts';
import { Home, openChromium, ROOT } from './programs.ts';
import { startBrowserMode } from './served.ts';

const DEMO_JOBS = 14;

let browser: Browser;
beforeAll(async () => {
  browser = await openChromium({ PULSE_SERVER: 'unix:/nowhere' });
});
afterAll(() => browser?.close());

const endings: (() => unknown)[] = [];
afterEach(async () => {
  for (const end of endings.splice(0).reverse()) await end();
});

async function open(home: Home): Promise<{ readonly page: Page; readonly failed: string[] }> {
  const served = await startBrowserMode(home);
  endings.push(() => served.end());
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
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
  return { page, failed };
}

function newHome(): Home {
  const home = new Home({ voice: 'off' });
  endings.push(() => home.remove());
  return home;
}

describe('an author', () => {
  it('sees where a file is broken and how to mend it, and the mended file is read by itself', async () => {
    const home = newHome();
    const good = readFileSync(join(ROOT, 'procedures/practice.yaml'), 'utf8')
      .replace('id: practice', 'id: sheet-two')
      .replace('name: Paper unit for practice', 'name: Second sheet');
    const broken = good.replace('fastener: dot', 'fastener: dott');
    const place = broken.split('\n').findIndex((line) => line.includes('dott')) + 1;
    mkdirSync(join(home.folder, 'procedures'), { recursive: true });
    const file = join(home.folder, 'procedures/sheet-two.yaml');
    writeFileSync(file, broken);
    const { page, failed } = await open(home);
    // It cannot be used for a job; it leads to the desk.
    await page
      .getByRole('button', { name: /sheet-two|Second sheet/ })
      .first()
      .click();
    await page.getByRole('heading', { name: 'Problems' }).waitFor();
    await page.getByText(`line ${place},`, { exact: false }).first().waitFor();
    await page.getByText('Mend', { exact: false }).first().waitFor();
    expect(await page.getByText('dott', { exact: false }).count()).toBeGreaterThan(0);

    writeFileSync(file, good);
    await page.getByText('No problems found.').waitFor({ timeout: 30_000 });
    await page.getByText('Read again just now.').waitFor();
    const line = page.getByRole('button', { name: /sheet-two\.yaml/ });
    expect(await line.locator('.tag').count()).toBe(0);

    await page.getByRole('button', { name: 'Jobs' }).click();
    await page
      .getByRole('button', { name: /Second sheet/ })
      .first()
      .click();
    await page.getByRole('checkbox', { name: /paper sheet/ }).waitFor();
    expect(failed).toEqual([]);
  });
});

describe('a supervisor', () => {
  it('sees the review of many jobs and saves the report of one', async () => {
    const home = newHome();
    const written = await writeDemoData({
      out: home.jobs,
      procedures: join(ROOT, 'procedures'),
      seed: 8,
      jobs: DEMO_JOBS,
    });
    expect(written).toEqual({ ok: true, value: { written: DEMO_JOBS, there: 0 } });
    const { page, failed } = await open(home);
    await page.getByRole('button', { name: 'Review' }).click();
    await page.getByRole('figure').first().waitFor();
    const facts = page.locator('dl.facts').first();
    expect(await facts.locator('dd').first().textContent()).toBe(String(DEMO_JOBS));
    await page.getByRole('combobox', { name: 'Unit' }).selectOption({ label: 'WT-3 field water tester' });
    await expect
      .poll(async () => Number(await facts.locator('dd').first().textContent()), { timeout: 30_000 })
      .toBeLessThan(DEMO_JOBS);

    await page.getByRole('button', { name: 'Jobs' }).click();
    await page.locator('.recent .recent-job').first().click();
    await page.getByRole('button', { name: 'Page (HTML)' }).click();
    const told = (await page.getByText(/^Saved to /).textContent()) ?? '';
    const path = told.replace('Saved to ', '');
    expect(existsSync(path)).toBe(true);
    const title = (await page.getByRole('heading', { level: 1 }).textContent()) ?? '-';
    const html = readFileSync(path, 'utf8');
    expect(html).toContain(title);
    expect(html).not.toMatch(/<script|src="http|href="http/);

    // A browser cannot make a PDF here: that is said, and what to do instead.
    await page.getByRole('button', { name: 'Document (PDF)' }).click();
    await page.getByText('Save the report as HTML and print it from the browser.').waitFor();
    expect(failed).toEqual([]);
  });
});
