/**
 * Records that do not fit change nothing but the count: any log can be replayed, and none moves the job on by a
 * record that belongs elsewhere. And what fitting ones change, where no rule of `rules.test.ts` looks.
 */
import { describe, expect, it } from 'vitest';
import { evolve, type JobState } from '../../../electron/core/job/engine.ts';
import type { JobRecord } from '../../../electron/core/job/model.ts';
import {
  cautionById,
  expectedCount,
  needsCount,
  trayChangeOf,
  waitsFor,
} from '../../../electron/core/job/state.ts';
import type { PlanCaution, PlanFastener } from '../../../electron/core/plan/model.ts';
import { planOf, planStep } from '../../properties/random-plan.ts';
import { Bench } from './bench.ts';

const caution = (id: string): PlanCaution => ({
  id,
  word: 'danger',
  hazard: `Hazard ${id}.`,
  consequence: 'It burns.',
  avoid: 'Wait.',
  symbol: 'hot',
  say: `Danger: ${id}.`,
});
const screws = (compartment: number | null, count: number): PlanFastener => ({
  fastener: `f${compartment}`,
  name: 'screws',
  count,
  thread: 'M3',
  length_mm: 6,
  drive: { kind: 'hex', size: 2 },
  torque_nm: 1,
  compartment,
  place: 'lid',
  order: [],
  passes_nm: [],
});
const PLAN = planOf(
  [
    planStep('out', { action: 'remove-fasteners', fasteners: [screws(1, 4), screws(2, 2)] }),
    planStep('hot', { cautions: [caution('hot'), caution('sharp')] }),
    planStep('code', { record: { id: 'c', name: 'code' } }),
    planStep('count', { action: 'count-tray' }),
    planStep('in', { action: 'install-fasteners', fasteners: [screws(1, 4)] }),
    planStep('tight', { action: 'tighten-fasteners', fasteners: [screws(1, 4), screws(2, 2), screws(9, 1)] }),
  ],
  {
    tray: [1, 2].map((number) => ({
      number,
      fastener: `f${number}`,
      name: 'screws',
      place: 'lid',
      count: 4,
      label: `${number}`,
    })),
    job_cautions: [caution('job')],
  },
);
const START: JobState = { ...new Bench(PLAN).state, pending: [], caution: null };
const at = (index: number, change: Partial<JobState> = {}): JobState => ({
  ...START,
  index,
  frontier: index,
  ...change,
});
const evolved = (state: JobState, ...records: readonly JobRecord[]): JobState =>
  records.reduce((one, record) => evolve(PLAN, one, record), state);
const confirmed = (step: string): JobRecord => ({
  event: 'step.confirmed',
  at_ms: 1,
  step,
  source: 'key',
  confidence: null,
  with_help: false,
});
const undone = (step: string): JobRecord => ({ event: 'step.undone', at_ms: 1, step, source: 'key' });
const without = ({ seq: _seq, at_ms: _at, pressed_at_ms: _pressed, ...rest }: JobState): object => rest;

describe('a record that does not fit', () => {
  it.each<[string, JobState, JobRecord]>([
    ['a step confirmed that is not next', at(2), confirmed('hot')],
    ['a step confirmed that comes later', at(2), confirmed('count')],
    ['a step confirmed that no plan has', at(2), confirmed('nothing')],
    ['a step taken back that is not the last', at(3), undone('hot')],
    ['a step taken back that was not done', at(3), undone('count')],
    ['a step shown that no plan has', at(2), { event: 'step.shown', at_ms: 1, step: 'nothing', visit: 1 }],
    [
      'the end of a caution that is not being read',
      at(1),
      { event: 'caution.read', at_ms: 1, step: 'hot', caution: 'hot', by: 'voice' },
    ],
    [
      'a code signed for at a step that no plan has',
      at(2),
      { event: 'serial.confirmed', at_ms: 1, step: 'nothing', record: 'c', value: 'A', source: 'key' },
    ],
  ])('%s: changes nothing but the count', (_what, state, record) => {
    const next = evolve(PLAN, state, record);
    expect(next.seq).toBe(state.seq + 1);
    expect(next.frontier).toBe(state.frontier);
    expect(next.index).toBe(state.index);
    expect(next.steps).toEqual(state.steps);
    expect(next.out).toEqual(state.out);
    expect(next.caution).toEqual(state.caution);
  });

  it('the end of another caution leaves the one being read as it is', () => {
    const reading = at(1, {
      pending: ['hot', 'sharp'],
      caution: { id: 'hot', utterance: 3, status: 'reading' },
    });
    const read = (id: string): JobRecord => ({
      event: 'caution.read',
      at_ms: 1,
      step: 'hot',
      caution: id,
      by: 'voice',
    });
    const cut = (id: string): JobRecord => ({
      event: 'caution.interrupted',
      at_ms: 1,
      step: 'hot',
      caution: id,
    });
    expect(evolved(reading, read('sharp')).caution?.status).toBe('reading');
    expect(evolved(reading, cut('sharp')).caution?.status).toBe('reading');
    expect(evolved(reading, cut('hot')).caution?.status).toBe('interrupted');
    expect(evolved(reading, read('hot')).caution?.status).toBe('read');
    // What was read to its end stays read, even where the voice is cut off afterwards.
    expect(evolved(reading, read('hot'), cut('hot')).caution?.status).toBe('read');
    const again: JobRecord = { event: 'caution.started', at_ms: 2, step: 'hot', caution: 'hot' };
    expect(evolved(reading, read('hot'), again).caution?.status).toBe('read');
    expect(evolved(reading, again).caution?.status).toBe('reading');
    expect(evolved(reading, read('hot'), { ...again, caution: 'sharp' }).caution?.status).toBe('reading');
  });

  it('time does not run backwards', () => {
    const later = at(2, { at_ms: 500 });
    expect(evolve(PLAN, later, { event: 'listening.stopped', at_ms: 20, source: 'key' }).at_ms).toBe(500);
  });
});

describe('a record that fits', () => {
  it('the step’s sentence is due once the last caution is acknowledged', () => {
    const state = at(1, { pending: ['hot', 'sharp'], caution: { id: 'hot', utterance: 3, status: 'read' } });
    const acknowledged = (id: string): JobRecord => ({
      event: 'caution.acknowledged',
      at_ms: 1,
      step: 'hot',
      caution: id,
      source: 'key',
      confidence: null,
    });
    const one = evolved(state, acknowledged('hot'));
    expect([one.pending, one.caution, one.step_utterance]).toEqual([['sharp'], null, null]);
    const both = evolved(one, acknowledged('sharp'));
    expect([both.pending, both.step_utterance]).toEqual([[], both.seq]);
    expect(both.steps[1]?.acknowledged).toEqual(['hot', 'sharp']);
    expect(evolved(both, acknowledged('hot')).steps[1]?.acknowledged).toEqual(['hot', 'sharp']);
  });

  it('a code is proposed as it was spelled, and counts once it is confirmed', () => {
    const proposed = evolved(at(2), {
      event: 'serial.proposed',
      at_ms: 1,
      step: 'code',
      record: 'c',
      value: 'A7',
      source: 'key',
    });
    expect(proposed.proposal).toEqual({ kind: 'serial', text: 'A7', value: 0, unit: '' });
    expect(proposed.question).toEqual({ kind: 'serial', about: null });
    const counted = evolved(proposed, {
      event: 'serial.confirmed',
      at_ms: 2,
      step: 'code',
      record: 'c',
      value: 'A7',
      source: 'key',
    });
    expect([counted.steps[2]?.serial, counted.proposal, counted.question]).toEqual(['A7', null, null]);
  });

  it('the newest note of an item stands, beside those of others', () => {
    const note = (item: string | null, text: string | null): JobRecord => ({
      event: 'note.taken',
      at_ms: 1,
      step: 'code',
      item,
      text,
      audio: null,
      source: 'key',
    });
    const state = evolved(
      at(2),
      note('cable', 'left'),
      note('pipe', 'up'),
      note('cable', 'right'),
      note(null, 'x'),
      note('pipe', null),
    );
    expect(state.notes).toEqual([
      { item: 'pipe', text: 'up' },
      { item: 'cable', text: 'right' },
    ]);
  });

  it('going back to a step drops the question and the value under way', () => {
    const state = at(2, {
      question: { kind: 'go-back', about: 'out' },
      proposal: { kind: 'serial', text: 'A', value: 0, unit: '' },
    });
    const back = evolved(state, {
      event: 'step.revisited',
      at_ms: 1,
      step: 'out',
      from: 'code',
      source: 'key',
    });
    expect([back.question, back.proposal]).toEqual([null, null]);
    expect(without({ ...back, question: null, proposal: null })).toEqual(
      without({ ...state, question: null, proposal: null }),
    );
  });

  it('no more goes back than is out, and taking a step back restores the tray', () => {
    const out = evolved(at(0), confirmed('out'));
    expect(out.out).toEqual([4, 2]);
    const lost = { ...out, index: 4, frontier: 4, out: [3, 2] };
    const back = evolved(lost, confirmed('in'));
    expect(back.out).toEqual([0, 2]);
    expect(evolved(back, undone('in')).out).toEqual([3, 2]);
    expect(evolved(evolved(at(0), confirmed('out')), undone('out')).out).toEqual([0, 0]);
    const empty = evolved({ ...lost, out: [-1, 2] }, confirmed('in'));
    expect(empty.out).toEqual([-1, 2]);
  });
});

describe('a problem that was settled', () => {
  const plan = planOf([
    planStep('volts', { measure: { id: 'v', name: 'voltage', unit: 'V', min: 1, max: 9 } }),
    planStep('end'),
  ]);
  const settled: JobRecord = {
    event: 'problem.settled',
    at_ms: 3,
    step: 'volts',
    decision: 'go-on',
    source: 'key',
  };
  const reading = (value: number): JobRecord => ({
    event: 'reading.confirmed',
    at_ms: 2,
    step: 'volts',
    measure: 'v',
    value,
    unit: 'V',
    within: value <= 9,
    source: 'key',
  });
  const replayed = (...records: readonly JobRecord[]): JobState =>
    records.reduce((one, record) => evolve(plan, one, record), new Bench(plan).state);

  it('excuses a reading out of limits, and never a reading that is missing', () => {
    expect(waitsFor(plan, replayed(reading(12)))).toBe('reading');
    expect(waitsFor(plan, replayed(reading(12), settled))).toBeNull();
    expect(waitsFor(plan, replayed(settled))).toBe('reading');
    expect(replayed(settled).steps[0]?.excused).toBe(false);
    // A new reading has to be excused anew.
    expect(waitsFor(plan, replayed(reading(12), settled, reading(15)))).toBe('reading');
    expect(waitsFor(plan, replayed(reading(12), { ...settled, decision: 'stop' }))).toBe('reading');
  });
});

describe('the tray', () => {
  const step = (id: string) => PLAN.steps.find((one) => one.id === id) ?? PLAN.steps[0]!;

  it('is changed by taking out, putting back, and by tightening where nothing else puts back', () => {
    expect(trayChangeOf(PLAN, step('out'))).toEqual([
      [0, 4],
      [1, 2],
    ]);
    expect(trayChangeOf(PLAN, step('in'))).toEqual([[0, -4]]);
    expect(trayChangeOf(PLAN, step('tight'))).toEqual([[1, -2]]);
    expect(trayChangeOf(PLAN, step('count'))).toEqual([]);
  });

  it('is counted by trainees after taking out and where the plan asks for it, once', () => {
    const trainee = (index: number, change: Partial<JobState> = {}): boolean =>
      needsCount(PLAN, at(index, { verbosity: 'trainee', ...change }));
    expect([0, 1, 2, 3, 4, 5].map((index) => trainee(index))).toEqual([
      true,
      false,
      false,
      true,
      false,
      false,
    ]);
    expect(needsCount(PLAN, at(0))).toBe(false);
    expect(trainee(0, { frontier: 2 })).toBe(false);
    const counted = START.steps.map((one) => ({ ...one, counted: true }));
    expect(trainee(0, { steps: counted })).toBe(false);
  });

  it('is expected to hold what is out and what this step takes out', () => {
    expect(expectedCount(PLAN, at(0))).toEqual({ index: null, count: 6 });
    expect(expectedCount(PLAN, at(3, { out: [4, 2] }))).toEqual({ index: null, count: 6 });
    expect(expectedCount(PLAN, at(4, { out: [3, 2] }))).toEqual({ index: 0, count: 3 });
    expect(expectedCount(PLAN, at(4, { out: [-1, 2] }))).toEqual({ index: 0, count: 0 });
  });

  it('cautions are found at the step and for the whole job', () => {
    expect(cautionById(PLAN, 1, 'hot')?.id).toBe('hot');
    expect(cautionById(PLAN, 2, 'hot')).toBeUndefined();
    expect(cautionById(PLAN, 2, 'job')?.id).toBe('job');
    expect(cautionById(PLAN, 99, 'job')?.id).toBe('job');
    expect(cautionById(PLAN, 1, 'none')).toBeUndefined();
  });
});

describe('answers', () => {
  it('one sound for one word: "done" takes the place of "heard"', () => {
    const plan = planOf([planStep('one'), planStep('two')]);
    const chimes = (bench: Bench): readonly string[] =>
      bench.effects.flatMap((effect) => (effect.type === 'chime' ? [effect.chime] : []));
    const bench = new Bench(plan).phrase('next');
    expect(chimes(bench)).toEqual(['done']);
    expect(bench.effects[0]).toEqual({ type: 'hush' });
    expect(chimes(bench.phrase('torque'))).toEqual(['heard']);
  });

  it('"no" is recorded as such, and what it means depends on the question', () => {
    const plan = planOf([planStep('one'), planStep('two')]);
    const bench = new Bench(plan).phrase('next').phrase('next');
    expect(bench.state.question?.kind).toBe('tray-empty');
    bench.phrase('no');
    expect(bench.made.find((record) => record.event === 'question.answered')).toMatchObject({
      question: 'tray-empty',
      answer: 'no',
    });
    const tray = bench.said;
    const other = new Bench(plan).phrase('next').phrase('undo').phrase('no');
    expect(other.made.find((record) => record.event === 'question.answered')).toMatchObject({
      question: 'undo',
      answer: 'no',
    });
    expect(other.said).not.toBe(tray);
    expect(other.state.frontier).toBe(1);
  });

  it('the end of a job that was given up is told otherwise than a finished one', () => {
    const plan = planOf([planStep('one')]);
    const done = new Bench(plan).phrase('next').phrase('yes');
    expect(done.state.outcome).toBe('completed');
    const given = new Bench(planOf([planStep('one'), planStep('two')])).phrase('finish').phrase('yes');
    expect(given.state.outcome).toBe('given-up');
    expect(given.said).not.toBe(done.said);
  });

  it('a word is the kind of a problem only where one is asked for', () => {
    const plan = planOf([planStep('one'), planStep('two')]);
    const asked = new Bench(plan).phrase('problem');
    const [kind] = asked.allowed.answers;
    const early = new Bench(plan).give({ type: 'answer', value: kind ?? '', source: 'touch' });
    expect(early.events).toEqual(['phrase.refused']);
    expect(asked.give({ type: 'answer', value: kind ?? '', source: 'touch' }).events).toContain(
      'problem.reported',
    );
    expect(asked.give({ type: 'answer', value: kind ?? '', source: 'touch' }).events).toEqual([
      'phrase.refused',
    ]);
    const stopped = asked.give({ type: 'answer', value: 'stop the job', source: 'touch' });
    expect(stopped.made.find((record) => record.event === 'problem.settled')).toMatchObject({
      decision: 'stop',
    });
  });
});
