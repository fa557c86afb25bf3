/**
 * What the plan proof says of a broken plan: every fault it can find is found in some plan, and each sentence has
 * its facts. `plan-mutations` asks whether something is found; this asks whether what is said is right.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { type RandomSource, randomFromSeed } from '../../electron/core/base/random.ts';
import type { Plan, PlanStep } from '../../electron/core/plan/model.ts';
import { planJob } from '../../electron/core/plan/plan-job.ts';
import { proofText, provePlan } from '../../electron/core/plan/proof.ts';
import { PROOF_CODES } from '../../electron/core/plan/proof-text.ts';
import { MUTATIONS } from './plan-mutations.ts';
import { randomProduct, randomRequest } from './random-product.ts';

const FIRST_SEED = 31_000;
const UNITS = 40;
const SENTENCES = (
  JSON.parse(readFileSync(new URL('../../languages/en/findings.json', import.meta.url), 'utf8')) as {
    proof: Record<string, string>;
  }
).proof;

/** A step left out, doubled, moved or exchanged with its neighbour. */
function shuffled(plan: Plan, random: RandomSource): Plan {
  const steps = plan.steps.slice();
  const at = random.integer(0, steps.length - 1);
  const [step] = steps.splice(at, 1);
  if (step === undefined) return plan;
  const how = random.integer(0, 3);
  if (how === 1) steps.splice(at, 0, step, step);
  if (how === 2) steps.splice(random.integer(0, steps.length), 0, step);
  if (how === 3) steps.splice(Math.min(steps.length, at + 1), 0, step);
  return { ...plan, steps };
}

const one = (plan: Plan, change: (step: PlanStep) => PlanStep | undefined): Plan => {
  const at = plan.steps.findIndex((step) => change(step) !== undefined);
  return { ...plan, steps: plan.steps.map((step, i) => (i === at ? (change(step) ?? step) : step)) };
};

/** Faults that `plan-mutations` has not, because they are no faults of planning but of a plan that was changed. */
const CHANGED: readonly ((plan: Plan) => Plan)[] = [
  (plan) => ({ ...plan, product: 'other' }),
  (plan) => one(plan, (step) => (step.part === null ? undefined : { ...step, source: 'nothing' })),
  (plan) => ({ ...plan, replace: ['nothing', ...plan.replace] }),
  (plan) => ({ ...plan, replace: [] }),
  (plan) => ({ ...plan, tray: [...plan.tray, ...plan.tray] }),
  (plan) => one(plan, (step) => (step.fasteners.length > 0 ? { ...step, fasteners: [] } : undefined)),
  (plan) => {
    const fasteners = plan.steps.find((step) => step.fasteners.length > 0)?.fasteners ?? [];
    return one(plan, (step) =>
      step.fasteners.length === 0 && step.part !== null ? { ...step, fasteners } : undefined,
    );
  },
  (plan) =>
    one(plan, (step) =>
      step.cautions.length > 1 ? { ...step, cautions: step.cautions.toReversed() } : undefined,
    ),
  (plan) =>
    one(plan, (step) =>
      step.record === null ? undefined : { ...step, record: { ...step.record, name: 'other' } },
    ),
  (plan) =>
    one(plan, (step) =>
      step.fasteners[0]?.compartment == null
        ? undefined
        : { ...step, fasteners: step.fasteners.map((group) => ({ ...group, compartment: null })) },
    ),
  (plan) => one(plan, (step) => (step.part === null ? undefined : { ...step, part: 'nothing' })),
];

/** Needs more questions than any of these units has. */
const MADE_ELSEWHERE = ['proof/too-many-questions'];

describe('violations', () => {
  const seen = new Map<string, string>();

  it('have all the facts of their sentences, and name a step of the plan or none', () => {
    let count = 0;
    for (let n = 0; n < UNITS; n += 1) {
      const seed = FIRST_SEED + n;
      const product = randomProduct(seed, { parts: 1 + (n % 12) });
      const request = randomRequest(product, seed);
      // A third of the plans leave their questions to the job.
      const planned = planJob(product, n % 3 === 0 ? { ...request, variants: {} } : request);
      if (!planned.ok) throw new Error(`no plan for seed ${seed}`);
      const random = randomFromSeed(seed);
      const broken = [
        ...Object.values(MUTATIONS).flatMap((mutate) => mutate(planned.value, product, random) ?? []),
        ...CHANGED.map((change) => change(planned.value)),
        ...Array.from({ length: 30 }, () => shuffled(planned.value, random)),
      ];
      for (const plan of broken) {
        const ids = new Set(plan.steps.map((step) => step.id));
        for (const violation of provePlan(product, plan)) {
          const { code, facts, step } = violation;
          count += 1;
          seen.set(code, proofText(violation));
          const sentence = SENTENCES[code];
          if (sentence === undefined) throw new Error(`seed ${seed}: no sentence for ${code}`);
          const places = [...sentence.matchAll(/\{(\w+)\}/g)].map((one) => one[1] ?? '');
          for (const place of places) {
            const fact: unknown = facts[place];
            const told = fact !== undefined && fact !== null && !Number.isNaN(fact);
            if (!told)
              throw new Error(`seed ${seed}: ${code} does not say ${place}: ${JSON.stringify(facts)}`);
          }
          expect(step === null || ids.has(step), `seed ${seed}: ${code} names ${step}`).toBe(true);
        }
      }
    }
    expect(count).toBeGreaterThan(5000);
    for (const text of seen.values()) expect(text).not.toMatch(/undefined|NaN|\[object|\{\w+\}/);
  });

  it('are of every kind that there is', () => {
    expect(PROOF_CODES.filter((code) => !seen.has(code)).sort()).toEqual(MADE_ELSEWHERE);
    expect([...seen.keys()].filter((code) => !PROOF_CODES.includes(code))).toEqual([]);
  });
});
