/**
 * Planner against proof on random units. STEPCALLER_PROPERTY_RUNS sets the number of units (default 300),
 * STEPCALLER_PROPERTY_SEED repeats a run; fast-check prints the seed of a failure.
 */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { planJob } from '../../electron/core/plan/plan-job.ts';
import { proofText, provePlan } from '../../electron/core/plan/proof.ts';
import { planAsAnswered } from '../../electron/core/plan/questions.ts';
import { fits } from '../../electron/core/plan/sentences.ts';
import { ledgerAfter } from '../../electron/core/plan/tray.ts';
import { randomProduct, randomRequest } from './random-product.ts';

const RUNS = Number(process.env.STEPCALLER_PROPERTY_RUNS ?? 300);
const SEED = process.env.STEPCALLER_PROPERTY_SEED;
const TIMEOUT_MS = 600_000;
const parameters = { numRuns: RUNS, ...(SEED === undefined ? {} : { seed: Number(SEED) }) };
const unitSeed = fc.integer({ min: 0, max: 2 ** 31 - 1 });
const size = fc.integer({ min: 1, max: 24 });

function planned(seed: number, parts: number) {
  const product = randomProduct(seed, { parts });
  const request = randomRequest(product, seed);
  const result = planJob(product, request);
  if (!result.ok)
    throw new Error(`no plan for seed ${seed}, ${parts} parts: ${JSON.stringify(result.error)}`);
  return { product, request, plan: result.value };
}

describe('planner against proof', () => {
  test('every plan of a valid unit is proven', { timeout: TIMEOUT_MS }, () => {
    fc.assert(
      fc.property(unitSeed, size, (seed, parts) => {
        const { product, plan } = planned(seed, parts);
        expect(provePlan(product, plan).map((violation) => proofText(violation))).toEqual([]);
      }),
      parameters,
    );
  });

  test('with its questions left to the job it is proven for every answer', { timeout: TIMEOUT_MS }, () => {
    fc.assert(
      fc.property(unitSeed, size, (seed, parts) => {
        const product = randomProduct(seed, { parts });
        const { replace } = randomRequest(product, seed);
        const open = planJob(product, { replace, variants: {} });
        if (!open.ok) throw new Error(JSON.stringify(open.error));
        expect(provePlan(product, open.value).map((violation) => proofText(violation))).toEqual([]);
        for (const screws of ['four', 'six'])
          for (const fan of ['yes', 'no']) {
            const left = planAsAnswered(open.value, { screws, fan });
            const held = new Map(left.tray.map((c) => [c.number, 0]));
            for (const step of left.steps)
              for (const f of step.fasteners)
                if (f.compartment !== null && step.action === 'remove-fasteners')
                  held.set(f.compartment, (held.get(f.compartment) ?? 0) + f.count);
            for (const c of left.tray) expect(held.get(c.number)).toBe(c.count);
          }
      }),
      { ...parameters, numRuns: Math.ceil(RUNS / 3) },
    );
  });

  test('the same request gives the same plan, whatever the order of its words', {
    timeout: TIMEOUT_MS,
  }, () => {
    fc.assert(
      fc.property(unitSeed, size, (seed, parts) => {
        const { product, request, plan } = planned(seed, parts);
        const turned = {
          replace: [...request.replace, ...request.replace].reverse(),
          variants: Object.fromEntries(Object.entries(request.variants).reverse()),
        };
        const again = planJob(product, turned);
        expect(again.ok && JSON.stringify(again.value)).toBe(JSON.stringify(plan));
      }),
      { ...parameters, numRuns: Math.ceil(RUNS / 5) },
    );
  });

  test('the ledger is empty before and after the job and never holds more than its total', {
    timeout: TIMEOUT_MS,
  }, () => {
    fc.assert(
      fc.property(unitSeed, size, (seed, parts) => {
        const { plan } = planned(seed, parts);
        const done: string[] = [];
        for (const step of plan.steps) {
          done.push(step.id);
          for (const line of ledgerAfter(plan, done)) {
            expect(line.out).toBeGreaterThanOrEqual(0);
            expect(line.out).toBeLessThanOrEqual(line.total);
          }
        }
        for (const line of ledgerAfter(plan, done)) expect(line.out).toBe(0);
      }),
      { ...parameters, numRuns: Math.ceil(RUNS / 5) },
    );
  });

  test('a plan survives JSON and its sentences keep to 20 words', { timeout: TIMEOUT_MS }, () => {
    fc.assert(
      fc.property(unitSeed, size, (seed, parts) => {
        const { plan } = planned(seed, parts);
        expect(JSON.parse(JSON.stringify(plan))).toEqual(plan);
        for (const step of plan.steps) expect(fits(step.say), step.say).toBe(true);
        expect(new Set(plan.steps.map((s) => s.id)).size).toBe(plan.steps.length);
        expect(plan.order.lower_bound).toBeLessThanOrEqual(plan.order.cost);
      }),
      { ...parameters, numRuns: Math.ceil(RUNS / 5) },
    );
  });
});
