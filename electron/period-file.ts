/** The review of a period as a file for others. */
import { ENGLISH, type Language } from './core/base/language.ts';
import { csvOfReview } from './core/export/csv.ts';
import { jsonOfReview } from './core/export/json.ts';
import { periodReport } from './core/export/period-report.ts';
import { xesOf } from './core/export/xes.ts';
import type { JobLog, ReviewSummary } from './core/review/model.ts';
import { aliasOf } from './core/review/people.ts';
import { stepTimes } from './core/review/step-times.ts';
import type { ReviewOptions } from './core/review/summary.ts';

/** The text of the file. `made`: the time of making, RFC 3339. */
export function periodFile(
  summary: ReviewSummary,
  as: 'csv' | 'json' | 'html',
  made: string,
  language: Language = ENGLISH,
): string {
  switch (as) {
    case 'csv':
      return csvOfReview(summary);
    case 'json':
      return jsonOfReview(summary);
    case 'html':
      return periodReport(summary, made, language);
  }
}

/** The event log of these jobs, of one product where `options` names one. */
export function periodEventLog(logs: readonly JobLog[], options: ReviewOptions): string {
  const times = logs.map((log) => stepTimes(log.job, log.lines, log.verdict));
  // Pseudonyms come from all jobs, as in the review.
  const alias = aliasOf(times, options.show ?? 'pseudonyms');
  const product = options.product ?? null;
  return xesOf(
    logs.filter((log) => product === null || log.job.plan.product === product),
    alias,
  );
}

/** Name of the file without its ending: the days it covers, and the product where it is about one. */
export function periodName(summary: ReviewSummary, product: string | null): string {
  const days = [summary.from, summary.to].map((day) => day?.slice(0, 10) ?? 'none');
  const about = product === null ? '' : `-${product}`;
  return `review-${days.join('-to-')}${about}`;
}
