/**
 * Expected time: from the author's estimate, else from a default per kind of action; and from past jobs
 * of the same step where there are any, with an interval.
 *
 * The defaults are common practice, no source: they are for a first plan only and give way to an author's
 * estimate, and that to measured times.
 */
import type { PlanAction } from './model.ts';

/** Seconds for the action itself, plus seconds for each fastener beyond handling the first. */
const DEFAULT_SECONDS: Readonly<Record<PlanAction, readonly [base: number, each: number]>> = {
  'remove-fasteners': [4, 8],
  'loosen-fasteners': [4, 5],
  'install-fasteners': [5, 8],
  'tighten-fasteners': [4, 6],
  disconnect: [8, 0],
  connect: [10, 0],
  'release-ribbon': [15, 0],
  'insert-ribbon': [25, 0],
  'peel-tape': [10, 0],
  'apply-tape': [20, 0],
  'pull-strips': [40, 0],
  'bond-strips': [45, 0],
  'take-out-seal': [15, 0],
  'fit-seal': [40, 0],
  unroute: [15, 0],
  route: [30, 0],
  'note-route': [15, 0],
  'lift-off-pins': [8, 0],
  'seat-on-pins': [12, 0],
  'open-arms': [8, 0],
  'press-in': [10, 0],
  'slide-out': [8, 0],
  'slide-in': [10, 0],
  unclip: [10, 0],
  clip: [10, 0],
  'part-edges': [20, 0],
  'press-edges': [15, 0],
  'lift-out': [8, 0],
  'put-in': [12, 0],
  'separate-heat-sink': [30, 0],
  'fit-heat-sink': [60, 0],
  'open-to-angle': [8, 0],
  close: [8, 0],
  support: [5, 0],
  isolate: [20, 0],
  discharge: [30, 0],
  'verify-dead': [25, 0],
  'restore-energy': [15, 0],
  inspect: [20, 0],
  clean: [40, 0],
  measure: [30, 0],
  record: [20, 0],
  do: [20, 0],
  'fetch-new-part': [20, 0],
  'move-over': [20, 0],
  'count-tray': [15, 0],
  'ask-variant': [10, 0],
};

/** Seconds expected of an action where nobody has said or measured anything. `count`: fasteners handled. */
export function defaultSeconds(action: PlanAction, count: number): number {
  const [base, each] = DEFAULT_SECONDS[action];
  return base + each * count;
}

/** An expectation with the interval that holds `level` of the cases. `from` says what it rests on. */
export interface ExpectedTime {
  readonly expected_s: number;
  readonly low_s: number;
  readonly high_s: number;
  /** Share of cases inside the interval. */
  readonly level: 0.8;
  /** Steps with past durations, and steps that rest on the plan's estimate. */
  readonly measured_steps: number;
  readonly estimated_steps: number;
}

/**
 * Spread of the logarithm of a duration where nobody has measured it: factor e^0.35 ≈ 1.42 either way for
 * one standard deviation. Common practice, no source.
 */
const PRIOR_LOG_SD = 0.35;
/** Weight of that prior spread, in observations. */
const PRIOR_WEIGHT = 4;
/** Standard normal quantile at 0.9: two-sided 80 %. */
const Z90 = 1.2815515655446004;
/** Newest observations of a step that count. */
const OBSERVATIONS_MAX = 200;

function mean(values: readonly number[]): number {
  return values.reduce((sum, x) => sum + x, 0) / values.length;
}

/** Mean and variance of one step's duration for the next job, in s and s². */
function stepMoments(estimate_s: number, past: readonly number[]): readonly [number, number] {
  const usable = past.filter((x) => Number.isFinite(x) && x > 0).slice(-OBSERVATIONS_MAX);
  const prior = PRIOR_LOG_SD ** 2;
  const n = usable.length;
  if (n === 0) return [estimate_s, estimate_s ** 2 * Math.expm1(prior)];
  const logs = usable.map(Math.log);
  const m = mean(logs);
  const squares = logs.reduce((sum, x) => sum + (x - m) ** 2, 0);
  const variance = (squares + PRIOR_WEIGHT * prior) / (n - 1 + PRIOR_WEIGHT);
  const centre = mean(usable);
  // Next observation: the spread of one job and the uncertainty of the mean.
  return [centre, centre ** 2 * Math.expm1(variance) * (1 + 1 / n)];
}

/**
 * Expected time of the steps of a plan from past durations (seconds, by step id, newest last), with a
 * two-sided 80 % interval for one job. Steps count as independent; the sum is taken as log-normal with
 * the summed mean and variance (Fenton–Wilkinson), so the interval is never negative.
 */
export function expectedTime(
  steps: readonly { readonly id: string; readonly expected_s: number }[],
  past: Readonly<Record<string, readonly number[]>>,
): ExpectedTime {
  let total = 0;
  let variance = 0;
  let measured = 0;
  for (const step of steps) {
    const durations = Object.hasOwn(past, step.id) ? (past[step.id] ?? []) : [];
    if (durations.some((x) => Number.isFinite(x) && x > 0)) measured += 1;
    const [m, v] = stepMoments(step.expected_s, durations);
    total += m;
    variance += v;
  }
  const common = { level: 0.8, measured_steps: measured, estimated_steps: steps.length - measured } as const;
  if (total <= 0) return { expected_s: 0, low_s: 0, high_s: 0, ...common };
  const logVariance = Math.log1p(variance / total ** 2);
  const logMean = Math.log(total) - logVariance / 2;
  const half = Z90 * Math.sqrt(logVariance);
  return { expected_s: total, low_s: Math.exp(logMean - half), high_s: Math.exp(logMean + half), ...common };
}
