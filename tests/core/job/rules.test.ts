/** The numbered rules at the head of `engine.ts`, each shown on the smallest job that needs it. */
import { describe, expect, it } from 'vitest';
import {
  decide,
  initialState,
  MAX_NOTE_LENGTH,
  MAX_PAUSE_REMINDERS,
  openingRecords,
  openJob,
  PAUSE_REMINDER_MS,
  PRESS_AGAIN_MS,
  stateFromRecords,
  step,
} from '../../../electron/core/job/engine.ts';
import type { PhraseId } from '../../../electron/core/job/model.ts';
import { viewOf } from '../../../electron/core/job/view.ts';
import type { PlanCaution, PlanFastener } from '../../../electron/core/plan/model.ts';
import { planOf, planStep } from '../../properties/random-plan.ts';
import { Bench } from './bench.ts';

function caution(id: string, word: PlanCaution['word']): PlanCaution {
  const hazard = `Hazard ${id}.`;
  return {
    id,
    word,
    hazard,
    consequence: 'It hurts.',
    avoid: 'Wait.',
    symbol: 'general',
    say: `${word}: ${hazard} It hurts. Wait.`,
  };
}

const SCREWS: PlanFastener = {
  fastener: 'case-screw',
  name: 'case screws',
  count: 4,
  thread: 'M2.5',
  length_mm: 8,
  drive: { kind: 'hexalobular', size: 8 },
  torque_nm: 0.4,
  compartment: 1,
  place: 'back cover',
  order: [1, 3, 2, 4],
  passes_nm: [0.2, 0.4],
};
const TRAY = [
  {
    number: 1,
    fastener: 'case-screw',
    name: 'case screws',
    place: 'back cover',
    count: 4,
    label: 'case screws',
  },
  { number: 2, fastener: 'clip-screw', name: 'clip screws', place: 'clip', count: 1, label: 'clip screws' },
];
const OUT = planStep('remove.screws', { action: 'remove-fasteners', fasteners: [SCREWS], tool: 't10' });
const IN = planStep('install.screws', { stage: 'install', action: 'install-fasteners', fasteners: [SCREWS] });
const VOLTS = { id: 'pack', name: 'pack voltage', unit: 'V', min: 3.6, max: 4.2 };
const three = planOf([planStep('one'), planStep('two'), planStep('three')]);

describe('cautions', () => {
  const plan = planOf([
    planStep('one'),
    planStep('two', {
      cautions: [caution('sharp', 'caution'), caution('shock', 'danger'), caution('burn', 'warning')],
    }),
    planStep('three'),
  ]);

  it('S4 come before the step is read', () => {
    const bench = new Bench(plan).phrase('next');
    expect(bench.events).toEqual(['step.confirmed', 'step.shown', 'caution.started']);
    expect(bench.said).toContain('Hazard shock.');
    expect(bench.said).not.toContain('Do two.');
    bench.passCautions();
    expect(bench.said).toBe('Do two.');
  });

  it('S3 come one at a time, most severe first', () => {
    const bench = new Bench(plan).phrase('next');
    const order: (string | undefined)[] = [];
    while (bench.state.pending.length > 0) {
      order.push(bench.state.caution?.id);
      bench.spoken().phrase('understood');
      expect(bench.events.filter((event) => event === 'caution.acknowledged')).toHaveLength(1);
    }
    expect(order).toEqual(['shock', 'burn', 'sharp']);
  });

  it('S2 are not acknowledged before they were read to their end', () => {
    const bench = new Bench(plan).phrase('next').phrase('understood');
    expect(bench.events).toEqual(['phrase.refused']);
    expect(bench.made[0]).toMatchObject({ phrase: 'understood', why: 'not-read' });
    expect(bench.effects).toEqual([{ type: 'chime', chime: 'refused' }]);
    bench.spoken().phrase('understood');
    expect(bench.events[0]).toBe('caution.acknowledged');
  });

  it('S2 that were cut off are read again, and do not count as read', () => {
    const bench = new Bench(plan).phrase('next');
    bench.phrase('stop');
    expect(bench.effects).toEqual([{ type: 'hush' }]);
    bench.spoken('interrupted');
    expect(bench.events).toEqual(['caution.interrupted']);
    bench.phrase('understood');
    expect(bench.events).toEqual(['phrase.refused', 'caution.started']);
    expect(bench.state.pending).toHaveLength(3);
  });

  it('S2 count as read when there is no voice and the screen shows them', () => {
    const bench = new Bench(plan).phrase('next').spoken('no-voice');
    expect(bench.made[0]).toMatchObject({ event: 'caution.read', by: 'screen' });
    bench.phrase('understood', 'touch');
    expect(bench.events[0]).toBe('caution.acknowledged');
  });

  it('S2 count as shown when the voice is lost while one is being read, and from then on', () => {
    const bench = new Bench(plan).phrase('next').give({ type: 'trouble', code: 'no-voice', over: false });
    expect(bench.events).toEqual(['trouble.began', 'caution.read']);
    bench.phrase('understood', 'key');
    expect(bench.events).toEqual(['caution.acknowledged', 'caution.started', 'caution.read']);
  });

  it('S22 are made read by their newest reading only', () => {
    const bench = new Bench(plan).phrase('next');
    const first = bench.utterance;
    bench.phrase('repeat');
    expect(bench.utterance).toBeGreaterThan(first);
    bench.give({ type: 'spoken', utterance: first, outcome: 'completed' });
    expect(bench.events).toEqual([]);
    bench.phrase('understood');
    expect(bench.made[0]).toMatchObject({ why: 'not-read' });
  });

  it('S2 stay read when they are repeated', () => {
    const bench = new Bench(plan).phrase('next').spoken().phrase('caution').phrase('understood');
    expect(bench.events[0]).toBe('caution.acknowledged');
  });

  it('S2 start again after something else was said over them', () => {
    const bench = new Bench(plan).phrase('next').phrase('where am i');
    expect(bench.events).toEqual(['help.given', 'caution.started']);
    bench.spoken().phrase('understood');
    expect(bench.events[0]).toBe('caution.acknowledged');
  });

  it('S4 stop next, and the reason is said', () => {
    const bench = new Bench(plan).phrase('next').spoken().phrase('next');
    expect(bench.made).toMatchObject([{ event: 'phrase.refused', phrase: 'next', why: 'caution-first' }]);
    expect(bench.said).toBe('The caution comes first. Say understood.');
    expect(bench.at).toBe('two');
  });

  it('S4 stop every phrase that would go forward', () => {
    for (const phrase of ['next', 'yes', 'skip', 'undo', 'reading', 'serial', 'note'] as PhraseId[]) {
      const bench = new Bench(plan).phrase('next').spoken().phrase(phrase);
      expect([phrase, bench.at, bench.events[0]]).toEqual([phrase, 'two', 'phrase.refused']);
      expect(bench.state.pending).toHaveLength(3);
    }
  });

  it('S6 of danger and warning are asked for again on a later visit, lesser ones are read with the step', () => {
    const bench = new Bench(plan).phrase('next').passCautions().phrase('next').phrase('back');
    expect(bench.events).toEqual(['step.revisited', 'step.shown', 'caution.started']);
    expect(bench.state.pending).toEqual(['shock', 'burn']);
    bench.passCautions();
    expect(bench.said).toBe('caution: Hazard sharp. It hurts. Wait. Do two.');
  });

  it('S4 of the whole job come with the first step, once where the step has the same', () => {
    const job = planOf([planStep('one', { cautions: [caution('esd', 'notice')] }), planStep('two')], {
      job_cautions: [caution('esd', 'notice'), caution('mains', 'danger')],
    });
    expect(new Bench(job).state.pending).toEqual(['mains', 'esd']);
    expect(new Bench(job).passCautions().phrase('next').state.pending).toEqual([]);
  });

  it('can be heard again at any time on their step', () => {
    const bench = new Bench(plan).phrase('next').passCautions().phrase('caution');
    expect(bench.said.match(/Hazard/g)).toHaveLength(3);
    expect(new Bench(plan).phrase('caution').said).toBe('There is no caution for this step.');
  });
});

describe('going through the steps', () => {
  it('S15 goes one step for each "next"', () => {
    const bench = new Bench(three).phrase('next');
    expect(bench.at).toBe('two');
    expect(bench.made).toMatchObject([
      { event: 'step.confirmed', step: 'one', source: 'voice', confidence: 1, with_help: false },
      { event: 'step.shown', step: 'two', visit: 1 },
    ]);
    expect(bench.phrase('next').at).toBe('three');
  });

  it('does not confirm a step a second time when it is passed again', () => {
    const bench = new Bench(three).phrase('next').phrase('back');
    expect(bench.made).toMatchObject([
      { event: 'step.revisited', step: 'one', from: 'two' },
      { event: 'step.shown', step: 'one', visit: 2 },
    ]);
    bench.phrase('next');
    expect(bench.made).toMatchObject([{ event: 'step.shown', step: 'two', visit: 2 }]);
  });

  it('S14 refuses back at the first step', () => {
    const bench = new Bench(three).phrase('back');
    expect(bench.made).toMatchObject([{ event: 'phrase.refused', why: 'first-step' }]);
    expect(bench.said).toBe('This is the first step.');
    expect(viewOf(three, bench.state, 0).refusal_text).toBe('This is the first step.');
    expect(viewOf(three, bench.phrase('repeat').state, 0).refusal_text).toBeNull();
  });

  it('S8 takes back the last step only after yes', () => {
    const bench = new Bench(three).phrase('next').phrase('undo');
    expect(bench.said).toBe('Take back the last step? It was: Do one.');
    expect(bench.phrase('no').at).toBe('two');
    bench.phrase('undo').phrase('yes');
    expect(bench.events).toEqual(['question.answered', 'step.undone', 'step.shown']);
    expect([bench.at, bench.state.frontier]).toEqual(['one', 0]);
    expect(bench.phrase('undo').made).toMatchObject([{ why: 'nothing-to-undo' }]);
  });

  it('S8 takes "yes" for nothing when nothing was asked', () => {
    const bench = new Bench(three).phrase('yes');
    expect(bench.made).toMatchObject([{ event: 'phrase.refused', why: 'no-question' }]);
    bench.phrase('no');
    expect(bench.made).toMatchObject([{ event: 'phrase.refused', why: 'no-question' }]);
  });

  it('S8 leaves out an optional step only after yes, and no other step', () => {
    const plan = planOf([planStep('one', { optional: true }), planStep('two')]);
    const bench = new Bench(plan).phrase('skip').phrase('yes');
    expect(bench.events).toEqual(['question.answered', 'step.skipped', 'step.shown']);
    expect(bench.phrase('skip').made).toMatchObject([{ why: 'not-optional' }]);
  });

  it('S23 goes to a step from the list only where it was reached, and after yes', () => {
    const bench = new Bench(three).phrase('next').give({ type: 'go-to', step: 'three', source: 'touch' });
    expect(bench.made).toMatchObject([{ event: 'phrase.refused', why: 'not-reached' }]);
    bench.give({ type: 'go-to', step: 'one', source: 'touch' });
    expect(bench.said).toBe('Go back to step 1?');
    expect(bench.phrase('yes').at).toBe('one');
    bench.give({ type: 'go-to', step: 'two', source: 'touch' }).phrase('yes');
    expect([bench.at, bench.state.frontier]).toEqual(['two', 1]);
    bench.give({ type: 'go-to', step: 'two', source: 'touch' });
    expect(bench.said).toBe('Do two.');
  });

  it('S14 asks for the answer first while a question is open', () => {
    const bench = new Bench(three).phrase('next').phrase('undo').phrase('next');
    expect(bench.made).toMatchObject([{ event: 'phrase.refused', why: 'answer-first' }]);
    expect(bench.said).toBe('Please answer first. Take back the last step? It was: Do one.');
    expect(bench.phrase('repeat').said).toBe('Take back the last step? It was: Do one.');
  });
});

describe('readings, serials and sign-off', () => {
  const measured = planOf([planStep('one', { measure: VOLTS }), planStep('two')]);
  const recorded = planOf([
    planStep('one', { record: { id: 'sn', name: 'serial', check: 'luhn', min_length: 4, max_length: 11 } }),
    planStep('two'),
  ]);

  it('S9 reads the reading back and counts it only after yes', () => {
    const bench = new Bench(measured).hear('the reading is three point seven');
    expect(bench.said).toBe('The reading is 3.7 V. Is that right?');
    expect(bench.events).toEqual(['reading.proposed']);
    bench.phrase('next');
    expect(bench.at).toBe('one');
    bench.phrase('yes');
    expect(bench.made).toMatchObject([{ event: 'reading.confirmed', value: 3.7, unit: 'V', within: true }]);
    expect(bench.phrase('next').at).toBe('two');
  });

  it('S9 drops the reading after no, and takes one said instead', () => {
    const bench = new Bench(measured).hear('the reading is three point seven').phrase('no');
    expect(bench.events).toEqual(['value.rejected']);
    expect(viewOf(measured, bench.state, 0).value_proposed).toBeNull();
    bench.hear('the reading is three point eight').hear('the reading is three point nine');
    expect(bench.events).toEqual(['value.rejected', 'reading.proposed']);
    expect(viewOf(measured, bench.state, 0).value_proposed).toBe('3.9 V');
    bench.hear('no eight not nine').phrase('yes');
    expect(bench.made).toMatchObject([{ event: 'reading.confirmed', value: 3.8 }]);
  });

  it('S5 lets "next" not pass without the reading, serial or sign-off', () => {
    expect(new Bench(measured).phrase('next').made).toMatchObject([{ why: 'reading-first' }]);
    expect(new Bench(recorded).phrase('next').made).toMatchObject([{ why: 'serial-first' }]);
    const hold = planOf([planStep('one', { hold: 'Look at the seal.' }), planStep('two')]);
    expect(new Bench(hold).phrase('next').made).toMatchObject([{ why: 'sign-off-first' }]);
  });

  it('S10 says that a reading is out of limits and does not let the job go on', () => {
    const bench = new Bench(measured).hear('the reading is three point five').phrase('yes');
    expect(bench.made).toMatchObject([{ event: 'reading.confirmed', value: 3.5, within: false }]);
    expect(bench.said).toBe('I have 3.5 V. That is below the limit of 3.6 V. Measure again, or say problem.');
    expect(bench.phrase('next').made).toMatchObject([{ why: 'reading-bad' }]);
    bench.hear('the reading is five').phrase('yes');
    expect(bench.said).toContain('above the limit of 4.2 V');
    bench.hear('the reading is four point two').phrase('yes');
    expect(bench.phrase('next').at).toBe('two');
  });

  it('S10 lets the job go on after a bad reading when the problem is reported and settled so', () => {
    const bench = new Bench(measured).hear('the reading is three point five').phrase('yes');
    bench.phrase('problem').hear('something else').hear('go on');
    expect(bench.events).toEqual(['question.answered', 'problem.settled']);
    expect(bench.phrase('next').at).toBe('two');
  });

  it('S10 takes a problem settled before the bad reading for no excuse', () => {
    const bench = new Bench(measured).phrase('problem').hear('something else').hear('go on');
    bench.hear('the reading is three point five').phrase('yes').phrase('next');
    expect(bench.at).toBe('one');
  });

  it('S10 lets nothing excuse a reading that shows the unit safe to touch', () => {
    for (const action of ['verify-dead', 'discharge', 'isolate'] as const) {
      const plan = planOf([
        planStep('one', { action, measure: { id: 'm', name: 'voltage', unit: 'V', max: 2 } }),
        planStep('two'),
      ]);
      const bench = new Bench(plan).hear('the reading is fifty').phrase('yes');
      expect(bench.said).toContain('Do not go on.');
      bench.phrase('problem').hear('something else').hear('go on').phrase('next');
      expect([action, bench.at]).toEqual([action, 'one']);
    }
  });

  it('S10 S16 lets no step be left out that shows the unit safe to touch or needs a second person', () => {
    for (const given of [{ action: 'verify-dead' }, { action: 'isolate' }, { hold: 'Look.' }] as const) {
      const bench = new Bench(planOf([planStep('one', { ...given, optional: true }), planStep('two')]));
      expect(bench.phrase('skip').made).toMatchObject([{ event: 'phrase.refused', why: 'not-optional' }]);
    }
  });

  it('S10 holds limits that are met exactly', () => {
    for (const [value, within] of [
      [3.6, true],
      [4.2, true],
      [3.599, false],
      [4.201, false],
    ] as const) {
      const bench = new Bench(measured).give({ type: 'reading', value, source: 'key' }).phrase('yes');
      expect(bench.made).toMatchObject([{ value, within }]);
    }
  });

  it('S9 turns a reading into the unit of the measure, or refuses it', () => {
    const bench = new Bench(measured).hear('the reading is three thousand seven hundred millivolts');
    expect(bench.made).toMatchObject([{ event: 'reading.proposed', value: 3.7, unit: 'V' }]);
    bench.phrase('no').hear('the reading is five ohms');
    expect(bench.made).toMatchObject([{ why: 'wrong-unit' }]);
    expect(bench.said).toBe('The reading is needed in V.');
    for (const value of [Number.NaN, Number.POSITIVE_INFINITY, 1e10]) {
      expect(bench.give({ type: 'reading', value, source: 'key' }).made).toMatchObject([
        { why: 'bad-number' },
      ]);
    }
  });

  it('S14 takes no reading or serial where none is needed', () => {
    const bench = new Bench(three).give({ type: 'reading', value: 3, source: 'key' });
    expect(bench.made).toMatchObject([{ why: 'no-reading-here' }]);
    expect(bench.give({ type: 'serial', value: 'A1', source: 'key' }).made).toMatchObject([
      { why: 'no-serial-here' },
    ]);
    expect(bench.give({ type: 'number', value: 1, source: 'key' }).made).toMatchObject([
      { why: 'no-number-here' },
    ]);
    expect(bench.give({ type: 'answer', value: 'x', source: 'key' }).made).toMatchObject([
      { why: 'no-answer-here' },
    ]);
  });

  it('takes a bare number for a reading from keys, not from the voice', () => {
    expect(new Bench(measured).give({ type: 'number', value: 3.7, source: 'key' }).events).toEqual([
      'reading.proposed',
    ]);
    expect(new Bench(measured).give({ type: 'number', value: 3.7, source: 'voice' }).events).toEqual([
      'phrase.refused',
    ]);
  });

  it('S9 spells a serial back and counts it only after yes', () => {
    const bench = new Bench(recorded).hear('serial is one two three zero');
    expect(bench.said).toBe('one two three zero. Is that right?');
    bench.phrase('yes');
    expect(bench.made).toMatchObject([{ event: 'serial.confirmed', record: 'sn', value: '1230' }]);
    expect(bench.phrase('next').at).toBe('two');
  });

  it('S11 refuses a serial with a wrong check digit, length or sign', () => {
    const bench = new Bench(recorded);
    for (const [value, why] of [
      ['1231', 'check-character'],
      ['123', 'too-short'],
      ['123456789012', 'too-long'],
      ['12ü0', 'bad-code'],
      ['', 'bad-code'],
    ] as const) {
      bench.give({ type: 'serial', value, source: 'key' });
      expect([value, bench.made]).toMatchObject([value, [{ event: 'phrase.refused', why }]]);
    }
    expect(bench.give({ type: 'serial', value: ' 12 30 ', source: 'key' }).made).toMatchObject([
      { value: '1230' },
    ]);
  });

  it('S16 takes the sign-off of another person only', () => {
    const hold = planOf([planStep('zero'), planStep('one', { hold: 'Look.' }), planStep('two')]);
    const bench = new Bench(hold).phrase('next');
    expect(bench.said).toContain('A second person must sign off here: Look.');
    for (const person of ['Technician A', ' technician a ', '']) {
      expect(bench.give({ type: 'sign-off', person, source: 'key' }).events).toEqual(['phrase.refused']);
    }
    bench.give({ type: 'hand-over', person: 'Technician B', source: 'touch' });
    // Technician A did the work so far; handing over does not make him a second person.
    expect(bench.give({ type: 'sign-off', person: 'Technician A', source: 'key' }).made).toMatchObject([
      { why: 'same-person' },
    ]);
    bench.give({ type: 'sign-off', person: 'Technician C', source: 'key' });
    expect(bench.made).toMatchObject([{ event: 'hold.signed', person: 'Technician C' }]);
    expect(bench.phrase('next').at).toBe('two');
  });

  it('S16 takes a sign-off only at a hold point, after its cautions and readings', () => {
    const plan = planOf([
      planStep('one', { hold: 'Look.', measure: VOLTS, cautions: [caution('hot', 'caution')] }),
    ]);
    const bench = new Bench(plan);
    const sign = { type: 'sign-off', person: 'Technician C', source: 'key' } as const;
    expect(bench.give(sign).events).toEqual(['phrase.refused']);
    expect(bench.passCautions().give(sign).events).toEqual(['phrase.refused']);
    bench.hear('the reading is four').phrase('yes');
    expect(bench.give(sign).events).toEqual(['hold.signed']);
    expect(new Bench(three).give(sign).made).toMatchObject([{ why: 'no-sign-off-here' }]);
  });

  it('S8 asks for reading, serial and sign-off again after the step was taken back', () => {
    const bench = new Bench(measured).hear('the reading is four').phrase('yes').phrase('next');
    bench.phrase('undo').phrase('yes');
    expect(viewOf(measured, bench.state, 0).waits_for).toBe('reading');
    expect(bench.phrase('next').at).toBe('one');
  });
});

describe('the ear', () => {
  it('S7 asks again below the confidence a phrase needs', () => {
    const bench = new Bench(three).phrase('next', 'voice', 0.5);
    expect(bench.made).toMatchObject([{ event: 'utterance.refused', reason: 'not-sure' }]);
    expect(bench.said).toBe('Say again, please.');
    expect(bench.at).toBe('one');
    expect(bench.phrase('next', 'voice', Number.NaN).at).toBe('one');
    expect(bench.phrase('next', 'voice', 0.7).at).toBe('two');
    expect(bench.phrase('next', 'key', 0).at).toBe('three');
  });

  it('S7 takes the needed confidence from the table given', () => {
    const confidence = { phrases: { next: 0.2 }, values: 0.9, other: 0.5 };
    const bench = new Bench(three, {}, { confidence }).phrase('next', 'voice', 0.3);
    expect(bench.at).toBe('two');
  });

  it('S7 holds for spoken values and answers too', () => {
    const plan = planOf([planStep('one', { measure: VOLTS })]);
    const bench = new Bench(plan).give({ type: 'reading', value: 4, source: 'voice', confidence: 0.2 });
    expect(bench.events).toEqual(['utterance.refused']);
    bench.phrase('problem').give({ type: 'answer', value: 'injury', source: 'voice', confidence: 0.2 });
    expect(bench.events).toEqual(['utterance.refused']);
  });

  it('S12 hears only "start listening" after "stop listening"', () => {
    const bench = new Bench(three).phrase('stop listening');
    expect(bench.events).toEqual(['listening.stopped']);
    expect(bench.effects).toContainEqual({ type: 'listen', on: false });
    expect(bench.phrase('next').events).toEqual([]);
    expect(bench.effects).toEqual([]);
    expect(bench.give({ type: 'unheard', reason: 'not-sure' }).events).toEqual([]);
    expect(bench.phrase('next', 'touch').at).toBe('two');
    bench.phrase('start listening');
    expect(bench.effects).toContainEqual({ type: 'listen', on: true });
    expect(bench.phrase('next').at).toBe('three');
  });

  it('answers each kind of refusal in its own way, and other talk not at all', () => {
    const bench = new Bench(three).spoken();
    const said = (['too-quiet', 'too-noisy', 'not-sure', 'not-possible-now', 'unknown-words'] as const).map(
      (reason) => bench.give({ type: 'unheard', reason }).said,
    );
    expect(new Set(said).size).toBe(5);
    expect(said[4]).toBe('');
    expect(bench.made).toMatchObject([{ event: 'utterance.refused', reason: 'unknown-words' }]);
    expect(bench.effects).toEqual([]);
  });

  it('does not say the same refusal twice in ten seconds, nor talk over the step', () => {
    const bench = new Bench(three);
    expect(bench.give({ type: 'unheard', reason: 'not-sure' }).said).toBe('');
    bench.spoken();
    expect(bench.give({ type: 'unheard', reason: 'too-noisy' }).said).not.toBe('');
    expect(bench.give({ type: 'unheard', reason: 'too-noisy' }).said).toBe('');
    expect(bench.give({ type: 'unheard', reason: 'too-noisy' }, 20_000).said).not.toBe('');
  });

  it('says what is in the way when something is not possible now', () => {
    const plan = planOf([planStep('one', { measure: VOLTS })]);
    const bench = new Bench(plan).spoken().give({ type: 'unheard', reason: 'not-possible-now' });
    expect(bench.said).toBe('The reading is missing. Say: the reading is, and the number.');
  });

  it('S14 refuses a phrase that does not exist, without keeping its words', () => {
    const bench = new Bench(three).phrase('open sesame' as PhraseId, 'key');
    expect(bench.made).toMatchObject([{ event: 'phrase.refused', phrase: 'unknown' }]);
  });
});

describe('pause, end and return', () => {
  it('S13 waits while paused, for resume', () => {
    const bench = new Bench(three).phrase('pause').phrase('next');
    expect(bench.made).toMatchObject([{ event: 'phrase.refused', why: 'paused' }]);
    expect(bench.phrase('where am i').events).toEqual(['help.given']);
    bench.phrase('resume');
    expect(bench.said).toBe('We go on. Do one. Say next when it is done.');
    expect(bench.phrase('next').at).toBe('two');
  });

  it('S13 reads an unread caution again after the pause, and keeps a question about a problem', () => {
    const plan = planOf([planStep('one', { cautions: [caution('hot', 'warning')] })]);
    const bench = new Bench(plan).phrase('pause').phrase('resume');
    expect(bench.events).toEqual(['job.resumed', 'caution.started']);
    bench.phrase('problem').hear('broken part').phrase('pause').phrase('resume');
    expect(bench.state.question?.kind).toBe('problem-decision');
  });

  it('S24 announces a long pause each ten minutes, twelve times at most', () => {
    const bench = new Bench(three).phrase('pause');
    expect(bench.give({ type: 'tick' }, PAUSE_REMINDER_MS - 1).events).toEqual([]);
    expect(bench.give({ type: 'tick' }, 1).said).toBe(
      'The job has been paused for 10 minutes. Say resume to go on.',
    );
    expect(bench.give({ type: 'tick' }).events).toEqual([]);
    let told = 1;
    for (let i = 0; i < 30; i += 1) told += bench.give({ type: 'tick' }, PAUSE_REMINDER_MS).events.length;
    expect(told).toBe(MAX_PAUSE_REMINDERS);
    expect(new Bench(three).give({ type: 'tick' }, 1e9).events).toEqual([]);
  });

  it('S18 ends completed when all steps are done and the tray is empty by ledger and eye', () => {
    const bench = new Bench(planOf([OUT, IN], { tray: TRAY })).phrase('next').phrase('next');
    expect(bench.said).toContain('Is nothing left in the tray?');
    bench.phrase('no');
    expect(bench.said).toContain('Check the tray');
    bench.phrase('finish').phrase('yes');
    expect(bench.made.at(-1)).toMatchObject({
      event: 'job.finished',
      outcome: 'completed',
      open_compartments: 0,
    });
    expect(bench.effects.at(-1)).toEqual({ type: 'closed' });
  });

  it('S18 does not ask whether the tray is empty while the ledger says it is not', () => {
    const bench = new Bench(planOf([OUT, planStep('last')], { tray: TRAY })).phrase('next').phrase('next');
    expect(bench.said).toContain('the tray is not empty. Out: 4 case screws in compartment 1.');
    bench.phrase('yes');
    expect(bench.state.outcome).toBeNull();
    bench.phrase('finish');
    expect(bench.state.question?.kind).toBe('give-up');
    bench.phrase('yes');
    expect(bench.made.at(-1)).toMatchObject({ outcome: 'given-up', open_compartments: 1 });
  });

  it('S8 S18 gives up in the middle only after asking', () => {
    const bench = new Bench(planOf([OUT, IN], { tray: TRAY }));
    bench.phrase('finish');
    expect(bench.said).toContain('The job is not complete. 2 steps are left.');
    bench.phrase('no').phrase('yes');
    expect(bench.state.outcome).toBeNull();
    bench.phrase('finish').phrase('yes');
    expect(bench.state.outcome).toBe('given-up');
  });

  it('takes "finish" on the last step for a question whether that step is done', () => {
    const bench = new Bench(planOf([planStep('one')])).phrase('finish');
    expect(bench.said).toBe('Is the last step done?');
    bench.phrase('yes');
    expect(bench.state.question?.kind).toBe('tray-empty');
    bench.phrase('yes');
    expect(bench.state.outcome).toBe('completed');
  });

  it('does nothing after the end, nor before the beginning', () => {
    const bench = new Bench(planOf([planStep('one')])).phrase('finish').phrase('yes').phrase('yes');
    expect(bench.phrase('next').effects).toEqual([]);
    expect(bench.give({ type: 'left' }).effects).toEqual([{ type: 'closed' }]);
    expect(bench.records.at(-1)?.event).toBe('job.finished');
    const unopened = decide(three, initialState(three), {
      type: 'phrase',
      atMs: 0,
      phrase: 'next',
      source: 'key',
    });
    expect(unopened).toEqual({ records: [], effects: [] });
  });

  it('S19 shows the step again after the program ended', () => {
    const plan = planOf([
      planStep('one'),
      planStep('two', { cautions: [caution('a', 'danger'), caution('b', 'notice')] }),
    ]);
    const bench = new Bench(plan).phrase('next').spoken().phrase('understood').give({ type: 'left' });
    expect(bench.phrase('next', 'key').events).toEqual([]);
    bench.give({ type: 'reopened', awayMs: 5000 });
    expect(bench.events).toEqual(['job.reopened', 'step.shown', 'caution.started']);
    expect(bench.said).toContain('This is step 2 of 2.');
    // The danger was acknowledged in this visit; the notice was not.
    expect(bench.state.pending).toEqual(['b']);
    expect(bench.phrase('understood').made).toMatchObject([{ why: 'not-read' }]);
  });

  it('S19 drops an open question and an unconfirmed value, and keeps a pause', () => {
    const plan = planOf([planStep('one', { measure: VOLTS })]);
    const bench = new Bench(plan).hear('the reading is four').give({ type: 'reopened', awayMs: 0 });
    expect([bench.state.question, bench.state.proposal]).toEqual([null, null]);
    bench.phrase('pause').give({ type: 'reopened', awayMs: 0 });
    expect(bench.said).toContain('The job is paused at step 1 of 1.');
    expect(viewOf(plan, bench.state, 0).phase).toBe('paused');
  });

  it('S6 S19 asks for danger again when the last step is taken back after a return to a finished job', () => {
    // Found by the random jobs (seed 1466): the return left the step marked as "just shown again".
    const plan = planOf([planStep('one', { cautions: [caution('shock', 'danger')] })]);
    const bench = new Bench(plan).passCautions().phrase('next').give({ type: 'reopened', awayMs: 0 });
    bench.phrase('undo').phrase('yes');
    expect(bench.state.pending).toEqual(['shock']);
  });

  it('S20 lets a colleague hear the cautions of a step that is visited again after the last', () => {
    // Found by the random jobs (seed 4559): handing over there let the cautions be passed.
    const plan = planOf([planStep('one', { cautions: [caution('shock', 'danger')] }), planStep('two')]);
    const bench = new Bench(plan).passCautions().phrase('next').phrase('next').phrase('no').phrase('back');
    bench.give({ type: 'hand-over', person: 'Technician B', source: 'touch' });
    expect(bench.state.pending).toEqual(['shock']);
    expect(bench.give({ type: 'hand-over', person: 'technician b', source: 'key' }).events).toEqual([
      'phrase.refused',
    ]);
  });

  it('S20 lets a colleague hear all cautions of the step and the job', () => {
    const plan = planOf([planStep('one'), planStep('two', { cautions: [caution('hot', 'caution')] })], {
      job_cautions: [caution('mains', 'danger')],
    });
    const bench = new Bench(plan).passCautions().phrase('next').passCautions();
    bench.give({ type: 'hand-over', person: 'Technician B', source: 'touch' });
    expect(bench.events).toEqual(['job.handed-over', 'caution.started']);
    expect(bench.state.pending).toEqual(['mains', 'hot']);
    expect(bench.state.technician).toBe('Technician B');
    expect(bench.give({ type: 'hand-over', person: ' ', source: 'touch' }).events).toEqual([
      'phrase.refused',
    ]);
  });

  it('counts active time without pauses and without the time away', () => {
    const bench = new Bench(three).phrase('pause').phrase('resume', 'voice').phrase('next');
    bench.give({ type: 'left' }).give({ type: 'reopened', awayMs: 60_000 }, 60_000);
    const view = viewOf(three, bench.state, bench.now + 500);
    // Four seconds of work and a second of pause; then a minute away, and half a second since.
    expect([view.active_ms, view.paused_ms, view.step_ms]).toEqual([3500, 1000, 1500]);
  });
});

describe('problems, fasteners and notes', () => {
  const plan = planOf([OUT, planStep('look'), IN], { tray: TRAY });

  it('reports a problem and asks whether to go on', () => {
    const bench = new Bench(plan).phrase('problem');
    expect(bench.said).toContain('stripped screw');
    bench.hear('stripped screw');
    expect(bench.events).toEqual(['question.answered', 'problem.reported', 'question.asked']);
    bench.hear('stop the job');
    expect(bench.made).toMatchObject([
      { event: 'question.answered', answer: 'stop' },
      { event: 'problem.settled', decision: 'stop' },
      { event: 'job.paused' },
    ]);
    expect(bench.phrase('resume').phrase('next').at).toBe('look');
  });

  it('drops the question after no', () => {
    const bench = new Bench(plan).phrase('problem').phrase('no');
    expect([bench.state.question, bench.state.problem]).toEqual([null, null]);
  });

  it('S17 stops at once for an injury', () => {
    const bench = new Bench(plan).phrase('problem').hear('injury');
    expect(bench.events).toEqual(['question.answered', 'problem.reported', 'problem.settled', 'job.paused']);
    expect(bench.said).toContain('Get help now.');
  });

  it('keeps the ledger of what is out', () => {
    const bench = new Bench(plan).phrase('next');
    expect(viewOf(plan, bench.state, 0).ledger.map((line) => line.out)).toEqual([4, 0]);
    bench.phrase('next').phrase('next');
    expect(viewOf(plan, bench.state, 0).ledger.map((line) => line.out)).toEqual([0, 0]);
    bench.phrase('no').phrase('undo').phrase('yes');
    expect(viewOf(plan, bench.state, 0).ledger.map((line) => line.out)).toEqual([4, 0]);
  });

  it('takes a lost screw off the ledger: at once where the step has one compartment', () => {
    const bench = new Bench(plan).phrase('next').phrase('back').phrase('problem').hear('lost screw');
    expect(bench.made).toContainEqual(
      expect.objectContaining({ event: 'fastener.found', compartment: 1, difference: -1 }),
    );
    expect(bench.state.out[0]).toBe(3);
    bench.hear('go on').phrase('next').phrase('next').phrase('next');
    expect(bench.state.question?.kind).toBe('tray-empty');
  });

  it('asks for the compartment otherwise, and an extra screw keeps the job open', () => {
    const bench = new Bench(plan).phrase('next').phrase('problem').hear('extra screw').hear('nine');
    expect(bench.made).toMatchObject([{ why: 'no-compartment' }]);
    bench.hear('two');
    expect(bench.made).toContainEqual(
      expect.objectContaining({ event: 'fastener.found', compartment: 2, difference: 1 }),
    );
    bench.hear('go on').phrase('next').phrase('next');
    expect(bench.said).toContain('1 clip screw in compartment 2');
  });

  it('marks the route as noted, keeps a typed note, and reads it out on the way back', () => {
    const cable = planOf([
      planStep('in', { action: 'note-route', note_item: 'fan-cable' }),
      planStep('back', { action: 'route', note_item: 'fan-cable' }),
    ]);
    const bench = new Bench(cable).phrase('note');
    expect(bench.made).toMatchObject([{ event: 'note.taken', item: 'fan-cable', text: null }]);
    bench.give({ type: 'text', value: ' left of the post\n ', source: 'key' }).phrase('next');
    expect(bench.said).toBe('Do back. Your note: left of the post.');
  });

  it('asks for a note elsewhere; an empty one is refused, a long one cut', () => {
    const bench = new Bench(three).phrase('note');
    expect(bench.state.question?.kind).toBe('note');
    expect(bench.give({ type: 'text', value: ' \u0007 ', source: 'key' }).made).toMatchObject([
      { why: 'no-text-here' },
    ]);
    bench.give({ type: 'text', value: 'x'.repeat(2000), source: 'touch' });
    expect(bench.made).toMatchObject([{ event: 'note.taken', text: 'x'.repeat(MAX_NOTE_LENGTH) }]);
    expect(bench.state.question).toBeNull();
  });

  it('S26 takes two presses in quick succession for one, by key and touch, not by voice', () => {
    const press = (bench: Bench, source: 'key' | 'touch' | 'voice', afterMs: number) =>
      bench.give({ type: 'phrase', phrase: 'next', source, confidence: 1 }, afterMs);
    for (const source of ['key', 'touch'] as const) {
      const bench = press(new Bench(three), source, 1000);
      const at = bench.at;
      press(bench, source, PRESS_AGAIN_MS - 1);
      expect(bench.made).toMatchObject([{ event: 'phrase.refused', why: 'too-soon' }]);
      expect([bench.at, bench.effects]).toEqual([at, []]);
      expect(press(bench, source, 1).at).not.toBe(at);
    }
    const spoken = press(new Bench(three), 'voice', 1000);
    expect(press(spoken, 'voice', 50).events).toContain('step.confirmed');
  });

  it('S26 does not confirm a step by the second tap on understood', () => {
    const hot = planOf([planStep('one', { cautions: [caution('hot', 'warning')] }), planStep('two')]);
    const bench = new Bench(hot).spoken().phrase('understood', 'touch');
    bench.give({ type: 'phrase', phrase: 'next', source: 'touch' }, 150);
    expect([bench.at, bench.state.frontier]).toEqual(['one', 0]);
  });

  it('S25 records sound only after yes, from the end of the invitation, and keeps the file that came of it', () => {
    const bench = new Bench(three).phrase('note');
    expect(bench.said).toContain('Do you want to speak a note?');
    expect(bench.phrase('yes').said).toContain('Say stop to end the note');
    expect(bench.effects.some((effect) => effect.type === 'record-note')).toBe(false);
    expect(bench.spoken().events).toEqual(['note.started']);
    expect(bench.effects).toContainEqual({ type: 'record-note', on: true, keep: true });
    expect(bench.allowed.phrases).toEqual(['stop', 'undo']);
    expect(bench.give({ type: 'unheard', reason: 'too-noisy' }).events).toEqual([]);
    // What is said belongs to the note; a key is told why it does nothing.
    expect(bench.phrase('next').effects).toEqual([]);
    expect(bench.phrase('next', 'key').said).toContain('The note is being recorded');
    expect(bench.phrase('stop').effects).toEqual([{ type: 'record-note', on: false, keep: true }]);
    const kept = { audio: 'note-1.wav', sha256: 'ab', lengthMs: 4200 } as const;
    expect(bench.give({ type: 'note-recorded', ...kept }).made).toMatchObject([
      { event: 'note.taken', text: null, audio: 'note-1.wav', audio_sha256: 'ab', audio_ms: 4200 },
    ]);
    expect(bench.allowed.phrases).toContain('next');
    // A second one was not asked for.
    expect(bench.give({ type: 'note-recorded', ...kept }).events).toEqual([]);
  });

  it('S25 records nothing where the answer is no, where there is no microphone, and after undo', () => {
    const bench = new Bench(three).phrase('note').phrase('no');
    expect(bench.spoken().events).toEqual([]);
    bench.phrase('note').phrase('yes').spoken();
    expect(bench.phrase('undo').effects).toContainEqual({ type: 'record-note', on: false, keep: false });
    expect(bench.made).toMatchObject([{ event: 'note.dropped', why: 'thrown-away' }]);
    bench.give({ type: 'trouble', code: 'no-microphone', over: false }).phrase('note');
    expect(bench.said).toBe('Enter the note, or say no.');
    expect(bench.allowed.phrases).not.toContain('yes');
  });

  it('S25 gives a note up when the microphone goes, when nothing comes, and when the job is left', () => {
    const recording = () => new Bench(three).phrase('note').phrase('yes').spoken();
    const lost = recording().give({ type: 'trouble', code: 'microphone-lost', over: false });
    expect(lost.made).toContainEqual(expect.objectContaining({ why: 'no-microphone' }));
    expect(lost.effects).toContainEqual({ type: 'record-note', on: false, keep: false });
    const late = recording().give({ type: 'tick' }, 120_000);
    expect(late.made).toMatchObject([{ event: 'note.dropped', why: 'broken-off' }]);
    expect(recording().give({ type: 'left' }).events).toEqual(['note.dropped', 'job.left']);
    const failed = recording().give({ type: 'note-failed', why: 'not-written' });
    expect(failed.said).toContain('could not be written');
  });

  it('takes one note about a problem, then asks again whether to go on', () => {
    const bench = new Bench(three).phrase('problem').hear('stripped screw');
    expect(bench.said).toContain('Say note to add a note about it.');
    bench.phrase('note').phrase('yes').spoken();
    bench.give({ type: 'note-recorded', audio: 'note-1.wav', sha256: 'ab', lengthMs: 900 });
    expect(bench.said).toBe('Noted. | The problem is noted. Go on, or stop the job?');
    expect(bench.allowed.phrases).not.toContain('note');
    expect(bench.hear('go on').events).toContain('problem.settled');
  });

  it('S21 asks a trainee for the count, and a wrong one does not go on', () => {
    const bench = new Bench(plan, { verbosity: 'trainee' }).phrase('next');
    expect(bench.said).toBe('How many case screws are in compartment 1?');
    bench.hear('three');
    expect(bench.made).toMatchObject([{ event: 'count.confirmed', counted: 3, expected: 4, compartment: 1 }]);
    expect(bench.said).toBe('I expected 4, you counted 3. Count again, or say problem.');
    bench.phrase('next');
    expect(bench.at).toBe('remove.screws');
    bench.hear('four').phrase('next');
    expect(bench.at).toBe('look');
    expect(new Bench(plan).phrase('next').at).toBe('look');
  });

  it('S21 takes the lost screw into the count', () => {
    const bench = new Bench(plan, { verbosity: 'trainee' }).phrase('next').hear('three');
    bench.phrase('problem').hear('lost screw').hear('go on').phrase('next').hear('three').phrase('next');
    expect(bench.at).toBe('look');
    expect(bench.state.out[0]).toBe(3);
  });

  it('tells a trainee what to look for and why, and marks the step as done with help when asked for more', () => {
    const taught = planOf([planStep('one', { look_for: 'A click.', why: 'It seals.' }), planStep('two')]);
    const bench = new Bench(taught, { verbosity: 'trainee' }).phrase('repeat');
    expect(bench.said).toBe(
      'Do one. Look for this: A click. The reason: It seals. Say next when it is done.',
    );
    bench.phrase('why').phrase('next');
    expect(bench.made[0]).toMatchObject({ event: 'step.confirmed', with_help: true });
  });
});

describe('answers', () => {
  const plan = planOf([OUT, IN], { tray: TRAY });

  it('tell the screws, the tool, the torque and its order', () => {
    const bench = new Bench(plan);
    expect(bench.phrase('screw count').said).toBe(
      '4 case screws, M2.5 by 8 mm, six-lobe socket 8, back cover, compartment 1.',
    );
    expect(bench.phrase('which tool').said).toBe('Use the T10 driver.');
    expect(bench.phrase('torque').said).toBe('The torque for putting back is 0.4 N·m.');
    bench.phrase('next').phrase('torque');
    expect(bench.said).toBe('The torque is 0.4 N·m. 2 passes: 0.2, 0.4 N·m. Order: 1, 3, 2, 4.');
    expect(bench.phrase('why').said).toBe('No reason is written for this step.');
  });

  it('say so where a step has none of it', () => {
    const bench = new Bench(three);
    expect(bench.phrase('screw count').said).toBe('There are no fasteners in this step.');
    expect(bench.phrase('which tool').said).toBe('No tool is needed for this step.');
    expect(bench.phrase('torque').said).toBe('No torque is given for this step.');
  });

  it('tell where the job is and how long it takes', () => {
    const bench = new Bench(plan).phrase('next').phrase('where am i');
    expect(bench.said).toBe('Step 2 of 2, putting together. Out: 4 case screws in compartment 1.');
    bench.phrase('how long', 'key');
    expect(bench.said).toBe(
      'Less than a minute on this step. Less than a minute in all. Less than a minute to go.',
    );
  });

  it('make "slower" speak slower and say it again', () => {
    const bench = new Bench(three).phrase('slower');
    expect(bench.effects).toContainEqual({ type: 'slower' });
    expect(bench.said).toBe('Do one. Say next when it is done.');
  });

  it('tell how to say a value until the first one is in, a trainee each time', () => {
    const hint = 'Say: the reading is, and the number.';
    const measured = planOf([planStep('one', { measure: VOLTS }), planStep('two', { measure: VOLTS })]);
    const bench = new Bench(measured).phrase('repeat');
    expect(bench.said).toContain(hint);
    expect(bench.hear('the reading is four').phrase('yes').phrase('next').said).toBe('Do two.');
    const trainee = new Bench(measured, { verbosity: 'trainee' }).hear('the reading is four').phrase('yes');
    expect(trainee.phrase('next').said).toContain(hint);
    expect(new Bench(measured, { verbosity: 'short' }).phrase('repeat').said).toBe('Do one.');
  });

  it('list every phrase that may be said now', () => {
    const bench = new Bench(plan).phrase('what can i say');
    for (const phrase of bench.allowed.phrases) expect(bench.said).toContain(phrase);
  });
});

describe('records and effects', () => {
  it('open a job in order, and rebuild its state', () => {
    const opening = { technician: 'Technician A', workOrder: 'W-1' };
    const { state, records } = openJob(three, opening);
    expect(records.map((record) => record.event)).toEqual(['job.opened', 'step.shown']);
    expect(openingRecords(three, opening)).toEqual(records);
    expect(stateFromRecords(three, records)).toEqual(state);
    expect(step(three, state, { type: 'tick', atMs: 5 })).toEqual({ state, records: [], effects: [] });
  });

  it('note when the step has been read out', () => {
    const bench = new Bench(three).spoken();
    expect(bench.made).toMatchObject([{ event: 'step.read', step: 'one', outcome: 'completed' }]);
    expect(bench.spoken().events).toEqual([]);
  });

  it('tell of trouble once, and when it is over', () => {
    const bench = new Bench(three).give({ type: 'trouble', code: 'microphone-lost', over: false });
    expect(bench.events).toEqual(['trouble.began']);
    expect(bench.give({ type: 'trouble', code: 'microphone-lost', over: false }).events).toEqual([]);
    expect(viewOf(three, bench.state, 0).troubles).toEqual(['microphone-lost']);
    expect(bench.give({ type: 'trouble', code: 'microphone-lost', over: true }).events).toEqual([
      'trouble.ended',
    ]);
  });

  it('never let time run backwards', () => {
    const bench = new Bench(three).phrase('repeat');
    for (const atMs of [Number.NaN, -5, 3, Number.NEGATIVE_INFINITY]) {
      const made = decide(three, bench.state, { type: 'phrase', atMs, phrase: 'repeat', source: 'key' });
      expect(made.records[0]?.at_ms).toBe(bench.state.at_ms);
    }
  });
});
