import { describe, expect, it } from 'vitest';
import {
  autocorrelation,
  cumulativeShares,
  geometricMean,
  grubbs,
  mean,
  median,
  medianAbsoluteDeviation,
  modifiedZ,
  type QuantileType,
  quantile,
  standardDeviation,
  trimmedMean,
  tukeyFences,
} from '../../electron/core/review/descriptive.ts';
import {
  chiSquaredQuantile,
  fQuantile,
  normalQuantile,
  tQuantile,
} from '../../electron/core/review/distributions.ts';
import { fitLine, leastSquares, theilSen } from '../../electron/core/review/regression.ts';
import { nistRows, nistValues } from './data/nist-file.ts';
import studentT from './data/student-t.json' with { type: 'json' };

const relative = (value: number, certified: number, tolerance: number): void =>
  expect(Math.abs(value - certified)).toBeLessThanOrEqual(Math.abs(certified) * tolerance);

// Source: NIST Statistical Reference Datasets, univariate, certified values. NumAcc3 and NumAcc4 cannot be
// had closer than 1e-8 in double precision, the others to 1e-12.
describe('NIST StRD univariate', () => {
  it.each([
    ['Michelso', 100, 299.8524, 0.0790105478190518, 0.535199668621283, 1e-12],
    ['Lew', 200, -177.435, 277.332168044316, -0.307304800605679, 1e-12],
    ['Mavro', 50, 2.001856, 0.000429123454003053, 0.937989183438248, 1e-11],
    ['Lottery', 218, 518.95871559633, 291.699727470969, -0.120948622967393, 1e-12],
    ['PiDigits', 5000, 4.5348, 2.86733906028871, -0.00355099287237972, 1e-11],
    ['NumAcc1', 3, 10000002, 1, -0.5, 1e-12],
    ['NumAcc2', 1001, 1.2, 0.1, -0.999, 1e-12],
    ['NumAcc3', 1001, 1000000.2, 0.1, -0.999, 1e-8],
    ['NumAcc4', 1001, 10000000.2, 0.1, -0.999, 1e-7],
  ])('%s: mean, standard deviation and autocorrelation', (name, n, certifiedMean, sd, r1, tolerance) => {
    const values = nistValues(name);
    expect(values.length).toBe(n);
    relative(mean(values), certifiedMean, 1e-14);
    relative(standardDeviation(values), sd, Math.min(tolerance, 1e-8));
    relative(autocorrelation(values), r1, tolerance);
  });

  // Source: computed independently with numpy on the same files (type 7).
  it('quantiles and median absolute deviations', () => {
    const michelso = nistValues('Michelso');
    expect(median(michelso)).toBeCloseTo(299.85, 10);
    expect(quantile(michelso, 0.25)).toBeCloseTo(299.8075, 10);
    expect(quantile(michelso, 0.75)).toBeCloseTo(299.8925, 10);
    expect(quantile(michelso, 0.05)).toBeCloseTo(299.739, 10);
    expect(quantile(michelso, 0.95)).toBeCloseTo(299.98, 10);
    expect(medianAbsoluteDeviation(michelso)).toBeCloseTo(0.045, 10);
    const lew = nistValues('Lew');
    expect([0.5, 0.25, 0.75, 0.05].map((p) => quantile(lew, p))).toEqual([-162, -451, 93, -572]);
    expect(quantile(lew, 0.95)).toBeCloseTo(199.05, 10);
    expect(medianAbsoluteDeviation(lew)).toBe(270.5);
    const mavro = nistValues('Mavro');
    expect(median(mavro)).toBeCloseTo(2.0018, 12);
    expect(medianAbsoluteDeviation(mavro)).toBeCloseTo(0.0003, 12);
  });
});

// Source: NIST Statistical Reference Datasets, linear regression, certified values.
describe('NIST StRD linear regression', () => {
  const xy = (name: string): [number[], number[]] => {
    const rows = nistRows(name);
    return [rows.map((row) => row[1]!), rows.map((row) => row[0]!)];
  };

  it('Norris', () => {
    const [x, y] = xy('Norris');
    const line = fitLine(x, y)!;
    expect(line.n).toBe(36);
    relative(line.intercept, -0.262323073774029, 1e-11);
    relative(line.slope, 1.00211681802045, 1e-13);
    relative(line.standard_errors[0]!, 0.232818234301152, 1e-11);
    relative(line.slope_se, 0.429796848199937e-3, 1e-11);
    relative(line.residual_sd, 0.884796396144373, 1e-11);
    relative(line.r_squared, 0.999993745883712, 1e-13);
    relative(line.f, 5436385.54079785, 1e-9);
    const half = tQuantile(0.975, 34) * line.slope_se;
    expect(line.slope - half).toBeCloseTo(1.00124337, 8);
    expect(line.slope + half).toBeCloseTo(1.00299027, 8);
  });

  it('Pontius, a quadratic of large numbers', () => {
    const [x, y] = xy('Pontius');
    const fit = leastSquares(
      x.map((value) => [1, value, value * value]),
      y,
      { intercept: true },
    )!;
    relative(fit.coefficients[0]!, 0.673565789473684e-3, 1e-9);
    relative(fit.coefficients[1]!, 0.732059160401003e-6, 1e-12);
    relative(fit.coefficients[2]!, -0.316081871345029e-14, 1e-10);
    relative(fit.residual_sd, 0.205177424076185e-3, 1e-9);
    relative(fit.r_squared, 0.999999900178537, 1e-13);
  });

  it('NoInt1, a line through the origin', () => {
    const [x, y] = xy('NoInt1');
    const fit = leastSquares(
      x.map((value) => [value]),
      y,
      { intercept: false },
    )!;
    relative(fit.coefficients[0]!, 2.07438016528926, 1e-13);
    relative(fit.standard_errors[0]!, 0.0165289256198347, 1e-12);
    relative(fit.residual_sd, 3.56753034006338, 1e-12);
    relative(fit.r_squared, 0.999365492298663, 1e-13);
  });
});

// Source: Hyndman and Fan (1996), The American Statistician 50:361; values computed with numpy. The last row
// is the gauge example of the NIST e-Handbook 7.2.6.2, which publishes 95.1981 (type 6).
describe('sample quantiles', () => {
  const eleven = [6, 7, 15, 36, 39, 40, 41, 42, 43, 47, 49];
  const gauge = [
    95.1772, 95.1567, 95.1937, 95.1959, 95.1442, 95.061, 95.1591, 95.1195, 95.1065, 95.0925, 95.199, 95.1682,
  ];
  const ten = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10];
  const types: QuantileType[] = [1, 2, 4, 5, 6, 7, 8, 9];
  it.each([
    [ten, 0.25, [3, 3, 2.5, 3, 2.75, 3.25, 2.916667, 2.9375]],
    [ten, 0.9, [9, 9.5, 9, 9.5, 9.9, 9.1, 9.633333, 9.6]],
    [ten, 0.95, [10, 10, 9.5, 10, 10, 9.55, 10, 10]],
    [[1, 2, 3, 4, 5], 0.9, [5, 5, 4.5, 5, 5, 4.6, 5, 5]],
    [eleven, 0.25, [15, 15, 13, 20.25, 15, 25.5, 18.5, 18.9375]],
    [eleven, 0.75, [43, 43, 42.25, 42.75, 43, 42.5, 42.8333, 42.8125]],
    [[7, 15, 36, 39, 40, 41], 0.25, [15, 15, 11, 15, 13, 20.25, 14.3333, 14.5]],
    [gauge, 0.9, [95.1959, 95.1959, 95.19546, 95.19683, 95.19807, 95.19568, 95.197243, 95.19714]],
  ])('of %j at %d', (values, p, expected) => {
    for (const [index, type] of types.entries())
      expect(Math.abs(quantile(values, p, type) - expected[index]!)).toBeLessThan(5e-5);
  });

  it('at the edges', () => {
    expect(types.map((type) => quantile([7], 0.3, type))).toEqual(types.map(() => 7));
    expect(types.map((type) => quantile(ten, 0, type))).toEqual(types.map(() => 1));
    expect(types.map((type) => quantile(ten, 1, type))).toEqual(types.map(() => 10));
    expect(() => quantile([], 0.5)).toThrow(/assertion/);
    expect(() => quantile([1, Number.NaN], 0.5)).toThrow(/NaN/);
  });
});

describe('quantiles of distributions', () => {
  // Source: printed t tables; computed with scipy to five decimals.
  it('t', () => {
    for (const [df, row] of Object.entries(studentT))
      for (const [p, value] of Object.entries(row))
        expect(Math.abs(tQuantile(Number(p), Number(df)) - value)).toBeLessThan(6e-6 * Math.max(1, value));
  });

  // Source: printed chi-squared table (9, 10 and 30 degrees of freedom at 2.5 and 97.5 %).
  it('chi-squared', () => {
    for (const [df, low, high] of [
      [9, 2.7, 19.023],
      [10, 3.247, 20.483],
      [30, 16.791, 46.979],
    ] as const) {
      expect(chiSquaredQuantile(0.025, df)).toBeCloseTo(low, 3);
      expect(chiSquaredQuantile(0.975, df)).toBeCloseTo(high, 3);
    }
  });

  // Source: exact z values; F from t (F(1, df) at 1−α is t² at 1−α/2).
  it('normal and F', () => {
    expect(normalQuantile(0.95)).toBeCloseTo(1.644854, 6);
    expect(normalQuantile(0.975)).toBeCloseTo(1.959964, 6);
    expect(normalQuantile(0.995)).toBeCloseTo(2.575829, 6);
    expect(normalQuantile(0.99865)).toBeCloseTo(2.999977, 6);
    expect(fQuantile(0.95, 1, 10)).toBeCloseTo(tQuantile(0.975, 10) ** 2, 8);
  });
});

// Source: computed independently (numpy, scipy) from the data given.
describe('robust description', () => {
  const times = [30, 35, 42, 38, 51, 47, 90, 33, 40, 36];
  it('of ten times with one long one', () => {
    expect(mean(times)).toBeCloseTo(44.2, 12);
    expect(median(times)).toBe(39);
    expect(geometricMean(times)).toBeCloseTo(42.02434, 5);
    const logs = times.map(Math.log);
    expect(standardDeviation(logs)).toBeCloseTo(0.311265, 6);
    expect(Math.exp(standardDeviation(logs))).toBeCloseTo(1.365152, 6);
    expect(medianAbsoluteDeviation(times)).toBe(5);
    expect(trimmedMean(times, 0.2)).toBeCloseTo(39.6667, 4);
    expect([quantile(times, 0.25), quantile(times, 0.75)]).toEqual([35.25, 45.75]);
    expect(tukeyFences(times).high).toBe(61.5);
    expect(modifiedZ(times, 90)).toBeCloseTo(6.88, 2);
  });

  // Source: NIST e-Handbook 1.3.5.17.1.
  it("Grubbs' example", () => {
    const found = grubbs([199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]);
    expect(found.g).toBeCloseTo(2.468765, 6);
    expect(found.critical).toBeCloseTo(2.0317, 4);
  });

  it('Pareto', () => {
    const shares = cumulativeShares([40, 25, 15, 10, 6, 4]).map((one) => one.cumulative);
    for (const [index, value] of [0.4, 0.65, 0.8, 0.9, 0.96, 1].entries())
      expect(shares[index]).toBeCloseTo(value, 12);
  });
});

// Source: computed independently (scipy linregress, theilslopes, kendalltau).
describe('trend', () => {
  const y = [60, 55, 57, 50, 48, 49, 45, 44, 46, 40];
  it('by least squares', () => {
    const line = fitLine(
      y.map((_, index) => index + 1),
      y,
    )!;
    expect(line.slope).toBeCloseTo(-1.951515, 6);
    expect(line.intercept).toBeCloseTo(60.13333, 5);
    expect(-Math.sqrt(line.r_squared)).toBeCloseTo(-0.944237, 6);
  });
  it('by Theil and Sen', () => {
    const trend = theilSen(y)!;
    expect(trend.slope).toBe(-1.875);
    expect([trend.low, trend.high]).toEqual([-2.5, -1.5]);
    expect(trend.tau).toBeCloseTo(-0.822222, 6);
  });
});
