/** The author with a broken file and the supervisor with the review and its prints, in Electron and in Chromium. */
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { writeDemoData } from '../../electron/demo-data.ts';
import { type Bench, openBench, PROGRAMS } from './manners.ts';
import { wordsOfPdf } from './pdf-text.ts';
import { type Home, ROOT } from './programs.ts';

const DEMO_JOBS = 14;
/** The review is made, or a document printed, within this time on a busy machine. */
const MADE_MS = 30_000;

const good = readFileSync(join(ROOT, 'procedures/practice.yaml'), 'utf8')
  .replace('id: practice', 'id: sheet-two')
  .replace('name: Paper unit for practice', 'name: Second sheet');
const broken = good.replace('fastener: corner', 'fastener: cornr');
const fileOf = (home: Home): string => join(home.folder, 'procedures/sheet-two.yaml');

async function prepare(home: Home): Promise<void> {
  mkdirSync(join(home.folder, 'procedures'), { recursive: true });
  writeFileSync(fileOf(home), broken);
  const procedures = join(ROOT, 'procedures');
  const written = await writeDemoData({ out: home.jobs, procedures, seed: 8, jobs: DEMO_JOBS });
  expect(written).toEqual({ ok: true, value: { written: DEMO_JOBS, there: 0 } });
}

/** Saves what is shown as a document of this kind and gives where it lies. */
async function save(page: Page, name: string): Promise<string> {
  const before = await page.locator('.saved-path').textContent();
  await page.getByRole('button', { name }).click();
  await expect.poll(() => page.locator('.saved-path').textContent(), { timeout: MADE_MS }).not.toBe(before);
  return ((await page.locator('.saved-path').textContent()) ?? '').replace('Saved to ', '');
}

describe.each(PROGRAMS)('at a desk in %s', (program) => {
  let bench: Bench;
  beforeAll(async () => {
    bench = await openBench(program, {}, prepare);
  });
  afterAll(() => bench?.close());

  it('an author sees where a file is broken and how to mend it, and the mended file is read by itself', async () => {
    const { page, home, failed } = bench;
    const place = broken.split('\n').findIndex((line) => line.includes('cornr')) + 1;
    // It cannot be used for a job; it leads to the desk.
    await page
      .getByRole('button', { name: /sheet-two|Second sheet/ })
      .first()
      .click();
    await page.getByRole('heading', { name: 'Problems' }).waitFor();
    await page.getByText(`line ${place},`, { exact: false }).first().waitFor();
    await page.getByText('Mend', { exact: false }).first().waitFor();
    expect(await page.getByText('cornr', { exact: false }).count()).toBeGreaterThan(0);

    writeFileSync(fileOf(home), good);
    await page.getByText('No problems found.').waitFor({ timeout: MADE_MS });
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

  it('a supervisor sees the review of many jobs, and saves one job and the whole period', async () => {
    const { page, failed } = bench;
    await page.getByRole('button', { name: 'Review' }).click();
    await page.getByRole('figure').first().waitFor({ timeout: MADE_MS });
    const facts = page.locator('dl.facts').first();
    expect(await facts.locator('dd').first().textContent()).toBe(String(DEMO_JOBS));
    await page
      .getByRole('combobox', { name: 'Unit', exact: true })
      .selectOption({ label: 'WT-3 field water tester' });
    const jobsShown = async () => Number(await facts.locator('dd').first().textContent());
    await expect.poll(jobsShown, { timeout: MADE_MS }).toBeLessThan(DEMO_JOBS);
    if (program === 'Electron') {
      const period = wordsOfPdf(readFileSync(await save(page, 'Document (PDF)')));
      process.stdout.write(`period: ${period.pages} pages, ${period.text.length} letters\n`);
      expect(period.text).toContain('WT-3 field water tester');
      expect(period.pages).toBeGreaterThan(0);
    }

    await page.getByRole('button', { name: 'Jobs' }).click();
    await page.locator('.recent .recent-job').first().click();
    await page.getByRole('table').first().waitFor();
    const title = (await page.getByRole('heading', { level: 1 }).textContent()) ?? '-';
    const html = readFileSync(await save(page, 'Page (HTML)'), 'utf8');
    expect(html).toContain(title);
    expect(html).not.toMatch(/<script|src="http|href="http/);
    if (program === 'Electron') {
      const report = wordsOfPdf(readFileSync(await save(page, 'Document (PDF)')));
      process.stdout.write(`job: ${report.pages} pages, ${report.text.length} letters\n`);
      for (const words of ['Service report', title, 'Readings', 'Signed off by a second person'])
        expect(report.text).toContain(words);
      // Every reading of the record stands in the print.
      const readings = await page.locator('.record-card').first().locator('li b.figures').allTextContents();
      for (const reading of readings) expect(report.text).toContain(reading);
    } else {
      // A browser cannot make a PDF here: that is said, and what to do instead.
      await page.getByRole('button', { name: 'Document (PDF)' }).click();
      await page.getByText('Save the report as HTML and print it from the browser.').waitFor();
    }
    expect(failed).toEqual([]);
  });
});
