/** Every fault put into a proven plan must be found by the proof. */
import { describe, expect, test } from 'vitest';
import { randomFromSeed } from '../../electron/core/base/random.ts';
import { planJob } from '../../electron/core/plan/plan-job.ts';
import { provePlan } from '../../electron/core/plan/proof.ts';
import { MUTATIONS } from './plan-mutations.ts';
import { randomProduct, randomRequest } from './random-product.ts';

const RUNS = Number(process.env.STEPCALLER_PROPERTY_RUNS ?? 300);
const FIRST_SEED = Number(process.env.STEPCALLER_PROPERTY_SEED ?? 20_000);
const UNITS = Math.max(60, Math.floor(RUNS / 3));

const units = Array.from({ length: UNITS }, (_, i) => {
  const seed = FIRST_SEED + i;
  const product = randomProduct(seed, { parts: 1 + (i % 20) });
  const request = randomRequest(product, seed);
  // A third of the plans leave their questions to the job.
  const planned = planJob(product, i % 3 === 0 ? { ...request, variants: {} } : request);
  if (!planned.ok) throw new Error(`no plan for seed ${seed}`);
  return { seed, product, plan: planned.value };
});

describe('mutated plans are caught', () => {
  for (const [name, mutate] of Object.entries(MUTATIONS)) {
    test(`${name} (units from seed ${FIRST_SEED})`, { timeout: 600_000 }, () => {
      let applied = 0;
      const missed: number[] = [];
      for (const { seed, product, plan } of units) {
        const mutant = mutate(plan, product, randomFromSeed(seed));
        if (mutant === undefined) continue;
        applied += 1;
        if (provePlan(product, mutant).length === 0) missed.push(seed);
      }
      expect(missed).toEqual([]);
      // A mutation that never applies would prove nothing.
      expect(applied).toBeGreaterThan(0);
    });
  }
});
