/**
 * The list of jobs. Names begin with their time, so the newest are found without opening any. A summary is
 * kept in `summary.json` beside the log and holds as long as the log has the same size and time; it is
 * derived and may be deleted.
 */
import { z } from 'zod';
import type { Diagnostic } from '../core/base/diagnostic.ts';
import { ENGLISH, type Language } from '../core/base/language.ts';
import { ok, type Result } from '../core/base/result.ts';
import { planOfLog } from '../core/log/answered-plan.ts';
import type { ReadLog } from '../core/log/codec.ts';
import type { JobFile, StoredLine } from '../core/log/model.ts';
import { verdictOf } from '../core/log/verify.ts';
import { logDiagnosticText } from '../core/log/words.ts';
import type { JobSummary } from '../ipc/contract.ts';
import { writeAtomically } from './atomic-write.ts';
import { attempt, type Fault } from './disk-fault.ts';
import type { DiskPort } from './disk-port.ts';
import { faultIn } from './fault-words.ts';
import { isJobName, LOG_FILE_NAME, readJob } from './job-folder.ts';
import { mapInTurn } from './job-search.ts';
import { heldBy, LOCK_FILE, lockHolderOf, type ProcessPort } from './lock.ts';

/** Jobs listed, newest first; older ones are still on the disk and in the review. */
export const MAX_LISTED_JOBS = 1000;
const SUMMARY_FILE = 'summary.json';
const MAX_SUMMARY_BYTES = 20_000;

const text = z.string().max(4000);
const KEPT = z.strictObject({
  log_bytes: z.number(),
  log_modified_ms: z.number(),
  summary: z.strictObject({
    job: text,
    product: text,
    product_name: text,
    replace: z.array(text),
    technician: text,
    started: text,
    state: z.enum(['unfinished', 'completed', 'given-up', 'unknown']),
    step_number: z.number(),
    step_total: z.number(),
    trouble: z.null(),
  }),
});

function lastText(
  lines: readonly StoredLine[],
  event: StoredLine['event'],
  field: string,
): string | undefined {
  const value = lines.findLast((line) => line.event === event)?.fields[field];
  return typeof value === 'string' ? value : undefined;
}

/** What the list says of a job, from its job file and log. */
function summaryOf(jobFile: JobFile, log: ReadLog, language: Language): JobSummary {
  const { lines } = log;
  const verdict = verdictOf(jobFile, log);
  const foreign: Diagnostic = { code: 'log/first-hash', severity: 'error', facts: {} };
  const damage =
    log.diagnostics.find((found) => found.severity === 'error') ??
    (verdict === log.verdict ? undefined : foreign);
  const outcome = lastText(lines, 'job.finished', 'outcome');
  const shown = lastText(lines, 'step.shown', 'step');
  const { steps } = planOfLog(jobFile.plan, lines);
  const number = steps.findIndex((step) => step.id === shown) + 1;
  const finished = outcome === 'given-up' ? 'given-up' : 'completed';
  return {
    job: jobFile.job,
    product: jobFile.plan.product,
    product_name: jobFile.plan.product_name,
    replace: jobFile.plan.replace,
    technician: lastText(lines, 'job.handed-over', 'to') ?? lastText(lines, 'job.opened', 'technician') ?? '',
    started: lines[0]?.wall ?? jobFile.created,
    state: verdict === 'unknown' ? 'unknown' : outcome === undefined ? 'unfinished' : finished,
    step_number: number,
    step_total: steps.length,
    trouble: damage === undefined ? null : logDiagnosticText(damage, language).message,
  };
}

async function keptSummary(disk: DiskPort, folder: string, stamp: Stamp): Promise<JobSummary | undefined> {
  const bytes = await attempt(() => disk.readFile(`${folder}/${SUMMARY_FILE}`, MAX_SUMMARY_BYTES));
  if (!bytes.ok) return undefined;
  try {
    const kept = KEPT.safeParse(JSON.parse(new TextDecoder().decode(bytes.value)));
    if (!kept.success) return undefined;
    const { log_bytes, log_modified_ms, summary } = kept.data;
    return log_bytes === stamp.size && log_modified_ms === stamp.modifiedMs ? summary : undefined;
  } catch {
    return undefined; // not JSON: it is derived and made again
  }
}

interface Stamp {
  readonly size: number;
  readonly modifiedMs: number;
}

/** Summary of one job; undefined for a folder that never became a job. */
async function summarise(
  disk: DiskPort,
  folder: string,
  name: string,
  mark: string,
  language: Language,
): Promise<JobSummary | undefined> {
  const stamp = await attempt(() => disk.stat(`${folder}/${LOG_FILE_NAME}`));
  if (!stamp.ok) return unreadable(name, faultIn(stamp.error, language));
  if (stamp.value === undefined || stamp.value.isFolder || stamp.value.size === 0) return undefined;
  const kept = await keptSummary(disk, folder, stamp.value);
  if (kept !== undefined) return kept;
  const read = await readJob(disk, folder);
  if (!read.ok) return unreadable(name, faultIn(read.error, language));
  const summary = { ...summaryOf(read.value.jobFile, read.value.log, language), job: name };
  // An unfinished job will change anyway, and the words of a trouble are those of today's language. A summary
  // that cannot be kept is made again next time.
  if (summary.state !== 'unfinished' && summary.trouble === null) {
    const { size, modifiedMs } = stamp.value;
    const content = JSON.stringify({ log_bytes: size, log_modified_ms: modifiedMs, summary });
    await writeAtomically(disk, `${folder}/${SUMMARY_FILE}`, new TextEncoder().encode(content), mark);
  }
  return summary;
}

function unreadable(name: string, fault: Fault): JobSummary {
  return {
    job: name,
    product: '',
    product_name: '',
    replace: [],
    technician: '',
    started: '',
    state: 'unknown',
    step_number: 0,
    step_total: 0,
    trouble: fault.message,
  };
}

/**
 * The newest jobs of a folder, newest first. Anything else that lies there is passed over; a job that cannot be
 * read is listed with its trouble, one that another program holds with who holds it. A missing folder is an
 * empty list. Cost: linear in the jobs listed and in the names of the folder.
 */
export async function listJobs(ports: {
  readonly disk: DiskPort;
  readonly processes: ProcessPort;
  readonly token: () => string;
  readonly jobsFolder: string;
  /** The job that this program itself has open, or null. */
  readonly openJob: string | null;
  /** The language of the troubles; default English. */
  readonly language?: Language;
}): Promise<Result<readonly JobSummary[], Fault>> {
  const { disk, processes, token, jobsFolder, openJob, language = ENGLISH } = ports;
  const there = await attempt(() => disk.stat(jobsFolder));
  if (!there.ok) return there;
  if (there.value === undefined) return ok([]);
  const read = await attempt(() => disk.readdir(jobsFolder));
  if (!read.ok) return read;
  const names = read.value.filter(isJobName).sort().reverse().slice(0, MAX_LISTED_JOBS);
  const mark = token();
  const summaries = await mapInTurn(names, async (name) => {
    const folder = `${jobsFolder}/${name}`;
    const summary = await summarise(disk, folder, name, mark, language);
    if (summary?.state !== 'unfinished' || name === openJob) return summary;
    const holder = await lockHolderOf(disk, folder, processes);
    if (!holder.ok || holder.value === null) return summary;
    const held = heldBy(holder.value, `${folder}/${LOCK_FILE}`, processes);
    return { ...summary, trouble: faultIn(held, language).message };
  });
  return ok(summaries.filter((summary) => summary !== undefined));
}
