/** Logs of jobs in which a question about the unit was left to the job: what was to be done depends on the answer. */
import { describe, expect, it } from 'vitest';
import { planOfLog } from '../../../electron/core/log/answered-plan.ts';
import { hashOfJson } from '../../../electron/core/log/canonical-json.ts';
import { encodeBatch, readLog } from '../../../electron/core/log/codec.ts';
import { verifyLog } from '../../../electron/core/log/verify.ts';
import { jobFileOf } from '../../crash/short-plan.ts';
import { planOf, planStep } from '../../properties/random-plan.ts';
import { Bench } from '../job/bench.ts';

const screws = { variant: 'screws', ask: 'Four screws or six?', answers: ['four', 'six'] };
const fan = { variant: 'fan', ask: 'Is there a fan?', answers: ['yes', 'no'] };
const PLAN = planOf([
  planStep('ask-screws', { action: 'ask-variant', asks: screws }),
  planStep('four', { when: { variant: 'screws', is: 'four' } }),
  planStep('six', { when: { variant: 'screws', is: 'six' } }),
  planStep('ask-fan', { action: 'ask-variant', asks: fan }),
  planStep('fan', { when: { variant: 'fan', is: 'yes' } }),
  planStep('last'),
]);

/** The log of a bench, each record a write of its own. */
function logOf(bench: Bench) {
  const jobFile = jobFileOf(PLAN);
  let end = { seq: 0, prev: hashOfJson(jobFile), mono_ms: 0 };
  let text = '';
  for (const record of bench.records) {
    const wall = new Date(1_772_353_800_000 + record.at_ms).toISOString();
    const batch = encodeBatch([record], wall, end);
    if (!batch.ok) throw new Error(batch.error.code);
    text += batch.value.text;
    end = batch.value.end;
  }
  const log = readLog(text);
  return { check: verifyLog(jobFile, log), steps: planOfLog(PLAN, log.lines).steps.map((step) => step.id) };
}
const finished = (bench: Bench): Bench => bench.phrase('finish').phrase('yes');

describe('a job with questions about the unit', () => {
  it('is complete with the steps of its answers alone', () => {
    const { check, steps } = logOf(
      finished(new Bench(PLAN).hear('six').phrase('next').hear('no').phrase('next')),
    );
    expect(check).toMatchObject({ verdict: 'complete', findings: [], steps_done: 4, steps_total: 4 });
    expect(steps).toEqual(['ask-screws', 'six', 'ask-fan', 'last']);
  });

  it('keeps all steps while nothing is answered', () => {
    const { check, steps } = logOf(new Bench(PLAN).phrase('repeat'));
    expect(check).toMatchObject({ verdict: 'unfinished', findings: [], steps_done: 0, steps_total: 6 });
    expect(steps).toEqual(PLAN.steps.map((step) => step.id));
  });

  it('asks anew what was taken back, and keeps the other answer', () => {
    const bench = new Bench(PLAN).hear('six').phrase('next').hear('yes');
    expect(logOf(bench).steps).toEqual(['ask-screws', 'six', 'ask-fan', 'fan', 'last']);
    bench.phrase('undo').phrase('yes');
    expect(logOf(bench).steps).toEqual(['ask-screws', 'six', 'ask-fan', 'fan', 'last']);
    bench.hear('no');
    expect(logOf(bench).steps).toEqual(['ask-screws', 'six', 'ask-fan', 'last']);
    for (let back = 0; back < 3; back += 1) bench.phrase('undo').phrase('yes');
    expect(logOf(bench)).toMatchObject({ steps: PLAN.steps.map((step) => step.id), check: { findings: [] } });
    bench.hear('four').phrase('next').hear('no').phrase('next');
    expect(logOf(finished(bench))).toMatchObject({
      steps: ['ask-screws', 'four', 'ask-fan', 'last'],
      check: { verdict: 'complete', findings: [], steps_total: 4 },
    });
  });

  it('takes no answer to anything else for one about the unit', () => {
    const bench = new Bench(PLAN)
      .phrase('problem')
      .hear('broken part')
      .hear('go on')
      .phrase('finish')
      .phrase('no');
    expect(logOf(bench).steps).toEqual(PLAN.steps.map((step) => step.id));
    const line = (event: string, fields: object) => ({ event, fields }) as never;
    const answered = (...lines: never[]) => planOfLog(PLAN, lines).steps.length;
    expect(answered(line('question.answered', { question: 'variant', answer: 'six' }))).toBe(6);
    expect(
      answered(
        line('question.asked', { question: 'variant', about: 'screws' }),
        line('question.asked', { question: 'give-up' }),
        line('question.answered', { question: 'variant', answer: 'six' }),
      ),
    ).toBe(6);
    expect(
      answered(
        line('question.asked', { question: 'variant', about: 'screws' }),
        line('question.answered', { question: 'note', answer: 'six' }),
      ),
    ).toBe(6);
    expect(
      answered(
        line('question.asked', { question: 'variant', about: 'screws' }),
        line('question.answered', { question: 'variant', answer: 'six' }),
        line('step.undone', { step: 'last' }),
      ),
    ).toBe(5);
  });

  it('is the same plan where nothing is asked', () => {
    const plain = planOf([planStep('one')]);
    expect(planOfLog(plain, [])).toBe(plain);
  });
});
