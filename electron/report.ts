/** Files for others from one job or many, by kind. */
import { ENGLISH, type Language } from './core/base/language.ts';
import { csvOfJobReview, csvOfSteps } from './core/export/csv.ts';
import { jsonOfJobReview, jsonOfJobs } from './core/export/json.ts';
import { periodReport } from './core/export/period-report.ts';
import { serviceReport } from './core/export/service-report.ts';
import { xesOf } from './core/export/xes.ts';
import { jobReview } from './core/review/job-review.ts';
import type { JobLog } from './core/review/model.ts';
import { type Alias, aliasOf, withAliases } from './core/review/people.ts';
import { stepTimes } from './core/review/step-times.ts';
import { reviewSummary } from './core/review/summary.ts';

export type ReportKind = 'csv' | 'json' | 'xes' | 'html';
export const REPORT_KINDS: readonly ReportKind[] = ['csv', 'xes', 'json', 'html'];

/** The report of one job, with real names: it is the technician's own record. `made`: the time of making, RFC 3339. */
export function reportOfJob(log: JobLog, as: ReportKind, made: string, language: Language = ENGLISH): string {
  const review = jobReview(log.job, log.lines, log.verdict);
  const byName: Alias = (name) => name;
  switch (as) {
    case 'csv':
      return csvOfJobReview(review, byName);
    case 'json':
      return jsonOfJobReview(review);
    case 'xes':
      return xesOf([log], byName);
    case 'html':
      return serviceReport(review, review.summary.technician, made, language);
  }
}

/** A file of many jobs. `showNames` turns the pseudonyms of the technicians off. */
export function exportOfJobs(
  logs: readonly JobLog[],
  as: ReportKind,
  showNames: boolean,
  made: string,
): string {
  const times = logs.map((log) => stepTimes(log.job, log.lines, log.verdict));
  const alias = aliasOf(times, showNames ? 'names' : 'pseudonyms');
  switch (as) {
    case 'csv':
      return csvOfSteps(times, alias);
    case 'json':
      return jsonOfJobs(times.map((one) => withAliases(one, alias)));
    case 'xes':
      return xesOf(logs, alias);
    case 'html':
      return periodReport(reviewSummary(times, { show: showNames ? 'names' : 'pseudonyms' }), made);
  }
}
