/**
 * Plan and proof times by size of the unit, with the quality of the order: `npm run bench -- plan`.
 * The job takes the whole unit apart to replace its core. `wall` is what a user waits, `cpu` what the
 * process used (all its threads), which tells more on a busy machine. Medians, except where it says worst.
 */
import { planJob } from '../../electron/core/plan/plan-job.ts';
import { provePlan } from '../../electron/core/plan/proof.ts';
import { benchUnit, CORE } from './units.ts';

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

/** CPU time of this process so far in ms. */
function cpuMs(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}

interface Row {
  readonly cpu: number;
  readonly plan: number;
  readonly proof: number;
  readonly gap: number;
  readonly steps: number;
  readonly exact: boolean;
}

function measure(parts: number, seed: number): Row {
  const product = benchUnit(parts, seed);
  const request = {
    replace: [CORE],
    variants: Object.fromEntries(product.variants.map((v) => [v.id, v.answers[0] ?? ''])),
  };
  const cpu = cpuMs();
  const start = performance.now();
  const planned = planJob(product, request);
  const between = performance.now();
  if (!planned.ok) throw new Error(JSON.stringify(planned.error));
  const violations = provePlan(product, planned.value);
  const end = performance.now();
  const cpuUsed = cpuMs() - cpu;
  if (violations.length > 0) throw new Error(`seed ${seed}: ${JSON.stringify(violations[0])}`);
  const { cost, lower_bound, exact } = planned.value.order;
  return {
    cpu: cpuUsed,
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
  console.log(
    ' parts   steps  plan ms  proof ms  wall ms  worst ms   cpu ms  proven optimal  gap median  gap worst',
  );
  for (const [parts, runs] of SIZES) {
    const rows = Array.from({ length: runs }, (_, i) => measure(parts, 1_000 + i));
    const both = rows.map((r) => r.plan + r.proof);
    const cells = [
      String(parts).padStart(6),
      String(Math.round(median(rows.map((r) => r.steps)))).padStart(8),
      median(rows.map((r) => r.plan))
        .toFixed(1)
        .padStart(8),
      median(rows.map((r) => r.proof))
        .toFixed(1)
        .padStart(9),
      median(both).toFixed(1).padStart(8),
      Math.max(...both)
        .toFixed(1)
        .padStart(9),
      median(rows.map((r) => r.cpu))
        .toFixed(1)
        .padStart(8),
      `${rows.filter((r) => r.exact).length}/${runs}`.padStart(15),
      `${(100 * median(rows.map((r) => r.gap))).toFixed(2)} %`.padStart(11),
      `${(100 * Math.max(...rows.map((r) => r.gap))).toFixed(2)} %`.padStart(10),
    ];
    console.log(cells.join(' '));
  }
}
