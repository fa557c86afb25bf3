/** Questions left to the job: found out by a step, counted in the expected time, too many of them. */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { ENGLISH } from '../../../electron/core/base/language.ts';
import { timesOf } from '../../../electron/core/job/answers.ts';
import { openJob } from '../../../electron/core/job/engine.ts';
import type { Plan, PlanStep } from '../../../electron/core/plan/model.ts';
import { planJob } from '../../../electron/core/plan/plan-job.ts';
import { proofText, provePlan } from '../../../electron/core/plan/proof.ts';
import { expectedSeconds, planAsAnswered } from '../../../electron/core/plan/questions.ts';
import type { Product } from '../../../electron/core/product/model.ts';
import { readProduct } from '../../../electron/core/product/read-product.ts';
import { part, product, step } from './sample-unit.ts';

function planned(unit: Product, replace: string, variants: Readonly<Record<string, string>> = {}): Plan {
  const result = planJob(unit, { replace: [replace], variants });
  if (!result.ok) throw new Error(JSON.stringify(result.error));
  return result.value;
}

function demoUnit(name: string): Product {
  const url = new URL(`../../../procedures/${name}`, import.meta.url);
  const read = readProduct(readFileSync(url, 'utf8'), name).product;
  if (read === undefined) throw new Error(`${name} is not readable`);
  return read;
}

describe('the dosing pump: whether the drain is blocked is found out on the way in', () => {
  const pump = demoUnit('dp-8.yaml');
  const open = planned(pump, 'drain-bracket');

  test('the step that finds it out asks, right before what depends on it', () => {
    const at = open.steps.findIndex((s) => s.asks !== undefined);
    expect(open.steps[at]).toMatchObject({
      id: 'remove.drain-look',
      action: 'inspect',
      say: 'Examine the drain behind the drain bracket for deposits. Is the drain clear or blocked?',
      asks: { variant: 'drain-state', answers: ['clear', 'blocked'] },
    });
    expect(open.steps[at + 1]).toMatchObject({
      id: 'remove.drain-brush',
      when: { variant: 'drain-state', is: 'blocked' },
    });
    expect(open.steps.filter((s) => s.asks !== undefined)).toHaveLength(1);
    expect(provePlan(pump, open)).toEqual([]);
  });

  test('a clear drain is not brushed, a blocked one is; both are the plans made with the answer', () => {
    const without = (steps: readonly PlanStep[]) =>
      steps.map((s) => s.id).filter((id) => !id.includes('ask-'));
    for (const [answer, brushed] of [
      ['clear', false],
      ['blocked', true],
    ] as const) {
      const left = planAsAnswered(open, { 'drain-state': answer });
      expect(left.steps.some((s) => s.id === 'remove.drain-brush')).toBe(brushed);
      const before = planned(pump, 'drain-bracket', { 'drain-state': answer });
      expect(without(left.steps)).toEqual(without(before.steps));
      expect(left.expected_s).toBe(before.expected_s);
      expect(provePlan(pump, before)).toEqual([]);
    }
  });

  test('nothing is asked where another part is replaced', () => {
    expect(planned(pump, 'leak-sensor').steps.some((s) => s.asks !== undefined)).toBe(false);
  });
});

describe('expected time with an open question', () => {
  const seconds = (expected_s: number, is?: string): Pick<PlanStep, 'expected_s' | 'when'> =>
    is === undefined ? { expected_s } : { expected_s, when: { variant: 'q', is } };

  test('the longest answer counts once, not all of them', () => {
    expect(expectedSeconds([seconds(10), seconds(30, 'four'), seconds(20, 'six'), seconds(25, 'six')])).toBe(
      55,
    );
    expect(expectedSeconds([])).toBe(0);
  });

  test('answers to different questions add up', () => {
    expect(
      expectedSeconds([
        seconds(30, 'four'),
        { expected_s: 7, when: { variant: 'other', is: 'yes' } },
        { expected_s: 5, when: { variant: 'other', is: 'no' } },
      ]),
    ).toBe(37);
  });

  test('what is left of a job never grows when the answer is given', () => {
    const supply = demoUnit('bp-60.yaml');
    const open = planned(supply, 'heat-sink');
    const { state } = openJob(open, { technician: 'Technician A', verbosity: 'full' });
    const whole = timesOf(open, state, 0).expected_left_s;
    expect(whole).toBe(Math.round(open.expected_s));
    const answered = ['four', 'six'].map((answer) => {
      const left = planAsAnswered(open, { 'heat-sink-screws': answer });
      return timesOf(left, state, 0).expected_left_s;
    });
    expect(Math.max(...answered)).toBe(whole);
    expect(Math.min(...answered)).toBeLessThan(whole);
  });
});

test('the proof refuses more questions than it can go through', () => {
  const variants = Array.from({ length: 7 }, (_, i) => ({
    id: `q-${i}`,
    ask: `Is number ${i} there?`,
    answers: ['here', 'gone'],
  }));
  const unit = product({
    variants,
    parts: [
      part('lid', 'lid', {
        steps: [
          ...variants.map(({ id }) =>
            step(
              `look-${id}`,
              { kind: 'inspect', what: 'lid' },
              { when: { variant: id, is: 'here' }, way: 'in' },
            ),
          ),
          step('lid-out', { kind: 'lift-out' }),
        ],
      }),
    ],
  });
  const six = planned(unit, 'lid', { 'q-6': 'here' });
  expect(provePlan(unit, six)).toEqual([]);
  expect(six.steps.filter((s) => s.asks !== undefined)).toHaveLength(6);
  const known = six.steps.find((s) => s.asks?.variant === 'q-5');
  const ask = variants[6]?.ask ?? '';
  if (known?.asks === undefined) throw new Error('q-5 is not asked');
  const seventh: PlanStep = {
    ...known,
    id: 'prepare.ask-q-6',
    stage: 'prepare',
    part: null,
    part_name: null,
    say: ask,
    asks: { variant: 'q-6', ask, answers: ['here', 'gone'] },
  };
  const { 'q-6': _given, ...others } = six.variants;
  const seven: Plan = { ...six, variants: others, steps: [seventh, ...six.steps] };
  const violations = provePlan(unit, seven);
  expect(violations[0]).toMatchObject({
    code: 'proof/too-many-questions',
    step: null,
    facts: { ways: 128, limit: 64 },
  });
  expect(violations[0] === undefined ? '' : proofText(violations[0], ENGLISH)).toContain('128');
});
