import { describe, expect, it } from 'vitest';
import { viewOf } from '../../../electron/core/job/view.ts';
import type { PlanCaution, PlanFastener } from '../../../electron/core/plan/model.ts';
import { planOf, planStep } from '../../properties/random-plan.ts';
import { Bench } from './bench.ts';

function caution(id: string, word: PlanCaution['word']): PlanCaution {
  return {
    id,
    word,
    hazard: `Hazard ${id}`,
    consequence: 'It hurts',
    avoid: 'Wait',
    symbol: 'hot',
    say: `${word}: ${id}.`,
  };
}

function screws(compartment: number | null, count: number, given: Partial<PlanFastener> = {}): PlanFastener {
  return {
    fastener: `f${compartment}`,
    name: 'cover screw',
    count,
    thread: 'M4',
    length_mm: 0,
    drive: { kind: 'hex', size: 3 },
    torque_nm: null,
    compartment,
    place: '',
    order: [],
    passes_nm: [],
    ...given,
  };
}

const PLAN = planOf(
  [
    planStep('prepare.off', { stage: 'prepare', optional: true, expected_s: 30 }),
    planStep('remove.cover', {
      action: 'remove-fasteners',
      part_name: 'cover',
      fasteners: [screws(1, 4), screws(2, 1)],
      cautions: [caution('shock', 'danger'), caution('sharp', 'caution')],
      expected_s: 60,
    }),
    planStep('install.cover', {
      stage: 'install',
      action: 'install-fasteners',
      fasteners: [
        screws(1, 4, { torque_nm: 1.2, passes_nm: [0.6, 1.2] }),
        screws(2, 1, { name: 'earth screw', torque_nm: 2 }),
      ],
      expected_s: 90,
    }),
  ],
  {
    product_name: 'test unit',
    tray: [1, 2].map((number) => ({
      number,
      fastener: `f${number}`,
      name: number === 1 ? 'cover screw' : 'earth screw',
      place: 'cover',
      count: number === 1 ? 4 : 1,
      label: `label ${number}`,
    })),
  },
);
const view = (bench: Bench) => viewOf(PLAN, bench.state, bench.now);

describe('the bench screen', () => {
  it('shows the step, where it is, and what state each step is in', () => {
    const bench = new Bench(PLAN).phrase('skip').phrase('yes').passCautions();
    const shown = view(bench);
    expect(shown).toMatchObject({
      product_name: 'test unit',
      step: { id: 'remove.cover' },
      step_number: 2,
      step_total: 3,
      phase: 'step',
      technician: 'Technician A',
      outcome: null,
    });
    expect(shown.steps.map((one) => one.state)).toEqual(['skipped', 'now', 'to-do']);
    expect(view(bench.phrase('next')).steps.map((one) => one.state)).toEqual(['skipped', 'done', 'now']);
  });

  it('shows the caution that waits, how far it is, and that its step is not read before', () => {
    const bench = new Bench(PLAN).phrase('next');
    expect(view(bench)).toMatchObject({
      phase: 'caution',
      prompt: 'danger: shock. Say understood.',
      caution: { id: 'shock', word: 'danger', symbol: 'hot', read: false, index: 0, total: 2 },
    });
    expect(view(bench.spoken()).caution).toMatchObject({ id: 'shock', read: true });
    expect(view(bench.phrase('understood')).caution).toMatchObject({
      id: 'sharp',
      read: false,
      index: 1,
      total: 2,
    });
    expect(view(bench.passCautions()).caution).toBeNull();
  });

  it('shows the question with its answers', () => {
    const bench = new Bench(PLAN).phrase('problem');
    expect(view(bench)).toMatchObject({ phase: 'question', question: { kind: 'problem-kind' } });
    expect(view(bench).question?.answers).toEqual(expect.arrayContaining(['injury', 'no']));
    expect(view(bench.phrase('no')).question).toBeNull();
  });

  it('lights the compartments of the step and shows what is out', () => {
    const bench = new Bench(PLAN).phrase('next').passCautions();
    expect(view(bench).lit_compartments).toEqual([1, 2]);
    expect(view(bench).ledger.map((line) => [line.compartment, line.out, line.total])).toEqual([
      [1, 0, 4],
      [2, 0, 1],
    ]);
    expect(view(bench.phrase('next')).ledger.map((line) => line.out)).toEqual([4, 1]);
  });

  it('counts down the expected time, never below what the other steps take', () => {
    const bench = new Bench(PLAN);
    expect(viewOf(PLAN, bench.state, 0).expected_left_s).toBe(180);
    expect(viewOf(PLAN, bench.state, 10_000).expected_left_s).toBe(170);
    expect(viewOf(PLAN, bench.state, 500_000)).toMatchObject({ expected_left_s: 150, step_ms: 500_000 });
    expect(viewOf(PLAN, bench.state, Number.NaN).step_ms).toBe(0);
  });

  it('shows the last answer until something else is shown', () => {
    const bench = new Bench(PLAN).phrase('which tool');
    expect(view(bench).prompt).toBe('No tool is needed for this step.');
    expect(view(bench.phrase('repeat')).prompt).toBe('Do prepare.off. Say next when it is done.');
  });

  it('shows pause and end', () => {
    const bench = new Bench(PLAN).phrase('pause');
    expect(view(bench)).toMatchObject({ phase: 'paused', prompt: 'Paused. Say resume to go on.' });
    bench.phrase('finish').phrase('yes');
    expect(view(bench)).toMatchObject({
      phase: 'finished',
      outcome: 'given-up',
      prompt: 'The job is given up. Nothing is in the tray.',
      allowed: { phrases: [] },
    });
  });

  it('shows what the step waits for and the value read back', () => {
    const plan = planOf([planStep('one', { measure: { id: 'm', name: 'voltage', unit: 'V', max: 5 } })]);
    const bench = new Bench(plan);
    expect(viewOf(plan, bench.state, 0)).toMatchObject({ waits_for: 'reading', value_proposed: null });
    bench.hear('the reading is minus four');
    expect(viewOf(plan, bench.state, 0).value_proposed).toBe('−4 V');
    bench.phrase('yes');
    expect(viewOf(plan, bench.state, 0)).toMatchObject({ waits_for: null, value_proposed: null });
  });

  it('shows why the last word was refused', () => {
    const bench = new Bench(PLAN).give({ type: 'unheard', reason: 'too-noisy' });
    expect(view(bench)).toMatchObject({
      last_refusal: 'too-noisy',
      refusal_text: 'It is too loud here. Use a key or touch the screen.',
    });
    expect(view(bench.phrase('back'))).toMatchObject({ last_refusal: 'not-possible-now' });
    expect(view(bench.phrase('next'))).toMatchObject({ last_refusal: null, refusal_text: null });
  });
});

describe('answers about several fasteners', () => {
  it('name each of them', () => {
    const bench = new Bench(PLAN).phrase('next').passCautions();
    expect(bench.phrase('screw count').said).toBe(
      '4 cover screws, M4, hex socket 3 mm, compartment 1. 1 cover screw, M4, hex socket 3 mm, compartment 2.',
    );
    bench.phrase('next');
    expect(bench.phrase('torque').said).toBe(
      'Cover screws: the torque is 1.2 N·m. 2 passes: 0.6, 1.2 N·m. Earth screws: the torque is 2 N·m.',
    );
    expect(bench.phrase('where am i').said).toBe(
      'Step 3 of 3, putting together. Out: 4 cover screws in compartment 1, 1 earth screw in compartment 2.',
    );
  });

  it('let a trainee count the whole tray where a step has several compartments', () => {
    const bench = new Bench(PLAN, { verbosity: 'trainee' }).phrase('next').passCautions().phrase('next');
    expect(bench.said).toBe('How many screws are in the tray?');
    expect(bench.hear('five').made).toMatchObject([{ counted: 5, expected: 5, compartment: null }]);
  });

  it('name the part', () => {
    const bench = new Bench(PLAN).phrase('next').passCautions().phrase('where am i');
    expect(bench.said).toBe('Step 2 of 3, taking apart. Part: cover. Nothing is in the tray.');
  });
});
