import { describe, expect, it } from 'vitest';
import { holm, mannWhitney, welch } from '../../electron/core/review/comparison.ts';

// Source: Welch's test on the classic pair of fifteen, values computed with scipy.
it("Welch's test", () => {
  const a = [27.5, 21, 19, 23.6, 17, 17.9, 16.9, 20.1, 21.9, 22.6, 23.1, 19.6, 19, 21.7, 21.4];
  const b = [27.1, 22, 20.8, 23.4, 23.4, 23.5, 25.8, 22, 24.8, 20.2, 21.9, 22.1, 22.9, 30.5, 24.4];
  const found = welch(a, b)!;
  expect(found.t).toBeCloseTo(-2.852955, 6);
  expect(found.df).toBeCloseTo(27.8873, 4);
  expect(found.p).toBeCloseTo(0.00807194, 8);
  expect(welch([1], [2, 3])).toBe(null);
  expect(welch([1, 1], [1, 1])).toBe(null);
});

// Source: exact distribution of U, value computed with scipy.
describe('Mann–Whitney', () => {
  it('of five against four', () => {
    const found = mannWhitney([19, 22, 16, 29, 24], [20, 11, 17, 12])!;
    expect(found.u).toBe(17);
    expect(found.p).toBeCloseTo(0.1111111, 7);
  });
  it('is symmetric and refuses ties', () => {
    const other = mannWhitney([20, 11, 17, 12], [19, 22, 16, 29, 24])!;
    expect(other.u).toBe(3);
    expect(other.p).toBeCloseTo(0.1111111, 7);
    expect(mannWhitney([1, 1], [1, 2])).toBe(null);
    expect(mannWhitney([], [1])).toBe(null);
  });
});

// Source: Holm (1979); example p values of 0.01, 0.04, 0.03, 0.005 as in R's p.adjust documentation style,
// result worked out by hand: 0.03, 0.06, 0.06, 0.02.
it("Holm's correction", () => {
  for (const [index, value] of holm([0.01, 0.04, 0.03, 0.005]).entries())
    expect(value).toBeCloseTo([0.03, 0.06, 0.06, 0.02][index]!, 12);
  expect(holm([])).toEqual([]);
  expect(holm([0.9, 0.8])).toEqual([1, 1]);
});
