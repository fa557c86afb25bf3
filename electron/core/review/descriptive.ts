/**
 * Describing a set of numbers: moments, quantiles, robust spread, outliers. Plain arithmetic comes from
 * simple-statistics (compensated sums, two-pass variance); what is here is what that library lacks.
 */
import { mean as meanOf, sampleStandardDeviation, sum } from 'simple-statistics';
import { assert } from '../base/result.ts';
import { tQuantile } from './distributions.ts';

function assertNumbers(values: readonly number[], least: number, what: string): void {
  assert(values.length >= least, `${what} needs ${least} values, got ${values.length}`);
  assert(!values.some(Number.isNaN), `${what} of a list with NaN`);
}

/** Arithmetic mean; the list must not be empty. */
export function mean(values: readonly number[]): number {
  assertNumbers(values, 1, 'mean');
  const first = meanOf(values as number[]);
  // One step of refinement: the mean of the deviations is zero but for rounding.
  return first + meanOf(values.map((value) => value - first));
}

/** Standard deviation with n − 1; needs two values. */
export function standardDeviation(values: readonly number[]): number {
  assertNumbers(values, 2, 'standard deviation');
  return sampleStandardDeviation(values as number[]);
}

/** Autocorrelation at lag 1: Σ(xᵢ−x̄)(xᵢ₋₁−x̄)/Σ(xᵢ−x̄)²; needs two values. */
export function autocorrelation(values: readonly number[]): number {
  assertNumbers(values, 2, 'autocorrelation');
  const center = mean(values);
  const deviations = values.map((value) => value - center);
  const products = deviations.slice(1).map((value, index) => value * (deviations[index] ?? 0));
  return sum(products) / sum(deviations.map((value) => value * value));
}

/** Sample quantile types of Hyndman and Fan (1996). Type 7 is what R, numpy and spreadsheets do by default. */
export type QuantileType = 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8 | 9;

/** h of types 4 to 9: position from 1 among n ordered values. */
function position(type: QuantileType, n: number, p: number): number {
  switch (type) {
    case 4:
      return n * p;
    case 5:
      return n * p + 0.5;
    case 6:
      return (n + 1) * p;
    case 7:
      return (n - 1) * p + 1;
    case 8:
      return (n + 1 / 3) * p + 1 / 3;
    default:
      return (n + 0.25) * p + 0.375;
  }
}

function stepQuantile(sorted: readonly number[], p: number, type: 1 | 2 | 3): number {
  const n = sorted.length;
  const at = (index: number): number => sorted[Math.min(n - 1, Math.max(0, index))] as number;
  // n·p carries rounding (0.9 × 10 = 9.000000000000002 elsewhere), so whole numbers are recognised near by.
  const exact = n * p;
  const whole = Math.abs(exact - Math.round(exact)) < 1e-9 * n;
  if (type === 3) {
    const nearest = Math.floor(exact - 0.5 + 1e-9);
    const half = Math.abs(exact - 0.5 - nearest) < 1e-9 * n;
    return at(half && nearest % 2 === 0 ? nearest - 1 : nearest);
  }
  if (!whole) return at(Math.ceil(exact) - 1);
  const k = Math.round(exact);
  return type === 1 ? at(k - 1) : (at(k - 1) + at(k)) / 2;
}

/**
 * Quantile of values already in ascending order, `p` from 0 to 1; the list must not be empty. Linear
 * interpolation between neighbours for types 4 to 9, limited to the smallest and largest value.
 */
export function quantileSorted(sorted: readonly number[], p: number, type: QuantileType = 7): number {
  assertNumbers(sorted, 1, 'quantile');
  assert(p >= 0 && p <= 1, `quantile p from 0 to 1, got ${p}`);
  const n = sorted.length;
  if (p === 0) return sorted[0] as number;
  if (p === 1) return sorted[n - 1] as number;
  if (type === 1 || type === 2 || type === 3) return stepQuantile(sorted, p, type);
  const h = Math.min(n, Math.max(1, position(type, n, p)));
  const below = Math.floor(h + 4 * Number.EPSILON * n);
  const low = sorted[below - 1] as number;
  const high = sorted[Math.min(n, below + 1) - 1] as number;
  return low + Math.max(0, h - below) * (high - low);
}

/** Quantile of values in any order; see `quantileSorted`. */
export function quantile(values: readonly number[], p: number, type: QuantileType = 7): number {
  return quantileSorted(
    [...values].sort((a, b) => a - b),
    p,
    type,
  );
}

/** Median; the list must not be empty. */
export function median(values: readonly number[]): number {
  return quantile(values, 0.5);
}

/** Median absolute deviation, as it is; × 1.4826 estimates the standard deviation of normal data. */
export function medianAbsoluteDeviation(values: readonly number[]): number {
  const center = median(values);
  return median(values.map((value) => Math.abs(value - center)));
}

/** Factor from the median absolute deviation to a standard deviation, for normal data: 1/Φ⁻¹(3/4). */
export const MAD_TO_SD = 1.4826;

/** Modified z score 0.6745 (x − median)/MAD (Iglewicz and Hoaglin); beyond 3.5 is suspect. */
export function modifiedZ(values: readonly number[], value: number): number {
  return (0.6745 * (value - median(values))) / medianAbsoluteDeviation(values);
}

/** Geometric mean of positive values. */
export function geometricMean(values: readonly number[]): number {
  return Math.exp(mean(values.map(Math.log)));
}

/** Mean without the smallest and largest `share` (0…0.5) of the values, each rounded down. */
export function trimmedMean(values: readonly number[], share: number): number {
  assert(share >= 0 && share < 0.5, `trimmed share from 0 to below 0.5, got ${share}`);
  const sorted = [...values].sort((a, b) => a - b);
  const cut = Math.floor(sorted.length * share);
  return mean(sorted.slice(cut, sorted.length - cut));
}

/** Fences of Tukey: quartiles (type 7) ± `factor` × quartile range; 1.5 inner, 3 outer. */
export function tukeyFences(
  values: readonly number[],
  factor = 1.5,
): { readonly low: number; readonly high: number } {
  const sorted = [...values].sort((a, b) => a - b);
  const q1 = quantileSorted(sorted, 0.25);
  const q3 = quantileSorted(sorted, 0.75);
  return { low: q1 - factor * (q3 - q1), high: q3 + factor * (q3 - q1) };
}

/**
 * Grubbs' test for one outlier at the upper end: G = (max − x̄)/s and its critical value at one-sided
 * `alpha` (NIST e-Handbook 1.3.5.17.1). Needs three values.
 */
export function grubbs(
  values: readonly number[],
  alpha = 0.05,
): { readonly g: number; readonly critical: number } {
  assertNumbers(values, 3, "Grubbs' test");
  const n = values.length;
  const g = (Math.max(...values) - mean(values)) / standardDeviation(values);
  const t2 = tQuantile(1 - alpha / n, n - 2) ** 2;
  return { g, critical: ((n - 1) / Math.sqrt(n)) * Math.sqrt(t2 / (n - 2 + t2)) };
}

/** Cumulative shares of sizes in falling order; the order of the input is kept in `index`. */
export function cumulativeShares(
  sizes: readonly number[],
): readonly { readonly index: number; readonly share: number; readonly cumulative: number }[] {
  const total = sum(sizes as number[]);
  const order = sizes.map((size, index) => ({ size, index })).sort((a, b) => b.size - a.size);
  let running = 0;
  return order.map(({ size, index }) => {
    running += size;
    return {
      index,
      share: total === 0 ? 0 : size / total,
      cumulative: total === 0 ? 0 : running / total,
    };
  });
}
