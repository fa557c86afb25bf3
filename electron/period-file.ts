/** The review of a period as a file for others. */
import { ENGLISH, type Language } from './core/base/language.ts';
import { csvOfReview } from './core/export/csv.ts';
import { jsonOfReview } from './core/export/json.ts';
import { periodReport } from './core/export/period-report.ts';
import type { ReviewSummary } from './core/review/model.ts';

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

/** Name of the file without its ending: the days it covers, and the product where it is about one. */
export function periodName(summary: ReviewSummary, product: string | null): string {
  const days = [summary.from, summary.to].map((day) => day?.slice(0, 10) ?? 'none');
  const about = product === null ? '' : `-${product}`;
  return `review-${days.join('-to-')}${about}`;
}
