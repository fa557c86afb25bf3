/** The processes of this computer, for telling whether the holder of a lock still runs. */
import { readFile } from 'node:fs/promises';
import { hostname } from 'node:os';
import process from 'node:process';
import type { ProcessPort } from './lock.ts';

function isRunning(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (thrown) {
    // EPERM: it runs, but belongs to another user.
    return (thrown as { code?: string }).code === 'EPERM';
  }
}

/** Boot id and start tick: together they name one process for good. Only Linux says this in a file. */
async function linuxStart(pid: number): Promise<string | null> {
  try {
    const [boot, stat] = await Promise.all([
      readFile('/proc/sys/kernel/random/boot_id', 'utf8'),
      readFile(`/proc/${pid}/stat`, 'utf8'),
    ]);
    // The second field is the program's name in brackets and may hold anything; count from its end.
    const ticks = stat.slice(stat.lastIndexOf(')') + 2).split(' ')[19];
    return ticks === undefined ? null : `${boot.trim()}/${ticks}`;
  } catch {
    return null; // no such file on this system: the start is not known
  }
}

/** `program` is the name a second program shows its user. */
export function createNodeProcesses(program: string): ProcessPort {
  return {
    pid: process.pid,
    host: hostname(),
    program,
    startOf: async (pid) => (isRunning(pid) ? await linuxStart(pid) : undefined),
  };
}
