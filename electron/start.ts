/**
 * `npm start`: builds what is missing, opens the program in Electron, or serves it to a browser on this
 * machine where there is no Electron runtime or no display, and says in one line which it is.
 */
import { spawn } from 'node:child_process';
import { homedir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { isBuilt, stampBuild } from './build-state.ts';
import { openCommand, writeOpeningPage } from './opening-page.ts';
import { type Found, findDisplay, findRuntime, runtimeArguments } from './runtime.ts';
import { type Serving, serve } from './serve.ts';
import { openShellHost } from './shell-host.ts';

/** A runtime that ends with a fault this soon could not open its window (missing library, no sandbox). */
const EARLY_END_MS = 15_000;

const root = join(dirname(fileURLToPath(import.meta.url)), '..');

function say(words: string): void {
  process.stdout.write(`Stepcaller: ${words}\n`);
}

/** Builds pages and main process with electron-vite. */
export async function buildAll(): Promise<void> {
  const { build } = await import('electron-vite');
  await build({ root, configFile: join(root, 'electron.vite.config.ts'), logLevel: 'warn' });
  stampBuild(root);
}

async function electronRuntime(): Promise<Found<string>> {
  if (process.env.STEPCALLER_BROWSER === '1' || process.argv.includes('--browser')) {
    return { ok: false, why: 'browser mode was asked for' };
  }
  const display = findDisplay(process.platform, process.env);
  if (!display.ok) return display;
  return findRuntime(root, process.env, say);
}

/** Runs Electron until it ends. Resolves with the reason where it could not open. */
function runElectron(executable: string): Promise<Found<number>> {
  const started = performance.now();
  return new Promise((resolve) => {
    const child = spawn(executable, runtimeArguments(executable, root, process.env), { stdio: 'inherit' });
    const pass = (signal: NodeJS.Signals) => () => child.kill(signal);
    process.once('SIGINT', pass('SIGINT'));
    process.once('SIGTERM', pass('SIGTERM'));
    child.on('error', (fault) => resolve({ ok: false, why: `Electron did not start (${fault.message})` }));
    child.on('exit', (code, signal) => {
      const early = performance.now() - started < EARLY_END_MS;
      if (code === 0 || !early || signal === 'SIGINT' || signal === 'SIGTERM') {
        resolve({ ok: true, value: code ?? 0 });
      } else resolve({ ok: false, why: `Electron ended at once (${signal ?? `code ${code}`})` });
    });
  });
}

/** Opens the address with what the system opens web pages with; silent where there is nothing. */
function openBrowser(address: string): void {
  if (process.env.STEPCALLER_NO_OPEN === '1') return;
  if (!findDisplay(process.platform, process.env).ok) return;
  try {
    const page = writeOpeningPage(homedir(), address);
    process.on('exit', page.remove);
    const [command, ...given] = openCommand(process.platform, page.path);
    const child = spawn(command, given, { stdio: 'ignore', detached: true });
    child.on('error', page.remove); // The address stands in the terminal; nothing more to say.
    child.unref();
  } catch (fault) {
    process.stderr.write(`stepcaller: ${fault instanceof Error ? fault.message : String(fault)}\n`);
  }
}

function portAsked(): number {
  const port = Number(process.env.STEPCALLER_PORT ?? 0);
  return Number.isInteger(port) && port >= 0 && port <= 65_535 ? port : 0;
}

async function serveBrowser(why: string): Promise<void> {
  const { host, checks, roots } = openShellHost({
    root,
    pages: join(root, 'out/renderer'),
    mode: 'browser',
  });
  const serving: Serving = await serve({
    roots,
    host,
    checks,
    port: portAsked(),
    report: (message) => process.stderr.write(`stepcaller: ${message}\n`),
  });
  const address = serving.newAddress();
  say(`${why}, so it runs in the browser of this machine: ${address} (Ctrl+C ends it)`);
  openBrowser(address);
  let ending = false;
  const end = (): void => {
    if (ending) return;
    ending = true;
    void host
      .ask('job.leave', null)
      .then(() => host.close())
      .then(() => serving.close())
      .finally(() => process.exit(0));
  };
  process.on('SIGINT', end);
  process.on('SIGTERM', end);
  if (process.stdin.isTTY) {
    process.stdin.on('data', () => say(`another address, for once: ${serving.newAddress()}`));
  }
}

async function start(): Promise<void> {
  if (!isBuilt(root)) {
    say('building …');
    await buildAll();
  }
  if (process.argv.includes('--build')) return;
  const runtime = await electronRuntime();
  if (!runtime.ok) return serveBrowser(runtime.why);
  say('opening the window');
  const ended = await runElectron(runtime.value);
  if (!ended.ok) return serveBrowser(ended.why);
  process.exitCode = ended.value;
}

start().catch((fault: unknown) => {
  process.stderr.write(
    `stepcaller: could not start: ${fault instanceof Error ? (fault.stack ?? '') : String(fault)}\n`,
  );
  process.exitCode = 1;
});
