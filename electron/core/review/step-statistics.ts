/**
 * One step over many jobs: how long, how sure, how often something happened at it, and which answers came
 * faster than the step can be done.
 */
import { individualsChart, LEAST_POINTS, scaleFor } from './control-charts.ts';
import { MAD_TO_SD, mean, quantileSorted } from './descriptive.ts';
import { medianIntervalSorted, wilsonInterval } from './intervals.ts';
import type { Figure, JobTimes, StepControl, StepStatistics, StepTimes } from './model.ts';
import { SHORTEST_FASTENER_MS, standardTimeOf } from './work-measurement.ts';

/** Most times kept for the picture of a distribution; beyond it every k-th is taken. */
export const SAMPLE_LIMIT = 2000;
/** Most points of a chart: the latest. */
export const CHART_POINTS = 500;
/** Fewest times before their distribution says what is too fast. */
const LEAST_FOR_FENCE = 12;

/** Share of jobs in which something happened at least once. */
export function rateOf(k: number, n: number): Figure {
  const interval = n === 0 ? null : wilsonInterval(k, n);
  return {
    value: n === 0 ? null : k / n,
    low: interval?.low ?? null,
    high: interval?.high ?? null,
    level: 0.95,
    n,
    unit: 'share',
    how: 'wilson-rate',
  };
}

/** Median with its interval, of times in ascending order. */
export function medianFigure(sorted: readonly number[]): Figure {
  const interval = medianIntervalSorted(sorted);
  return {
    value: sorted.length === 0 ? null : quantileSorted(sorted, 0.5),
    low: interval?.low ?? null,
    high: interval?.high ?? null,
    level: interval?.level ?? null,
    n: sorted.length,
    unit: 'ms',
    how: 'median-interval',
  };
}

/** Lower outer fence on logarithms: three quartile ranges below the first quartile. Null below twelve times. */
export function lowerFence(sorted: readonly number[]): number | null {
  const positive = sorted.filter((time) => time > 0);
  if (positive.length < LEAST_FOR_FENCE) return null;
  const q1 = Math.log(quantileSorted(positive, 0.25));
  const q3 = Math.log(quantileSorted(positive, 0.75));
  return Math.exp(q1 - 3 * (q3 - q1));
}

/** A step of one job with the job it belongs to. */
export interface StepOfJob {
  readonly job: JobTimes;
  readonly step: StepTimes;
}

function tooFast(rows: readonly StepOfJob[], sorted: readonly number[]): StepStatistics['too_fast'] {
  const byDistribution = lowerFence(sorted);
  const turns = rows.reduce((most, row) => Math.max(most, row.step.fastener_turns), 0);
  const byFasteners = turns > 0 ? turns * SHORTEST_FASTENER_MS : null;
  const limit_ms =
    byDistribution === null && byFasteners === null ? null : Math.max(byDistribution ?? 0, byFasteners ?? 0);
  if (limit_ms === null) return { count: 0, limit_ms: null, by: null, jobs: [] };
  const jobs = rows
    .filter((row) => row.step.state === 'confirmed' && row.step.active_ms < limit_ms)
    .map((row) => row.job.job);
  return { count: jobs.length, limit_ms, by: limit_ms === byFasteners ? 'fasteners' : 'distribution', jobs };
}

function thinned(values: readonly number[]): readonly number[] {
  if (values.length <= SAMPLE_LIMIT) return values;
  const step = values.length / SAMPLE_LIMIT;
  return Array.from({ length: SAMPLE_LIMIT }, (_, index) => values[Math.floor(index * step)] as number);
}

function controlOf(done: readonly StepOfJob[]): StepControl | null {
  const latest = done.slice(-CHART_POINTS);
  if (latest.length < LEAST_POINTS) return null;
  const values_ms = latest.map((row) => row.step.active_ms);
  const { scale, center, low, high, points, how } = individualsChart(
    latest.map((row) => ({ label: row.job.job, value: row.step.active_ms })),
    { scale: scaleFor(values_ms) },
  );
  const flagged = points.flatMap(({ label, rules }, index) =>
    rules.length === 0 ? [] : [{ index, job: label, rules }],
  );
  return { scale, center, low, high, values_ms, flagged, how };
}

/** Pace and allowance that standard times are computed with. */
export interface Pace {
  readonly rating: number;
  readonly allowance: number;
}
/** The usual pace, and personal 5 %, basic fatigue 4 % and standing 2 % of the table of the ILO. */
export const USUAL_PACE: Pace = { rating: 1, allowance: 0.11 };

/** Statistics of one step from its rows in job order; `total_ms` is the active time of all the jobs. */
export function statisticsOfStep(
  rows: readonly StepOfJob[],
  total_ms: number,
  pace: Pace = USUAL_PACE,
): StepStatistics | null {
  const latest = rows[rows.length - 1];
  if (latest === undefined) return null;
  const done = rows.filter((row) => row.step.state === 'confirmed');
  const times = done.map((row) => row.step.active_ms);
  const sorted = [...times].sort((a, b) => a - b);
  const n = rows.length;
  const share = (happened: (step: StepTimes) => boolean): Figure =>
    rateOf(rows.filter((row) => happened(row.step)).length, n);
  const at = (p: number): number => (sorted.length === 0 ? 0 : quantileSorted(sorted, p));
  const middle = at(0.5);
  const deviations = sorted.map((time) => Math.abs(time - middle)).sort((a, b) => a - b);
  const average = (pick: (step: StepTimes) => number): number =>
    done.length === 0 ? 0 : mean(done.map((row) => pick(row.step)));
  const firstPasses = done.map((row) => row.step.first_pass_ms).sort((a, b) => a - b);
  const { step } = latest;
  return {
    step: step.step,
    say: step.say,
    stage: step.stage,
    index: step.index,
    expected_s: step.expected_s,
    n: times.length,
    mean_ms: average((one) => one.active_ms),
    median: medianFigure(sorted),
    p90_ms: at(0.9),
    q1_ms: at(0.25),
    q3_ms: at(0.75),
    min_ms: at(0),
    max_ms: at(1),
    spread_ms: deviations.length === 0 ? 0 : MAD_TO_SD * quantileSorted(deviations, 0.5),
    reading_mean_ms: average((one) => one.reading_ms),
    waiting_mean_ms: average((one) => one.waiting_ms),
    first_pass_median_ms: firstPasses.length === 0 ? 0 : quantileSorted(firstPasses, 0.5),
    share: total_ms === 0 ? 0 : rows.reduce((sum, row) => sum + row.step.active_ms, 0) / total_ms,
    revisit_rate: share((one) => one.visits > 1),
    repeat_rate: share((one) => one.repeats > 0),
    say_again_rate: share((one) => one.say_agains > 0),
    help_rate: share((one) => one.helps > 0),
    problem_rate: share((one) => one.problems > 0),
    skip_rate: share((one) => one.state === 'skipped'),
    too_fast: tooFast(rows, sorted),
    sample_ms: thinned(times),
    control: controlOf(done),
    standard: standardTimeOf(times, pace.rating, pace.allowance),
  };
}

/**
 * Statistics of every step over jobs of one type, in the order of the latest plan. Steps are matched by
 * their stable ids; `jobs` in order of time; only those of `listed` where it is given. Cost: n log n in the number of
 * step times.
 */
export function stepStatistics(
  jobs: readonly JobTimes[],
  pace: Pace = USUAL_PACE,
  listed?: ReadonlySet<string>,
): StepStatistics[] {
  const rows = new Map<string, StepOfJob[]>();
  for (const job of jobs) {
    for (const step of job.steps) {
      if (listed?.has(step.step) === false) continue;
      const list = rows.get(step.step);
      if (list === undefined) rows.set(step.step, [{ job, step }]);
      else list.push({ job, step });
    }
  }
  const total_ms = jobs.reduce((sum, job) => sum + job.active_ms, 0);
  const table = [...rows.values()].flatMap((list) => statisticsOfStep(list, total_ms, pace) ?? []);
  return table.sort((a, b) => (a.index < 0 ? 1e9 : a.index) - (b.index < 0 ? 1e9 : b.index));
}
