/** The logs of a folder of jobs (or of one job) for `review` and `export`; what cannot be read is told. */
import { resolve } from 'node:path';
import type { Language } from '../core/base/language.ts';
import { err, ok, type Result } from '../core/base/result.ts';
import type { JobLog } from '../core/review/model.ts';
import type { Fault } from '../disk/disk-fault.ts';
import { findJobs, mapInTurn, partition, type UnreadJob } from '../disk/job-search.ts';
import { createNodeDisk } from '../disk/node-disk.ts';
import { jobLogOf } from '../store/logs-review.ts';
import { type Console, tellFault } from './console.ts';

export interface FoundLogs {
  readonly logs: readonly JobLog[];
  readonly unread: readonly UnreadJob[];
}

/** That there is no job in a folder. */
export function noJobIn(folder: string, { cli }: Language): Fault {
  const words = cli.faults['no-job'];
  return { code: 'job/not-found', message: words.message({ folder }), mend: words.mend() };
}

/** Errors: those of the disk for the folder itself, `job/not-found` where no job is in it. */
export async function logsOfFolder(folder: string, console: Console): Promise<Result<FoundLogs, Fault>> {
  const disk = createNodeDisk();
  const found = await findJobs(disk, resolve(folder));
  if (!found.ok) return found;
  if (found.value.length === 0) {
    return err(noJobIn(folder, console.language));
  }
  const results = await mapInTurn(found.value, (job) => jobLogOf(disk, job));
  const { jobs, unread } = partition(found.value, results);
  for (const { fault } of unread) tellFault(console, fault);
  for (const log of jobs) {
    if (log.verdict === 'unknown') {
      console.err(console.language.cli.lines['log-left-out']({ job: log.job.job }));
    }
  }
  return ok({ logs: jobs, unread });
}
