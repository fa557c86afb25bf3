/**
 * CSV by RFC 4180: comma, double quote, CRLF after every record, a header whose names carry the units.
 * Stage 6 of the flow.
 *
 * What a spreadsheet would take for a formula gets an apostrophe in front, also behind spaces and in full-width
 * form, and inside a text where a reader that splits at semicolons or tabs, or does not know our quotes, would
 * begin a new cell; numbers keep their minus sign. The apostrophe stays in the file, so for a true copy take the
 * JSON export.
 */
import { stringify } from 'csv-stringify/browser/esm/sync';
import type { JobReview, JobTimes, ReviewSummary } from '../review/model.ts';

/** One cell. `null` becomes an empty field. */
export type Cell = string | number | boolean | null;

const FORMULA_START = /^[\s\u00a0\ufeff]*[=+\-@\uff1d\uff0b\uff0d\uff20]|^[\t\r\n]/;

const FORMULA_INSIDE = /([;\t\r\n][\s\u00a0\ufeff"]*)(?=[=+\-@\uff1d\uff0b\uff0d\uff20])/g;

/** The text with an apostrophe in front of what a spreadsheet would compute. */
export function neutraliseFormula(value: string): string {
  const inside = value.replace(FORMULA_INSIDE, "$1'");
  return FORMULA_START.test(value) ? `'${inside}` : inside;
}

/**
 * A CSV text with header and rows. Every row must be as long as the header (asserted by the caller's types
 * only). `bom`: begins with a byte order mark, which some spreadsheets need to see UTF-8.
 */
export function csvText(
  header: readonly string[],
  rows: readonly (readonly Cell[])[],
  options: { readonly bom?: boolean } = {},
): string {
  const cells = [header, ...rows].map((row) =>
    row.map((cell) => {
      if (typeof cell === 'string') return neutraliseFormula(cell);
      if (typeof cell === 'number') return Number.isFinite(cell) ? String(cell) : '';
      return cell === null ? '' : String(cell);
    }),
  );
  // The library quotes a field for CRLF but not for a line feed or carriage return alone; RFC 4180 asks for all.
  const body = stringify(cells, { record_delimiter: '\r\n', quoted_match: /[\r\n]/ });
  return options.bom === true ? `\ufeff${body}` : body;
}

const STEP_HEADER = [
  'job',
  'product',
  'product_revision',
  'replaced',
  'technician',
  'started',
  'outcome',
  'step_number',
  'step',
  'stage',
  'sentence',
  'state',
  'expected_s',
  'active_ms',
  'hands_ms',
  'reading_ms',
  'waiting_ms',
  'first_pass_ms',
  'visits',
  'repeats',
  'say_agains',
  'helps',
  'problems',
] as const;

/** One row a step and job. `alias` gives the name to write for a technician (a pseudonym by default). */
export function csvOfSteps(jobs: readonly JobTimes[], alias: (technician: string) => string): string {
  const rows = jobs.flatMap((job) =>
    job.steps.map((step): Cell[] => [
      job.job,
      job.product,
      job.product_revision,
      job.replace.join(' '),
      alias(job.technician),
      job.started,
      job.outcome ?? 'unfinished',
      step.index < 0 ? null : step.index + 1,
      step.step,
      step.stage,
      step.say,
      step.state,
      step.expected_s,
      step.active_ms,
      step.hands_ms,
      step.reading_ms,
      step.waiting_ms,
      step.first_pass_ms,
      step.visits,
      step.repeats,
      step.say_agains,
      step.helps,
      step.problems,
    ]),
  );
  return csvText(STEP_HEADER, rows);
}

const JOB_HEADER = [
  'job',
  'product',
  'product_revision',
  'replaced',
  'technician',
  'started',
  'outcome',
  'expected_s',
  'span_ms',
  'active_ms',
  'hands_ms',
  'reading_ms',
  'waiting_ms',
  'paused_ms',
  'away_ms',
  'unattributed_ms',
  'events',
  'log_verdict',
] as const;

/** One row a job. */
export function csvOfJobs(jobs: readonly JobTimes[], alias: (technician: string) => string): string {
  const rows = jobs.map((job): Cell[] => [
    job.job,
    job.product,
    job.product_revision,
    job.replace.join(' '),
    alias(job.technician),
    job.started,
    job.outcome ?? 'unfinished',
    job.expected_s,
    job.span_ms,
    job.active_ms,
    job.hands_ms,
    job.reading_ms,
    job.waiting_ms,
    job.paused_ms,
    job.away_ms,
    job.unattributed_ms,
    job.events,
    job.verdict,
  ]);
  return csvText(JOB_HEADER, rows);
}

/** The steps of one job, for `report.save`. */
export function csvOfJobReview(review: JobReview, alias: (technician: string) => string): string {
  return csvOfSteps([review.times], alias);
}

const STATISTICS_HEADER = [
  'job_type',
  'step_number',
  'step',
  'sentence',
  'jobs',
  'expected_s',
  'median_ms',
  'median_low_ms',
  'median_high_ms',
  'p90_ms',
  'mean_ms',
  'spread_ms',
  'share',
  'revisit_rate',
  'repeat_rate',
  'say_again_rate',
  'problem_rate',
] as const;

/** The per-step table of a review: one row a step and type of job. Shares and rates are from 0 to 1. */
export function csvOfReview(summary: ReviewSummary): string {
  const rows = summary.types.flatMap((type) =>
    type.steps.map((step): Cell[] => [
      type.job_type,
      step.index < 0 ? null : step.index + 1,
      step.step,
      step.say,
      step.n,
      step.expected_s,
      step.median.value,
      step.median.low,
      step.median.high,
      step.p90_ms,
      step.mean_ms,
      step.spread_ms,
      step.share,
      step.revisit_rate.value,
      step.repeat_rate.value,
      step.say_again_rate.value,
      step.problem_rate.value,
    ]),
  );
  return csvText(STATISTICS_HEADER, rows);
}
