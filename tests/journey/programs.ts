/** Starts the program as a user has it: in Electron, or in a browser beside its server. */
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { _electron, type Browser, chromium, type ElectronApplication, type Page } from 'playwright-core';
import type { BenchView } from '../../electron/core/job/model.ts';
import type { Settings } from '../../electron/ipc/contract.ts';

export const ROOT = join(import.meta.dirname ?? __dirname, '../..');

/** The test runtime of `.ci/test-runtime`, or another one by the environment. */
export const ELECTRON = process.env.ELECTRON_EXEC_PATH ?? join(ROOT, '.cache/electron-25/runtime/electron');
export const CHROMIUM = process.env.CHROMIUM_EXEC_PATH ?? '/usr/bin/chromium';

/** A home of its own for one test, with settings for a quick voice. */
export class Home {
  readonly folder = mkdtempSync(join(tmpdir(), 'stepcaller-journey-'));

  constructor(settings: Partial<Settings> = {}) {
    mkdirSync(this.folder, { recursive: true });
    const quick = { rate: 2, verbosity: 'short', voice: 'embedded', technician: 'Technician A' };
    writeFileSync(join(this.folder, 'settings.json'), JSON.stringify({ ...quick, ...settings }));
  }

  get jobs(): string {
    return join(this.folder, 'jobs');
  }

  remove(): void {
    rmSync(this.folder, { recursive: true, force: true, maxRetries: 20, retryDelay: 200 });
  }
}

/** Root may not use Chromium's sandbox; anybody else keeps it. */
export const SANDBOX_FLAGS = process.getuid?.() === 0 ? ['--no-sandbox'] : [];
/** For the browser only: grants the microphone as a user would. In Electron the program's own table decides. */
const GRANT = '--use-fake-ui-for-media-stream';

export interface Opened {
  readonly app: ElectronApplication;
  readonly page: Page;
  /** Everything the pages wrote to their consoles. */
  readonly console: string[];
  /** Everything the main process wrote to its error output. */
  readonly words: string[];
}

/** Opens Electron with the built program. */
export async function openElectron(
  home: Home,
  environment: Record<string, string> = {},
  flags: readonly string[] = [],
): Promise<Opened> {
  const app = await _electron.launch({
    executablePath: ELECTRON,
    args: [...SANDBOX_FLAGS, ...flags],
    env: { ...(process.env as Record<string, string>), STEPCALLER_HOME: home.folder, ...environment },
    timeout: 60_000,
  });
  const words: string[] = [];
  app.process().stderr?.on('data', (chunk: Buffer) => words.push(String(chunk)));
  const page = await app.firstWindow({ timeout: 60_000 });
  const lines: string[] = [];
  page.on('console', (message) => lines.push(message.text()));
  page.on('pageerror', (fault) => lines.push(`uncaught: ${fault.message}`));
  await page.getByRole('heading', { level: 1 }).first().waitFor();
  return { app, page, console: lines, words };
}

/** What the bench shows, asked through the page's own bridge. */
export function viewThroughPage(page: Page): Promise<BenchView | null> {
  return page.evaluate(async () => {
    const answer = await window.stepcaller?.ask('job.view', null);
    return (answer?.ok ? answer.value : null) ?? null;
  });
}

/** Opens Debian's Chromium. Where the microphone is not granted the browser refuses it. */
export function openChromium(
  environment: Record<string, string> = {},
  flags: readonly string[] = [],
  grantMicrophone = true,
): Promise<Browser> {
  return chromium.launch({
    executablePath: CHROMIUM,
    headless: false,
    args: [...SANDBOX_FLAGS, ...(grantMicrophone ? [GRANT] : []), ...flags],
    env: { ...(process.env as Record<string, string>), ...environment },
  });
}

/** Waits until the bench is shown. */
export async function onTheBench(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'Leave for later' }).waitFor();
}

/** From the first screen to the running job, by touch: unit, part, plan, start. */
export async function beginJob(page: Page, unit: RegExp, part: RegExp): Promise<void> {
  await page.getByRole('button', { name: unit }).first().click();
  await page.getByRole('checkbox', { name: part }).first().check();
  for (const group of await page.getByRole('group').all()) await group.getByRole('radio').nth(1).check();
  await page.getByRole('button', { name: 'See the plan' }).click();
  await page.getByRole('button', { name: 'Start the job' }).click();
  await onTheBench(page);
}
