/**
 * Quantiles and distribution functions, from the stdlib packages. One place, so that the argument order of
 * each is written down once: probability first, then the parameters.
 */
import betaQuantileOf from '@stdlib/stats-base-dists-beta-quantile';
import fQuantileOf from '@stdlib/stats-base-dists-f-quantile';
import gammaQuantileOf from '@stdlib/stats-base-dists-gamma-quantile';
import normalCdfOf from '@stdlib/stats-base-dists-normal-cdf';
import normalQuantileOf from '@stdlib/stats-base-dists-normal-quantile';
import tCdfOf from '@stdlib/stats-base-dists-t-cdf';
import tQuantileOf from '@stdlib/stats-base-dists-t-quantile';

/** Standard normal quantile. */
export function normalQuantile(p: number): number {
  return normalQuantileOf(p, 0, 1);
}
/** Standard normal distribution function. */
export function normalCdf(x: number): number {
  return normalCdfOf(x, 0, 1);
}
/** Quantile of Student's t with `df` degrees of freedom (real, > 0). */
export function tQuantile(p: number, df: number): number {
  return tQuantileOf(p, df);
}
/** Distribution function of Student's t. */
export function tCdf(x: number, df: number): number {
  return tCdfOf(x, df);
}
/** Two-sided p value of a t statistic. */
export function tTwoSided(t: number, df: number): number {
  return 2 * tCdf(-Math.abs(t), df);
}
/** Quantile of the beta distribution. */
export function betaQuantile(p: number, a: number, b: number): number {
  return betaQuantileOf(p, a, b);
}
/** Quantile of chi-squared with `df` degrees of freedom: a gamma with shape df/2 and rate 1/2. */
export function chiSquaredQuantile(p: number, df: number): number {
  return gammaQuantileOf(p, df / 2, 0.5);
}
/** Quantile of Snedecor's F. */
export function fQuantile(p: number, df1: number, df2: number): number {
  return fQuantileOf(p, df1, df2);
}
