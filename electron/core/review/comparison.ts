/**
 * Comparing two sets of jobs: two revisions of a product file, or two groups. Times are compared on
 * logarithms, because they are skewed and because "20 % faster" is what a reader wants to know; the
 * interval is Welch's, which does not ask for equal spread.
 */
import { mean, median, standardDeviation } from './descriptive.ts';
import { tQuantile, tTwoSided } from './distributions.ts';
import type { Comparison, Figure, JobTimes, Notice, StepComparison, StepName } from './model.ts';
import { notice } from './words.ts';

export interface Welch {
  readonly difference: number;
  readonly standard_error: number;
  readonly t: number;
  readonly df: number;
  readonly p: number;
}

/** Welch's test of mean(a) − mean(b), two-sided; null where either side has fewer than two or neither varies. */
export function welch(a: readonly number[], b: readonly number[]): Welch | null {
  if (a.length < 2 || b.length < 2) return null;
  const va = standardDeviation(a) ** 2 / a.length;
  const vb = standardDeviation(b) ** 2 / b.length;
  if (va + vb === 0) return null;
  const standard_error = Math.sqrt(va + vb);
  const df = (va + vb) ** 2 / (va ** 2 / (a.length - 1) + vb ** 2 / (b.length - 1));
  const difference = mean(a) - mean(b);
  const t = difference / standard_error;
  return { difference, standard_error, t, df, p: tTwoSided(t, df) };
}

/** Largest number of values for which the exact distribution of U is counted. */
const EXACT_U = 400;

/** How many ways give each value of U for groups of m and n without ties; cost m·n·(m·n). */
function countsOfU(m: number, n: number): number[] {
  let counts: number[] = [1];
  // Generating function: product over i of (1 − x^(n+i)) / (1 − x^i).
  for (let i = 1; i <= m; i += 1) {
    const size = i * n + 1;
    const grown = new Array<number>(size).fill(0);
    for (let u = 0; u < size; u += 1) {
      const add = (counts[u] ?? 0) - (u - (n + i) >= 0 ? (counts[u - (n + i)] ?? 0) : 0);
      grown[u] = add + (u - i >= 0 ? (grown[u - i] ?? 0) : 0);
    }
    counts = grown;
  }
  return counts;
}

/**
 * Mann–Whitney U of `a` against `b` with its exact two-sided p; null with ties or where m·n is above 400
 * (then Welch on logarithms is what the review shows).
 */
export function mannWhitney(
  a: readonly number[],
  b: readonly number[],
): { readonly u: number; readonly p: number } | null {
  const product = a.length * b.length;
  if (product === 0 || product > EXACT_U) return null;
  if (new Set([...a, ...b]).size !== a.length + b.length) return null;
  const u = a.reduce((total, value) => total + b.filter((other) => other < value).length, 0);
  const counts = countsOfU(a.length, b.length);
  const all = counts.reduce((total, value) => total + value, 0);
  const smaller = Math.min(u, product - u);
  const tail = counts.slice(0, smaller + 1).reduce((total, value) => total + value, 0) / all;
  return { u, p: Math.min(1, 2 * tail) };
}

/** Holm's step-down correction (1979) of p values; the order of the input is kept. */
export function holm(p: readonly number[]): number[] {
  const order = p.map((value, index) => ({ value, index })).sort((x, y) => x.value - y.value);
  const corrected = new Array<number>(p.length).fill(1);
  let running = 0;
  for (const [rank, { value, index }] of order.entries()) {
    running = Math.max(running, Math.min(1, value * (p.length - rank)));
    corrected[index] = running;
  }
  return corrected;
}

/** Fewest jobs on each side for a verdict. */
export const LEAST_JOBS_TO_COMPARE = 5;
const ALPHA = 0.05;

const NO_RATIO: Omit<Figure, 'n'> = {
  value: null,
  low: null,
  high: null,
  level: 0.95,
  unit: 'ratio',
  how: 'ratio-interval',
};

/** Ratio of geometric means of b over a, with its interval; times must be above 0. */
export function ratioOf(a: readonly number[], b: readonly number[]): { figure: Figure; p: number | null } {
  const logsA = a.filter((value) => value > 0).map(Math.log);
  const logsB = b.filter((value) => value > 0).map(Math.log);
  const n = logsA.length + logsB.length;
  const found = welch(logsB, logsA);
  if (found === null) {
    const value = logsA.length > 0 && logsB.length > 0 ? Math.exp(mean(logsB) - mean(logsA)) : null;
    return { figure: { ...NO_RATIO, value, n }, p: null };
  }
  const half = tQuantile(0.975, found.df) * found.standard_error;
  const figure = {
    ...NO_RATIO,
    value: Math.exp(found.difference),
    low: Math.exp(found.difference - half),
    high: Math.exp(found.difference + half),
    n,
  };
  return { figure, p: found.p };
}

function compareTimes(step: string, say: string, a: readonly number[], b: readonly number[]): StepComparison {
  const { figure, p } = ratioOf(a, b);
  return {
    step,
    say,
    n_a: a.length,
    n_b: b.length,
    median_a_ms: a.length === 0 ? 0 : median(a),
    median_b_ms: b.length === 0 ? 0 : median(b),
    ratio: figure,
    p,
    p_holm: null,
    verdict: 'too-few',
  };
}

function withVerdict(row: StepComparison, p_holm: number | null): StepComparison {
  const few = Math.min(row.n_a, row.n_b) < LEAST_JOBS_TO_COMPARE || row.p === null || p_holm === null;
  const ratio = row.ratio.value ?? 1;
  const verdict = few ? 'too-few' : p_holm >= ALPHA ? 'no-difference-shown' : ratio < 1 ? 'faster' : 'slower';
  return { ...row, p_holm, verdict };
}

/** Active times of each step over the jobs in which it was confirmed. */
function timesByStep(jobs: readonly JobTimes[]): Map<string, { say: string; times: number[] }> {
  const steps = new Map<string, { say: string; times: number[] }>();
  for (const job of jobs) {
    for (const step of job.steps) {
      if (step.state !== 'confirmed') continue;
      const entry = steps.get(step.step) ?? { say: step.say, times: [] };
      entry.say = step.say;
      entry.times.push(step.active_ms);
      steps.set(step.step, entry);
    }
  }
  return steps;
}

type StepsWithTimes = ReturnType<typeof timesByStep>;

/** The steps of `steps` that `others` lacks; none where there is nothing to compare with. */
function missingFrom(others: StepsWithTimes, steps: StepsWithTimes): StepName[] {
  if (others.size === 0) return [];
  return [...steps].filter(([step]) => !others.has(step)).map(([step, { say }]) => ({ step, say }));
}

function remarks(a: readonly JobTimes[], b: readonly JobTimes[]): Notice[] {
  const notices: Notice[] = [];
  if (Math.min(a.length, b.length) < LEAST_JOBS_TO_COMPARE)
    notices.push(notice('compare/too-few', { a: a.length, b: b.length, needed: LEAST_JOBS_TO_COMPARE }));
  const people = (jobs: readonly JobTimes[]): string =>
    [...new Set(jobs.map((job) => job.technician))].sort().join();
  if (a.length > 0 && b.length > 0 && people(a) !== people(b))
    notices.push(notice('compare/different-people'));
  return notices;
}

export interface NamedJobs {
  readonly name: Notice;
  readonly jobs: readonly JobTimes[];
}

/**
 * Compares two sets of completed jobs step by step. `a` is the older or reference set; a ratio below 1 means
 * `b` is faster. The whole job stands apart; the p values of the steps are corrected together by Holm. Steps
 * are matched by their stable ids.
 */
export function compareJobs(what: Comparison['what'], a: NamedJobs, b: NamedJobs): Comparison {
  const stepsA = timesByStep(a.jobs);
  const stepsB = timesByStep(b.jobs);
  const rows = [...stepsA].flatMap(([step, one]) => {
    const other = stepsB.get(step);
    return other === undefined ? [] : [compareTimes(step, other.say, one.times, other.times)];
  });
  const tested = rows.filter((row) => row.p !== null && Math.min(row.n_a, row.n_b) >= LEAST_JOBS_TO_COMPARE);
  const corrected = holm(tested.map((row) => row.p ?? 1));
  const holmOf = new Map(tested.map((row, index) => [row.step, corrected[index] ?? 1]));
  const active = (jobs: readonly JobTimes[]): number[] => jobs.map((job) => job.active_ms);
  const whole = compareTimes('', '', active(a.jobs), active(b.jobs));
  return {
    what,
    a: a.name,
    b: b.name,
    jobs_a: a.jobs.length,
    jobs_b: b.jobs.length,
    job: withVerdict(whole, whole.p),
    steps: rows.map((row) => withVerdict(row, holmOf.get(row.step) ?? null)),
    only_in_a: missingFrom(stepsB, stepsA),
    only_in_b: missingFrom(stepsA, stepsB),
    notices: remarks(a.jobs, b.jobs),
    how: 'ratio-interval',
  };
}
