/** One job folder, read and checked for the record store. */
import { textFromBytes } from '../core/log/canonical-json.ts';
import { MAX_LOG_BYTES, readLog } from '../core/log/codec.ts';
import type { JobFile, LogLine, Verdict } from '../core/log/model.ts';
import { logDiagnosticText } from '../core/log/words.ts';
import { rejectionText } from '../core/review/words.ts';
import { jobFileFromBytes, MAX_JOB_FILE_BYTES } from '../disk/job-file.ts';
import { JOB_FILE_NAME, LOG_FILE_NAME } from '../disk/job-folder.ts';
import { readRegularFile } from '../disk/regular-file.ts';
import { quickRead, sha256Of } from './quick-read.ts';

/** A log that is not taken, and why. */
export interface RejectedLog {
  readonly folder: string;
  readonly log_sha256: string;
  readonly code: string;
  /** Line from 1 where the trust ends; null where it is not about a line. */
  readonly line: number | null;
  readonly message: string;
}

export interface ReadForImport {
  readonly folder: string;
  readonly job: JobFile;
  readonly job_sha256: string;
  readonly log_sha256: string;
  readonly lines: readonly LogLine[];
  readonly verdict: Verdict;
}

export type ImportRead =
  | { readonly kind: 'job'; readonly read: ReadForImport }
  | { readonly kind: 'rejected'; readonly rejected: RejectedLog }
  | { readonly kind: 'unchanged' }
  /** No job lies here (another folder, a job being made this moment). */
  | { readonly kind: 'nothing' };

/** Plans whose job file was checked in full; the hash stands for the plan. */
export type KnownPlans = Set<string>;

/**
 * The job file. In full for the first of each plan; for the others it is enough that the plan is the one with
 * that hash, which is most of the bytes.
 */
function readJobFile(
  bytes: Uint8Array,
  path: string,
  known: KnownPlans,
): JobFile | { message: string; code: string } {
  const text = textFromBytes(bytes);
  try {
    const value = JSON.parse(text ?? '') as JobFile;
    // Canonical JSON comes back from JSON.stringify as it was written.
    if (known.has(value.plan_sha256) && sha256Of(JSON.stringify(value.plan)) === value.plan_sha256) {
      if (value.format === 1 && typeof value.job === 'string' && typeof value.product_sha256 === 'string')
        return value;
    }
  } catch {
    // not JSON: the full check below says so in words
  }
  const checked = jobFileFromBytes(bytes, path);
  if (!checked.ok) return checked.error;
  known.add(checked.value.plan_sha256);
  return checked.value;
}

async function bytesOf(
  path: string,
  limit: number,
): Promise<Uint8Array | 'none' | 'too-large' | 'unreadable'> {
  try {
    return await readRegularFile(path, limit);
  } catch (thrown) {
    const code = (thrown as { code?: string }).code;
    if (code === 'EFBIG') return 'too-large';
    return code === 'ENOENT' || code === 'ENOTDIR' ? 'none' : 'unreadable';
  }
}

/**
 * Reads a folder. `isKnown` says whether the store has this very log already, by the hash of its bytes. A torn
 * tail (what a loss of power leaves) is no reason to reject: the trusted part is taken.
 */
export async function readForImport(
  folder: string,
  isKnown: (jobSha256: string, logSha256: string) => boolean,
  known: KnownPlans,
): Promise<ImportRead> {
  const jobBytes = await bytesOf(`${folder}/${JOB_FILE_NAME}`, MAX_JOB_FILE_BYTES);
  if (jobBytes === 'none') return { kind: 'nothing' };
  const reject = (
    code: string,
    message: string,
    line: number | null = null,
    log_sha256 = '',
  ): ImportRead => ({
    kind: 'rejected',
    rejected: { folder, log_sha256, code, line, message },
  });
  if (typeof jobBytes === 'string')
    return reject('store/job-unreadable', rejectionText('store/job-unreadable'));
  const logBytes = await bytesOf(`${folder}/${LOG_FILE_NAME}`, MAX_LOG_BYTES);
  if (logBytes === 'too-large') return reject('log/too-large', rejectionText('log/too-large'));
  if (typeof logBytes === 'string')
    return reject('store/log-unreadable', rejectionText('store/log-unreadable'));
  const job_sha256 = sha256Of(jobBytes);
  const log_sha256 = sha256Of(logBytes);
  if (isKnown(job_sha256, log_sha256)) return { kind: 'unchanged' };
  const job = readJobFile(jobBytes, `${folder}/${JOB_FILE_NAME}`, known);
  if ('message' in job) return reject(job.code, job.message, null, log_sha256);
  const quick = quickRead(logBytes, job_sha256);
  if (quick !== undefined) return { kind: 'job', read: { folder, job, job_sha256, log_sha256, ...quick } };
  const log = readLog(logBytes);
  const damage = log.diagnostics.find((found) => found.severity === 'error');
  if (damage !== undefined) {
    const line = damage.facts.line;
    const { message } = logDiagnosticText(damage);
    return reject(damage.code, message, typeof line === 'number' ? line : null, log_sha256);
  }
  const first = log.lines[0];
  if (first !== undefined && first.prev !== job_sha256) {
    const words = logDiagnosticText({
      code: 'log/first-hash',
      severity: 'error',
      facts: { line: 1, job: job.job },
    });
    return reject('log/first-hash', words.message, 1, log_sha256);
  }
  return {
    kind: 'job',
    read: { folder, job, job_sha256, log_sha256, lines: log.lines, verdict: log.verdict },
  };
}
