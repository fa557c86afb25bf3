/**
 * What the bench says and sounds at each moment: the kind of each sentence (the mouth and the screen go by it), the
 * chimes, and the moments at which nothing more is said. Written against changes of the engine that no other test
 * noticed.
 */
import { describe, expect, it } from 'vitest';
import { personName } from '../../../electron/core/job/people.ts';
import { answerWords, ENGLISH, fill } from '../../../electron/core/job/prompts.ts';
import { viewOf } from '../../../electron/core/job/view.ts';
import type { PlanCaution, PlanFastener } from '../../../electron/core/plan/model.ts';
import { unsafe } from '../../properties/job-safety.ts';
import { planOf, planStep } from '../../properties/random-plan.ts';
import { Bench } from './bench.ts';

const HOT: PlanCaution = {
  id: 'hot',
  word: 'danger',
  hazard: 'It is hot.',
  consequence: 'It burns.',
  avoid: 'Wait.',
  symbol: 'hot',
  say: 'Danger: it is hot.',
};
const screws = (compartment: number | null, place = 'lid'): PlanFastener => ({
  fastener: 'screw',
  name: 'lid screws',
  count: 2,
  thread: 'M3',
  length_mm: 6,
  drive: { kind: 'hex', size: 2 },
  torque_nm: null,
  compartment,
  place,
  order: [],
  passes_nm: [],
});
const TRAY = [1, 2, 3].map((number) => ({
  number,
  fastener: `screw ${number}`,
  name: 'screws',
  place: 'lid',
  count: 2,
  label: 'screws',
}));
const PLAN = planOf(
  [
    planStep('first', { optional: true }),
    planStep('hot', { cautions: [HOT] }),
    planStep('volts', { measure: { id: 'v', name: 'voltage', unit: 'V', min: 1, max: 9 } }),
    planStep('code', { record: { id: 'c', name: 'code', min_length: 2, max_length: 4 } }),
    planStep('screws', { action: 'remove-fasteners', fasteners: [screws(3)] }),
    planStep('loose', { action: 'remove-fasteners', fasteners: [screws(null, '')] }),
    planStep('held', { hold: 'A second person looks.' }),
  ],
  { tray: TRAY },
);

/** Chimes, sayings and the rest of what the last input brought about, in their order. */
const heard = (bench: Bench): readonly string[] =>
  bench.effects.map((effect) => {
    if (effect.type === 'say') return `say ${effect.kind}`;
    return effect.type === 'chime' ? `chime ${effect.chime}` : effect.type;
  });

/** A bench at a step; everything before it is done. */
function benchAt(step: string): Bench {
  const bench = new Bench(PLAN);
  for (let turn = 0; bench.at !== step && turn < 40; turn += 1) {
    bench.passCautions();
    if (bench.at === 'volts') bench.give({ type: 'reading', value: 5, source: 'key' }).phrase('yes');
    if (bench.at === 'code') bench.give({ type: 'serial', value: 'A7', source: 'key' }).phrase('yes');
    bench.phrase('next', 'key');
  }
  return bench;
}

describe('what is heard of each input', () => {
  it.each<[string, () => Bench, readonly string[]]>([
    [
      'a confirmed step',
      () => benchAt('first').phrase('next'),
      ['hush', 'chime done', 'chime caution', 'say caution'],
    ],
    ['a step without caution', () => benchAt('hot').passCautions(), ['hush', 'chime heard', 'say step']],
    ['an answer told', () => benchAt('volts').phrase('which tool'), ['hush', 'chime heard', 'say answer']],
    ['a question', () => benchAt('volts').phrase('problem'), ['hush', 'chime heard', 'say question']],
    [
      'a question asked again',
      () => benchAt('volts').phrase('problem').phrase('repeat'),
      ['hush', 'chime heard', 'say question'],
    ],
    ['a step said again', () => benchAt('volts').phrase('repeat'), ['hush', 'chime heard', 'say step']],
    ['a refusal', () => benchAt('volts').phrase('next'), ['hush', 'chime refused', 'say refusal']],
    [
      'a word that was not sure',
      () => benchAt('volts').phrase('repeat', 'voice', 0.1),
      ['hush', 'chime refused', 'say refusal'],
    ],
    [
      'what the ear could not make out',
      () => benchAt('volts').spoken().give({ type: 'unheard', reason: 'too-quiet' }),
      ['hush', 'chime refused', 'say refusal'],
    ],
    [
      'talk of others',
      () => benchAt('volts').spoken().give({ type: 'unheard', reason: 'unknown-words' }),
      [],
    ],
    [
      'a reading',
      () => benchAt('volts').give({ type: 'reading', value: 5, source: 'key' }),
      ['hush', 'say question'],
    ],
    [
      'a code',
      () => benchAt('code').give({ type: 'serial', value: 'A7', source: 'key' }),
      ['hush', 'say question'],
    ],
    [
      'a note typed',
      () => benchAt('volts').give({ type: 'text', value: 'scratched', source: 'key' }),
      ['hush', 'chime heard', 'say answer'],
    ],
    [
      'an empty note',
      () => benchAt('volts').give({ type: 'text', value: ' ', source: 'key' }),
      ['hush', 'chime refused', 'say refusal'],
    ],
    [
      'a sign-off',
      () => benchAt('held').give({ type: 'sign-off', person: 'Technician B', source: 'touch' }),
      ['hush', 'chime done', 'say answer'],
    ],
    [
      'a hand-over',
      () => benchAt('volts').give({ type: 'hand-over', person: 'Technician B', source: 'touch' }),
      ['hush', 'say answer'],
    ],
    ['a pause', () => benchAt('volts').phrase('pause'), ['hush', 'chime heard', 'say answer']],
    [
      'a long pause',
      () => benchAt('volts').phrase('pause').give({ type: 'tick' }, 600_000),
      ['hush', 'say answer'],
    ],
    [
      'going on',
      () => benchAt('volts').phrase('pause').phrase('resume'),
      ['hush', 'chime heard', 'say step'],
    ],
    [
      'a trouble',
      () => benchAt('volts').give({ type: 'trouble', code: 'disk-full', over: false }),
      ['say trouble'],
    ],
    [
      'its end',
      () =>
        benchAt('volts')
          .give({ type: 'trouble', code: 'disk-full', over: false })
          .give({ type: 'trouble', code: 'disk-full', over: true }),
      ['say trouble'],
    ],
    [
      'a second press',
      () =>
        benchAt('hot')
          .spoken()
          .phrase('understood', 'touch')
          .give({ type: 'phrase', phrase: 'next', source: 'touch' }, 100),
      [],
    ],
    [
      'the invitation to speak a note',
      () => benchAt('volts').phrase('note').phrase('yes'),
      ['hush', 'chime heard', 'say question'],
    ],
    [
      'its beginning',
      () => benchAt('volts').phrase('note').phrase('yes').spoken(),
      ['chime heard', 'record-note'],
    ],
    [
      'its end by "stop"',
      () => benchAt('volts').phrase('note').phrase('yes').spoken().phrase('stop'),
      ['record-note'],
    ],
    ['"stop" before it began', () => benchAt('volts').phrase('note').phrase('yes').phrase('stop'), ['hush']],
    [
      'a note kept',
      () =>
        benchAt('volts')
          .phrase('note')
          .phrase('yes')
          .spoken()
          .give({ type: 'note-recorded', audio: 'note-1.wav', sha256: 'a'.repeat(64), lengthMs: 900 }),
      ['hush', 'chime done', 'say answer'],
    ],
    [
      'a note thrown away',
      () => benchAt('volts').phrase('note').phrase('yes').spoken().phrase('undo'),
      ['hush', 'chime heard', 'record-note', 'say answer'],
    ],
    [
      'the end',
      () => benchAt('volts').phrase('finish').phrase('yes'),
      ['hush', 'chime done', 'say answer', 'closed'],
    ],
    ['leaving', () => benchAt('volts').give({ type: 'left' }), ['hush', 'closed']],
  ])('%s', (_what, bench, expected) => {
    expect(heard(bench())).toEqual(expected);
  });
});

describe('nothing more is said or asked', () => {
  it('by a note while the job is paused, not even of a caution that waits', () => {
    const bench = benchAt('hot').phrase('pause').give({ type: 'text', value: 'scratched', source: 'key' });
    expect(bench.events).toEqual(['note.taken']);
    expect(bench.phrase('resume').events).toEqual(['job.resumed', 'caution.started']);
  });

  it('by a note while a question is open: the question stays as it was', () => {
    const bench = benchAt('volts').phrase('problem').hear('broken part');
    expect(bench.state.question?.kind).toBe('problem-decision');
    expect(bench.give({ type: 'text', value: 'cracked', source: 'key' }).events).toEqual(['note.taken']);
    expect(bench.state.question?.kind).toBe('problem-decision');
  });

  it('by the end of a sentence that belongs to nothing', () => {
    const bench = benchAt('volts');
    expect(bench.give({ type: 'spoken', utterance: 1, outcome: 'completed' }).events).toEqual([]);
    expect(bench.spoken().events).toEqual(['step.read']);
    expect(bench.spoken().events).toEqual([]);
  });
});

describe('answers that are told', () => {
  it('name no compartment and no place where a fastener has none', () => {
    expect(benchAt('loose').phrase('screw count').said).toBe('2 lid screws, M3 by 6 mm, hex socket 2 mm.');
    expect(benchAt('screws').phrase('screw count').said).toBe(
      '2 lid screws, M3 by 6 mm, hex socket 2 mm, lid, compartment 3.',
    );
  });

  it('say how long a code must be, whichever way it is wrong', () => {
    const bench = benchAt('code').give({ type: 'serial', value: 'A', source: 'key' });
    expect(bench.said).toBe('That is too short. It has at least 2 characters. Spell it again.');
    expect(bench.give({ type: 'serial', value: 'ABCDE', source: 'key' }).said).toBe(
      'That is too long. It has at most 4 characters. Spell it again.',
    );
  });

  it('say answers in the words of the language, others as they are', () => {
    expect(answerWords(ENGLISH, 'does not fit')).toBe('does not fit');
    expect(answerWords(ENGLISH, 'go on')).toBe('go on');
    expect(answerWords(ENGLISH, 'yes')).toBe('yes');
    expect(answerWords(ENGLISH, 'no')).toBe('no');
    expect(answerWords(ENGLISH, 'six')).toBe('six');
    expect(answerWords(ENGLISH, 'constructor')).toBe('constructor');
  });
});

describe('answers that are given', () => {
  it('"yes" and "no" touched among the answers are the phrases', () => {
    const bench = benchAt('volts').phrase('finish');
    bench.give({ type: 'answer', value: ' No ', source: 'touch' });
    expect(bench.made).toMatchObject([{ event: 'question.answered', question: 'give-up', answer: 'no' }]);
    bench.phrase('finish').give({ type: 'answer', value: 'YES', source: 'touch' });
    expect(bench.state.outcome).toBe('given-up');
  });

  it('a lost screw is missing from the compartment of the step, whichever it is', () => {
    const bench = benchAt('screws').phrase('problem').hear('lost screw');
    expect(bench.made).toContainEqual(
      expect.objectContaining({ event: 'fastener.found', compartment: 3, difference: -1 }),
    );
    expect(bench.state.out).toEqual([0, 0, -1]);
  });

  it('an extra one is asked for where the step has no compartment', () => {
    const bench = benchAt('volts').phrase('problem').hear('extra screw');
    expect(bench.state.question).toEqual({ kind: 'fastener-compartment', about: 'extra screw' });
    expect(bench.hear('nine').made).toMatchObject([{ event: 'phrase.refused', why: 'no-compartment' }]);
    expect(bench.hear('two').made).toMatchObject([
      { event: 'question.answered', answer: '2' },
      { event: 'fastener.found', compartment: 2, difference: 1 },
      { event: 'question.asked', question: 'problem-decision' },
    ]);
    expect(bench.state.out).toEqual([0, 1, 0]);
  });

  it('the step that is shown, picked from the list, is said again, its caution first', () => {
    const bench = benchAt('hot').give({ type: 'go-to', step: 'hot', source: 'touch' });
    expect(bench.events).toEqual(['help.given', 'caution.started']);
    bench.give({ type: 'go-to', step: 'volts', source: 'touch' });
    expect(bench.made).toMatchObject([{ event: 'phrase.refused', phrase: 'go-to', why: 'caution-first' }]);
    bench.passCautions().give({ type: 'go-to', step: 'volts', source: 'touch' });
    expect(bench.made).toMatchObject([{ event: 'phrase.refused', phrase: 'go-to', why: 'not-reached' }]);
    bench.give({ type: 'go-to', step: 'first', source: 'touch' });
    expect(bench.state.question).toEqual({ kind: 'go-back', about: 'first' });
  });
});

describe('moments of a spoken note', () => {
  const asked = (): Bench => benchAt('volts').phrase('note').phrase('yes');

  it('are shown: the invitation, the recording, and the step again', () => {
    const bench = asked();
    expect(viewOf(PLAN, bench.state, bench.now)).toMatchObject({
      phase: 'recording',
      prompt: 'Speak now. Say stop to end the note, or undo to throw it away.',
    });
    bench
      .spoken()
      .give({ type: 'note-recorded', audio: 'note-1.wav', sha256: 'a'.repeat(64), lengthMs: 900 });
    expect(bench.made).toMatchObject([
      { event: 'note.taken', audio: 'note-1.wav', audio_ms: 900, source: 'voice' },
    ]);
    expect(viewOf(PLAN, bench.state, bench.now).phase).toBe('step');
  });

  it('a microphone that goes is told of with a note and without one', () => {
    const gone = { type: 'trouble', code: 'no-microphone', over: false } as const;
    expect(heard(benchAt('volts').give(gone))).toEqual(['say trouble']);
    const bench = asked().spoken().give(gone);
    expect(bench.events).toEqual(['trouble.began', 'note.dropped']);
    expect(bench.said).toBe('The microphone is gone. No note is kept.');
  });

  // Found by random jobs (1 in some 500).
  it('the end of the step’s own sentence may be told late, and changes nothing of the note', () => {
    const bench = benchAt('volts');
    const sentence = bench.utterance;
    bench.phrase('note').phrase('yes');
    const { recording } = bench.state;
    bench.give({ type: 'spoken', utterance: sentence, outcome: 'completed' });
    expect(bench.events).toEqual(['step.read']);
    expect(bench.state.recording).toEqual(recording);
    expect(bench.effects).toEqual([]);
    expect(unsafe(PLAN, bench.records)).toEqual([]);
  });

  it('a note before a problem is not the note of the problem', () => {
    const bench = benchAt('volts').give({ type: 'text', value: 'scratched', source: 'key' });
    bench.phrase('problem').hear('broken part');
    expect(bench.state.problem_noted).toBe(false);
    bench.give({ type: 'text', value: 'cracked', source: 'key' });
    expect(bench.state.problem_noted).toBe(true);
  });
});

describe('going back', () => {
  it('is asked with the number of the step', () => {
    const bench = benchAt('volts').give({ type: 'go-to', step: 'hot', source: 'touch' });
    expect(bench.said).toContain('step 2');
  });

  it('S26 by a press lets no echo of it confirm the step that is then shown', () => {
    const bench = benchAt('code').give({ type: 'go-to', step: 'first', source: 'touch' });
    bench.phrase('yes', 'touch');
    expect(bench.at).toBe('first');
    bench.give({ type: 'phrase', phrase: 'next', source: 'touch' }, 100);
    expect(bench.made).toMatchObject([{ event: 'phrase.refused', why: 'too-soon' }]);
    bench.give({ type: 'phrase', phrase: 'next', source: 'touch' }, 1000);
    expect(bench.at).toBe('hot');
  });
});

describe('what is refused goes into the log by its name and with the reason', () => {
  const at = (step: string) => (): Bench => benchAt(step);
  const source = 'touch' as const;
  const checked = planOf([planStep('code', { record: { id: 'c', name: 'code', check: 'luhn' } })]);

  it.each<[string, () => Bench, Parameters<Bench['give']>[0], string, string]>([
    [
      'a reading that is none',
      at('volts'),
      { type: 'reading', value: Number.NaN, source },
      'reading',
      'bad-number',
    ],
    ['a reading beyond all', at('volts'), { type: 'reading', value: 1e30, source }, 'reading', 'bad-number'],
    [
      'a reading in another unit',
      at('volts'),
      { type: 'reading', value: 5, unit: 'A', source },
      'reading',
      'wrong-unit',
    ],
    [
      'a reading where none is asked',
      at('code'),
      { type: 'reading', value: 5, source },
      'reading',
      'no-reading-here',
    ],
    ['a code of other signs', at('code'), { type: 'serial', value: 'ä', source }, 'serial', 'bad-code'],
    [
      'a code beyond all',
      at('code'),
      { type: 'serial', value: 'A'.repeat(65), source },
      'serial',
      'bad-code',
    ],
    [
      'a code where none is asked',
      at('volts'),
      { type: 'serial', value: 'A1', source },
      'serial',
      'no-serial-here',
    ],
    [
      'a wrong check character',
      () => new Bench(checked),
      { type: 'serial', value: '12', source },
      'serial',
      'check-character',
    ],
    [
      'a number where none is asked',
      at('screws'),
      { type: 'number', value: 2, source },
      'number',
      'no-number-here',
    ],
    [
      'a sign-off where none is',
      at('volts'),
      { type: 'sign-off', person: 'Technician B', source },
      'sign-off',
      'no-sign-off-here',
    ],
    [
      'a sign-off by nobody',
      at('held'),
      { type: 'sign-off', person: ' ', source },
      'sign-off',
      'no-sign-off-here',
    ],
    [
      'a sign-off by oneself',
      at('held'),
      { type: 'sign-off', person: 'technician a', source },
      'sign-off',
      'same-person',
    ],
    [
      'a sign-off while paused',
      () => benchAt('held').phrase('pause'),
      { type: 'sign-off', person: 'Technician B', source },
      'sign-off',
      'no-sign-off-here',
    ],
    [
      'a hand-over to oneself',
      at('volts'),
      { type: 'hand-over', person: 'technician a', source },
      'hand-over',
      'not-now',
    ],
    [
      'a hand-over to nobody',
      at('volts'),
      { type: 'hand-over', person: '\u0007', source },
      'hand-over',
      'not-now',
    ],
    [
      'a step picked while paused',
      () => benchAt('volts').phrase('pause'),
      { type: 'go-to', step: 'first', source },
      'go-to',
      'paused',
    ],
    [
      'a step picked at a question',
      () => benchAt('volts').phrase('finish'),
      { type: 'go-to', step: 'first', source },
      'go-to',
      'answer-first',
    ],
    ['a step that is none', at('volts'), { type: 'go-to', step: 'none', source }, 'go-to', 'not-reached'],
    ['an empty note', at('volts'), { type: 'text', value: '\n', source }, 'note', 'no-text-here'],
    [
      'an answer where nothing is asked',
      at('volts'),
      { type: 'answer', value: 'six', source },
      'answer',
      'reading-first',
    ],
    [
      'an answer that is not offered',
      () => benchAt('volts').phrase('problem'),
      { type: 'answer', value: 'six', source },
      'answer',
      'no-answer-here',
    ],
    [
      'a phrase that is none',
      at('volts'),
      { type: 'phrase', phrase: 'dance' as never, source },
      'unknown',
      'not-now',
    ],
  ])('%s', (_what, bench, input, phrase, why) => {
    const after = bench().give(input);
    expect(after.made).toEqual([{ event: 'phrase.refused', phrase, why, source, at_ms: after.now }]);
  });

  it('counts of more than ten thousand, of halves or of less than none', () => {
    const bench = new Bench(PLAN, { verbosity: 'trainee' });
    for (let turn = 0; bench.state.question?.kind !== 'count' && turn < 40; turn += 1) {
      bench.passCautions();
      if (bench.at === 'volts') bench.give({ type: 'reading', value: 5, source }).phrase('yes');
      if (bench.at === 'code') bench.give({ type: 'serial', value: 'A7', source }).phrase('yes');
      bench.phrase('next', 'key');
    }
    for (const value of [10_001, 1.5, -1])
      expect(bench.give({ type: 'number', value, source }).made).toMatchObject([
        { phrase: 'number', why: 'bad-number' },
      ]);
    expect(bench.give({ type: 'number', value: 10_000, source }).made).toMatchObject([
      { event: 'count.confirmed', counted: 10_000, expected: 2 },
    ]);
    expect(bench.said).toBe('I expected 2, you counted 10000. Count again, or say problem.');
  });
});

describe('what is typed', () => {
  it('loses control characters and what is too long', () => {
    expect(personName(' Pat\u0000\u007fMiller\n')).toBe('Pat  Miller');
    expect(personName('x'.repeat(120))).toHaveLength(100);
    expect(personName(`${'x'.repeat(99)} y`)).toBe('x'.repeat(99));
    expect(personName('Ünal \u{1f600}')).toBe('Ünal \u{1f600}');
  });

  it('a value that was confirmed says whether the step waits for more', () => {
    const plan = planOf([
      planStep('both', {
        measure: { id: 'v', name: 'voltage', unit: 'V', min: 1, max: 9 },
        record: { id: 'c', name: 'code' },
      }),
    ]);
    const bench = new Bench(plan).give({ type: 'reading', value: 5, source: 'key' }).phrase('yes');
    const more = bench.said;
    bench.give({ type: 'serial', value: 'A7', source: 'key' }).phrase('yes');
    expect([more, bench.said]).toEqual([
      fill(ENGLISH, 'answer.recorded-more'),
      fill(ENGLISH, 'answer.recorded'),
    ]);
  });
});
