/**
 * The review from the logs themselves, without a database: for few jobs, while the record store rests, and where
 * there is none.
 */
import { ok, type Result } from '../core/base/result.ts';
import { xesOf } from '../core/export/xes.ts';
import { verdictOf } from '../core/log/verify.ts';
import { compareGroups, type GroupComparison, type JobGroup } from '../core/review/groups.ts';
import type { JobLog, JobTimes, ReviewSummary } from '../core/review/model.ts';
import { aliasOf } from '../core/review/people.ts';
import { stepTimes } from '../core/review/step-times.ts';
import { type ReviewOptions, reviewSummary, withNotice } from '../core/review/summary.ts';
import type { Fault } from '../disk/disk-fault.ts';
import type { DiskPort } from '../disk/disk-port.ts';
import { readJob } from '../disk/job-folder.ts';
import { findJobs, mapInTurn, partition, type UnreadJob } from '../disk/job-search.ts';
import { type KnownPlans, readForImport } from './read-for-import.ts';

/** Jobs in one review that is made from the logs: the newest. */
export const MAX_REVIEWED_JOBS = 2000;
/** Progress is told every so many jobs. */
const TELL_EVERY = 50;

export interface Logs {
  readonly disk: DiskPort;
  readonly folder: string;
  /** Jobs read, the newest; `MAX_REVIEWED_JOBS` by default. */
  readonly most?: number | undefined;
  readonly onProgress?: ((done: number, total: number) => void) | undefined;
}

/** Reads one job with the verdict on its log. Errors: those of `readJob`. */
export async function jobLogOf(disk: DiskPort, folder: string): Promise<Result<JobLog, Fault>> {
  const read = await readJob(disk, folder);
  if (!read.ok) return read;
  const { jobFile, log } = read.value;
  return ok({ job: jobFile, lines: log.lines, verdict: verdictOf(jobFile, log) });
}

interface Newest<T> {
  readonly jobs: readonly T[];
  readonly unread: readonly UnreadJob[];
  /** Jobs in the folder that are older. */
  readonly older: number;
}

/** `work` for each of the newest logs; a folder that was never made is empty. */
async function newest<T>(
  { disk, folder, most = MAX_REVIEWED_JOBS, onProgress }: Logs,
  work: (log: JobLog) => T,
): Promise<Result<Newest<T>, Fault>> {
  const found = await findJobs(disk, folder);
  if (!found.ok) return found.error.code === 'disk/enoent' ? ok({ jobs: [], unread: [], older: 0 }) : found;
  const folders = found.value.slice(-most);
  const plans: KnownPlans = new Set();
  let done = 0;
  const read = await mapInTurn(folders, async (job): Promise<Result<T, Fault>> => {
    // The quick reader takes what is sound; the other one says how far a log can be trusted.
    const quick = await readForImport(job, () => false, plans);
    const log = quick.kind === 'job' ? ok<JobLog>(quick.read) : await jobLogOf(disk, job);
    done += 1;
    if (done % TELL_EVERY === 0) onProgress?.(done, folders.length);
    return log.ok ? ok(work(log.value)) : log;
  });
  return ok({ ...partition(folders, read), older: found.value.length - folders.length });
}

/** The times of one job. */
export const timesOfLog = (log: JobLog): JobTimes => stepTimes(log.job, log.lines, log.verdict);

/** The review of the newest jobs; a notice tells where there are more. Error: the folder cannot be read. */
export async function reviewOfLogs(
  logs: Logs,
  options: ReviewOptions,
): Promise<Result<ReviewSummary, Fault>> {
  const read = await newest(logs, timesOfLog);
  if (!read.ok) return read;
  const { jobs, unread, older } = read.value;
  const rejected = unread.map(({ folder, fault }) => ({
    job: folder.slice(folder.lastIndexOf('/') + 1),
    line: null,
    code: fault.code,
    message: fault.message,
  }));
  const summary = reviewSummary(jobs, { ...options, rejected });
  if (older === 0) return ok(summary);
  const looked = jobs.length + unread.length;
  return ok(withNotice(summary, 'review/latest-only', { jobs: looked, total: looked + older }));
}

/** Two groups of the newest jobs compared. Error: the folder cannot be read. */
export async function compareLogs(
  logs: Logs,
  a: JobGroup,
  b: JobGroup,
  options: ReviewOptions,
): Promise<Result<GroupComparison, Fault>> {
  const read = await newest(logs, timesOfLog);
  return read.ok ? ok(compareGroups(read.value.jobs, a, b, options)) : read;
}

/** The event log (XES) of the newest jobs, of one product where `options` names one. Error: the folder cannot be read. */
export async function eventLogOf(logs: Logs, options: ReviewOptions): Promise<Result<string, Fault>> {
  const read = await newest(logs, (log) => log);
  if (!read.ok) return read;
  const { jobs } = read.value;
  // Pseudonyms come from all jobs, as in the review.
  const alias = aliasOf(jobs.map(timesOfLog), options.show ?? 'pseudonyms');
  const product = options.product ?? null;
  return ok(
    xesOf(
      jobs.filter((log) => product === null || log.job.plan.product === product),
      alias,
    ),
  );
}
