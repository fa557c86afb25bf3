/**
 * Where the level of a series changed: the split whose two sides differ most against their own spread.
 */
import { mean } from './descriptive.ts';
import { tTwoSided } from './distributions.ts';

/** Fewest values on either side of a change. */
export const LEAST_SIDE = 8;
/** Chance of naming a change where there is none. */
const ALPHA = 0.01;

export interface ChangePoint {
  /** Index from 0 of the first value on the new level. */
  readonly index: number;
  /** Mean after less mean before. */
  readonly difference: number;
  /** p of the best split, corrected for the number of splits looked at (Bonferroni). */
  readonly p: number;
}

/**
 * The most likely single change of level: the largest two-sample t with pooled spread over all splits with eight
 * values on either side, its p corrected for the number of splits; null where even that could be chance.
 * Values should be symmetric: take logarithms of times first. Cost: linear.
 */
export function changePoint(values: readonly number[]): ChangePoint | null {
  const n = values.length;
  if (n < 2 * LEAST_SIDE) return null;
  const center = mean(values);
  // Sums about the overall mean lose no digits to its size.
  const deviations = values.map((value) => value - center);
  const squares = deviations.reduce((sum, value) => sum + value * value, 0);
  if (squares <= n * (1e-12 * Math.max(1, Math.abs(center))) ** 2) return null;
  let running = deviations.slice(0, LEAST_SIDE - 1).reduce((sum, value) => sum + value, 0);
  let best: { index: number; t: number; difference: number } | null = null;
  for (let index = LEAST_SIDE; index <= n - LEAST_SIDE; index += 1) {
    running += deviations[index - 1] ?? 0;
    const before = running / index;
    const after = -running / (n - index);
    const within = squares - index * before ** 2 - (n - index) * after ** 2;
    const error = Math.sqrt((Math.max(0, within) / (n - 2)) * (1 / index + 1 / (n - index)));
    // A clean step has no spread on either side: nothing differs more.
    const t =
      within <= 1e-12 * squares ? Math.sign(after - before) * Number.MAX_VALUE : (after - before) / error;
    if (best === null || Math.abs(t) > Math.abs(best.t)) best = { index, t, difference: after - before };
  }
  if (best === null) return null;
  const p = Math.min(1, tTwoSided(best.t, n - 2) * (n - 2 * LEAST_SIDE + 1));
  return p < ALPHA ? { index: best.index, difference: best.difference, p } : null;
}
