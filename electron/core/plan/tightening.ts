/**
 * Tightening order and passes. Bolts are numbered 1…n clockwise (cross pattern) or along the row
 * (centre-out, in line), or as marked on the unit (numbered).
 *
 * The cross order is that of flange practice: groups of four, each an opposite pair and the pair at a
 * right angle to it; the first bolts of the groups again spread as far as they can.
 */
import type { Pattern } from '../product/model.ts';

/** First bolts of the groups of four, for rings of 4, 8, … 32 bolts (index = number of groups). */
const GROUP_STARTS: readonly (readonly number[])[] = [
  [],
  [1],
  [1, 2],
  [1, 2, 3],
  [1, 3, 2, 4],
  [1, 3, 5, 2, 4],
  [1, 4, 2, 5, 3, 6],
  [1, 4, 6, 2, 5, 3, 7],
  [1, 5, 3, 7, 2, 6, 4, 8],
];

function greatestCommonDivisor(a: number, b: number): number {
  return b === 0 ? a : greatestCommonDivisor(b, a % b);
}

/** 1…count, stepping by a stride near half of it: neighbours in the result are far apart. */
function spread(count: number): readonly number[] {
  if (count < 3) return Array.from({ length: count }, (_, i) => i + 1);
  let stride = Math.floor((count - 1) / 2);
  while (stride > 1 && greatestCommonDivisor(stride, count) !== 1) stride -= 1;
  return Array.from({ length: count }, (_, i) => ((i * stride) % count) + 1);
}

/** Cross (star) order for a ring of `count` bolts numbered clockwise; a permutation of 1…count. */
export function crossOrder(count: number): readonly number[] {
  if (count < 4) return Array.from({ length: count }, (_, i) => i + 1);
  if (count % 4 === 0) {
    const quarter = count / 4;
    const starts = GROUP_STARTS[quarter] ?? spread(quarter);
    return starts.flatMap((s) => [s, s + count / 2, s + quarter, s + 3 * quarter]);
  }
  if (count % 2 === 0) return spread(count / 2).flatMap((s) => [s, s + count / 2]);
  return spread(count);
}

/** From the middle of a row of `count` outward, on alternate sides. */
export function centreOutOrder(count: number): readonly number[] {
  const order: number[] = [];
  let low = Math.ceil(count / 2);
  let high = low + 1;
  if (count % 2 === 1) {
    order.push(low);
    low -= 1;
  }
  while (low >= 1 || high <= count) {
    if (low >= 1) order.push(low--);
    if (high <= count) order.push(high++);
  }
  return order;
}

const NO_ORDER: readonly number[] = [];
/** Orders by pattern and count: a unit has few, a plan many steps. */
const tightening = new Map<Pattern, (readonly number[])[]>();
const loosening = new Map<Pattern, (readonly number[])[]>();
/** Orders of more than this are worked out anew each time. */
const KEPT_MAX = 64;

function kept(
  orders: Map<Pattern, (readonly number[])[]>,
  pattern: Pattern,
  count: number,
  make: (pattern: Pattern, count: number) => readonly number[],
): readonly number[] {
  if (pattern === 'any' || count < 2) return NO_ORDER;
  if (count > KEPT_MAX) return make(pattern, count);
  let known = orders.get(pattern);
  if (known === undefined) {
    known = [];
    orders.set(pattern, known);
  }
  let order = known[count];
  if (order === undefined) {
    order = make(pattern, count);
    known[count] = order;
  }
  return order;
}

/** The order of tightening; empty where any order will do. */
export function tighteningOrder(pattern: Pattern, count: number): readonly number[] {
  return kept(tightening, pattern, count, newOrder);
}

function newOrder(pattern: Pattern, count: number): readonly number[] {
  if (pattern === 'cross') return crossOrder(count);
  if (pattern === 'centre-out') return centreOutOrder(count);
  return Array.from({ length: count }, (_, i) => i + 1);
}

function turnedRound(pattern: Pattern, count: number): readonly number[] {
  return [...tighteningOrder(pattern, count)].reverse();
}

/** The order of loosening: as tightening, but a centre-out joint is loosened from the ends inward. */
export function looseningOrder(pattern: Pattern, count: number): readonly number[] {
  if (pattern !== 'centre-out') return tighteningOrder(pattern, count);
  return kept(loosening, pattern, count, turnedRound);
}

/**
 * Torque of each pass in N·m. `percent` rises to 100; without passes there is one pass at full torque,
 * without a torque there is none. Rounded to 0.001 N·m.
 */
export function passTorques(
  torque_nm: number | null,
  percent: readonly number[] | undefined,
): readonly number[] {
  if (torque_nm === null) return [];
  if (percent === undefined || percent.length === 0) return [torque_nm];
  return percent.map((share) => Math.round(torque_nm * share * 10) / 1000);
}

/**
 * True where a joint tightened in passes is gone round once more at full torque: every cross-pattern
 * joint with two or more passes, because each bolt relaxes while its neighbours are tightened.
 */
export function needsRoundPass(pattern: Pattern, passes: number): boolean {
  return pattern === 'cross' && passes > 1;
}
