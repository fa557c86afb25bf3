/**
 * JSON for other programs: the plain data of the review, with a head that says what it is. Times are whole
 * milliseconds where the name ends in `_ms`, seconds where it ends in `_s`.
 */
import type { JobReview, JobTimes, ReviewSummary } from '../review/model.ts';

const FORMAT = 1;

/** One job with its timeline, readings, serials and cautions; indented, ends with a line feed. */
export function jsonOfJobReview(review: JobReview): string {
  return `${JSON.stringify({ format: FORMAT, what: 'stepcaller job review', review }, null, 2)}\n`;
}

/** The times of many jobs. */
export function jsonOfJobs(jobs: readonly JobTimes[]): string {
  return `${JSON.stringify({ format: FORMAT, what: 'stepcaller job times', jobs }, null, 2)}\n`;
}

/** The whole review of a period. */
export function jsonOfReview(summary: ReviewSummary): string {
  return `${JSON.stringify({ what: 'stepcaller review', ...summary }, null, 2)}\n`;
}
