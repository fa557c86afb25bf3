/**
 * Job folders on the disk: one folder a job with `job.json`, `log.jsonl`, a `lock` while it is open, and
 * whatever a loss of power left, kept aside as `log.torn-N.bin`. A folder appears under its name only when it
 * is complete and synced; a half-made one keeps a name that begins with `.new-` and is not a job.
 */
import type { Diagnostic } from '../core/base/diagnostic.ts';
import { err, ok, type Result } from '../core/base/result.ts';
import { hashOfJson } from '../core/log/canonical-json.ts';
import { type LogEnd, MAX_LOG_BYTES, type ReadLog, readLog } from '../core/log/codec.ts';
import type { JobFile, StoredLine } from '../core/log/model.ts';
import { belongsTogether } from '../core/log/verify.ts';
import { createSynced, folderOf, removeQuietly } from './atomic-write.ts';
import { attempt, type Fault } from './disk-fault.ts';
import { DiskError, type DiskPort } from './disk-port.ts';
import { fault, faultOfLog } from './fault-words.ts';
import { bytesFromJobFile, jobFileFromBytes, MAX_JOB_FILE_BYTES } from './job-file.ts';
import { type Lock, type ProcessPort, takeLock } from './lock.ts';
import { LogWriter } from './log-writer.ts';

export const JOB_FILE_NAME = 'job.json';
export const LOG_FILE_NAME = 'log.jsonl';
/** More side files than this mean a disk that tears every write: the job is then read-only. */
const MAX_TORN_FILES = 1000;
const JOB_NAME = /^[0-9A-Za-z][0-9A-Za-z._-]{0,119}$/;

/** Whether a text can be the name of a job folder: one path part, no leading dot, at most 120 characters. */
export function isJobName(name: string): boolean {
  return JOB_NAME.test(name) && !name.includes('..');
}

/** What opening a job needs besides the disk. */
export interface FolderPorts {
  readonly disk: DiskPort;
  readonly processes: ProcessPort;
  /** Wall time, RFC 3339 with offset. */
  readonly wall: () => string;
  /** A text that never comes twice, of letters and digits. */
  readonly token: () => string;
}

/** A job open for writing. */
export interface OpenJob {
  readonly folder: string;
  readonly jobFile: JobFile;
  readonly writer: LogWriter;
  readonly lock: Lock;
  readonly lines: readonly StoredLine[];
  readonly end: LogEnd;
  readonly complete: boolean;
  /** What was cut off at opening; null where the log ended cleanly. */
  readonly recovered: { readonly finding: Diagnostic; readonly keptIn: string | null } | null;
}

/** A job read without being opened for writing. */
export interface ReadJob {
  readonly jobFile: JobFile;
  readonly log: ReadLog;
}

/**
 * Makes the folder of a new job: `job.json` and an empty log, written and synced, then given its name. On
 * error nothing of that name is there. Errors: those of the disk, `job/exists`, `job/bad-name`.
 */
export async function createJob(
  ports: FolderPorts,
  jobsFolder: string,
  jobFile: JobFile,
): Promise<Result<OpenJob, Fault>> {
  const { disk } = ports;
  if (!isJobName(jobFile.job)) return err(fault('job/bad-name', { name: jobFile.job.slice(0, 120) }));
  const folder = `${jobsFolder}/${jobFile.job}`;
  const unnamed = `${jobsFolder}/.new-${jobFile.job}`;
  const made = await attempt(async () => {
    await makeFolders(disk, jobsFolder);
    if ((await disk.stat(folder)) !== undefined) return false;
    await disk.mkdir(unnamed);
    await createSynced(disk, `${unnamed}/${JOB_FILE_NAME}`, bytesFromJobFile(jobFile));
    await createSynced(disk, `${unnamed}/${LOG_FILE_NAME}`, new Uint8Array());
    await disk.syncFolder(unnamed);
    await disk.rename(unnamed, folder);
    await disk.syncFolder(jobsFolder);
    return true;
  });
  if (!made.ok) {
    await removeQuietly(disk, `${unnamed}/${JOB_FILE_NAME}`);
    await removeQuietly(disk, `${unnamed}/${LOG_FILE_NAME}`);
    return made;
  }
  if (!made.value) {
    return err(fault('job/exists', { folder }));
  }
  return openJob(ports, folder);
}

/** Folders above a jobs folder that this program may have made. */
const OWN_DEPTH = 4;

/**
 * Makes a folder and the ones above it that are missing, and syncs their names. Names are synced also where the
 * folders are there already: an earlier try may have made them and failed, or died, before its sync.
 */
export async function makeFolders(disk: DiskPort, path: string): Promise<void> {
  const missing: string[] = [];
  for (let at = path; !isTop(at); at = folderOf(at)) {
    const found = await disk.stat(at);
    if (found?.isFolder === true) break;
    if (found !== undefined) throw new DiskError('ENOTDIR', 'mkdir', at);
    missing.unshift(at);
  }
  for (const folder of missing) {
    try {
      await disk.mkdir(folder);
    } catch (thrown) {
      if (!(thrown instanceof DiskError && thrown.code === 'EEXIST')) throw thrown;
    }
  }
  let folder = path;
  for (let depth = 0; depth < OWN_DEPTH && !isTop(folder); depth += 1) {
    await syncName(disk, folder, missing.includes(folder));
    folder = folderOf(folder);
  }
}

function isTop(path: string): boolean {
  return path === '' || path === '/' || path === '.' || folderOf(path) === path || /^[A-Za-z]:$/.test(path);
}

/** A folder above that may not be opened is not of our making, and its names are not our concern. */
async function syncName(disk: DiskPort, folder: string, madeNow: boolean): Promise<void> {
  try {
    await disk.syncFolder(folderOf(folder));
  } catch (thrown) {
    const notOurs = thrown instanceof DiskError && (thrown.code === 'EACCES' || thrown.code === 'EPERM');
    if (!notOurs || madeNow) throw thrown;
  }
}

/** Reads `job.json` and the log of a folder. Never writes. Errors: those of the disk, `job/damaged`, `job/newer-version`. */
export async function readJob(disk: DiskPort, folder: string): Promise<Result<ReadJob, Fault>> {
  const path = `${folder}/${JOB_FILE_NAME}`;
  const bytes = await attempt(() => disk.readFile(path, MAX_JOB_FILE_BYTES));
  if (!bytes.ok) return bytes;
  const jobFile = jobFileFromBytes(bytes.value, path);
  if (!jobFile.ok) return jobFile;
  const log = await attempt(() => disk.readFile(`${folder}/${LOG_FILE_NAME}`, MAX_LOG_BYTES));
  if (!log.ok) return log;
  return ok({ jobFile: jobFile.value, log: readLog(log.value) });
}

/** The fault of a log that may not be written to, or undefined where it may. */
function refusalOf({ jobFile, log }: ReadJob, folder: string): Fault | undefined {
  const damage = log.diagnostics.find((found) => found.severity === 'error');
  if (damage !== undefined) {
    const code = damage.code === 'log/newer-version' ? 'job/newer-version' : 'job/log-unknown';
    return faultOfLog(code, damage, folder);
  }
  if (!belongsTogether(jobFile, log)) {
    return faultOfLog('job/log-unknown', { code: 'log/first-hash', severity: 'error', facts: {} }, folder);
  }
  return undefined;
}

/**
 * Opens a job for writing: takes its lock, reads and checks it, and cuts off a torn tail after keeping it in a
 * side file. Errors: `job/locked`, `job/log-unknown`, `job/newer-version`, `job/damaged`, those of the disk;
 * the lock is given back then.
 */
export async function openJob(ports: FolderPorts, folder: string): Promise<Result<OpenJob, Fault>> {
  const { disk } = ports;
  const present = await attempt(() => disk.stat(`${folder}/${JOB_FILE_NAME}`));
  if (!present.ok) return present;
  if (present.value === undefined) {
    return err(fault('job/not-found', { folder }));
  }
  const lock = await takeLock(disk, folder, ports.processes, { since: ports.wall(), token: ports.token() });
  if (!lock.ok) return lock;
  const opened = await openLocked(disk, folder, lock.value);
  if (!opened.ok) await lock.value.release();
  return opened;
}

async function openLocked(disk: DiskPort, folder: string, lock: Lock): Promise<Result<OpenJob, Fault>> {
  const read = await readJob(disk, folder);
  if (!read.ok) return read;
  const refusal = refusalOf(read.value, folder);
  if (refusal !== undefined) return err(refusal);
  const { jobFile, log } = read.value;
  const path = `${folder}/${LOG_FILE_NAME}`;
  return attempt(async () => {
    const keptIn = log.tornTail === null ? null : await keepTornTail(disk, folder, log.goodBytes);
    const file = await disk.openAppend(path);
    try {
      if (log.tornTail !== null) {
        await file.truncate(log.goodBytes);
        await file.sync();
      } else {
        // What is read may be only in the memory of the system yet: after a crash of the program, not of the power.
        await file.sync();
      }
    } catch (thrown) {
      await file.close();
      throw thrown;
    }
    const warning = log.diagnostics.find((found) => found.code === 'log/torn-tail');
    return {
      folder,
      jobFile,
      lock,
      writer: new LogWriter(file, path, log.goodBytes),
      lines: log.lines,
      end: log.lines.length === 0 ? { ...log.end, prev: hashOfJson(jobFile) } : log.end,
      complete: log.verdict === 'complete',
      recovered: warning === undefined ? null : { finding: warning, keptIn },
    };
  });
}

/** Copies what follows the trusted part into a side file and syncs it and its name, before anything is cut. */
async function keepTornTail(disk: DiskPort, folder: string, goodBytes: number): Promise<string | null> {
  const bytes = await disk.readFile(`${folder}/${LOG_FILE_NAME}`, MAX_LOG_BYTES);
  const tail = bytes.subarray(goodBytes);
  if (tail.length === 0) return null;
  for (let number = 1; number <= MAX_TORN_FILES; number += 1) {
    const path = `${folder}/log.torn-${number}.bin`;
    if ((await disk.stat(path)) !== undefined) continue;
    await createSynced(disk, path, tail);
    await disk.syncFolder(folder);
    return path;
  }
  throw new DiskError('EEXIST', 'create', `${folder}/log.torn-${MAX_TORN_FILES}.bin`);
}

/** Closes a job and gives its lock back. */
export async function closeJob(job: OpenJob): Promise<Result<null, Fault>> {
  const closed = await job.writer.close();
  await job.lock.release();
  return closed;
}
