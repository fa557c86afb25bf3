import { describe, expect, it } from 'vitest';
import { quantile } from '../../electron/core/review/descriptive.ts';
import { normalQuantile } from '../../electron/core/review/distributions.ts';
import {
  agrestiCoullInterval,
  clopperPearsonInterval,
  meanInterval,
  medianIntervalSorted,
  poissonInterval,
  wilsonInterval,
  zeroEventsUpper,
} from '../../electron/core/review/intervals.ts';
import binomial from './data/binomial-ci-95.json' with { type: 'json' };

// Source: computed independently with statsmodels; 81/263, 15/148, 0/20 and 1/29 are in Newcombe (1998),
// Statistics in Medicine 17:857, Table I.
describe('95 % intervals of a share', () => {
  it.each(binomial)('$k of $n', ({ k, n, wilson, clopper_pearson, agresti_coull }) => {
    for (const [found, expected] of [
      [wilsonInterval(k, n), wilson],
      [clopperPearsonInterval(k, n), clopper_pearson],
      [agrestiCoullInterval(k, n), agresti_coull],
    ] as const) {
      expect(Math.abs(found.low - expected[0]!)).toBeLessThan(1e-6);
      expect(Math.abs(found.high - expected[1]!)).toBeLessThan(1e-6);
    }
  });

  it('refuses impossible counts', () => {
    expect(() => wilsonInterval(3, 2)).toThrow(/assertion/);
    expect(() => wilsonInterval(0, 0)).toThrow(/assertion/);
  });
});

// Source: 1 − 0.05^(1/n), exact; the "rule of three" 3/n is its first term.
it('upper bound of an event never seen', () => {
  for (const [n, upper] of [
    [10, 0.2589],
    [20, 0.1391],
    [30, 0.095],
    [50, 0.0582],
    [100, 0.0295],
    [300, 0.00994],
  ] as const)
    expect(Math.abs(zeroEventsUpper(n) - upper)).toBeLessThan(5e-5);
});

// Source: Garwood (1936), values computed with scipy.
it('Poisson counts', () => {
  for (const [count, low, high] of [
    [0, 0, 3.6889],
    [1, 0.0253, 5.5716],
    [3, 0.6187, 8.7673],
    [5, 1.6235, 11.6683],
    [10, 4.7954, 18.3904],
  ] as const) {
    expect(poissonInterval(count).low).toBeCloseTo(low, 4);
    expect(poissonInterval(count).high).toBeCloseTo(high, 4);
  }
});

// Source: flow data of the NIST e-Handbook 6.3.2.2, interval computed with scipy.
it('mean', () => {
  const flow = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];
  expect(meanInterval(flow).low).toBeCloseTo(49.35507, 5);
  expect(meanInterval(flow).high).toBeCloseTo(52.26493, 5);
});

// Source: the sign test's order statistics (Conover, Practical Nonparametric Statistics, Table A3, from
// memory): for n = 10 the 2nd and 9th value at 97.9 %, for n = 20 the 6th and 15th at 95.9 %.
describe('median', () => {
  const upTo = (n: number): number[] => Array.from({ length: n }, (_, index) => index + 1);
  it.each([
    [6, 1, 6, 0.9688],
    [10, 2, 9, 0.9785],
    [20, 6, 15, 0.9586],
    [30, 10, 21, 0.9572],
  ])('of %d values', (n, low, high, level) => {
    const found = medianIntervalSorted(upTo(n))!;
    expect([found.low, found.high]).toEqual([low, high]);
    expect(found.level).toBeCloseTo(level, 4);
  });
  it('has none below six values', () => {
    expect(medianIntervalSorted(upTo(5))).toBe(null);
    expect(medianIntervalSorted([])).toBe(null);
  });
  it('goes over to the normal approximation without a step', () => {
    const exact = medianIntervalSorted(upTo(2000))!;
    const large = medianIntervalSorted(upTo(2001))!;
    expect(Math.abs(exact.low - large.low)).toBeLessThanOrEqual(1);
    expect(Math.abs(exact.high - large.high)).toBeLessThanOrEqual(2);
  });
});

// Source: the log-normal's own formulas, values computed with scipy.
it('log-normal percentiles', () => {
  const at = (p: number, mu: number, sigma: number): number => Math.exp(mu + sigma * normalQuantile(p));
  expect(at(0.9, 0, 1)).toBeCloseTo(3.602224, 6);
  expect(at(0.95, 0, 1)).toBeCloseTo(5.180252, 6);
  expect(at(0.05, Math.log(60), 0.4)).toBeCloseTo(31.07498, 5);
  expect(at(0.9, Math.log(60), 0.4)).toBeCloseTo(100.17966, 5);
  expect(quantile([1, 2, 3], 0.5)).toBe(2);
});
