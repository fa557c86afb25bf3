/** Ports for tests: processes that live and die on command, and a jobs folder on a simulated disk. */

import type { DiskPort } from '../../electron/disk/disk-port.ts';
import type { FolderPorts } from '../../electron/disk/job-folder.ts';
import type { ProcessPort } from '../../electron/disk/lock.ts';

/** The processes of one imagined computer. */
export class SimulatedProcesses {
  readonly #started = new Map<number, string | null>();
  #lastPid = 100;
  #starts = 0;

  /** A new process; `pid` may be one that was used before. */
  start(pid = this.#lastPid + 1, knowsStart = true): ProcessPort {
    this.#lastPid = Math.max(this.#lastPid, pid);
    this.#starts += 1;
    this.#started.set(pid, knowsStart ? `boot-1/${this.#starts}` : null);
    return {
      pid,
      host: 'bench-7',
      program: 'Stepcaller 0.1.0',
      startOf: async (asked) => (this.#started.has(asked) ? this.#started.get(asked) : undefined),
    };
  }

  end(process: ProcessPort): void {
    this.#started.delete(process.pid);
  }
}

let tokens = 0;

/** What a program needs to open job folders. */
export function folderPorts(disk: DiskPort, processes: ProcessPort): FolderPorts {
  return {
    disk,
    processes,
    wall: () => '2026-03-01T09:30:00.000+01:00',
    token: () => {
      tokens += 1;
      return `t${tokens}`;
    },
  };
}
