/**
 * Takes a picture of every screen, in both themes and three sizes, into `out/screens/`. The pages run on
 * the real core in memory (`core-page.tsx`). Arguments: words that the names of the wanted pictures contain.
 */
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { type Browser, chromium } from 'playwright-core';
import type { CoreBridge } from '../pages/core-bridge.ts';
import { againstAxe, cutOff } from './faults-of-page.ts';
import { SCENES, type Scene } from './scenes.ts';
import { CHROMIUM_PATH, serveCorePage } from './serve-core-page.ts';

const SIZES = [
  { width: 1280, height: 800 },
  { width: 1920, height: 1080 },
  { width: 800, height: 1280 },
] as const;
const THEMES = ['light', 'dark'] as const;
const OUT = join(process.cwd(), 'out', 'screens');

export interface Stage {
  readonly bridge: CoreBridge;
}

/** A page at 200 % has half the room, drawn twice as large. */
function lens(scene: Scene, size: { width: number; height: number }) {
  if (scene.doubled !== true) return { viewport: size };
  return { viewport: { width: size.width / 2, height: size.height / 2 }, deviceScaleFactor: 2 };
}

async function takeAll(browser: Browser, address: string, wanted: readonly string[]): Promise<string[]> {
  const problems: string[] = [];
  for (const theme of THEMES)
    for (const size of SIZES)
      for (const scene of SCENES) {
        const name = `${scene.name}-${theme}-${size.width}x${size.height}`;
        if (!wanted.every((word) => name.includes(word))) continue;
        const page = await browser.newPage({ ...lens(scene, size), reducedMotion: 'reduce' });
        page.on('pageerror', (error) => problems.push(`${name}: ${error.message}`));
        page.on('console', (message) => {
          if (message.type() === 'error') problems.push(`${name}: ${message.text()}`);
        });
        page.setDefaultTimeout(20_000);
        await page.goto(
          `${address}/core-page.html?theme=${theme}${scene.trainee === true ? '&trainee' : ''}`,
        );
        await page.getByRole('heading', { level: 1 }).waitFor();
        try {
          await scene.play(page);
        } catch (error) {
          problems.push(`${name}: ${String(error).split('\n')[0]}`);
        }
        problems.push(...(await cutOff(page)).map((what) => `${name}: ${what}`));
        problems.push(...(await againstAxe(page)).map((what) => `${name}: ${what}`));
        await page.screenshot({ path: join(OUT, `${name}.png`), fullPage: scene.whole === true });
        await page.close();
      }
  return problems;
}

if (CHROMIUM_PATH === undefined) {
  console.error('No Chromium found. Install the package "chromium" or set CHROMIUM_PATH.');
  process.exit(2);
}
mkdirSync(OUT, { recursive: true });
const server = await serveCorePage('core-page');
const browser = await chromium.launch({ executablePath: CHROMIUM_PATH, args: ['--no-sandbox'] });
const problems = await takeAll(browser, server.address, process.argv.slice(2));
await browser.close();
await server.close();
for (const problem of new Set(problems)) console.log(problem);
console.log(`pictures in ${OUT}; ${new Set(problems).size} problems`);
process.exit(problems.length === 0 ? 0 : 1);
