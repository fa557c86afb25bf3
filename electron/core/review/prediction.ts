/**
 * How long the next job of a type will take, and how far to trust that: an interval for one more job, and a
 * back-test that predicts every past job from the jobs before it only.
 *
 * Whole jobs are looked at, not steps added up: who does a job and on what day moves all of its steps together, so
 * an interval from independent steps is far too narrow (on the demo jobs 17 to 54 % of jobs fell into it, not 80).
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

/** A step of a plan, and what its steps took in one finished job, in seconds. */
export interface StepToPredict {
  readonly id: string;
  readonly expected_s: number;
}
export type StepSeconds = Readonly<Record<string, number>>;

/** What a plan will take. `jobs` is how many finished jobs it rests on. */
export interface ExpectedOfPlan {
  readonly expected_s: number;
  readonly low_s: number;
  readonly high_s: number;
  readonly jobs: number;
}

/**
 * Spread of the logarithm of a job's time where too few were seen to tell: one standard deviation is a factor
 * e^0.35 ≈ 1.42. Common practice, no source. `PRIOR_WEIGHT` is its weight in jobs.
 */
const PRIOR_LOG_SD = 0.35;
const PRIOR_WEIGHT = 4;

/** As `predictNext` for one to four jobs: their spread is pulled towards the usual one. */
function predictFromFew(logs: readonly number[]): { value: number; low: number; high: number } {
  const n = logs.length;
  const center = mean(logs);
  const squares = logs.reduce((sum, one) => sum + (one - center) ** 2, 0);
  const df = n - 1 + PRIOR_WEIGHT;
  const sd = Math.sqrt((squares + PRIOR_WEIGHT * PRIOR_LOG_SD ** 2) / df);
  const half = tQuantile((1 + COVERAGE) / 2, df) * sd * Math.sqrt(1 + 1 / n);
  return { value: Math.exp(center), low: Math.exp(center - half), high: Math.exp(center + half) };
}

/**
 * Expected time of a plan with its 80 % interval, from finished jobs like it (oldest first): each job's time for the
 * steps of this plan, a step it did not have at that step's mean in the others, or at the plan's estimate. Null
 * without jobs or time.
 */
export function expectedOfPlan(
  plan: readonly StepToPredict[],
  past: readonly StepSeconds[],
): ExpectedOfPlan | null {
  const recent = past.slice(-RECENT_JOBS);
  const usual = plan.map(({ id, expected_s }) => {
    const seen = recent.flatMap((job) => (Object.hasOwn(job, id) ? [job[id] ?? 0] : []));
    return seen.length === 0 ? expected_s : mean(seen);
  });
  const totals = recent
    .map((job) =>
      plan.reduce(
        (sum, { id }, index) => sum + (Object.hasOwn(job, id) ? (job[id] ?? 0) : (usual[index] ?? 0)),
        0,
      ),
    )
    .filter((total) => total > 0);
  if (totals.length === 0) return null;
  const { value, low, high } = predictNext(totals) ?? predictFromFew(totals.map(Math.log));
  return { expected_s: value, low_s: low, high_s: high, jobs: totals.length };
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
