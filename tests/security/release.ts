/**
 * Looks at a packaged program as a user has it, by hand after `npm run package`:
 * `npx tsx tests/security/release.ts dist/linux-unpacked/stepcaller` (on Linux beneath `xvfb-run -a`). What lies in
 * the archive and its checksums; a job begun by touch and left; the review, whose store runs from the archive; the
 * environment that must not turn the program into a Node; and what becomes of an archive with one byte changed.
 */
import { spawn, spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  closeSync,
  cpSync,
  existsSync,
  mkdtempSync,
  openSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, dirname, join } from 'node:path';
import { WebSocket } from 'ws';
import { stepcaller } from '../journey/job-on-disk.ts';
import { Home, SANDBOX_FLAGS } from '../journey/programs.ts';

const OPEN_MS = 60_000;
/** The size and the entries of an archive stand in front of its files, each behind lengths of four bytes. */
const LENGTHS_BYTES = 16;

interface Entry {
  readonly files?: Readonly<Record<string, Entry>>;
  readonly size?: number;
  readonly offset?: string;
  readonly unpacked?: boolean;
  readonly integrity?: { readonly algorithm: string; readonly hash: string };
}
interface ArchivedFile {
  readonly path: string;
  /** First byte in the archive. */
  readonly at: number;
  readonly bytes: Buffer;
  readonly sha256: string | undefined;
}

function filesOfArchive(file: string): readonly ArchivedFile[] {
  const archive = readFileSync(file);
  const root = JSON.parse(
    archive.toString('utf8', LENGTHS_BYTES, LENGTHS_BYTES + archive.readUInt32LE(12)),
  ) as Entry;
  const from = 8 + archive.readUInt32LE(4);
  const found: ArchivedFile[] = [];
  const walk = (entry: Entry, path: string): void => {
    for (const [name, inner] of Object.entries(entry.files ?? {})) walk(inner, `${path}/${name}`);
    if (entry.files !== undefined || entry.unpacked === true) return;
    const at = from + Number(entry.offset);
    const bytes = archive.subarray(at, at + Number(entry.size));
    found.push({ path, at, bytes, sha256: entry.integrity?.hash });
  };
  walk(root, '');
  return found;
}

let wrong = 0;
function tell(right: boolean, what: string): void {
  if (!right) wrong += 1;
  process.stdout.write(`${right ? 'right' : 'WRONG'}  ${what}\n`);
}

interface Running {
  /** Everything that the program wrote to its error output. */
  readonly words: readonly string[];
  /** Gives what a piece of code in the page comes to. */
  inPage(code: string): Promise<unknown>;
  /** Closes the window as a user would and gives the code that the program ends with. */
  end(): Promise<number | null>;
}

/** Starts the program; `undefined` where it ended, or opened nothing, within the time. */
async function opened(executable: string, home: Home): Promise<Running | undefined> {
  const child = spawn(executable, [...SANDBOX_FLAGS, '--remote-debugging-port=0'], {
    env: { ...process.env, STEPCALLER_HOME: home.folder },
    stdio: ['ignore', 'ignore', 'pipe'],
  });
  process.once('exit', () => child.kill('SIGKILL'));
  const words: string[] = [];
  child.stderr.on('data', (chunk: Buffer) => words.push(String(chunk)));
  const ended = new Promise<number | null>((resolve) => child.once('exit', resolve));
  const port = (): string | undefined => /listening on ws:\/\/[^:]+:(\d+)/.exec(words.join(''))?.[1];
  try {
    await until(() => port() !== undefined || child.exitCode !== null);
    const pages = async () =>
      (await (await fetch(`http://127.0.0.1:${port()}/json/list`)).json()) as readonly {
        readonly url: string;
        readonly webSocketDebuggerUrl: string;
      }[];
    const bench = async () => (await pages()).find((one) => one.url.startsWith('app://bench/'));
    await until(async () => (await bench()) !== undefined);
    const inPage = await scriptsOf((await bench())?.webSocketDebuggerUrl ?? '');
    const end = (): Promise<number | null> => {
      void inPage('window.close()');
      return ended;
    };
    return { words, inPage, end };
  } catch {
    child.kill('SIGKILL');
    return undefined;
  }
}

async function until(holds: () => boolean | Promise<boolean>): Promise<void> {
  for (const began = performance.now(); performance.now() - began < OPEN_MS; ) {
    if (await holds()) return;
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  throw new Error(`not within ${OPEN_MS} ms: ${holds.toString()}`);
}

/** The page's debugger, which a program that is started by hand may have: what it evaluates. */
async function scriptsOf(address: string): Promise<Running['inPage']> {
  const socket = new WebSocket(address);
  await new Promise((resolve, reject) => socket.once('open', resolve).once('error', reject));
  let last = 0;
  const waiting = new Map<number, (value: unknown) => void>();
  socket.on('message', (data) => {
    const answer = JSON.parse(String(data)) as { id: number; result?: { result?: { value?: unknown } } };
    waiting.get(answer.id)?.(answer.result?.result?.value);
    waiting.delete(answer.id);
  });
  return (expression) =>
    new Promise((resolve) => {
      last += 1;
      const id = last;
      waiting.set(id, resolve);
      const params = { expression, awaitPromise: true, returnByValue: true };
      socket.send(JSON.stringify({ id, method: 'Runtime.evaluate', params }));
    });
}

/** Presses the first thing of this kind whose words match, once it is there. */
async function press(running: Running, what: string, words: RegExp): Promise<void> {
  const find = `[...document.querySelectorAll('${what}')].find((one) => ${words}.test(one.textContent ?? ''))`;
  await until(async () => (await running.inPage(`(${find}) !== undefined`)) === true);
  await running.inPage(`${find}.click()`);
}

async function lookAtIt(executable: string): Promise<void> {
  const home = new Home();
  try {
    const running = await opened(executable, home);
    tell(running !== undefined, 'starts and shows its page from the archive');
    if (running === undefined) return;
    await press(running, 'button', /WT-3/);
    await press(running, 'label', /battery pack/i);
    for (const radio of [1, 3])
      await running.inPage(`document.querySelectorAll('[type=radio]')[${radio}]?.click()`);
    await press(running, 'button', /See the plan/);
    await press(running, 'button', /Start the job/);
    await press(running, 'button', /Leave for later/);
    await press(running, 'button', /^Review/);
    await until(async () => existsSync(join(home.folder, 'store')));
    await until(
      async () => (await running.inPage('document.querySelectorAll("main dl").length > 0')) === true,
    );
    tell(
      true,
      `the review shows ${String(await running.inPage('document.querySelector("main dl").innerText')).replaceAll('\n', ' ')}`,
    );
    const code = await running.end();
    tell(code === 0, `ends with code ${code} when its window is closed`);
    const faults = running.words.filter((line) => line.includes('stepcaller:'));
    tell(faults.length === 0, `tells of no fault ${faults.join(' | ')}`);
    const [job] = readdirSync(home.jobs);
    const check = stepcaller('verify', join(home.jobs, job ?? '')).json as {
      verdict: string;
      findings: unknown[];
    };
    tell(
      check.verdict === 'unfinished' && check.findings.length === 0,
      `the job that was begun is ${check.verdict}`,
    );
  } finally {
    home.remove();
  }
}

/** Whether the program starts with one byte of its main file changed, in a copy. */
async function changeOneByte(executable: string): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'stepcaller-changed-'));
  const home = new Home();
  try {
    cpSync(dirname(executable), folder, { recursive: true });
    const archive = join(folder, 'resources/app.asar');
    const main = filesOfArchive(archive).find((one) => one.path === '/out/main/main.cjs');
    if (main === undefined) throw new Error('no main file in the archive');
    // A letter of a sentence that is written when a second program is started: it changes nothing else.
    const at = main.bytes.indexOf('its window was brought');
    if (at < 0) throw new Error('the sentence is not in the main file');
    const file = openSync(archive, 'r+');
    writeSync(file, 'I', main.at + at);
    closeSync(file);
    const running = await opened(join(folder, basename(executable)), home);
    await running?.end();
    const refused = running === undefined;
    tell(
      refused || process.platform === 'linux',
      `one byte changed: ${refused ? 'refused' : 'started all the same (Electron checks archives on macOS and Windows only)'}`,
    );
  } finally {
    rmSync(folder, { recursive: true, force: true });
    home.remove();
  }
}

const executable = process.argv[2];
if (executable === undefined) {
  process.stderr.write('usage: tsx tests/security/release.ts EXECUTABLE\n');
  process.exit(2);
}
const files = filesOfArchive(join(dirname(executable), 'resources/app.asar'));
const unequal = files.filter((file) => createHash('sha256').update(file.bytes).digest('hex') !== file.sha256);
tell(
  files.length > 0 && unequal.length === 0,
  `${files.length} files in the archive, each as its checksum says`,
);
for (const needed of ['/out/main/main.cjs', '/out/main/record-store-worker.cjs', '/out/preload/preload.cjs'])
  tell(
    files.some((file) => file.path === needed),
    `${needed} is in the archive`,
  );
const strange = files.filter(
  (file) =>
    !/^\/(out\/(main|preload|renderer)\/|package\.json$|node_modules\/@electric-sql\/pglite\/)/.test(
      file.path,
    ),
);
tell(strange.length === 0, `nothing else is ${strange.map((file) => file.path).join(' ')}`);
const asNode = spawnSync(executable, [...SANDBOX_FLAGS, '-e', 'console.log("as node")'], {
  env: { ...process.env, ELECTRON_RUN_AS_NODE: '1', NODE_OPTIONS: '--require=/nowhere.cjs' },
  encoding: 'utf8',
  timeout: 10_000,
});
tell(!asNode.stdout.includes('as node'), 'the environment does not make a Node of it');
await lookAtIt(executable);
await changeOneByte(executable);
process.exitCode = wrong === 0 ? 0 : 1;
