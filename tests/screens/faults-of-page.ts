/** What is wrong with a page as this browser draws it, found without looking at it. */
import { join } from 'node:path';
import type { Page } from 'playwright-core';

interface AxeResult {
  readonly violations: readonly {
    readonly id: string;
    readonly nodes: readonly { readonly html: string; readonly failureSummary?: string }[];
  }[];
}

/** What sticks out of the window sideways or is cut off inside its place. */
export async function cutOff(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const found: string[] = [];
    if (document.documentElement.scrollWidth > window.innerWidth) found.push('page is wider than the window');
    for (const element of document.querySelectorAll(
      'button, dd, dt, h1, h2, h3, th, .phrase-word, .sentence',
    )) {
      // Pages lie side by side; one is shown.
      if (element.closest('.paged') !== null) continue;
      if (element.clientWidth > 0 && element.scrollWidth > element.clientWidth + 1)
        found.push(
          `text cut off: "${(element.textContent ?? '').slice(0, 40)}" in ${element.className || element.tagName}`,
        );
    }
    // 20 mm for gloves at 96 px to the inch; half a pixel for rounding.
    for (const button of document.querySelectorAll('.bench button')) {
      const { width, height } = button.getBoundingClientRect();
      if (button.checkVisibility() && Math.min(width, height) < 75.5)
        found.push(`target ${Math.round(width)} × ${Math.round(height)}: "${button.textContent}"`);
    }
    return found;
  });
}

/** What axe-core finds, colour contrast included, as this browser draws it. */
export async function againstAxe(page: Page): Promise<string[]> {
  await page.addScriptTag({ path: join(process.cwd(), 'node_modules', 'axe-core', 'axe.min.js') });
  return page.evaluate(async () => {
    const { axe } = window as unknown as { axe: { run(): Promise<AxeResult> } };
    const { violations } = await axe.run();
    return violations.flatMap((one) =>
      one.nodes.map((node) => `axe ${one.id}: ${node.html.slice(0, 120)} ${node.failureSummary ?? ''}`),
    );
  });
}
