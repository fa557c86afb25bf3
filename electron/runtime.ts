/**
 * Finds an Electron runtime and a display, or says in words why there is none. The runtime comes from the
 * environment, from the `electron` package if it was fetched before, or is fetched now, once, with a limit.
 */
import { spawn } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';

/** About 110 MB are fetched; a line that needs longer than this gets browser mode instead. */
export const FETCH_TIMEOUT_MS = 240_000;

export type Found<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly why: string };

/** True where a window can be opened. Only Linux can be without a display. */
export function findDisplay(
  platform: NodeJS.Platform,
  environment: Readonly<Record<string, string | undefined>>,
): Found<string> {
  if (platform !== 'linux') return { ok: true, value: platform };
  const display = environment.WAYLAND_DISPLAY || environment.DISPLAY;
  if (display) return { ok: true, value: display };
  return { ok: false, why: 'there is no display' };
}

/** Path of the fetched runtime of the `electron` package; `undefined` where it was not fetched yet. */
export function fetchedRuntime(root: string): string | undefined {
  const folder = join(root, 'node_modules/electron');
  try {
    const path = join(folder, 'dist', readFileSync(join(folder, 'path.txt'), 'utf8').trim());
    return existsSync(path) ? path : undefined;
  } catch {
    return undefined;
  }
}

/** Runs the package's own fetch; resolves with the reason where it fails or takes too long. */
function fetchRuntime(root: string, timeoutMs: number): Promise<Found<true>> {
  const script = join(root, 'node_modules/electron/install.js');
  if (!existsSync(script))
    return Promise.resolve({ ok: false, why: 'the electron package is not installed' });
  return new Promise((resolve) => {
    const child = spawn(process.execPath, [script], { stdio: ['ignore', 'ignore', 'pipe'] });
    let lastWords = '';
    child.stderr.on('data', (chunk: Buffer) => {
      lastWords = (lastWords + String(chunk)).slice(-2000);
    });
    const timer = setTimeout(() => child.kill(), timeoutMs);
    child.on('error', (fault) =>
      resolve({ ok: false, why: `the Electron runtime could not be fetched (${fault.message})` }),
    );
    child.on('exit', (code, signal) => {
      clearTimeout(timer);
      if (code === 0) resolve({ ok: true, value: true });
      else if (signal !== null) resolve({ ok: false, why: 'fetching the Electron runtime took too long' });
      else resolve({ ok: false, why: `the Electron runtime could not be fetched${reasonIn(lastWords)}` });
    });
  });
}

/** The one telling word of a fetch that failed, such as ENOTFOUND, in brackets. */
function reasonIn(words: string): string {
  const code = /\b(E[A-Z]{4,}|HTTP ?\w* ?\d{3}|Response code \d{3})\b/.exec(words)?.[1];
  return code === undefined ? '' : ` (${code})`;
}

/** The executable to start. Fetches it where it is missing; `say` is told before that. */
export async function findRuntime(
  root: string,
  environment: Readonly<Record<string, string | undefined>>,
  say: (words: string) => void,
): Promise<Found<string>> {
  const named = environment.ELECTRON_EXEC_PATH;
  if (named) {
    return existsSync(named)
      ? { ok: true, value: named }
      : { ok: false, why: 'ELECTRON_EXEC_PATH names a file that is not there' };
  }
  const before = fetchedRuntime(root);
  if (before !== undefined) return { ok: true, value: before };
  say('fetching the Electron runtime, once (about 110 MB) …');
  const fetched = await fetchRuntime(root, FETCH_TIMEOUT_MS);
  if (!fetched.ok) return fetched;
  const now = fetchedRuntime(root);
  return now === undefined
    ? { ok: false, why: 'the Electron runtime is not complete' }
    : { ok: true, value: now };
}

/**
 * Arguments for the executable. A runtime without a default program starts what lies in its
 * `resources/app`; any other one is given the folder of ours.
 */
export function runtimeArguments(
  executable: string,
  root: string,
  environment: Readonly<Record<string, string | undefined>>,
): readonly string[] {
  const hasOwnApp = existsSync(join(dirname(executable), 'resources/app'));
  const flags = environment.STEPCALLER_NO_SANDBOX === '1' ? ['--no-sandbox'] : [];
  return hasOwnApp ? flags : [...flags, root];
}
