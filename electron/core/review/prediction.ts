/**
 * How long the next job of a type will take, and how far to trust that: an interval for one more job, and a
 * back-test that predicts every past job from the jobs before it only.
 */
import { mean, standardDeviation } from './descriptive.ts';
import { tQuantile } from './distributions.ts';
import { wilsonInterval } from './intervals.ts';
import type { Prediction } from './model.ts';

/** How many of the latest jobs a prediction looks at: enough for an interval, few enough to follow learning. */
export const RECENT_JOBS = 20;
/** Fewest jobs before a prediction. */
export const LEAST_JOBS_TO_PREDICT = 5;
const COVERAGE = 0.8;

/**
 * Expected time of one more job after `times` (ascending in time, all above 0) and its 80 % interval: Student t
 * on logarithms of the recent jobs, s·√(1 + 1/n) wide. Null below five jobs.
 */
export function predictNext(
  times: readonly number[],
  coverage = COVERAGE,
): { readonly value: number; readonly low: number; readonly high: number; readonly n: number } | null {
  const logs = times.slice(-RECENT_JOBS).map(Math.log);
  if (logs.length < LEAST_JOBS_TO_PREDICT) return null;
  const center = mean(logs);
  const n = logs.length;
  const half = tQuantile((1 + coverage) / 2, n - 1) * standardDeviation(logs) * Math.sqrt(1 + 1 / n);
  return { value: Math.exp(center), low: Math.exp(center - half), high: Math.exp(center + half), n };
}

/** How many of the jobs fell into the interval predicted from the jobs before them, and how many were tested. */
export function backTest(
  times: readonly number[],
  coverage = COVERAGE,
): { readonly inside: number; readonly n: number } {
  let inside = 0;
  let n = 0;
  for (let index = LEAST_JOBS_TO_PREDICT; index < times.length; index += 1) {
    const predicted = predictNext(times.slice(Math.max(0, index - RECENT_JOBS), index), coverage);
    const actual = times[index];
    if (predicted === null || actual === undefined) continue;
    n += 1;
    if (actual >= predicted.low && actual <= predicted.high) inside += 1;
  }
  return { inside, n };
}

/** Prediction for one type of job from the active times of its completed jobs in order; null below five. */
export function predictionOf(times_ms: readonly number[]): Prediction | null {
  const times = times_ms.filter((time) => time > 0);
  const next = predictNext(times);
  if (next === null) return null;
  const tested = backTest(times);
  const sure = tested.n === 0 ? null : wilsonInterval(tested.inside, tested.n);
  return {
    expected: {
      value: next.value,
      low: next.low,
      high: next.high,
      level: COVERAGE,
      n: next.n,
      unit: 'ms',
      how: 'prediction-interval',
    },
    coverage: {
      value: tested.n === 0 ? null : tested.inside / tested.n,
      low: sure?.low ?? null,
      high: sure?.high ?? null,
      level: 0.95,
      n: tested.n,
      unit: 'share',
      how: 'coverage-backtest',
    },
    how: 'prediction-interval',
  };
}
