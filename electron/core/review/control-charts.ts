/**
 * Shewhart charts and run rules. Constants are those of ASTM E2587 and the textbooks for normal data; the
 * limits of a time that is skewed are computed on logarithms.
 */
import { sampleSkewness } from 'simple-statistics';
import { assert } from '../base/result.ts';
import { mean } from './descriptive.ts';
import type { ControlChart, ControlPoint } from './model.ts';

/** d2, d3, c4 for subgroups of 2…10, to six decimals. */
const CONSTANTS: Readonly<Record<number, { readonly d2: number; readonly d3: number }>> = {
  2: { d2: 1.128379, d3: 0.852502 },
  3: { d2: 1.692569, d3: 0.888368 },
  4: { d2: 2.058751, d3: 0.879808 },
  5: { d2: 2.325929, d3: 0.864082 },
  6: { d2: 2.534413, d3: 0.84804 },
  7: { d2: 2.704357, d3: 0.833205 },
  8: { d2: 2.847201, d3: 0.819831 },
  9: { d2: 2.970026, d3: 0.807834 },
  10: { d2: 3.077505, d3: 0.797051 },
};

/** Γ(x) for the half-integers and integers that c4 needs, by recursion from Γ(1/2) and Γ(1). */
function gammaOfHalves(twice: number): number {
  let value = twice % 2 === 0 ? 1 : Math.sqrt(Math.PI);
  for (let x = twice % 2 === 0 ? 2 : 1; x < twice; x += 2) value *= x / 2;
  return value;
}

export interface ChartConstants {
  readonly d2: number;
  readonly d3: number;
  readonly c4: number;
  readonly A2: number;
  readonly A3: number;
  readonly B3: number;
  readonly B4: number;
  readonly D3: number;
  readonly D4: number;
  readonly E2: number;
}

/** Control-chart constants for subgroups of `size` 2…10; all follow from d2, d3 and c4. */
export function chartConstants(size: number): ChartConstants {
  const row = CONSTANTS[size];
  assert(row !== undefined, `subgroups of 2 to 10, got ${size}`);
  const { d2, d3 } = row;
  const c4 = (Math.sqrt(2 / (size - 1)) * gammaOfHalves(size)) / gammaOfHalves(size - 1);
  const spread = (3 * Math.sqrt(1 - c4 * c4)) / c4;
  return {
    d2,
    d3,
    c4,
    A2: 3 / (d2 * Math.sqrt(size)),
    A3: 3 / (c4 * Math.sqrt(size)),
    B3: Math.max(0, 1 - spread),
    B4: 1 + spread,
    D3: Math.max(0, 1 - (3 * d3) / d2),
    D4: 1 + (3 * d3) / d2,
    E2: 3 / d2,
  };
}

// ---- run rules ---------------------------------------------------------------------------------------

/** A rule over standardised values z, for the window that ends at `end`. */
type Rule = (z: readonly number[], end: number) => boolean;

const window = (z: readonly number[], end: number, length: number): readonly number[] =>
  end + 1 < length ? [] : z.slice(end + 1 - length, end + 1);

const sideRun =
  (length: number): Rule =>
  (z, end) => {
    const values = window(z, end, length);
    return values.length > 0 && (values.every((v) => v > 0) || values.every((v) => v < 0));
  };

/** `least` of the last `length` beyond ±`sigma` on one side, the last one among them. */
const someBeyond =
  (least: number, length: number, sigma: number): Rule =>
  (z, end) => {
    const values = window(z, end, length);
    const last = z[end] ?? 0;
    if (values.length === 0 || Math.abs(last) <= sigma) return false;
    return values.filter((v) => Math.sign(v) === Math.sign(last) && Math.abs(v) > sigma).length >= least;
  };

const monotone: Rule = (z, end) => {
  const values = window(z, end, 6);
  const steps = values.slice(1).map((v, index) => v - (values[index] ?? 0));
  return values.length > 0 && (steps.every((d) => d > 0) || steps.every((d) => d < 0));
};

const alternating: Rule = (z, end) => {
  const values = window(z, end, 14);
  const steps = values.slice(1).map((v, index) => Math.sign(v - (values[index] ?? 0)));
  return (
    values.length > 0 && steps.every((s, index) => s !== 0 && (index === 0 || s === -(steps[index - 1] ?? 0)))
  );
};

const NELSON: readonly Rule[] = [
  (z, end) => Math.abs(z[end] ?? 0) > 3,
  sideRun(9),
  monotone,
  alternating,
  someBeyond(2, 3, 2),
  someBeyond(4, 5, 1),
  (z, end) => {
    const values = window(z, end, 15);
    return values.length > 0 && values.every((v) => Math.abs(v) < 1);
  },
  (z, end) => {
    const values = window(z, end, 8);
    return values.length > 0 && values.every((v) => Math.abs(v) > 1);
  },
];

/** Rules of Nelson (1984) that end at each point, for values in standard deviations from the centre. */
export function nelsonRules(z: readonly number[]): string[][] {
  return z.map((_, end) => NELSON.flatMap((rule, index) => (rule(z, end) ? [`nelson-${index + 1}`] : [])));
}

/** The four rules of the Western Electric handbook (1956); the run on one side is eight. */
export function westernElectricRules(z: readonly number[]): string[][] {
  const rules: readonly Rule[] = [NELSON[0]!, someBeyond(2, 3, 2), someBeyond(4, 5, 1), sideRun(8)];
  return z.map((_, end) =>
    rules.flatMap((rule, index) => (rule(z, end) ? [`western-electric-${index + 1}`] : [])),
  );
}

// ---- charts ------------------------------------------------------------------------------------------

export interface LabelledValue {
  readonly label: string;
  readonly value: number;
}

/** Skewness from which limits are computed on logarithms. */
const SKEWED = 0.5;

/** `log` where the values reach further up than down so much that limits belong on logarithms. */
export function scaleFor(values: readonly number[]): 'linear' | 'log' {
  const canLog = values.length >= 3 && values.every((value) => value > 0);
  return canLog && sampleSkewness(values as number[]) > SKEWED ? 'log' : 'linear';
}

/** Fewest points for which limits mean something. */
export const LEAST_POINTS = 8;

interface Limits {
  readonly center: number;
  readonly low: number;
  readonly high: number;
  readonly sigma: number;
}

function pointsOf(
  values: readonly LabelledValue[],
  limits: Limits,
  rules: readonly (readonly string[])[],
  show: (value: number) => number,
): ControlPoint[] {
  return values.map(({ label, value }, index) => ({
    label,
    value: show(value),
    center: show(limits.center),
    low: show(limits.low),
    high: show(limits.high),
    rules: rules[index] ?? [],
  }));
}

/** Limits of an individuals chart from the values alone; `d2` 1.128379, or 1.128 as printed tables have it. */
export function individualsLimits(values: readonly number[], d2 = CONSTANTS[2]!.d2): Limits {
  assert(values.length >= 2, `an individuals chart needs two values, got ${values.length}`);
  const ranges = values.slice(1).map((value, index) => Math.abs(value - (values[index] ?? 0)));
  const sigma = mean(ranges) / d2;
  const center = mean(values);
  return { center, low: center - 3 * sigma, high: center + 3 * sigma, sigma };
}

/**
 * Individuals chart. With scale `log` all values must be above 0; limits and rules are computed on logarithms
 * and the points shown on their own scale. `baseline`: how many points from the start set the limits (all).
 */
export function individualsChart(
  values: readonly LabelledValue[],
  options: { readonly scale?: 'linear' | 'log'; readonly baseline?: number; readonly d2?: number } = {},
): ControlChart {
  const scale = options.scale ?? 'linear';
  const scaled = scale === 'log' ? values.map((one) => ({ ...one, value: Math.log(one.value) })) : values;
  const base = scaled.slice(0, options.baseline ?? scaled.length).map((one) => one.value);
  const limits = individualsLimits(base, options.d2);
  const z = scaled.map((one) => (limits.sigma === 0 ? 0 : (one.value - limits.center) / limits.sigma));
  const show = scale === 'log' ? Math.exp : (value: number): number => value;
  return {
    kind: 'individuals',
    scale,
    center: show(limits.center),
    low: show(limits.low),
    high: show(limits.high),
    sigma: limits.sigma,
    points: pointsOf(scaled, limits, nelsonRules(z), show),
    how: scale === 'log' ? 'individuals-chart-log' : 'individuals-chart',
  };
}

/** Moving ranges of two, for the chart below an individuals chart; only rule 1 is meaningful there. */
export function movingRangeChart(values: readonly LabelledValue[]): ControlChart {
  assert(values.length >= 2, `moving ranges need two values, got ${values.length}`);
  const ranges = values
    .slice(1)
    .map((one, index) => ({ label: one.label, value: Math.abs(one.value - (values[index]?.value ?? 0)) }));
  const center = mean(ranges.map((one) => one.value));
  const { D3, D4, d2, d3 } = chartConstants(2);
  const limits = { center, low: D3 * center, high: D4 * center, sigma: (d3 / d2) * center };
  const rules = ranges.map((one) => (one.value > limits.high ? ['nelson-1'] : []));
  return {
    kind: 'moving-range',
    scale: 'linear',
    ...limits,
    points: pointsOf(ranges, limits, rules, (v) => v),
    how: 'moving-range-chart',
  };
}

/** Means and ranges of equal subgroups of 2…10 (Shewhart's X̄ and R). Groups must be equally long. */
export function meanAndRangeCharts(
  groups: readonly { readonly label: string; readonly values: readonly number[] }[],
): { readonly mean: ControlChart; readonly range: ControlChart } {
  const size = groups[0]?.values.length ?? 0;
  assert(
    groups.every((group) => group.values.length === size),
    'subgroups of one size',
  );
  const constants = chartConstants(size);
  const means = groups.map((group) => ({ label: group.label, value: mean(group.values) }));
  const ranges = groups.map((group) => ({
    label: group.label,
    value: Math.max(...group.values) - Math.min(...group.values),
  }));
  const center = mean(means.map((one) => one.value));
  const range = mean(ranges.map((one) => one.value));
  const sigma = range / constants.d2 / Math.sqrt(size);
  const meanLimits = {
    center,
    low: center - constants.A2 * range,
    high: center + constants.A2 * range,
    sigma,
  };
  const rangeLimits = {
    center: range,
    low: constants.D3 * range,
    high: constants.D4 * range,
    sigma: (constants.d3 / constants.d2) * range,
  };
  const z = means.map((one) => (sigma === 0 ? 0 : (one.value - center) / sigma));
  const outside = ranges.map((one) =>
    one.value > rangeLimits.high || one.value < rangeLimits.low ? ['nelson-1'] : [],
  );
  const keep = (value: number): number => value;
  return {
    mean: {
      kind: 'mean',
      scale: 'linear',
      ...meanLimits,
      points: pointsOf(means, meanLimits, nelsonRules(z), keep),
      how: 'mean-chart',
    },
    range: {
      kind: 'range',
      scale: 'linear',
      ...rangeLimits,
      points: pointsOf(ranges, rangeLimits, outside, keep),
      how: 'range-chart',
    },
  };
}

/** Chart of counts per unit (problems per job): limits mean ± 3·√mean, cut at 0. On the limit is inside. */
export function countChart(counts: readonly LabelledValue[]): ControlChart {
  const center = mean(counts.map((one) => one.value));
  const sigma = Math.sqrt(center);
  const limits = { center, low: Math.max(0, center - 3 * sigma), high: center + 3 * sigma, sigma };
  const rules = counts.map((one) => (one.value > limits.high || one.value < limits.low ? ['nelson-1'] : []));
  return {
    kind: 'c',
    scale: 'linear',
    ...limits,
    points: pointsOf(counts, limits, rules, (v) => v),
    how: 'c-chart',
  };
}

/** Chart of shares k of `size` each: limits p̄ ± 3·√(p̄(1 − p̄)/size), cut at 0 and 1. */
export function shareChart(counts: readonly LabelledValue[], size: number): ControlChart {
  const shares = counts.map((one) => ({ label: one.label, value: one.value / size }));
  const center = mean(shares.map((one) => one.value));
  const sigma = Math.sqrt((center * (1 - center)) / size);
  const limits = {
    center,
    low: Math.max(0, center - 3 * sigma),
    high: Math.min(1, center + 3 * sigma),
    sigma,
  };
  const rules = shares.map((one) => (one.value > limits.high || one.value < limits.low ? ['nelson-1'] : []));
  return {
    kind: 'p',
    scale: 'linear',
    ...limits,
    points: pointsOf(shares, limits, rules, (v) => v),
    how: 'p-chart',
  };
}
