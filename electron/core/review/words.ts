/**
 * How each kind of figure is computed, in one sentence a supervisor can read, and the sentences of the
 * review's notices. Facts live in the types; the words are made here and nowhere else.
 */
import type { Lapse, Notice } from './model.ts';

export const HOW = {
  'median-interval':
    'Median of the active times (half of the jobs are below it). The interval comes from the ordered times themselves, without assuming a shape.',
  'p90-type-7': '90th percentile by linear interpolation (type 7): nine of ten jobs took no longer.',
  'wilson-rate': 'Share of the jobs in which it happened at least once, with the 95 % Wilson score interval.',
  'active-time':
    'From the moment the step is shown until it is confirmed, without pauses and absence; further visits are added.',
  'share-of-time':
    'Active time of the step in all jobs of this type, divided by the active time of those jobs.',
  'individuals-chart':
    'Each job in order of time; centre = mean, limits = mean ± 2.66 × mean moving range. Points are named by the Nelson rule they break.',
  'individuals-chart-log':
    'Each job in order of time; limits were computed on the logarithms, because long times reach further than short ones, and turned back into times. Points are named by the Nelson rule they break.',
  'moving-range-chart': 'Difference of each job to the one before; upper limit = 3.267 × mean moving range.',
  'mean-chart': 'Means of equal groups of jobs in order of time; limits = grand mean ± A2 × mean range.',
  'range-chart': 'Ranges of equal groups of jobs; limits = D3 and D4 × mean range.',
  'c-chart': 'Counts per job; limits = mean ± 3 × square root of the mean.',
  'p-chart': 'Shares; limits = mean share ± 3 standard errors of a share.',
  'learning-crawford':
    'Unit curve (Crawford): time of the n-th job = a · n^b, fitted by least squares on logarithms; 2^b is what each doubling leaves of the time. The forecast interval covers 80 % of single jobs.',
  'learning-wright':
    'Cumulative average curve (Wright): the average of the first n jobs = a · n^b, fitted by least squares on logarithms.',
  'ratio-interval':
    'Ratio of the geometric means, with the 95 % Welch interval on logarithms; significance is corrected by Holm for the number of steps looked at.',
  'prediction-interval':
    'Middle of the recent jobs of this type on the logarithmic scale, with an 80 % interval for one more job (Student t).',
  'coverage-backtest':
    'Each job was predicted from the jobs before it only; the share that fell inside its 80 % interval, with the 95 % Wilson interval.',
  'theil-sen':
    'Median of the slopes between all pairs of jobs (Theil and Sen) on logarithms, as a ratio per ten jobs (below 1 is faster), with its 95 % interval; single long jobs do not move it.',
  'standard-time':
    'Mean of the completed jobs without those beyond the outer fence (three quartile ranges), times the rating, with allowances in both conventions.',
  'too-fast':
    'Below the shortest time for the fasteners of the step (common practice, no source), or below the lower fence of the logarithms (three quartile ranges under the first quartile).',
} as const;

/** Key of a sentence that says how a figure is computed. */
export type HowKey = keyof typeof HOW;

type Facts = Readonly<Record<string, string | number>>;
const fact = (facts: Facts, name: string): string => String(facts[name] ?? '?');

const LAPSES: Readonly<Record<Lapse['kind'], (facts: Facts) => string>> = {
  'caution-too-fast': (f) =>
    `"${fact(f, 'hazard')}" was answered ${fact(f, 'ms')} ms after it was read; at least ${fact(f, 'least_ms')} ms are needed to take it in.`,
  'caution-not-understood': (f) => `"${fact(f, 'hazard')}" was never answered with "understood".`,
  'step-too-fast': (f) =>
    `Done in ${fact(f, 's')} s; it cannot be done in less than ${fact(f, 'least_s')} s.`,
  'reading-out-of-limits': (f) => `${fact(f, 'count')} readings outside their limits were accepted.`,
  'step-skipped': () => 'The step was skipped.',
  'fastener-missing': (f) => `${fact(f, 'count')} fasteners were counted as missing and not found again.`,
  'given-up': () => 'The job was given up.',
  'clock-jumped': (f) => `The clock went back ${fact(f, 'count')} times during the job.`,
};

/** The sentence of a lapse. */
export function lapseText(kind: Lapse['kind'], facts: Facts = {}): string {
  return LAPSES[kind](facts);
}

const NOTICES: Readonly<Record<string, (facts: Facts) => string>> = {
  'review/no-jobs': () => 'There are no jobs to review yet. Finish a job, or write demo data, and come back.',
  'review/all-unknown': (f) =>
    `None of the ${fact(f, 'jobs')} logs can be trusted, so nothing was computed. See each job for the line where its chain breaks.`,
  'review/some-unknown': (f) =>
    `${fact(f, 'jobs')} of ${fact(f, 'total')} jobs were left out because their log cannot be trusted.`,
  'review/few-jobs': (f) =>
    `Only ${fact(f, 'jobs')} completed jobs of this type: intervals are wide, and charts and comparisons need at least ${fact(f, 'needed')}.`,
  'review/one-job': () => 'One job says nothing about the next one: only its own times are shown.',
  'review/clock-jumped': (f) =>
    `In ${fact(f, 'jobs')} jobs the wall clock went back. Durations do not depend on it, but the order of jobs may.`,
  'review/shift': (f) =>
    `From about job ${fact(f, 'number')} (${fact(f, 'started')}) on, jobs take ${fact(f, 'percent')} % ${fact(f, 'direction')} than before, learning and who did them allowed for.`,
  'review/latest-only': (f) =>
    `Only the latest ${fact(f, 'jobs')} of ${fact(f, 'total')} jobs are in this review.`,
  'review/no-store': (f) =>
    `The record store could not be used, so this review was made from the logs themselves. ${fact(f, 'reason')}`,
  'review/more-lapses': (f) => `${fact(f, 'count')} older remarks are not listed.`,
  'compare/too-few': (f) =>
    `${fact(f, 'a')} jobs against ${fact(f, 'b')}: too few to tell a difference from chance; at least ${fact(f, 'needed')} on each side are needed.`,
  'compare/different-people': () =>
    'The two sides were done by different people: a difference may come from them.',
  'rewrite/slower-than-expected': (f) =>
    `takes ${fact(f, 'ratio')} times the expected time (${fact(f, 'median_s')} s against ${fact(f, 'expected_s')} s)`,
  'rewrite/much-of-the-job': (f) => `makes up ${fact(f, 'percent')} % of the job`,
  'rewrite/spread': (f) =>
    `differs widely from job to job (nine of ten within ${fact(f, 'ratio')} times the median)`,
  'rewrite/repeats': (f) => `was asked for again in ${fact(f, 'percent')} % of the jobs`,
  'rewrite/help': (f) => `raised questions in ${fact(f, 'percent')} % of the jobs`,
  'rewrite/revisits': (f) => `was gone back to in ${fact(f, 'percent')} % of the jobs`,
  'rewrite/problems': (f) => `brought a problem in ${fact(f, 'percent')} % of the jobs`,
};

/** Makes a notice with its sentence. An unknown code is a mistake in the program and throws. */
export function notice(code: string, facts: Facts = {}): Notice {
  const words = NOTICES[code];
  if (words === undefined) throw new Error(`assertion failed: notice without words: ${code}`);
  return { code, facts, text: words(facts) };
}

/** The sentences for the keys given, for a screen or a file that explains its figures. */
export function explain(keys: Iterable<HowKey>): Partial<Record<HowKey, string>> {
  const out: Partial<Record<HowKey, string>> = {};
  for (const key of keys) out[key] = HOW[key];
  return out;
}
