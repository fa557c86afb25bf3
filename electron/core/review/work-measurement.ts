/**
 * Work measurement: from observed times to a standard time.
 *
 * Two conventions for allowances are both in use and give different answers, so each has its own name: a
 * share of the shift (normal ÷ (1 − A)) and a share of the work (normal × (1 + A)).
 */
import { assert } from '../base/result.ts';
import { mean, standardDeviation, tukeyFences } from './descriptive.ts';
import { normalQuantile } from './distributions.ts';
import type { StandardTime } from './model.ts';

/** Whether an allowance A is a share of the shift (÷ (1 − A)) or of the work (× (1 + A)). */
export type AllowanceOf = 'shift' | 'work';

/** Normal time: observed mean × rating; 1 is the pace of a trained person who keeps it all day. */
export function normalTime(observed: number, rating: number): number {
  assert(rating > 0, `rating above 0, got ${rating}`);
  return observed * rating;
}

/** Standard time of a normal time. `allowance` from 0 to below 1. Unit as given. */
export function standardTime(normal: number, allowance: number, of: AllowanceOf): number {
  assert(allowance >= 0 && allowance < 1, `allowance from 0 to below 1, got ${allowance}`);
  return of === 'shift' ? normal / (1 - allowance) : normal * (1 + allowance);
}

/**
 * Observations needed so that the mean is within ± `precision` (a share of the mean) at confidence z:
 * (z·s/(h·x̄))², rounded up. `z` may be a published rounded value or `zOf(level)`.
 */
export function observationsNeeded(
  standardDeviation_: number,
  mean_: number,
  precision: number,
  z: number,
): number {
  assert(mean_ > 0 && precision > 0, `mean ${mean_} and precision ${precision} above 0`);
  const n = ((z * standardDeviation_) / (precision * mean_)) ** 2;
  // 121.00000000000001 means 121: rounding up would add an observation that arithmetic noise asked for.
  return Math.ceil(n - 1e-9 * Math.max(1, n));
}

/** Two-sided z of a confidence level, 0.95 → 1.95996. */
export function zOf(level: number): number {
  return normalQuantile((1 + level) / 2);
}

/**
 * The same by sums, as the International Labour Office prints it for ±5 % at 95.45 %:
 * (40·√(n′Σx² − (Σx)²)/Σx)². It divides by n, not n − 1. Not rounded.
 */
export function observationsNeededIlo(values: readonly number[]): number {
  const sum = values.reduce((total, value) => total + value, 0);
  const squares = values.reduce((total, value) => total + value * value, 0);
  return ((40 * Math.sqrt(Math.max(0, values.length * squares - sum * sum))) / sum) ** 2;
}

/** Work conditions that allowances are given for; see `iloAllowance`. */
export interface WorkConditions {
  readonly personal?: boolean;
  readonly fatigue?: boolean;
  readonly standing?: boolean;
  readonly position?: keyof typeof POSITION;
  /** Force or weight in pounds; the table goes to 70. */
  readonly force_lb?: number;
  readonly light?: keyof typeof LIGHT;
  /** Heat and humidity, 0 to 10 as judged. */
  readonly atmosphere?: number;
  readonly attention?: keyof typeof ATTENTION;
  readonly noise?: keyof typeof NOISE;
  readonly mental?: keyof typeof MENTAL;
  readonly monotony?: keyof typeof MONOTONY;
  readonly tediousness?: keyof typeof TEDIOUSNESS;
}

const POSITION = { 'slightly-awkward': 0, awkward: 2, 'very-awkward': 7 } as const;
const LIGHT = { 'slightly-below': 0, 'well-below': 2, 'very-inadequate': 5 } as const;
const ATTENTION = { 'fairly-fine': 0, fine: 2, 'very-fine': 5 } as const;
const NOISE = {
  continuous: 0,
  'intermittent-loud': 2,
  'intermittent-very-loud': 5,
  'high-pitched-loud': 5,
} as const;
const MENTAL = { 'fairly-complex': 1, complex: 4, 'very-complex': 8 } as const;
const MONOTONY = { low: 0, medium: 1, high: 4 } as const;
const TEDIOUSNESS = { rather: 0, tedious: 2, very: 5 } as const;
const FORCE: readonly (readonly [number, number])[] = [
  [5, 0],
  [10, 1],
  [15, 2],
  [20, 3],
  [25, 4],
  [30, 5],
  [35, 7],
  [40, 9],
  [45, 11],
  [50, 13],
  [60, 17],
  [70, 22],
];

/**
 * Allowance in percent of basic time, by the table of the International Labour Office (Introduction to Work
 * Study) as reprinted in textbooks of operations management. The force is rounded up to the next row; beyond
 * 70 lb the table ends and the answer is null. Constant parts (personal 5, basic fatigue 4) count unless
 * switched off.
 */
export function iloAllowance(conditions: WorkConditions): number | null {
  let percent = conditions.personal === false ? 0 : 5;
  if (conditions.fatigue !== false) percent += 4;
  if (conditions.standing === true) percent += 2;
  if (conditions.force_lb !== undefined && conditions.force_lb > 0) {
    const row = FORCE.find(([pounds]) => pounds >= (conditions.force_lb ?? 0));
    if (row === undefined) return null;
    percent += row[1];
  }
  const atmosphere = conditions.atmosphere ?? 0;
  assert(atmosphere >= 0 && atmosphere <= 10, `atmosphere from 0 to 10, got ${atmosphere}`);
  percent += atmosphere;
  if (conditions.position !== undefined) percent += POSITION[conditions.position];
  if (conditions.light !== undefined) percent += LIGHT[conditions.light];
  if (conditions.attention !== undefined) percent += ATTENTION[conditions.attention];
  if (conditions.noise !== undefined) percent += NOISE[conditions.noise];
  if (conditions.mental !== undefined) percent += MENTAL[conditions.mental];
  if (conditions.monotony !== undefined) percent += MONOTONY[conditions.monotony];
  if (conditions.tediousness !== undefined) percent += TEDIOUSNESS[conditions.tediousness];
  return percent;
}

/** Seconds of one time measurement unit (TMU): 0.00001 h. */
export const SECONDS_PER_TMU = 0.036;

/**
 * Shortest plausible time to turn one fastener in or out with a hand tool, in milliseconds.
 * Common practice, no source: even a power driver needs this for reaching, seating and turning.
 */
export const SHORTEST_FASTENER_MS = 1000;

/** Observations needed are given for ±5 % at 95 %. */
export const PRECISION = 0.05;
export const CONFIDENCE = 0.95;

/**
 * Standard time of a job or step from its observed times. Times beyond the outer fence (three quartile
 * ranges) are left out as foreign to the cycle and counted in `left_out`. Null for an empty list.
 */
export function standardTimeOf(
  times_ms: readonly number[],
  rating: number,
  allowance: number,
): StandardTime | null {
  if (times_ms.length === 0) return null;
  const fences = tukeyFences(times_ms, 3);
  const kept = times_ms.filter((time) => time >= fences.low && time <= fences.high);
  const observed_ms = mean(kept);
  const normal_ms = normalTime(observed_ms, rating);
  return {
    observed_ms,
    rating,
    normal_ms,
    allowance,
    standard_of_shift_ms: standardTime(normal_ms, allowance, 'shift'),
    standard_of_work_ms: standardTime(normal_ms, allowance, 'work'),
    n: kept.length,
    left_out: times_ms.length - kept.length,
    n_needed:
      kept.length < 2 || observed_ms <= 0
        ? null
        : observationsNeeded(standardDeviation(kept), observed_ms, PRECISION, zOf(CONFIDENCE)),
    how: 'standard-time',
  };
}
