/**
 * A program that works through a job on the real disk and says after each thing that counts how long the log
 * is. Killed from outside. Arguments: jobs folder, `start` or `reopen` or `hold` (opens and waits).
 */
import { readFileSync, writeSync } from 'node:fs';
import { createNodeDisk } from '../../electron/disk/node-disk.ts';
import { createNodeProcesses } from '../../electron/disk/node-processes.ts';
import { type OpenedDisk, Session } from './session.ts';
import { jobFileOf, SHORT_PLAN } from './short-plan.ts';

/** The disk of this computer, with a look past the program. */
export function realDisk(): OpenedDisk {
  return {
    ...createNodeDisk(),
    peek: (path) => {
      try {
        return new Uint8Array(readFileSync(path));
      } catch {
        return undefined; // not there: the answer of a look
      }
    },
  };
}

const [jobsFolder, mode] = process.argv.slice(2);
if (jobsFolder !== undefined && mode !== undefined && process.argv[1]?.endsWith('child.ts') === true) {
  const session = new Session(
    realDisk(),
    createNodeProcesses('Stepcaller in a test'),
    jobFileOf(SHORT_PLAN),
    1,
    jobsFolder,
  );
  session.onConfirmed = () => writeSync(1, `confirmed ${session.confirmed.length}\n`);
  const opened = mode === 'start' ? await session.start() : await session.reopen();
  if (!opened.ok) writeSync(1, `refused ${session.faults[0]?.code}: ${session.faults[0]?.message}\n`);
  else if (mode === 'hold') setInterval(() => undefined, 60_000);
  else {
    await session.work(0);
    writeSync(1, 'finished\n');
  }
}
