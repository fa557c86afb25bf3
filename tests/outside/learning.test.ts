import { describe, expect, it } from 'vitest';
import { randomFromSeed } from '../../electron/core/base/random.ts';
import {
  crawfordRate,
  crawfordTotal,
  crawfordUnit,
  crawfordUnitsUntil,
  exponentOf,
  fitCrawford,
  fitWright,
  forecastCrawford,
  learningCurve,
  plateauOf,
  wrightAverage,
  wrightTotal,
  wrightUnit,
} from '../../electron/core/review/learning.ts';
import table from './data/learning-curve.json' with { type: 'json' };

// Source: the table of unit and cumulative times printed by Stevenson (7S.1) and Heizer and Render (E.3),
// computed to eight decimals for n = 1…128.
describe('published tables', () => {
  it.each(Object.entries(table))('%s %% curve', (percent, { b, rows }) => {
    const rate = Number(percent) / 100;
    expect(exponentOf(rate)).toBeCloseTo(b, 12);
    for (const [n, unit, cumulative, total] of rows as [number, number, number, number][]) {
      expect(crawfordUnit(1, rate, n)).toBeCloseTo(unit, 7);
      expect(crawfordTotal(1, rate, n)).toBeCloseTo(cumulative, 7);
      expect(wrightTotal(1, rate, n)).toBeCloseTo(total, 7);
    }
  });

  // Source: the printed three-decimal rows of the same table.
  it('a few printed values', () => {
    expect(crawfordUnit(1, 0.8, 3).toFixed(3)).toBe('0.702');
    expect(crawfordTotal(1, 0.8, 10).toFixed(3)).toBe('6.315');
    expect(crawfordTotal(1, 0.9, 30).toFixed(3)).toBe('20.727');
  });
});

// Source: Wright (1936); the worked example of a first unit of 100 h (its printed 254.76 for the last block is
// a misprint for 245.76).
it("Wright's cumulative average, 80 %", () => {
  expect([1, 2, 4, 8, 16].map((n) => Number(wrightAverage(100, 0.8, n).toFixed(2)))).toEqual([
    100, 80, 64, 51.2, 40.96,
  ]);
  expect([1, 2, 4, 8, 16].map((n) => Number(wrightTotal(100, 0.8, n).toFixed(2)))).toEqual([
    100, 160, 256, 409.6, 655.36,
  ]);
  expect(wrightUnit(100, 0.8, 2)).toBeCloseTo(60, 10);
  expect((wrightTotal(100, 0.8, 4) - wrightTotal(100, 0.8, 2)) / 2).toBeCloseTo(48, 10);
  expect(wrightTotal(100, 0.8, 16) - wrightTotal(100, 0.8, 8)).toBeCloseTo(245.76, 10);
});

describe('worked examples', () => {
  // Source: Stevenson 7S.4 (90 %, 10 min, target 6) and classroom problems.
  it('how many units until a target', () => {
    expect(crawfordUnitsUntil(10, 0.9, 6)).toBeCloseTo(28.807, 3);
    expect(crawfordUnitsUntil(11, 0.9, 7)).toBeCloseTo(19.56, 2);
    expect(crawfordUnitsUntil(12, 0.8, 7)).toBeCloseTo(5.33, 2);
    expect(crawfordUnitsUntil(5, 0.9, 6)).toBe(1);
    expect(crawfordUnitsUntil(10, 1, 6)).toBe(Number.POSITIVE_INFINITY);
    const rate = crawfordRate(1, 30, 2, 25);
    expect(rate).toBeCloseTo(0.8333, 4);
    expect(Math.ceil(crawfordUnitsUntil(30, rate, 18))).toBe(7);
  });

  // Source: Heizer and Render, module E: boats, 85 %.
  it('boats', () => {
    expect(crawfordUnit(125_000, 0.85, 4)).toBeCloseTo(90_312.5, 6);
    expect(crawfordTotal(1000, 0.85, 4)).toBeCloseTo(3345.4, 1);
  });
});

describe('fit', () => {
  const numbers = [1, 2, 3, 4, 5, 6, 7, 8];
  const times = [100, 82, 69, 66, 59, 58, 54, 50];

  // Source: computed with statsmodels (ordinary least squares on natural logarithms).
  it('of eight times', () => {
    const found = fitCrawford(numbers, times);
    if (!found.ok) throw new Error(found.error.code);
    expect(found.value.a).toBeCloseTo(100.940993, 6);
    expect(found.value.b).toBeCloseTo(-0.3245431, 7);
    expect(found.value.rate).toBeCloseTo(0.7985512, 7);
    expect(found.value.r_squared).toBeCloseTo(0.9909141, 7);
    expect(found.value.b_se).toBeCloseTo(0.0126871, 7);
    expect(found.value.b_low).toBeCloseTo(-0.3555873, 7);
    expect(found.value.b_high).toBeCloseTo(-0.2934989, 7);
    const next = forecastCrawford(numbers, times, 16, 0.8);
    expect(next.ok && next.value.value).toBeCloseTo(41.04675, 5);
    expect(next.ok && next.value.low < 41 && next.value.high > 41).toBe(true);
  });

  it('of exact power laws, both models', () => {
    const unit = fitCrawford(
      numbers,
      numbers.map((n) => crawfordUnit(50, 0.85, n)),
    );
    expect(unit.ok && Math.abs(unit.value.b - exponentOf(0.85))).toBeLessThan(1e-12);
    const average = fitWright(numbers.map((n) => wrightUnit(50, 0.85, n)));
    expect(average.ok && Math.abs(average.value.b - exponentOf(0.85))).toBeLessThan(1e-12);
    expect(average.ok && average.value.model).toBe('wright');
  });

  it('refuses what has no curve', () => {
    const codeOf = (n: readonly number[], t: readonly number[]): string => {
      const found = fitCrawford(n, t);
      return found.ok ? 'fitted' : found.error.code;
    };
    expect(codeOf([1, 2], [5, 0])).toBe('learning/not-positive');
    expect(codeOf([1, 2], [5, -1])).toBe('learning/not-positive');
    expect(codeOf([1, 2], [5, Number.NaN])).toBe('learning/not-positive');
    expect(codeOf([1], [5])).toBe('learning/too-few');
    expect(codeOf([3, 3], [5, 6])).toBe('learning/one-number-only');
  });
});

describe('curve of a technician', () => {
  const noisy = (n: number, from: number, seed: number): number[] => {
    const random = randomFromSeed(seed);
    return Array.from({ length: n }, (_, index) => {
      const center = index < from ? 1000 * (index + 1) ** -0.4 : 1000 * from ** -0.4;
      return center * Math.exp(0.03 * random.normal());
    });
  };

  it('finds a plateau where there is one and none where there is none', () => {
    expect(plateauOf(noisy(40, 15, 1))!.from).toBeGreaterThan(8);
    expect(plateauOf(noisy(40, 15, 1))!.from).toBeLessThan(25);
    expect(plateauOf(noisy(40, 40, 2))).toBe(null);
    expect(plateauOf([1, 2, 3])).toBe(null);
  });

  it('gives a fit and a forecast only from five jobs on', () => {
    const jobs = noisy(12, 12, 3).map((active_ms, index) => ({ job: `j${index}`, active_ms }));
    const curve = learningCurve('T1', jobs);
    expect(curve.fit!.rate).toBeLessThan(0.85);
    expect(curve.forecast.map((one) => one.number)).toEqual([13, 17, 22]);
    expect(learningCurve('T1', jobs.slice(0, 4)).fit).toBe(null);
  });
});
