/**
 * Learning curves. Two models share the name "80 % curve" and differ: Crawford's is about the time of the
 * n-th unit, Wright's (1936) about the average of the first n. Every function says which one it is.
 */
import type { Diagnostic } from '../base/diagnostic.ts';
import { err, ok, type Result } from '../base/result.ts';
import { median } from './descriptive.ts';
import { tQuantile } from './distributions.ts';
import type { LearningCurve, LearningFit } from './model.ts';
import { fitLine, type Line, predictionInterval } from './regression.ts';

/** Exponent of a learning rate: 0.8 → log₂ 0.8 = −0.3219. */
export function exponentOf(rate: number): number {
  return Math.log2(rate);
}

/** Crawford: time of unit n when the first took `first`. */
export function crawfordUnit(first: number, rate: number, n: number): number {
  return first * n ** exponentOf(rate);
}

/** Crawford: total of units 1 to n, by adding them up. */
export function crawfordTotal(first: number, rate: number, n: number): number {
  let total = 0;
  for (let unit = 1; unit <= n; unit += 1) total += crawfordUnit(first, rate, unit);
  return total;
}

/** Wright: average of the first n units. */
export function wrightAverage(first: number, rate: number, n: number): number {
  return first * n ** exponentOf(rate);
}

/** Wright: total of the first n units. */
export function wrightTotal(first: number, rate: number, n: number): number {
  return n * wrightAverage(first, rate, n);
}

/** Wright: time of unit n, the difference of two totals. */
export function wrightUnit(first: number, rate: number, n: number): number {
  return wrightTotal(first, rate, n) - (n <= 1 ? 0 : wrightTotal(first, rate, n - 1));
}

/** Crawford: how many units until one takes `target`, not rounded. Infinity where the rate is 1 or more. */
export function crawfordUnitsUntil(first: number, rate: number, target: number): number {
  if (target >= first) return 1;
  return rate >= 1 ? Number.POSITIVE_INFINITY : (target / first) ** (1 / exponentOf(rate));
}

/** Crawford: learning rate from the times of two units n1 < n2. */
export function crawfordRate(n1: number, time1: number, n2: number, time2: number): number {
  return 2 ** (Math.log(time2 / time1) / Math.log(n2 / n1));
}

const refuse = (code: string, facts: Diagnostic['facts'] = {}): Result<never, Diagnostic> =>
  err({ code, severity: 'error', facts });

function logLine(numbers: readonly number[], times: readonly number[]): Result<Line, Diagnostic> {
  if (numbers.length !== times.length || numbers.length < 2)
    return refuse('learning/too-few', { points: numbers.length });
  const bad = times.find((time) => !(time > 0)) ?? numbers.find((n) => !(n > 0));
  if (bad !== undefined) return refuse('learning/not-positive', { value: bad });
  const line = fitLine(numbers.map(Math.log), times.map(Math.log));
  return line === null ? refuse('learning/one-number-only') : ok(line);
}

function fitFromLine(line: Line, model: LearningFit['model'], level: number): LearningFit {
  const half = line.df > 0 ? tQuantile((1 + level) / 2, line.df) * line.slope_se : Number.NaN;
  return {
    model,
    n: line.n,
    a: Math.exp(line.intercept),
    b: line.slope,
    rate: 2 ** line.slope,
    b_se: line.slope_se,
    b_low: line.slope - half,
    b_high: line.slope + half,
    r_squared: line.r_squared,
    residual_sd: line.residual_sd,
    level,
  };
}

/**
 * Crawford's curve through times of single units, by least squares on logarithms. `numbers` are the unit
 * numbers (from 1, gaps allowed). Errors: `learning/too-few`, `learning/not-positive`,
 * `learning/one-number-only`. With two points the interval is NaN.
 */
export function fitCrawford(
  numbers: readonly number[],
  times: readonly number[],
  level = 0.95,
): Result<LearningFit, Diagnostic> {
  const line = logLine(numbers, times);
  return line.ok ? ok(fitFromLine(line.value, 'crawford', level)) : line;
}

/** Wright's curve through the running averages of units 1…n given in order. Errors as `fitCrawford`. */
export function fitWright(times: readonly number[], level = 0.95): Result<LearningFit, Diagnostic> {
  let total = 0;
  const averages = times.map((time, index) => {
    total += time;
    return total / (index + 1);
  });
  const line = logLine(
    times.map((_, index) => index + 1),
    averages,
  );
  return line.ok ? ok(fitFromLine(line.value, 'wright', level)) : line;
}

/** What Crawford's fit expects for unit `n`, with an interval for a single one (needs three points). */
export function forecastCrawford(
  numbers: readonly number[],
  times: readonly number[],
  n: number,
  level: number,
): Result<{ readonly value: number; readonly low: number; readonly high: number }, Diagnostic> {
  const line = logLine(numbers, times);
  if (!line.ok) return line;
  const value = Math.exp(line.value.intercept + line.value.slope * Math.log(n));
  if (line.value.df === 0) return ok({ value, low: Number.NaN, high: Number.NaN });
  const interval = predictionInterval(line.value, Math.log(n), level);
  return ok({ value, low: Math.exp(interval.low), high: Math.exp(interval.high) });
}

/** Fewest jobs of one person for a curve. */
export const LEAST_JOBS_FOR_CURVE = 5;
/** Jobs looked at for a plateau, from the first: later ones are no longer learning. */
const PLATEAU_JOBS = 300;
/** Fewest jobs on either side of a plateau. */
const LEAST_SIDE = 5;

/**
 * Where a falling curve goes over into a level: the split into "power law" and "constant" on logarithms
 * that fits best, where it beats one power law by more than the extra parameter is worth (Bayesian
 * information criterion) and the rest shows no slope. Null where the curve still falls or there is too
 * little to tell. Cost n².
 */
export function plateauOf(all: readonly number[]): { readonly from: number; readonly level: number } | null {
  const times = all.slice(0, PLATEAU_JOBS);
  const n = times.length;
  if (n < 2 * LEAST_SIDE) return null;
  const logs = times.map(Math.log);
  const numbers = times.map((_, index) => Math.log(index + 1));
  const whole = fitLine(numbers, logs);
  if (whole === null || whole.slope >= 0) return null;
  const rssOf = (line: Line): number => line.residual_sd ** 2 * line.df;
  let best: { from: number; rss: number } | null = null;
  for (let split = LEAST_SIDE; split <= n - LEAST_SIDE; split += 1) {
    const head = fitLine(numbers.slice(0, split), logs.slice(0, split));
    if (head === null || head.slope >= 0) continue;
    const tail = logs.slice(split);
    const center = tail.reduce((total, value) => total + value, 0) / tail.length;
    const rss = rssOf(head) + tail.reduce((total, value) => total + (value - center) ** 2, 0);
    if (best === null || rss < best.rss) best = { from: split + 1, rss };
  }
  if (best === null) return null;
  // Two parameters more: the level and the place of the split.
  if (n * Math.log(best.rss / n) + 2 * Math.log(n) >= n * Math.log(rssOf(whole) / n)) return null;
  return { from: best.from, level: median(times.slice(best.from - 1)) };
}

/** Numbers ahead of the last job for which a forecast is given. */
const FORECAST_AHEAD = [1, 5, 10] as const;

/** The curve of one technician at one type of job, jobs in order of time. Forecast intervals cover 80 %. */
export function learningCurve(
  technician: string,
  jobs: readonly { readonly job: string; readonly active_ms: number }[],
): LearningCurve {
  const points = jobs.map((job, index) => ({ number: index + 1, job: job.job, active_ms: job.active_ms }));
  const numbers = points.map((point) => point.number);
  const times = points.map((point) => point.active_ms);
  const fit = points.length < LEAST_JOBS_FOR_CURVE ? null : fitCrawford(numbers, times);
  const usable = fit?.ok === true ? fit.value : null;
  const wright = usable === null ? null : fitWright(times);
  const plateau = usable === null ? null : plateauOf(times);
  const forecast = FORECAST_AHEAD.flatMap((ahead) => {
    const number = points.length + ahead;
    const found = usable === null ? null : forecastCrawford(numbers, times, number, 0.8);
    if (found === null || !found.ok) return [];
    return [{ number, active_ms: found.value.value, low: found.value.low, high: found.value.high }];
  });
  return {
    technician,
    points,
    fit: usable,
    wright: wright?.ok === true ? wright.value : null,
    forecast,
    plateau_from: plateau?.from ?? null,
    plateau_ms: plateau?.level ?? null,
    how: 'learning-crawford',
  };
}
