import { describe, expect, it } from 'vitest';
import {
  chartConstants,
  countChart,
  individualsChart,
  individualsLimits,
  meanAndRangeCharts,
  movingRangeChart,
  nelsonRules,
  shareChart,
  westernElectricRules,
} from '../../electron/core/review/control-charts.ts';
import constants from './data/control-chart-constants.json' with { type: 'json' };
import nelson from './data/nelson-cases.json' with { type: 'json' };

const labelled = (values: readonly number[]) =>
  values.map((value, index) => ({ label: `${index + 1}`, value }));
const flagged = (rules: readonly (readonly string[])[]): number[] =>
  rules.flatMap((names, index) => (names.length > 0 ? [index] : []));

// Source: ASTM E2587 and Montgomery's tables, recomputed by numerical integration to six decimals.
it('constants for subgroups of 2 to 10', () => {
  for (let size = 2; size <= 10; size += 1) {
    const found = chartConstants(size);
    const expected = constants[String(size) as keyof typeof constants];
    for (const [name, value] of Object.entries(expected))
      expect(Math.abs(found[name as keyof typeof found] - value), `${name} of ${size}`).toBeLessThan(3e-6);
  }
  expect(() => chartConstants(11)).toThrow(/assertion/);
});

// Source: NIST e-Handbook 6.3.2.2, flow rate of ten batches; the book uses d2 = 1.128.
describe('individuals chart', () => {
  const flow = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];
  it('with the printed constant', () => {
    const limits = individualsLimits(flow, 1.128);
    expect(limits.center).toBeCloseTo(50.81, 10);
    expect(limits.high).toBeCloseTo(55.8041, 4);
    expect(limits.low).toBeCloseTo(45.8159, 4);
  });
  it('with the exact constant; no point is out', () => {
    const chart = individualsChart(labelled(flow));
    expect(chart.high).toBeCloseTo(55.8024, 4);
    expect(chart.low).toBeCloseTo(45.8176, 4);
    expect(flagged(chart.points.map((point) => point.rules.filter((rule) => rule === 'nelson-1')))).toEqual(
      [],
    );
  });
  it('moving ranges', () => {
    const chart = movingRangeChart(labelled(flow));
    expect(chart.points.map((point) => Number(point.value.toFixed(1)))).toEqual([
      2, 2.3, 1.4, 3.5, 3.4, 1.4, 0.2, 1.2, 1.5,
    ]);
    expect(chart.center).toBeCloseTo(1.8778, 4);
    expect(chart.high).toBeCloseTo(6.13, 2);
  });
  it('on logarithms keeps its limits above zero and says so', () => {
    const chart = individualsChart(labelled([1, 9, 1, 9, 1, 9]), { scale: 'log' });
    expect(chart.low).toBeGreaterThan(0);
    expect(chart.center).toBeCloseTo(3, 10);
    expect(chart.how).toBe('individuals-chart-log');
  });
  it('of equal values has no limits to break', () => {
    expect(flagged(individualsChart(labelled([5, 5, 5, 5])).points.map((point) => point.rules))).toEqual([]);
  });
});

// Source: NIST e-Handbook 6.3.3.1 (counts of defects on 25 wafers) and 6.3.3.2 (shares in samples of 50); the
// data are from memory and add up to the published mean.
describe('counts and shares', () => {
  it('c chart: wafer 24 is out, wafer 3 lies on the limit', () => {
    const wafers = [
      16, 14, 28, 16, 12, 20, 10, 12, 10, 17, 19, 17, 14, 16, 15, 13, 14, 16, 11, 20, 11, 19, 16, 31, 13,
    ];
    const chart = countChart(labelled(wafers));
    expect([chart.center, chart.high, chart.low]).toEqual([16, 28, 4]);
    expect(flagged(chart.points.map((point) => point.rules))).toEqual([23]);
  });
  it('p chart: samples 15 and 23 are out', () => {
    const shares = [
      0.24, 0.3, 0.16, 0.2, 0.08, 0.14, 0.32, 0.18, 0.28, 0.2, 0.1, 0.12, 0.34, 0.24, 0.44, 0.16, 0.2, 0.1,
      0.26, 0.22, 0.4, 0.36, 0.48, 0.3, 0.18, 0.24, 0.14, 0.26, 0.18, 0.12,
    ];
    const chart = shareChart(labelled(shares.map((share) => Math.round(share * 50))), 50);
    expect(chart.center).toBeCloseTo(0.231333, 6);
    expect(chart.high).toBeCloseTo(0.410239, 6);
    expect(chart.low).toBeCloseTo(0.052428, 6);
    expect(flagged(chart.points.map((point) => point.rules))).toEqual([14, 22]);
  });
});

// Source: the limits follow from the constants; the groups are invented, the arithmetic done by hand.
it('mean and range charts', () => {
  const charts = meanAndRangeCharts(
    [
      [10, 12],
      [11, 13],
      [9, 11],
      [20, 22],
    ].map((values, index) => ({ label: `${index}`, values })),
  );
  expect(charts.mean.center).toBe(13.5);
  expect(charts.range.center).toBe(2);
  expect(charts.mean.high).toBeCloseTo(13.5 + 1.879971 * 2, 5);
  expect(charts.range.high).toBeCloseTo(3.266532 * 2, 5);
  expect(charts.range.low).toBe(0);
  expect(
    flagged(charts.mean.points.map((point) => point.rules.filter((rule) => rule === 'nelson-1'))),
  ).toEqual([3]);
  expect(() =>
    meanAndRangeCharts([
      { label: 'a', values: [1, 2] },
      { label: 'b', values: [1] },
    ]),
  ).toThrow();
});

// Source: Nelson (1984), Journal of Quality Technology 16:237; each case fires exactly one rule.
describe('run rules', () => {
  it.each(Object.entries(nelson))('%s', (_, { z, hits0based }) => {
    const expected: string[][] = z.map(() => []);
    for (const [rule, hits] of Object.entries(hits0based))
      for (const hit of hits ?? []) expected[hit]!.push(`nelson-${rule}`);
    expect(nelsonRules(z)).toEqual(expected);
  });

  // Source: Western Electric (1956): eight on one side instead of nine.
  it('Western Electric names the eighth point on one side', () => {
    const rules = westernElectricRules(nelson.rule2.z);
    expect(flagged(rules.map((names) => names.filter((name) => name === 'western-electric-4')))[0]).toBe(8);
  });
});
