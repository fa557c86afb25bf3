/** Starts the program in browser mode the way a user does: by `npm start`, reading the address it prints. */
import { type ChildProcess, spawn } from 'node:child_process';
import { type Home, ROOT } from './programs.ts';

const START_TIMEOUT_MS = 120_000;

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
    end: () =>
      new Promise((resolve) => {
        if (child.exitCode !== null || child.pid === undefined) {
          resolve();
          return;
        }
        child.on('exit', () => resolve());
        // npm, its shell and the program are one group.
        process.kill(-child.pid, 'SIGTERM');
      }),
  };
}
