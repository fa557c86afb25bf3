/** Job folders below a folder, and their logs read for review; tolerant of everything else that lies there. */
import type { Result } from '../core/base/result.ts';
import { attempt, type Fault } from './disk-fault.ts';
import type { DiskPort } from './disk-port.ts';
import { isJobName, JOB_FILE_NAME } from './job-folder.ts';

/** More folders than this are not looked through at once. */
export const MAX_JOBS = 100_000;
const AT_ONCE = 16;

/**
 * The job folders in `folder`, sorted by name and so by time; `folder` itself where it is a job. Files, half-made
 * jobs and foreign folders are passed over. Errors: those of the disk for `folder` itself.
 */
export async function findJobs(disk: DiskPort, folder: string): Promise<Result<readonly string[], Fault>> {
  return attempt(async () => {
    if (await isJob(disk, folder)) return [folder];
    const names = (await disk.readdir(folder)).filter(isJobName).sort().slice(-MAX_JOBS);
    const found = await mapInTurn(names, async (name) => {
      const answer = await attempt(() => isJob(disk, `${folder}/${name}`));
      return answer.ok && answer.value;
    });
    return names.filter((_, index) => found[index]).map((name) => `${folder}/${name}`);
  });
}

async function isJob(disk: DiskPort, folder: string): Promise<boolean> {
  const stat = await disk.stat(`${folder}/${JOB_FILE_NAME}`);
  return stat !== undefined && !stat.isFolder;
}

/** Runs work for each item, a few at once, and gives the answers in the order of the items. */
export async function mapInTurn<T, R>(items: readonly T[], work: (item: T) => Promise<R>): Promise<R[]> {
  const answers: R[] = new Array(items.length);
  let next = 0;
  const worker = async (): Promise<void> => {
    while (next < items.length) {
      const index = next;
      next += 1;
      answers[index] = await work(items[index] as T);
    }
  };
  await Promise.all(Array.from({ length: Math.min(AT_ONCE, items.length) }, worker));
  return answers;
}

/** One word for what is in a folder of jobs that cannot be read. */
export interface UnreadJob {
  readonly folder: string;
  readonly fault: Fault;
}

/** Splits results into values and the folders that could not be read. */
export function partition<T>(
  folders: readonly string[],
  results: readonly Result<T, Fault>[],
): { readonly jobs: readonly T[]; readonly unread: readonly UnreadJob[] } {
  const jobs: T[] = [];
  const unread: UnreadJob[] = [];
  for (const [index, result] of results.entries()) {
    if (result.ok) jobs.push(result.value);
    else unread.push({ folder: folders[index] ?? '', fault: result.error });
  }
  return { jobs, unread };
}
