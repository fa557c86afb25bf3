/**
 * Tightening orders, passes and targets against outside figures. Orders of 4 and 12: flange practice as
 * published (12: wjlr.roverradio.com, 12-bolt flange torque pattern); 8, 16 … 32: legacy cross pattern of
 * ASME PCC-1, from memory, 8 and 16 agreeing with an opened figure (scribd 546575141). 2, 3, 5: common
 * practice, no source.
 */
import { describe, expect, test } from 'vitest';
import { fitsPattern } from '../../electron/core/plan/proof-contents.ts';
import {
  centreOutOrder,
  crossOrder,
  looseningOrder,
  needsRoundPass,
  passTorques,
  tighteningOrder,
} from '../../electron/core/plan/tightening.ts';

const ORDERS: Readonly<Record<number, string>> = {
  2: '1 2',
  3: '1 2 3',
  4: '1 3 2 4',
  5: '1 3 5 2 4',
  8: '1 5 3 7 2 6 4 8',
  12: '1 7 4 10 2 8 5 11 3 9 6 12',
  16: '1 9 5 13 3 11 7 15 2 10 6 14 4 12 8 16',
  20: '1 11 6 16 3 13 8 18 5 15 10 20 2 12 7 17 4 14 9 19',
  24: '1 13 7 19 4 16 10 22 2 14 8 20 5 17 11 23 3 15 9 21 6 18 12 24',
  28: '1 15 8 22 4 18 11 25 6 20 13 27 2 16 9 23 5 19 12 26 3 17 10 24 7 21 14 28',
  32: '1 17 9 25 5 21 13 29 3 19 11 27 7 23 15 31 2 18 10 26 6 22 14 30 4 20 12 28 8 24 16 32',
};

describe('cross pattern', () => {
  test.each(Object.entries(ORDERS))('%s bolts', (count, order) => {
    expect(crossOrder(Number(count)).join(' ')).toBe(order);
  });

  test('the other labelling (a bolt carries its place in the order) for 12 bolts', () => {
    const place = Array.from({ length: 12 }, (_, i) => crossOrder(12).indexOf(i + 1) + 1);
    expect(place).toEqual([1, 5, 9, 3, 7, 11, 2, 6, 10, 4, 8, 12]);
  });

  test('6 bolts: not unique, so its properties: each opposite pair together', () => {
    const order = crossOrder(6);
    expect([...order].sort((a, b) => a - b)).toEqual([1, 2, 3, 4, 5, 6]);
    for (let i = 0; i < 6; i += 2) expect(Math.abs((order[i] ?? 0) - (order[i + 1] ?? 0))).toBe(3);
  });

  test('1 to 200 bolts: a permutation that the proof accepts, and no other order for it', () => {
    for (let n = 1; n <= 200; n += 1) {
      expect(fitsPattern(n === 1 ? [] : crossOrder(n), 'cross', n, false), `${n} bolts`).toBe(true);
      const round = Array.from({ length: n }, (_, i) => i + 1);
      if (n >= 4) expect(fitsPattern(round, 'cross', n, false), `${n} bolts all round`).toBe(false);
    }
  });
});

describe('other patterns', () => {
  test('numbered and in line: as numbered, in both directions', () => {
    expect(tighteningOrder('numbered', 6)).toEqual([1, 2, 3, 4, 5, 6]);
    expect(looseningOrder('numbered', 6)).toEqual([1, 2, 3, 4, 5, 6]);
    expect(tighteningOrder('in-line', 3)).toEqual([1, 2, 3]);
  });
  test('centre out (common practice, no source); loosened from the ends inward', () => {
    expect(centreOutOrder(5)).toEqual([3, 2, 4, 1, 5]);
    expect(centreOutOrder(6)).toEqual([3, 4, 2, 5, 1, 6]);
    expect(looseningOrder('centre-out', 5)).toEqual([5, 1, 4, 2, 3]);
  });
  test('any order: none is given', () => {
    expect(tighteningOrder('any', 8)).toEqual([]);
    expect(tighteningOrder('cross', 1)).toEqual([]);
  });
});

describe('passes', () => {
  // Targets at 30, 60 and 100 %: computed.
  test.each([
    [1.2, [0.36, 0.72, 1.2]],
    [10, [3, 6, 10]],
    [25, [7.5, 15, 25]],
  ] as const)('%d N·m at 30, 60, 100 percent', (torque, expected) => {
    expect(passTorques(torque, [30, 60, 100])).toEqual(expected);
  });

  // 30/60/100 percent, then once round: hswhite.com, henniggasket.com. 20/40/80/100: piping-designer.com.
  test.each([
    [4, [30, 60, 100], 16],
    [8, [30, 60, 100], 32],
    [12, [20, 40, 80, 100], 60],
  ] as const)('%d bolts: tightenings with the round pass', (bolts, percent, tightenings) => {
    const passes = passTorques(10, percent);
    expect(needsRoundPass('cross', passes.length)).toBe(true);
    expect(bolts * (passes.length + 1)).toBe(tightenings);
  });

  test('one pass without percentages, none without a torque', () => {
    expect(passTorques(0.4, undefined)).toEqual([0.4]);
    expect(passTorques(null, [50, 100])).toEqual([]);
    expect(needsRoundPass('cross', 1)).toBe(false);
    expect(needsRoundPass('numbered', 3)).toBe(false);
  });
});
