/**
 * Exact lists for every moment of a job: what may be said, why the rest is refused, what records do to the state.
 * The rules are in `rules.test.ts`; these tables hold what the rules leave open, and were written against changes
 * of the engine that no other test noticed.
 */
import { describe, expect, it } from 'vitest';
import { allowedByVoice, allowedNow, isAllowed } from '../../../electron/core/job/allowed.ts';
import { timesOf, whyNotNow } from '../../../electron/core/job/answers.ts';
import { decide, evolve, initialState, type JobState, openJob } from '../../../electron/core/job/engine.ts';
import type { JobRecord, PhraseId } from '../../../electron/core/job/model.ts';
import { viewOf } from '../../../electron/core/job/view.ts';
import type { PlanCaution, PlanFastener } from '../../../electron/core/plan/model.ts';
import { planOf, planStep } from '../../properties/random-plan.ts';
import { Bench } from './bench.ts';

const HOT: PlanCaution = {
  id: 'hot',
  word: 'danger',
  hazard: 'It is hot.',
  consequence: 'It burns.',
  avoid: 'Wait.',
  symbol: 'hot',
  say: 'Danger: it is hot. It burns. Wait.',
};
const SCREWS: PlanFastener = {
  fastener: 'screw',
  name: 'screws',
  count: 2,
  thread: 'M3',
  length_mm: 6,
  drive: { kind: 'hex', size: 2 },
  torque_nm: null,
  compartment: 1,
  place: 'lid',
  order: [],
  passes_nm: [],
};
const PLAN = planOf(
  [
    planStep('first', { optional: true }),
    planStep('hot', { cautions: [HOT] }),
    planStep('volts', { measure: { id: 'v', name: 'voltage', unit: 'V', min: 1, max: 9 } }),
    planStep('code', { record: { id: 'c', name: 'code', min_length: 2, max_length: 4 } }),
    planStep('screws', { action: 'remove-fasteners', fasteners: [SCREWS] }),
    planStep('held', { hold: 'A second person looks.' }),
    planStep('back', { action: 'install-fasteners', fasteners: [SCREWS] }),
  ],
  { tray: [{ number: 1, fastener: 'screw', name: 'screws', place: 'lid', count: 2, label: 'screws' }] },
);
const START = new Bench(PLAN).state;
const at = (index: number, change: Partial<JobState> = {}): JobState => ({
  ...START,
  index,
  frontier: index,
  ...change,
});
const question = (
  kind: NonNullable<JobState['question']>['kind'],
  change: Partial<JobState> = {},
): JobState => at(2, { question: { kind, about: null }, ...change });

const LOOK: readonly PhraseId[] = [
  'repeat',
  'slower',
  'screw count',
  'which tool',
  'torque',
  'caution',
  'why',
];
const ALWAYS: readonly PhraseId[] = ['where am i', 'how long', 'pause', 'problem', 'note'];
const END: readonly PhraseId[] = ['finish', 'stop', 'what can i say', 'stop listening'];
const ASKED: readonly PhraseId[] = [
  'repeat',
  'slower',
  'where am i',
  'stop',
  'what can i say',
  'stop listening',
  'pause',
];
const VALUE = { kind: 'reading', text: '5', value: 5, unit: 'V' } as const;

describe('what may be said', () => {
  const nothing = { phrases: [], number: 'none', spelling: false, answers: [] };

  it.each<[string, JobState]>([
    ['before the job is open', initialState(PLAN)],
    ['after the program was left', at(2, { left: true })],
    ['after the end', at(2, { outcome: 'given-up' })],
  ])('nothing %s', (_when, state) => {
    expect(allowedNow(PLAN, state)).toEqual(nothing);
  });

  it.each<[string, JobState, readonly PhraseId[]]>([
    ['at the first step, optional', at(0), ['next', ...LOOK, ...ALWAYS, 'skip', ...END]],
    ['at a later one', at(4), ['next', 'back', ...LOOK, ...ALWAYS, 'undo', ...END]],
    ['at a reading', at(2), ['back', ...LOOK, ...ALWAYS, 'reading', 'undo', ...END]],
    ['at a code', at(3), ['back', ...LOOK, ...ALWAYS, 'serial', 'undo', ...END]],
    ['at a sign-off', at(5), ['back', ...LOOK, ...ALWAYS, 'undo', ...END]],
    [
      'at a reading visited again',
      at(2, { frontier: 4 }),
      ['next', 'back', ...LOOK, ...ALWAYS, 'undo', ...END],
    ],
    ['at a code visited again', at(3, { frontier: 4 }), ['next', 'back', ...LOOK, ...ALWAYS, 'undo', ...END]],
    ['at the first step visited again', at(0, { frontier: 4 }), ['next', ...LOOK, ...ALWAYS, 'undo', ...END]],
    [
      'at the last step when all is done',
      at(6, { frontier: 7 }),
      ['back', ...LOOK, ...ALWAYS, 'undo', ...END],
    ],
    [
      'at an earlier step when all is done',
      at(3, { frontier: 7 }),
      ['next', 'back', ...LOOK, ...ALWAYS, 'undo', ...END],
    ],
    ['while paused', at(2, { paused_since_ms: 5 }), ['resume', 'where am i', ...END]],
    [
      'before a caution is acknowledged',
      at(1, { pending: ['hot'] }),
      [
        'understood',
        'repeat',
        'slower',
        'caution',
        'back',
        'where am i',
        'how long',
        'pause',
        'problem',
        ...END,
      ],
    ],
    [
      'before a caution of the first step',
      at(0, { pending: ['hot'] }),
      ['understood', 'repeat', 'slower', 'caution', 'where am i', 'how long', 'pause', 'problem', ...END],
    ],
  ])('%s', (_when, state, expected) => {
    const allowed = allowedNow(PLAN, state);
    expect([...allowed.phrases].sort()).toEqual([...expected].sort());
    const open =
      state.frontier === state.index && state.pending.length === 0 && state.paused_since_ms === null;
    expect(allowed).toMatchObject({
      number: open && state.index === 2 ? 'reading' : 'none',
      spelling: open && state.index === 3,
      answers: [],
    });
    for (const phrase of allowed.phrases) expect(isAllowed(PLAN, state, phrase)).toBe(true);
    expect(isAllowed(PLAN, state, 'yes')).toBe(false);
  });

  it.each<[string, JobState, readonly PhraseId[], object]>([
    ['the kind of a problem', question('problem-kind'), ['no', ...ASKED], { number: 'none' }],
    [
      'what to do about a problem',
      question('problem-decision', { problem_noted: true }),
      ASKED,
      { number: 'none' },
    ],
    ['the compartment of a find', question('fastener-compartment'), ['no', ...ASKED], { number: 'bare' }],
    ['a count', question('count'), ['no', 'problem', ...ASKED], { number: 'bare', answers: [] }],
    [
      'a reading',
      question('reading'),
      ['yes', 'no', 'problem', ...ASKED],
      { number: 'reading', spelling: false },
    ],
    ['a code', question('serial'), ['yes', 'no', 'problem', ...ASKED], { number: 'none', spelling: true }],
    [
      'whether to give up',
      question('give-up'),
      ['yes', 'no', 'problem', ...ASKED],
      { number: 'none', spelling: false },
    ],
    [
      'whether to give up while paused',
      question('give-up', { paused_since_ms: 5 }),
      ['yes', 'no', ...ASKED.filter((phrase) => phrase !== 'pause')],
      { number: 'none' },
    ],
  ])('when asked for %s', (_what, state, expected, rest) => {
    const allowed = allowedNow(PLAN, state);
    expect([...allowed.phrases].sort()).toEqual([...expected].sort());
    expect(allowed).toMatchObject(rest);
  });

  it('the value to be confirmed is named while it is asked for, and only then', () => {
    expect(allowedNow(PLAN, question('reading', { proposal: VALUE })).proposed).toBe('5');
    expect(
      allowedNow(PLAN, question('serial', { proposal: { ...VALUE, kind: 'serial', text: 'A7' } })).proposed,
    ).toBe('A7');
    expect('proposed' in allowedNow(PLAN, question('reading'))).toBe(false);
    expect('proposed' in allowedNow(PLAN, question('serial'))).toBe(false);
  });

  it('of all this the ear gets one phrase while it is told not to listen', () => {
    const state = at(2, { listening: false });
    const allowed = allowedNow(PLAN, state);
    expect(allowed.phrases).toContain('start listening');
    expect(allowed.phrases).not.toContain('stop listening');
    expect(allowedByVoice(allowed, false)).toEqual({ ...nothing, phrases: ['start listening'] });
    expect(allowedByVoice(allowed, true)).toBe(allowed);
  });
});

describe('why something is refused', () => {
  it.each<[PhraseId | null, JobState, string]>([
    ['next', at(2, { paused_since_ms: 1 }), 'paused'],
    ['next', question('count', { paused_since_ms: 1 }), 'answer-first'],
    ['next', question('count'), 'answer-first'],
    ['next', at(1, { pending: ['hot'] }), 'caution-first'],
    [null, at(1, { pending: ['hot'] }), 'caution-first'],
    ['yes', at(1, { pending: ['hot'] }), 'no-question'],
    ['no', at(1, { pending: ['hot'] }), 'no-question'],
    ['yes', at(4), 'no-question'],
    ['no', at(4), 'no-question'],
    ['understood', at(4), 'no-caution'],
    ['back', at(0), 'first-step'],
    ['undo', at(0), 'nothing-to-undo'],
    ['skip', at(4), 'not-optional'],
    ['resume', at(4), 'not-paused'],
    ['reading', at(4), 'no-reading-here'],
    ['serial', at(4), 'no-serial-here'],
    ['start listening', at(4), 'already-listening'],
    ['stop listening', at(4, { listening: false }), 'not-listening'],
    ['next', at(6, { frontier: 7 }), 'at-end'],
    ['next', at(3, { frontier: 7 }), 'not-now'],
    ['next', at(3, { frontier: 5 }), 'not-now'],
    ['next', at(2), 'reading-first'],
    ['next', at(3), 'serial-first'],
    ['next', at(5), 'sign-off-first'],
  ])('%s: case %#', (phrase, state, why) => {
    expect(whyNotNow(PLAN, state, phrase)).toBe(why);
  });
});

describe('what records do to the state', () => {
  const opened = START;
  const replayed = (state: JobState, ...records: readonly JobRecord[]): JobState =>
    records.reduce((one, record) => evolve(PLAN, one, record), state);

  it('before the first one nothing is known, out or open', () => {
    expect(initialState(PLAN)).toMatchObject({
      seq: 0,
      opened: false,
      technician: '',
      verbosity: 'full',
      pending: [],
      returning: false,
      out: [0],
      notes: [],
      troubles: [],
    });
    expect(() => initialState({ ...PLAN, steps: [] })).toThrow('at least one step');
  });

  it('a job opened with nothing but a name has no more in its first record', () => {
    const [first] = openJob(PLAN, { technician: 'Technician A' }).records;
    expect(first).toEqual({
      event: 'job.opened',
      at_ms: 0,
      technician: 'Technician A',
      unit_serial: null,
      work_order: null,
      reported_fault: null,
      verbosity: 'full',
    });
    const given = {
      unitSerial: 'U1',
      workOrder: 'W1',
      reportedFault: 'leaks',
      verbosity: 'short',
      atMs: 40,
    } as const;
    expect(openJob(PLAN, { technician: 'Technician A', ...given }).records[0]).toMatchObject({
      at_ms: 40,
      unit_serial: 'U1',
      work_order: 'W1',
      reported_fault: 'leaks',
      verbosity: 'short',
    });
  });

  it('a trouble stands once, and goes alone', () => {
    const began = (code: 'no-voice' | 'no-microphone'): JobRecord => ({
      event: 'trouble.began',
      at_ms: 1,
      code,
    });
    const both = replayed(opened, began('no-voice'), began('no-microphone'), began('no-voice'));
    expect(both.troubles).toEqual(['no-microphone', 'no-voice']);
    expect(replayed(both, { event: 'trouble.ended', at_ms: 2, code: 'no-voice' }).troubles).toEqual([
      'no-microphone',
    ]);
    expect(replayed(both, { event: 'trouble.ended', at_ms: 2, code: 'model-missing' }).troubles).toEqual(
      both.troubles,
    );
    expect(replayed(both, { event: 'job.reopened', at_ms: 3, away_ms: 5 }).troubles).toEqual([]);
  });

  it('only refusals and the end of a sentence leave the last refusal standing', () => {
    const refused: JobState = { ...opened, refusal: { reason: 'not-possible-now', why: 'paused' } };
    const kept = (record: JobRecord): boolean => replayed(refused, record).refusal !== null;
    expect(kept({ event: 'step.read', at_ms: 1, step: 'first', outcome: 'completed' })).toBe(true);
    expect(kept({ event: 'listening.stopped', at_ms: 1, source: 'key' })).toBe(false);
    expect(
      kept({
        event: 'step.confirmed',
        at_ms: 1,
        step: 'first',
        source: 'key',
        confidence: null,
        with_help: false,
      }),
    ).toBe(false);
    const bench = new Bench(PLAN).phrase('resume', 'touch');
    expect(bench.state.refusal).not.toBeNull();
    expect(bench.give({ type: 'unheard', reason: 'too-quiet' }).state.refusal?.reason).toBe('too-quiet');
    expect(bench.phrase('undo', 'touch').state.refusal?.why).toBe('nothing-to-undo');
  });

  it('a colleague has acknowledged nothing; at the very end no caution comes again', () => {
    const known = START.steps.map((step, i) => (i === 1 ? { ...step, acknowledged: ['hot'] } : step));
    const handed = (state: JobState): JobState =>
      replayed(state, {
        event: 'job.handed-over',
        at_ms: 9,
        from: 'Technician A',
        to: 'Technician B',
        source: 'touch',
      });
    const middle = handed(at(1, { steps: known, frontier: 3 }));
    expect(middle.technician).toBe('Technician B');
    expect(middle.pending).toEqual(['hot']);
    expect(middle.steps[1]?.acknowledged).toEqual([]);
    expect(middle.steps[0]).toBe(known[0]);
    const withJob = { ...PLAN, job_cautions: [HOT] };
    const ended = evolve(withJob, at(6, { frontier: 7 }), {
      event: 'job.handed-over',
      at_ms: 9,
      from: 'Technician A',
      to: 'Technician B',
      source: 'touch',
    });
    expect(ended.pending).toEqual([]);
    expect(handed(at(1, { frontier: 7 })).pending).toEqual(['hot']);
  });

  it('a job left while paused stays paused, and its time away is no pause', () => {
    const paused = replayed(opened, { event: 'job.paused', at_ms: 100, source: 'key' });
    const left = replayed(paused, { event: 'job.left', at_ms: 150 });
    expect([left.left, left.paused_ms, left.paused_since_ms]).toEqual([true, 50, 150]);
    const again = replayed(left, { event: 'job.reopened', at_ms: 900, away_ms: 750 });
    expect([again.left, again.paused_ms, again.paused_since_ms, again.active_since_ms]).toEqual([
      false,
      50,
      900,
      null,
    ]);
    const running = replayed(
      opened,
      { event: 'job.left', at_ms: 150 },
      {
        event: 'job.reopened',
        at_ms: 900,
        away_ms: 750,
      },
    );
    expect([running.active_ms, running.active_since_ms, running.paused_since_ms]).toEqual([150, 900, null]);
  });
});

describe('inputs after the end, or while the program is left', () => {
  it('do nothing; leaving a finished job closes it', () => {
    const phrase = { type: 'phrase', atMs: 5, phrase: 'next', source: 'touch' } as const;
    const over = at(2, { outcome: 'completed' });
    expect(decide(PLAN, over, phrase)).toEqual({ records: [], effects: [] });
    expect(decide(PLAN, over, { type: 'left', atMs: 5 })).toEqual({
      records: [],
      effects: [{ type: 'closed' }],
    });
    expect(decide(PLAN, initialState(PLAN), { type: 'left', atMs: 5 })).toEqual({ records: [], effects: [] });
    expect(decide(PLAN, at(2, { left: true }), phrase)).toEqual({ records: [], effects: [] });
  });

  it('S7 a code or a number that is not sure is asked for again', () => {
    const code = new Bench(PLAN);
    code.state = at(3);
    code.give({ type: 'serial', value: 'AB1', source: 'voice', confidence: 0.1 });
    expect(code.events).toEqual(['utterance.refused']);
    code.give({ type: 'serial', value: 'AB1', source: 'voice', confidence: 1 });
    expect(code.events).toContain('serial.proposed');
    const number = new Bench(PLAN);
    number.state = question('fastener-compartment');
    number.give({ type: 'number', value: 1, source: 'voice', confidence: 0.1 });
    expect(number.events).toEqual(['utterance.refused']);
    expect(number.state.question?.kind).toBe('fastener-compartment');
  });

  it('S12 while not listening no word of the ear counts, whatever kind it is', () => {
    const bench = new Bench(PLAN);
    bench.state = at(2, { listening: false });
    bench.give({ type: 'reading', value: 5, source: 'voice', confidence: 1 });
    expect(bench.events).toEqual([]);
    bench.give({ type: 'unheard', reason: 'unknown-words' });
    expect(bench.events).toEqual([]);
    expect(bench.phrase('next').events).toEqual([]);
    expect(bench.phrase('start listening').events).toEqual(['listening.started']);
  });
});

describe('the view', () => {
  it('says which steps were reached, and which is now until the end', () => {
    const states = viewOf(PLAN, at(1, { frontier: 3 }), 0).steps;
    expect(states.map((step) => step.reached)).toEqual([true, true, true, true, false, false, false]);
    expect(states.map((step) => step.state).indexOf('now')).toBe(1);
    const over = viewOf(PLAN, at(1, { frontier: 3, outcome: 'given-up' }), 0);
    expect(over.steps.map((step) => step.state)).not.toContain('now');
    expect(over.phase).toBe('finished');
  });

  it('prompts what is to be done: the end, a question, help, or the step', () => {
    const prompt = (state: JobState): string => viewOf(PLAN, state, 0).prompt;
    expect(prompt(at(6, { frontier: 7, outcome: 'completed' }))).not.toBe(
      prompt(at(6, { outcome: 'given-up' })),
    );
    expect(prompt(question('give-up'))).not.toBe(prompt(at(2)));
    expect(prompt(at(4, { last_help: 'torque' }))).not.toBe(prompt(at(4)));
    expect(prompt(at(6, { frontier: 7 }))).not.toBe(prompt(at(6)));
    expect(prompt(at(3, { frontier: 7 }))).toBe('Do code.');
    expect(prompt(at(6))).toBe('Do back.');
  });

  it('offers yes and no only where they are answers', () => {
    expect(viewOf(PLAN, question('give-up'), 0).question?.answers).toEqual(['yes', 'no']);
    expect(viewOf(PLAN, question('count'), 0).question?.answers).toEqual(['no']);
    expect(
      viewOf(PLAN, question('problem-decision', { problem_noted: true }), 0).question?.answers,
    ).not.toContain('yes');
  });

  it('counts the running time of the step, none while paused, away or without a clock', () => {
    const running = at(2, { at_ms: 1000, active_since_ms: 400, active_ms: 50 });
    expect(timesOf(PLAN, running, 2000)).toMatchObject({ step_ms: 1600, active_ms: 1650, paused_ms: 0 });
    expect(timesOf(PLAN, running, 10).step_ms).toBe(600);
    expect(timesOf(PLAN, running, Number.NaN).step_ms).toBe(600);
    expect(timesOf(PLAN, { ...running, left: true }, 2000)).toMatchObject({ step_ms: 0, active_ms: 50 });
    const paused = at(2, { at_ms: 1000, active_since_ms: null, paused_since_ms: 700, paused_ms: 30 });
    expect(timesOf(PLAN, paused, 2000)).toMatchObject({ step_ms: 0, paused_ms: 1330 });
    expect(timesOf(PLAN, { ...paused, left: true }, 2000).paused_ms).toBe(30);
  });

  it('expects of the open step what is left of it, of later ones all, of none less than nothing', () => {
    const plan = planOf([10, 20, 30].map((expected_s, i) => planStep(`s${i}`, { expected_s })));
    const state: JobState = { ...new Bench(plan).state, at_ms: 0, active_since_ms: 0 };
    expect(timesOf(plan, state, 4000).expected_left_s).toBe(56);
    expect(timesOf(plan, state, 60_000).expected_left_s).toBe(50);
    expect(timesOf(plan, { ...state, index: 0, frontier: 2 }, 4000).expected_left_s).toBe(30);
    expect(timesOf(plan, { ...state, index: 2, frontier: 3 }, 4000).expected_left_s).toBe(0);
  });
});
