/**
 * Plan and proof times by size of the unit, with the quality of the order: `npm run bench -- plan`.
 * Every part of the unit is replaced, which is the largest job there is. Times are medians.
 */
import { planJob } from '../../electron/core/plan/plan-job.ts';
import { provePlan } from '../../electron/core/plan/proof.ts';
import { benchUnit } from './units.ts';

const SIZES: readonly (readonly [parts: number, runs: number])[] = [
  [20, 60],
  [100, 40],
  [1_000, 20],
  [10_000, 6],
];

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)] ?? Number.NaN;
}

interface Row {
  readonly plan: number;
  readonly proof: number;
  readonly gap: number;
  readonly steps: number;
  readonly exact: boolean;
}

function measure(parts: number, seed: number): Row {
  const product = benchUnit(parts, seed);
  const request = {
    replace: product.parts.map((p) => p.id),
    variants: Object.fromEntries(product.variants.map((v) => [v.id, v.answers[0] ?? ''])),
  };
  const start = performance.now();
  const planned = planJob(product, request);
  const between = performance.now();
  if (!planned.ok) throw new Error(JSON.stringify(planned.error));
  const violations = provePlan(product, planned.value);
  const end = performance.now();
  if (violations.length > 0) throw new Error(`seed ${seed}: ${JSON.stringify(violations[0])}`);
  const { cost, lower_bound, exact } = planned.value.order;
  return {
    plan: between - start,
    proof: end - between,
    gap: lower_bound === 0 ? 0 : (cost - lower_bound) / lower_bound,
    steps: planned.value.steps.length,
    exact,
  };
}

/** Prints one line for each size. */
export async function run(): Promise<void> {
  for (let i = 0; i < 30; i += 1) measure(200, 900 + i);
  console.log('parts    steps  plan ms  proof ms  both ms  worst ms  proven optimal  gap median  gap worst');
  for (const [parts, runs] of SIZES) {
    const rows = Array.from({ length: runs }, (_, i) => measure(parts, 1_000 + i));
    const both = rows.map((r) => r.plan + r.proof);
    const cells = [
      String(parts).padStart(6),
      String(Math.round(median(rows.map((r) => r.steps)))).padStart(8),
      median(rows.map((r) => r.plan)).toFixed(1).padStart(8),
      median(rows.map((r) => r.proof)).toFixed(1).padStart(9),
      median(both).toFixed(1).padStart(8),
      Math.max(...both).toFixed(1).padStart(9),
      `${rows.filter((r) => r.exact).length}/${runs}`.padStart(15),
      `${(100 * median(rows.map((r) => r.gap))).toFixed(2)} %`.padStart(11),
      `${(100 * Math.max(...rows.map((r) => r.gap))).toFixed(2)} %`.padStart(10),
    ];
    console.log(cells.join(' '));
  }
}
