/**
 * Linear least squares by Householder's orthogonal factors, with standard errors. Columns are scaled to
 * length one first, so powers of large numbers lose no digits. Not for many columns: cost n·k².
 */
import { assert } from '../base/result.ts';
import { mean, median } from './descriptive.ts';
import { normalQuantile, tQuantile } from './distributions.ts';

export interface LeastSquares {
  readonly coefficients: readonly number[];
  readonly standard_errors: readonly number[];
  readonly residual_sd: number;
  readonly df: number;
  /** 1 − residual/total sum of squares; the total is about the mean only where there is an intercept. */
  readonly r_squared: number;
  /** F of the regression; NaN without residual degrees of freedom. */
  readonly f: number;
  readonly n: number;
}

type Matrix = number[][];

function columnNorms(rows: readonly (readonly number[])[], columns: number): number[] {
  return Array.from(
    { length: columns },
    (_, j) => rows.reduce((norm, row) => Math.hypot(norm, row[j] ?? 0), 0) || 1,
  );
}

/** Reflects below the diagonal to zero, in place; the last column is the right-hand side. */
function reflect(a: Matrix, columns: number): void {
  for (let k = 0; k < columns; k += 1) {
    let norm = 0;
    for (let i = k; i < a.length; i += 1) norm = Math.hypot(norm, a[i]![k]!);
    if (norm === 0) continue;
    const alpha = a[k]![k]! > 0 ? -norm : norm;
    const v = a.map((row, i) => (i < k ? 0 : i === k ? row[k]! - alpha : row[k]!));
    const vv = v.reduce((total, one) => total + one * one, 0);
    if (vv === 0) continue;
    for (let j = k; j <= columns; j += 1) {
      let dot = 0;
      for (let i = k; i < a.length; i += 1) dot += v[i]! * a[i]![j]!;
      const factor = (2 * dot) / vv;
      for (let i = k; i < a.length; i += 1) a[i]![j]! -= factor * v[i]!;
    }
  }
}

/** Inverse of the upper triangle of `a`. */
function inverseTriangle(a: Matrix, size: number): Matrix {
  const inverse: Matrix = Array.from({ length: size }, () => new Array<number>(size).fill(0));
  for (let j = 0; j < size; j += 1) {
    inverse[j]![j] = 1 / a[j]![j]!;
    for (let i = j - 1; i >= 0; i -= 1) {
      let total = 0;
      for (let k = i + 1; k <= j; k += 1) total += a[i]![k]! * inverse[k]![j]!;
      inverse[i]![j] = -total / a[i]![i]!;
    }
  }
  return inverse;
}

/**
 * Fits y = X·β. `rows` are the rows of X (write the 1 of an intercept yourself and say so). Null where the
 * columns depend on each other or there are fewer rows than columns.
 */
export function leastSquares(
  rows: readonly (readonly number[])[],
  y: readonly number[],
  options: { readonly intercept: boolean },
): LeastSquares | null {
  assert(rows.length === y.length, `as many rows as values: ${rows.length} and ${y.length}`);
  const columns = rows[0]?.length ?? 0;
  if (columns === 0 || rows.length < columns) return null;
  const norms = columnNorms(rows, columns);
  const a: Matrix = rows.map((row, i) => [...row.map((value, j) => value / norms[j]!), y[i]!]);
  reflect(a, columns);
  for (let k = 0; k < columns; k += 1) if (Math.abs(a[k]![k]!) < 1e-13) return null;
  const inverse = inverseTriangle(a, columns);
  const scaled = inverse.map((row) => row.reduce((total, value, k) => total + value * a[k]![columns]!, 0));
  const coefficients = scaled.map((value, j) => value / norms[j]!);
  const residuals = rows.map(
    (row, i) => y[i]! - row.reduce((sum, value, j) => sum + value * coefficients[j]!, 0),
  );
  const rss = residuals.reduce((total, one) => total + one * one, 0);
  const center = options.intercept ? mean(y) : 0;
  const tss = y.reduce((total, one) => total + (one - center) ** 2, 0);
  const df = rows.length - columns;
  const residual_sd = df > 0 ? Math.sqrt(rss / df) : 0;
  const standard_errors = inverse.map((row, j) => (residual_sd * Math.hypot(...row)) / norms[j]!);
  const model_df = columns - (options.intercept ? 1 : 0);
  return {
    coefficients,
    standard_errors,
    residual_sd,
    df,
    r_squared: tss === 0 ? 1 : 1 - rss / tss,
    f: df > 0 && model_df > 0 ? (tss - rss) / model_df / (rss / df) : Number.NaN,
    n: rows.length,
  };
}

/** A straight line y = intercept + slope·x with the figures an interval needs. */
export interface Line extends LeastSquares {
  readonly intercept: number;
  readonly slope: number;
  readonly slope_se: number;
  readonly mean_x: number;
  /** Σ(x − x̄)². */
  readonly sxx: number;
}

/** Straight line by least squares; null with fewer than two points or when all x are equal. */
export function fitLine(x: readonly number[], y: readonly number[]): Line | null {
  if (x.length < 2) return null;
  const fit = leastSquares(
    x.map((value) => [1, value]),
    y,
    { intercept: true },
  );
  if (fit === null) return null;
  const mean_x = mean(x);
  const sxx = x.reduce((total, value) => total + (value - mean_x) ** 2, 0);
  if (sxx === 0) return null;
  return {
    ...fit,
    intercept: fit.coefficients[0]!,
    slope: fit.coefficients[1]!,
    slope_se: fit.standard_errors[1]!,
    mean_x,
    sxx,
  };
}

/** Interval for one new y at `x`; needs a residual degree of freedom. */
export function predictionInterval(line: Line, x: number, level: number): { low: number; high: number } {
  assert(line.df > 0, 'a prediction interval needs more points than coefficients');
  const center = line.intercept + line.slope * x;
  const spread = line.residual_sd * Math.sqrt(1 + 1 / line.n + (x - line.mean_x) ** 2 / line.sxx);
  const half = tQuantile((1 + level) / 2, line.df) * spread;
  return { low: center - half, high: center + half };
}

export interface TheilSen {
  readonly slope: number;
  readonly low: number;
  readonly high: number;
  /** Kendall's τ-b against the order. */
  readonly tau: number;
  readonly n: number;
}

/**
 * Slope of Theil (1950) and Sen (1968) of values at 1, 2, …: the median of all pairwise slopes, with the
 * interval from the distribution of Kendall's S (normal approximation). Null below four values. Cost n².
 */
export function theilSen(values: readonly number[], level = 0.95): TheilSen | null {
  const n = values.length;
  if (n < 4) return null;
  const slopes: number[] = [];
  let s = 0;
  let ties = 0;
  for (let i = 0; i < n; i += 1) {
    for (let j = i + 1; j < n; j += 1) {
      const difference = values[j]! - values[i]!;
      slopes.push(difference / (j - i));
      s += Math.sign(difference);
      if (difference === 0) ties += 1;
    }
  }
  slopes.sort((a, b) => a - b);
  const pairs = slopes.length;
  const half = normalQuantile((1 + level) / 2) * Math.sqrt((n * (n - 1) * (2 * n + 5)) / 18);
  const low = Math.max(0, Math.round((pairs - half) / 2) - 1);
  const high = Math.min(pairs - 1, Math.round((pairs + half) / 2));
  const tau = pairs === ties ? 0 : s / Math.sqrt(pairs * (pairs - ties));
  return { slope: median(slopes), low: slopes[low]!, high: slopes[high]!, tau, n };
}
