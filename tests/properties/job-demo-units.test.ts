/**
 * The demo units' real plans, played to the end by a careful technician and wildly by a random one.
 * What is asked of a job must be possible: the tray is empty at the end of every plan.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { randomFromSeed } from '../../electron/core/base/random.ts';
import { allowedNow } from '../../electron/core/job/allowed.ts';
import { checkCharacter } from '../../electron/core/job/check-digits.ts';
import { type JobState, openJob, stateFromRecords, step } from '../../electron/core/job/engine.ts';
import type { JobInput, JobRecord, Verbosity } from '../../electron/core/job/model.ts';
import { expectedCount, stepOf, waitsFor } from '../../electron/core/job/state.ts';
import type { Plan } from '../../electron/core/plan/model.ts';
import { planJob } from '../../electron/core/plan/plan-job.ts';
import type { Product } from '../../electron/core/product/model.ts';
import { readProduct } from '../../electron/core/product/read-product.ts';
import { unsafe } from './job-safety.ts';
import { randomInput } from './random-input.ts';

function productOf(name: string): Product {
  const { product } = readProduct(
    readFileSync(new URL(`../../procedures/${name}`, import.meta.url), 'utf8'),
    name,
  );
  if (!product) throw new Error(`${name} cannot be read`);
  return product;
}

function planOf(product: Product, part: string): Plan {
  const variants = Object.fromEntries(
    product.variants.map((variant) => [variant.id, variant.answers[0] ?? '']),
  );
  const plan = planJob(product, { replace: [part], variants });
  if (!plan.ok) throw new Error(`${product.id} ${part}: ${JSON.stringify(plan.error)}`);
  return plan.value;
}

/** What a careful technician does next. */
function careful(plan: Plan, state: JobState): JobInput {
  const at = { atMs: state.at_ms + 1000, source: 'touch' as const };
  const here = stepOf(plan, state);
  if (state.question?.kind === 'count') {
    return { type: 'number', value: expectedCount(plan, state).count, ...at };
  }
  if (state.question !== null) return { type: 'phrase', phrase: 'yes', ...at };
  if (state.caution !== null && state.caution.status !== 'read') {
    return { type: 'spoken', atMs: at.atMs, utterance: state.caution.utterance, outcome: 'completed' };
  }
  if (state.pending.length > 0) return { type: 'phrase', phrase: 'understood', ...at };
  switch (waitsFor(plan, state)) {
    case 'reading': {
      const { min, max } = here.measure ?? {};
      const value = min !== undefined && max !== undefined ? (min + max) / 2 : (min ?? max ?? 0);
      return { type: 'reading', value, ...at };
    }
    case 'serial': {
      const check = here.record?.check ?? 'none';
      const body = '1'.repeat(Math.max(1, (here.record?.min_length ?? 2) - 1));
      const value = check === 'none' ? `${body}1` : body + checkCharacter(check, body);
      return { type: 'serial', value, ...at };
    }
    case 'sign-off':
      return { type: 'sign-off', person: 'Technician B', ...at };
    default:
      return { type: 'phrase', phrase: 'next', ...at };
  }
}

const UNITS = ['wt-3.yaml', 'bp-60.yaml', 'dp-8.yaml'].map((name) => ({ name, product: productOf(name) }));
const JOBS = UNITS.flatMap(({ product }) =>
  product.parts
    .filter((part) => part.replaceable)
    .map((part) => ({ product, part: part.id, unit: product.id })),
);

describe('the demo units', () => {
  it.each(JOBS)('$unit: replacing $part ends completed, each verbosity', ({ product, part }) => {
    const plan = planOf(product, part);
    for (const verbosity of ['full', 'short', 'trainee'] as Verbosity[]) {
      const opened = openJob(plan, { technician: 'Technician A', verbosity });
      let state = opened.state;
      const records: JobRecord[] = [...opened.records];
      for (let i = 0; i < plan.steps.length * 25 && state.outcome === null; i += 1) {
        const after = step(plan, state, careful(plan, state));
        if (after.records.some((record) => record.event === 'phrase.refused')) {
          throw new Error(`refused at ${stepOf(plan, state).id}: ${JSON.stringify(after.records)}`);
        }
        records.push(...after.records);
        state = after.state;
      }
      expect([verbosity, state.outcome, state.frontier]).toEqual([verbosity, 'completed', plan.steps.length]);
      expect(unsafe(plan, records)).toEqual([]);
      expect(stateFromRecords(plan, records)).toEqual(state);
    }
  });

  it('stay safe under random inputs', () => {
    for (let seed = 1; seed <= 40; seed += 1) {
      const random = randomFromSeed(seed);
      const job = random.pick(JOBS);
      const plan = planOf(job.product, job.part);
      const opened = openJob(plan, {
        technician: 'Technician A',
        verbosity: random.pick(['full', 'trainee'] as const),
      });
      let state = opened.state;
      let last = 1;
      const records: JobRecord[] = [...opened.records];
      for (let i = 0; i < 250 && state.outcome === null; i += 1) {
        const sensible = random.next() < 0.6 && allowedNow(plan, state).phrases.length > 0;
        const after = step(
          plan,
          state,
          sensible ? careful(plan, state) : randomInput(random, plan, state, last),
        );
        records.push(...after.records);
        state = after.state;
        last = after.effects.reduce((n, effect) => (effect.type === 'say' ? effect.utterance : n), last);
      }
      expect([seed, unsafe(plan, records)]).toEqual([seed, []]);
      expect(stateFromRecords(plan, records)).toEqual(state);
    }
  });
});
