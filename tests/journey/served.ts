/** Starts the program in browser mode the way a user does: by `npm start`, reading the address it prints. */
import { type ChildProcess, spawn } from 'node:child_process';
import { type Home, ROOT } from './programs.ts';

const START_TIMEOUT_MS = 120_000;
const END_TIMEOUT_MS = 10_000;

export interface Served {
  readonly process: ChildProcess;
  readonly address: string;
  /** Everything it printed. */
  readonly words: string[];
  end(): Promise<void>;
}

export async function startBrowserMode(
  home: Home,
  environment: Record<string, string> = {},
): Promise<Served> {
  const child = spawn('npm', ['start'], {
    cwd: ROOT,
    env: {
      ...process.env,
      STEPCALLER_HOME: home.folder,
      STEPCALLER_BROWSER: '1',
      STEPCALLER_NO_OPEN: '1',
      ...environment,
    },
    stdio: ['ignore', 'pipe', 'pipe'],
    detached: true,
  });
  const words: string[] = [];
  const address = await new Promise<string>((resolve, reject) => {
    const timer = setTimeout(() => reject(new Error(`no address: ${words.join('')}`)), START_TIMEOUT_MS);
    const read = (chunk: Buffer): void => {
      words.push(String(chunk));
      const found = /http:\/\/127\.0\.0\.1:\d+\/open\/[\w-]+/.exec(words.join(''))?.[0];
      if (found === undefined) return;
      clearTimeout(timer);
      resolve(found);
    };
    child.stdout?.on('data', read);
    child.stderr?.on('data', read);
    child.on('exit', (code) => reject(new Error(`npm start ended with ${code}: ${words.join('')}`)));
  });
  return {
    process: child,
    address,
    words,
    end: () => endGroup(child),
  };
}

/**
 * Ends a detached program and everything it started (npm, its shell, the program, the window's processes: one
 * group), and waits until the last of them is gone: one that lives on still writes into the test's home.
 */
export async function endGroup(child: ChildProcess): Promise<void> {
  if (child.pid === undefined) return;
  const group = -child.pid;
  const patience = Date.now() + END_TIMEOUT_MS;
  let left = signalled(group, 'SIGTERM');
  while (left && Date.now() < patience) {
    await new Promise((resolve) => setTimeout(resolve, 50));
    left = signalled(group, 0);
  }
  // What nobody reaps counts as left for ever, so this is the last word.
  if (left) signalled(group, 'SIGKILL');
}

/** Sends a signal to a group; false when none of it is left. */
function signalled(group: number, signal: NodeJS.Signals | 0): boolean {
  try {
    return process.kill(group, signal);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ESRCH') return false;
    throw error;
  }
}
