import { describe, expect, it } from 'vitest';
import { mean, standardDeviation } from '../../electron/core/review/descriptive.ts';
import {
  iloAllowance,
  normalTime,
  observationsNeeded,
  observationsNeededIlo,
  SECONDS_PER_TMU,
  standardTime,
  standardTimeOf,
  zOf,
} from '../../electron/core/review/work-measurement.ts';

const total = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0);

// Source: Heizer and Render, Operations Management, chapter 10 (examples and problem 10.23); readings that the
// book marks as non-recurring are already left out here. The allowance is a share of the shift.
describe('Heizer and Render', () => {
  it('example 10.1: 4 min at 85 %, allowance 13 %', () => {
    const normal = normalTime(4, 0.85);
    expect(normal).toBeCloseTo(3.4, 12);
    expect(standardTime(normal, 0.13, 'shift')).toBeCloseTo(3.908, 3);
    expect(standardTime(normal, 0.13, 'work')).toBeCloseTo(3.842, 3);
  });

  it('example 10.2: mailing letters', () => {
    const means = [
      [8, 10, 9, 11],
      [2, 3, 2, 1, 3],
      [2, 1, 2, 1],
    ].map(mean);
    expect(means.map((value) => value.toFixed(1))).toEqual(['9.5', '2.2', '1.5']);
    const normal = means.map((value, index) => normalTime(value, [1.2, 1.05, 1.1][index]!));
    expect(normal.map((value) => value.toFixed(2))).toEqual(['11.40', '2.31', '1.65']);
    expect(standardTime(total(normal), 0.15, 'shift')).toBeCloseTo(18.0706, 4);
  });

  it('example 10.3: observations needed', () => {
    expect(observationsNeeded(1, 3, 0.05, 1.96)).toBe(171);
    expect(observationsNeeded(1, 3, 0.05, 1.65)).toBe(121);
  });

  it('problem 10.23: typing, envelope, stuffing, sealing', () => {
    const means = [
      [2.5, 3.5, 2.8, 2.1, 2.6, 3.3],
      [0.8, 0.8, 0.6, 0.8, 0.7],
      [0.4, 0.5, 0.3, 0.6, 0.5],
      [1, 0.9, 1, 0.9],
    ].map(mean);
    for (const [index, value] of [2.8, 0.74, 0.46, 0.95].entries())
      expect(means[index]).toBeCloseTo(value, 12);
    const normal = means.map((value, index) => normalTime(value, [0.85, 1, 0.95, 1.25][index]!));
    expect(total(normal)).toBeCloseTo(4.7445, 10);
    expect(standardTime(total(normal), 0.12, 'shift')).toBeCloseTo(5.3915, 4);
  });
});

// Source: Stevenson, Operations Management, chapter 7. Here the allowance is a share of the work.
describe('Stevenson', () => {
  it('four elements over six cycles', () => {
    const elements: [number[], number, number, number][] = [
      [[0.44, 0.5, 0.43, 0.45, 0.45, 0.46], 0.9, 0.4095, 0.467],
      [[1.5, 1.58, 1.47, 1.51, 1.49, 1.52], 0.85, 1.2849, 1.465],
      [[0.84, 0.89, 0.77, 0.83, 0.83, 0.8], 1.1, 0.9093, 1.037],
      [[1.1, 1.14, 1.08, 1.16, 1.16, 1.26], 1, 1.15, 1.311],
    ];
    for (const [times, rating, normal, standard] of elements) {
      expect(normalTime(mean(times), rating)).toBeCloseTo(normal, 4);
      expect(Math.abs(standardTime(normalTime(mean(times), rating), 0.14, 'work') - standard)).toBeLessThan(
        6e-4,
      );
    }
  });

  it('number of cycles for ±1 % at 94 %', () => {
    const cycles = [5.2, 5.5, 5.8, 5.3, 5.5, 5.1];
    expect(standardDeviation(cycles)).toBeCloseTo(0.25298, 5);
    expect(zOf(0.94)).toBeCloseTo(1.8808, 4);
    expect(observationsNeeded(standardDeviation(cycles), mean(cycles), 0.01, zOf(0.94))).toBe(78);
  });

  // Source: allowance table of the International Labour Office as reprinted in Stevenson, table 7-6.
  it('allowance example: 32 %', () => {
    expect(
      iloAllowance({
        force_lb: 45,
        standing: true,
        position: 'slightly-awkward',
        light: 'very-inadequate',
        noise: 'intermittent-very-loud',
        monotony: 'low',
      }),
    ).toBe(5 + 4 + 2 + 0 + 11 + 5 + 5 + 0);
  });
});

// Source: the same table, row by row.
describe('allowance table', () => {
  const alone = { personal: false, fatigue: false } as const;
  it('constants', () => {
    expect(iloAllowance({})).toBe(9);
    expect(iloAllowance({ fatigue: false })).toBe(5);
    expect(iloAllowance({ ...alone, standing: true })).toBe(2);
  });
  it('force', () => {
    const rows = [
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
    for (const [force_lb, percent] of rows)
      expect(iloAllowance({ ...alone, force_lb: force_lb! })).toBe(percent);
    expect(iloAllowance({ force_lb: 71 })).toBe(null);
  });
  it('conditions', () => {
    expect(iloAllowance({ ...alone, position: 'very-awkward' })).toBe(7);
    expect(iloAllowance({ ...alone, attention: 'very-fine' })).toBe(5);
    expect(iloAllowance({ ...alone, mental: 'very-complex' })).toBe(8);
    expect(iloAllowance({ ...alone, monotony: 'high' })).toBe(4);
    expect(iloAllowance({ ...alone, tediousness: 'tedious' })).toBe(2);
    expect(iloAllowance({ ...alone, light: 'well-below', atmosphere: 10 })).toBe(12);
  });
});

// Source: note of the University of Hawaii on time study.
it('rating 0.85, allowance 0.10 of the shift', () => {
  const normal = normalTime(mean([20, 23, 19, 18, 24, 25]), 0.85);
  expect(normal).toBeCloseTo(18.275, 10);
  expect(standardTime(normal, 0.1, 'shift')).toBeCloseTo(20.306, 3);
});

// Source: International Labour Office / British Institute of Management formula, ±5 % at 95.45 %.
it('observations needed by sums', () => {
  expect(observationsNeededIlo([7, 6, 7, 7, 6])).toBeCloseTo(8.815, 3);
});

// Source: definition of the time measurement unit, 0.00001 h.
it('time measurement units', () => {
  expect(1 / SECONDS_PER_TMU).toBeCloseTo(27.778, 3);
  expect(60 / SECONDS_PER_TMU).toBeCloseTo(1666.7, 1);
  expect(13.5 * SECONDS_PER_TMU).toBeCloseTo(0.486, 10);
});

it('a standard time leaves out what lies beyond the outer fence and says how many', () => {
  const found = standardTimeOf([100, 104, 98, 101, 99, 102, 900], 1.1, 0.12)!;
  expect(found.left_out).toBe(1);
  expect(found.n).toBe(6);
  expect(found.observed_ms).toBeCloseTo(100.6667, 4);
  expect(found.standard_of_shift_ms).toBeCloseTo((100.6667 * 1.1) / 0.88, 3);
  expect(found.standard_of_work_ms).toBeCloseTo(100.6667 * 1.1 * 1.12, 3);
  expect(standardTimeOf([], 1, 0.1)).toBe(null);
  expect(standardTimeOf([5], 1, 0.1)!.n_needed).toBe(null);
});
