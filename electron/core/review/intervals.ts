/**
 * How sure a number is: intervals for a mean, a median, a share and a count.
 */
import { assert } from '../base/result.ts';
import { mean, standardDeviation } from './descriptive.ts';
import { betaQuantile, chiSquaredQuantile, normalQuantile, tQuantile } from './distributions.ts';

export interface Interval {
  readonly low: number;
  readonly high: number;
}

function assertCounts(k: number, n: number): void {
  assert(Number.isInteger(k) && Number.isInteger(n) && k >= 0 && n >= 1 && k <= n, `share of ${k} in ${n}`);
}

/** t interval for the mean; needs two values. */
export function meanInterval(values: readonly number[], level = 0.95): Interval {
  const n = values.length;
  const half = (tQuantile((1 + level) / 2, n - 1) * standardDeviation(values)) / Math.sqrt(n);
  const center = mean(values);
  return { low: center - half, high: center + half };
}

/** Wilson score interval for a share of k in n (Wilson 1927). */
export function wilsonInterval(k: number, n: number, level = 0.95): Interval {
  assertCounts(k, n);
  const z = normalQuantile((1 + level) / 2);
  const share = k / n;
  const center = share + (z * z) / (2 * n);
  const half = z * Math.sqrt((share * (1 - share)) / n + (z * z) / (4 * n * n));
  const scale = 1 + (z * z) / n;
  return {
    low: k === 0 ? 0 : Math.max(0, (center - half) / scale),
    high: k === n ? 1 : Math.min(1, (center + half) / scale),
  };
}

/** Exact interval of Clopper and Pearson (1934): never below its level, wider than Wilson's. */
export function clopperPearsonInterval(k: number, n: number, level = 0.95): Interval {
  assertCounts(k, n);
  const tail = (1 - level) / 2;
  return {
    low: k === 0 ? 0 : betaQuantile(tail, k, n - k + 1),
    high: k === n ? 1 : betaQuantile(1 - tail, k + 1, n - k),
  };
}

/** Interval of Agresti and Coull (1998), cut at 0 and 1. */
export function agrestiCoullInterval(k: number, n: number, level = 0.95): Interval {
  assertCounts(k, n);
  const z = normalQuantile((1 + level) / 2);
  const trials = n + z * z;
  const share = (k + (z * z) / 2) / trials;
  const half = z * Math.sqrt((share * (1 - share)) / trials);
  return { low: Math.max(0, share - half), high: Math.min(1, share + half) };
}

/** One-sided upper bound for the share of an event never seen in n trials: 1 − (1 − level)^(1/n). */
export function zeroEventsUpper(n: number, level = 0.95): number {
  assert(n >= 1, `trials without an event: ${n}`);
  return 1 - (1 - level) ** (1 / n);
}

/** Exact interval for a Poisson count (Garwood 1936); divide by the exposure for a rate. */
export function poissonInterval(count: number, level = 0.95): Interval {
  assert(Number.isInteger(count) && count >= 0, `Poisson count ${count}`);
  const tail = (1 - level) / 2;
  return {
    low: count === 0 ? 0 : chiSquaredQuantile(tail, 2 * count) / 2,
    high: chiSquaredQuantile(1 - tail, 2 * count + 2) / 2,
  };
}

/** Interval for a median from the ordered values, and the confidence it really has. */
export interface MedianInterval extends Interval {
  readonly level: number;
}

/** P(X ≤ k) of a binomial with share 1/2, for k = 0…n. Exact to rounding; cost linear in n. */
function fairCoinCdf(n: number): number[] {
  const logChoose: number[] = [0];
  for (let k = 1; k <= n; k += 1) logChoose.push((logChoose[k - 1] ?? 0) + Math.log((n - k + 1) / k));
  let running = 0;
  return logChoose.map((value) => {
    running += Math.exp(value - n * Math.LN2);
    return running;
  });
}

/**
 * Distribution-free interval for the median: the narrowest pair of order statistics x₍ⱼ₎…x₍ₙ₊₁₋ⱼ₎ that
 * covers at least `level`. Below six values no pair reaches 95 %; then null. Values must be ascending.
 */
export function medianIntervalSorted(sorted: readonly number[], level = 0.95): MedianInterval | null {
  const n = sorted.length;
  if (n === 0) return null;
  // Beyond this the normal approximation of the rank is exact to less than one rank.
  const large = n > 2000;
  const tail = (1 - level) / 2;
  let j: number;
  let reached = level;
  if (large) {
    j = Math.floor((n + 1) / 2 - (normalQuantile(1 - tail) * Math.sqrt(n)) / 2);
  } else {
    const cdf = fairCoinCdf(n);
    j = 0;
    while (j < Math.floor(n / 2) && (cdf[j] ?? 1) <= tail) j += 1;
    if (j === 0) return null;
    reached = 1 - 2 * (cdf[j - 1] ?? 0);
  }
  return { low: sorted[j - 1] as number, high: sorted[n - j] as number, level: reached };
}
