/** Questions about the unit that are left to the job: asked, answered by voice, taken back, replayed. */
import { describe, expect, it } from 'vitest';
import { stateFromRecords } from '../../../electron/core/job/engine.ts';
import { grammarPhrases } from '../../../electron/core/job/grammar.ts';
import { viewOf } from '../../../electron/core/job/view.ts';
import { planOfLog } from '../../../electron/core/log/answered-plan.ts';
import { recordFromFields } from '../../../electron/core/log/records.ts';
import { planOf, planStep } from '../../properties/random-plan.ts';
import { Bench } from './bench.ts';

const ASKS = { variant: 'screws', ask: 'Does it have four screws or six?', answers: ['four', 'six'] };
const FOUR = { variant: 'screws', is: 'four' };
const SIX = { variant: 'screws', is: 'six' };
const PLAN = planOf([
  planStep('prepare.begin'),
  planStep('remove.ask-screws', { action: 'ask-variant', say: ASKS.ask, asks: ASKS }),
  planStep('remove.four', { when: FOUR }),
  planStep('remove.six', { when: SIX }),
  planStep('remove.off'),
  planStep('install.six', { when: SIX }),
  planStep('install.four', { when: FOUR }),
]);

const shown = (bench: Bench): string => viewOf(PLAN, bench.state, bench.now).step.id;
const asking = (): Bench => new Bench(PLAN).phrase('next');

describe('a question about the unit', () => {
  it('S27: a question about the unit is asked as a step, with its answers in the grammar and on the screen', () => {
    const bench = asking();
    const view = viewOf(PLAN, bench.state, bench.now);
    expect(view).toMatchObject({
      phase: 'question',
      question: { kind: 'variant', text: ASKS.ask, answers: ['four', 'six'] },
      waits_for: null,
    });
    expect(grammarPhrases(view.allowed)).toEqual(expect.arrayContaining(['four', 'six', 'back', 'undo']));
    expect(view.allowed.phrases).not.toContain('next');
  });

  it('goes with the sentence of the step that finds it out', () => {
    const say = `Examine the bracket. ${ASKS.ask}`;
    const plan = planOf([
      planStep('remove.look', { action: 'inspect', say, asks: ASKS }),
      planStep('remove.off'),
    ]);
    const bench = new Bench(plan);
    expect(viewOf(plan, bench.state, bench.now).question?.text).toBe(say);
    expect(bench.effects).toContainEqual(expect.objectContaining({ type: 'say', text: say, kind: 'step' }));
  });

  it('is not passed by "next", by another word or by leaving it out', () => {
    const bench = asking().phrase('next', 'touch');
    expect(bench.made).toMatchObject([{ event: 'phrase.refused', why: 'answer-first' }]);
    expect(bench.effects).toContainEqual(
      expect.objectContaining({ type: 'say', text: `Please answer first. ${ASKS.ask}` }),
    );
    bench.give({ type: 'answer', value: 'five', source: 'voice', confidence: 1 });
    expect(bench.made).toMatchObject([{ event: 'phrase.refused' }]);
    bench.phrase('skip', 'touch');
    expect(bench.made).toMatchObject([{ event: 'phrase.refused', why: 'not-optional' }]);
    expect(shown(bench)).toBe('remove.ask-screws');
  });

  it('takes an answer by voice; the other steps fall away and the count of steps follows', () => {
    const bench = asking().hear('six');
    expect(bench.made.map((r) => r.event)).toEqual([
      'question.asked',
      'question.answered',
      'step.confirmed',
      'step.shown',
    ]);
    expect(bench.made[1]).toMatchObject({ question: 'variant', answer: 'six', source: 'voice' });
    expect(bench.effects).toContainEqual(expect.objectContaining({ type: 'say', text: 'I have: six.' }));
    expect(viewOf(PLAN, bench.state, bench.now)).toMatchObject({
      step: { id: 'remove.six' },
      step_number: 3,
      step_total: 5,
    });
  });

  it('is not answered below the confidence that values need', () => {
    const bench = asking().give({ type: 'answer', value: 'six', source: 'voice', confidence: 0.3 });
    expect(bench.made).toMatchObject([{ event: 'utterance.refused', reason: 'not-sure' }]);
    expect(shown(bench)).toBe('remove.ask-screws');
  });

  it('taking it back asks anew, and the other answer brings the other steps', () => {
    const bench = asking().hear('six').phrase('undo').phrase('yes');
    expect(shown(bench)).toBe('remove.ask-screws');
    expect(viewOf(PLAN, bench.state, bench.now).step_total).toBe(7);
    bench.hear('four');
    expect(shown(bench)).toBe('remove.four');
  });

  it('waits through a pause, a problem and a hand-over', () => {
    const bench = asking().phrase('pause');
    expect(viewOf(PLAN, bench.state, bench.now).question).toBeNull();
    bench.phrase('resume');
    expect(bench.effects).toContainEqual(
      expect.objectContaining({ type: 'say', text: `We go on. ${ASKS.ask}` }),
    );
    bench.phrase('problem').hear('broken part').hear('go on');
    bench.give({ type: 'hand-over', person: 'Technician B', source: 'touch' });
    bench.hear('four');
    expect(shown(bench)).toBe('remove.four');
  });

  it('yes and no can be the answers', () => {
    const asks = { variant: 'fan', ask: 'Is there a fan?', answers: ['yes', 'no'] };
    const plan = planOf([
      planStep('remove.ask-fan', { action: 'ask-variant', say: asks.ask, asks }),
      planStep('remove.fan', { when: { variant: 'fan', is: 'yes' } }),
      planStep('remove.off'),
    ]);
    const shownAfter = (word: string): string => {
      const bench = new Bench(plan).hear(word);
      return viewOf(plan, bench.state, bench.now).step.id;
    };
    expect([shownAfter('yes'), shownAfter('no')]).toEqual(['remove.fan', 'remove.off']);
  });

  it('the records alone rebuild the state at every moment, and the log keeps to its table', () => {
    const bench = asking()
      .hear('six')
      .phrase('undo')
      .phrase('yes')
      .hear('four')
      .phrase('next')
      .phrase('next');
    bench.phrase('next').phrase('finish').phrase('yes');
    expect(bench.state.outcome).toBe('completed');
    expect(stateFromRecords(PLAN, bench.records)).toEqual(bench.state);
    for (let n = 0; n <= bench.records.length; n += 1) {
      const state = stateFromRecords(PLAN, bench.records.slice(0, n));
      expect(state.steps.length).toBe(Object.keys(state.variants).length === 0 ? 7 : 5);
    }
    const lines = bench.records.map(({ event, at_ms, ...fields }) => ({ event, at_ms, fields }));
    for (const { event, at_ms, fields } of lines)
      expect(recordFromFields(event, at_ms, fields)).toMatchObject({ ok: true });
    expect(planOfLog(PLAN, lines as Parameters<typeof planOfLog>[1]).steps.map((s) => s.id)).toEqual([
      'prepare.begin',
      'remove.ask-screws',
      'remove.four',
      'remove.off',
      'install.four',
    ]);
  });
});
