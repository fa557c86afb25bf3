/**
 * The listener with a decoder that is told what to say: utterances, early closing, refusals, mouth,
 * attention word, changing grammar. Audio is tones and faint noise; its time is the only time.
 */
import { describe, expect, it } from 'vitest';
import type { Allowed } from '../../electron/core/job/model.ts';
import type { FromEar, ToEar } from '../../electron/ipc/contract.ts';
import { createListener } from '../../renderer/ears/listener.ts';
import { STAND_IN_GRAMMAR } from './stand-in-grammar.ts';
import {
  ALLOWED,
  feed,
  listenerWith,
  loudnessMaker,
  ms,
  quiet,
  setUp,
  T,
  ToldMaker,
  voice,
} from './told-ear.ts';

describe('an utterance', () => {
  it('is acted on early, after the short silence', () => {
    const { listener } = setUp();
    const found = feed(listener, voice(400), quiet(600));
    expect(found.length).toBe(1);
    expect(found[0]).toMatchObject({ type: 'heard', text: 'next', early: true });
    expect(found[0]?.at).toBeGreaterThanOrEqual(1060);
    expect(found[0]?.at).toBeLessThanOrEqual(1100);
  });

  it('that loses something waits a little longer', () => {
    const { listener, maker } = setUp();
    maker.text = 'finish';
    const found = feed(listener, voice(400), quiet(600));
    expect(found).toMatchObject([{ type: 'heard', text: 'finish', early: true }]);
    expect(found[0]?.at).toBeGreaterThanOrEqual(900 + T.lateSilenceMs);
    expect(found[0]?.at).toBeLessThanOrEqual(900 + T.lateSilenceMs + 40);
  });

  it('that is less sure waits for its end, and counts for nothing when more follows', () => {
    const { listener, maker } = setUp();
    maker.conf = T.earlyConf - 0.01;
    const found = feed(listener, voice(400), quiet(600));
    expect(found).toMatchObject([{ type: 'heard', text: 'next', early: false }]);
    expect(found[0]?.at).toBeGreaterThanOrEqual(900 + T.hangOverMs);
    const first = feed(listener, voice(400), quiet(T.hangOverMs - 60));
    maker.text = 'next [unk]';
    const both = [...first, ...feed(listener, voice(400), quiet(600))];
    expect(both).toMatchObject([{ type: 'refused', reason: 'unknown-words' }]);
    maker.text = 'stop';
    expect(feed(listener, voice(400), quiet(200))).toMatchObject([{ text: 'stop', early: true }]);
  });

  it('"stop" is acted on at once, and "stop listening" is still heard when it follows', () => {
    const { listener, maker } = setUp();
    maker.text = 'stop';
    const first = feed(listener, voice(400), quiet(200));
    expect(first).toMatchObject([{ type: 'heard', text: 'stop', early: true }]);
    maker.text = 'stop listening';
    expect(feed(listener, voice(400), quiet(700))).toMatchObject([{ type: 'heard', text: 'stop listening' }]);
  });

  it('"stop" is acted on once, and what follows it and means nothing is not refused', () => {
    const { listener, maker } = setUp();
    maker.text = 'stop';
    const found = [...feed(listener, voice(400), quiet(200))];
    maker.text = 'stop stop';
    found.push(...feed(listener, voice(400), quiet(900)));
    expect(found).toMatchObject([{ type: 'heard', text: 'stop' }]);
    maker.text = 'next';
    expect(feed(listener, voice(400), quiet(700))).toMatchObject([{ type: 'heard', text: 'next' }]);
  });

  it('whose word the decoder has not got yet is closed at the short silence all the same', () => {
    const { listener, maker } = setUp();
    maker.partial = '';
    const found = feed(listener, voice(300), quiet(600));
    expect(found).toMatchObject([{ type: 'heard', text: 'next', early: true }]);
    expect(found[0]?.at).toBeLessThanOrEqual(800 + T.earlySilenceMs + 40);
  });

  it('that was closed too soon is decoded as a whole when speech goes on', () => {
    const { listener, maker } = setUp();
    maker.partial = '';
    maker.text = '';
    expect(feed(listener, voice(200), quiet(200))).toEqual([]);
    maker.text = 'next';
    expect(feed(listener, voice(300), quiet(600))).toMatchObject([{ type: 'heard', text: 'next' }]);
  });

  it('is one utterance although a closure of 100 ms lies in it', () => {
    const { listener } = setUp();
    expect(feed(listener, voice(200), quiet(100), voice(200), quiet(600)).length).toBe(1);
  });

  it('that is not sure when closed early is decoded as a whole when speech goes on', () => {
    const { listener, maker } = setUp();
    maker.conf = 0.2;
    const first = feed(listener, voice(300), quiet(240));
    maker.conf = 0.9;
    const second = feed(listener, voice(300), quiet(600));
    expect(first).toEqual([]);
    expect(second).toMatchObject([{ type: 'heard', text: 'next', confidence: 0.9 }]);
  });

  it('is refused once, with its reason', () => {
    const { listener, maker } = setUp();
    maker.conf = 0.2;
    expect(feed(listener, voice(400), quiet(900))).toMatchObject([{ type: 'refused', reason: 'not-sure' }]);
    maker.conf = 1;
    maker.text = 'back';
    expect(feed(listener, voice(400), quiet(900))).toMatchObject([
      { type: 'refused', reason: 'not-possible-now' },
    ]);
    maker.text = '[unk]';
    expect(feed(listener, voice(400), quiet(900))).toMatchObject([
      { type: 'refused', reason: 'unknown-words' },
    ]);
  });

  it('that is longer than any phrase is let pass without a word', () => {
    const { listener, maker } = setUp();
    maker.text = '[unk] next';
    expect(feed(listener, voice(6_000), quiet(900))).toEqual([]);
    maker.text = 'next';
    expect(feed(listener, voice(400), quiet(600))).toMatchObject([{ type: 'heard' }]);
  });

  it('is closed by flush', () => {
    const { listener } = setUp();
    expect(feed(listener, voice(400), quiet(60))).toEqual([]);
    expect(listener.flush()).toMatchObject([{ type: 'heard', text: 'next' }]);
    expect(listener.flush()).toEqual([]);
  });
});

describe('beside noise that comes and goes', () => {
  /** Bursts as loud as -38 dBFS with pauses: too faint for the told decoder, well above the floor. */
  const bursts = (count: number): Float32Array[] =>
    Array.from({ length: count }, (_, n) => ms(200, n % 2 === 0 ? 0.018 : 0.0005));
  const uneven = (count: number): Float32Array[] =>
    Array.from({ length: count }, (_, n) => ms(100, n % 2 === 0 ? 0.045 : 0.01));

  it('a phrase ends with its own sound', () => {
    const { listener } = setUp();
    const found = feed(listener, ...bursts(10), voice(400), ...bursts(10));
    const heard = found.filter((message) => message.type === 'heard');
    expect(heard).toMatchObject([{ text: 'next' }]);
    expect(heard[0]?.at).toBeLessThanOrEqual(500 + 2_000 + 400 + T.hangOverMs);
  });

  it('a whole phrase that stands is acted on although the level never falls far enough', () => {
    const { listener } = setUp();
    const found = feed(listener, voice(400), ...uneven(12));
    const heard = found.filter((message) => message.type === 'heard');
    expect(heard).toMatchObject([{ text: 'next' }]);
    expect(heard[0]?.at).toBeLessThanOrEqual(500 + 400 + 600);
  });

  it('a phrase inside noise that has long been let pass is heard', () => {
    const { listener, maker } = setUp();
    maker.text = '';
    feed(listener, ...uneven(60));
    maker.text = 'next';
    const found = feed(listener, voice(400), ...uneven(12));
    expect(found.filter((message) => message.type === 'heard')).toMatchObject([{ text: 'next' }]);
  });

  it('faint sound without meaning is not answered once the voice is known', () => {
    const { listener, maker } = setUp();
    feed(listener, voice(400), quiet(900));
    maker.text = '[unk]';
    expect(feed(listener, ms(300, 0.03), quiet(900))).toEqual([]);
    expect(feed(listener, voice(300), quiet(900))).toMatchObject([{ type: 'refused' }]);
  });
});

describe('amid many who talk without a pause', () => {
  /** Between -33 and -21 dBFS, where a voice has -13. */
  const others = (count: number, amplitude = 0.12): Float32Array[] =>
    Array.from({ length: count / 100 }, (_, n) => ms(100, n % 3 === 0 ? 0.03 : amplitude));
  const swelling = [ms(60, 0.15), ms(60, 0.2)];
  const heardAfterMs = (before: readonly Float32Array[], after = others(1_500)): readonly number[] => {
    const listener = listenerWith(loudnessMaker('next'));
    feed(listener, ...before);
    const endMs = listener.nowMs() + 400;
    const found = feed(listener, voice(400), ...after);
    return found.flatMap((message) => (message.type === 'heard' ? message.at - endMs : []));
  };

  it('a phrase is heard without the words before and behind it, soon after its voice has ended', () => {
    for (const before of [
      others(3_000),
      [...others(1_500), ...swelling],
      [...others(9_000), ...swelling],
      [...others(3_800), ...swelling],
    ]) {
      const found = heardAfterMs(before);
      expect(found.length).toBe(1);
      expect(found[0]).toBeLessThanOrEqual(T.hangOverMs + 200);
    }
  });

  it('"yes" began with its voice, so it counts although the others were there before the question', () => {
    const listener = listenerWith(loudnessMaker('yes'));
    feed(listener, ...others(2_000));
    listener.tell({ type: 'grammar', allowed: { ...ALLOWED, phrases: ['yes'] } });
    const found = feed(listener, ...swelling, voice(400), ...others(1_500));
    expect(found.filter((message) => message.type === 'heard')).toMatchObject([{ text: 'yes' }]);
  });

  it('a phrase is none where the others are as loud', () => {
    expect(heardAfterMs(others(3_000, 0.19), others(1_500, 0.19))).toEqual([]);
  });

  it('a phrase is none where one other, a little softer, speaks before it without a pause', () => {
    expect(heardAfterMs([ms(800, 0.12)], [quiet(1_500)])).toEqual([]);
  });
});

describe('the grammar of the moment', () => {
  it('is renewed only when it changes, and old decoders are freed', () => {
    const { tell, maker, listener } = setUp();
    tell({ type: 'grammar', allowed: ALLOWED });
    expect(maker.made).toBe(1);
    tell({ type: 'grammar', allowed: { ...ALLOWED, phrases: ['finish'] } });
    expect([maker.made, maker.freed]).toEqual([2, 1]);
    listener.release();
    expect(maker.freed).toBe(maker.made);
  });

  it('changed in the middle of an utterance loses no audio', () => {
    const { listener, tell } = setUp();
    feed(listener, voice(200));
    tell({ type: 'grammar', allowed: { ...ALLOWED, phrases: ['next'] } });
    expect(feed(listener, voice(200), quiet(600))).toMatchObject([{ type: 'heard', text: 'next' }]);
  });

  it('hears nothing before one was told', () => {
    const maker = new ToldMaker();
    const options = { maker, grammar: STAND_IN_GRAMMAR, thresholds: T, decoys: [], computeNow: () => 0 };
    const found = feed(createListener(options), quiet(500), voice(400), quiet(900));
    expect(found.filter((message) => message.type === 'heard')).toEqual([]);
  });
});

describe('listening off', () => {
  it('leaves only "start listening"', () => {
    const { listener, tell, maker } = setUp();
    tell({ type: 'listen', on: false });
    expect(feed(listener, voice(400), quiet(600))).toEqual([]);
    maker.text = 'start listening';
    expect(feed(listener, voice(800), quiet(600))).toMatchObject([
      { type: 'heard', text: 'start listening' },
    ]);
  });

  it('closes what is being said (a held key is let go)', () => {
    const { listener, tell } = setUp();
    feed(listener, voice(400));
    expect(tell({ type: 'listen', on: false })).toMatchObject([{ type: 'heard', text: 'next' }]);
  });
});

describe('the mouth', () => {
  it('is not heard; "stop" over it is', () => {
    const { listener, tell, maker } = setUp();
    tell({ type: 'mouth', speaking: true, text: 'Go to the next step.' });
    maker.text = 'go to the next step';
    expect(feed(listener, voice(1_500))).toEqual([]);
    maker.text = 'next stop';
    const found = feed(listener, ms(500, 0.9));
    expect(found[0]).toMatchObject({
      type: 'heard',
      text: 'stop',
      understood: { type: 'phrase', phrase: 'stop' },
    });
  });

  it('that says "stop" itself cannot be stopped by that word', () => {
    const { listener, tell, maker } = setUp();
    tell({ type: 'mouth', speaking: true, text: 'Stop the pump first.' });
    maker.text = 'stop';
    expect(feed(listener, voice(1_500))).toEqual([]);
  });

  it('leaves a tail in which its own words are refused', () => {
    const { listener, tell } = setUp();
    tell({ type: 'mouth', speaking: true, text: 'Say next to go on.' });
    feed(listener, quiet(500));
    tell({ type: 'mouth', speaking: false, text: '' });
    const echo = feed(listener, quiet(100), voice(300), quiet(900));
    expect(echo.filter((message) => message.type === 'heard')).toEqual([]);
    expect(feed(listener, voice(400), quiet(600))).toMatchObject([{ type: 'heard', text: 'next' }]);
  });

  it('that never tells its end does not leave the ear deaf', () => {
    const { listener, tell } = setUp();
    tell({ type: 'mouth', speaking: true, text: 'Remove it.' });
    expect(feed(listener, voice(400), quiet(600)).filter((m) => m.type === 'heard')).toEqual([]);
    feed(listener, quiet(8_500));
    expect(feed(listener, voice(400), quiet(600))).toMatchObject([{ type: 'heard', text: 'next' }]);
  });

  it('does not swallow what was whole when it began', () => {
    const { listener, tell } = setUp();
    feed(listener, voice(400), quiet(40));
    expect(tell({ type: 'mouth', speaking: true, text: 'Remove it.' })).toMatchObject([
      { type: 'heard', text: 'next' },
    ]);
  });
});

describe('"yes"', () => {
  const ASKED: Allowed = { phrases: ['yes', 'no', 'stop'], number: 'none', spelling: false, answers: [] };

  it('counts where it began after its question was asked', () => {
    const { listener, maker, tell } = setUp();
    maker.text = 'yes';
    tell({ type: 'grammar', allowed: ASKED });
    expect(feed(listener, voice(400), quiet(600))).toMatchObject([{ type: 'heard', text: 'yes' }]);
  });

  it('does not where it was being said already', () => {
    const { listener, maker, tell } = setUp();
    maker.text = 'yes';
    feed(listener, voice(200));
    tell({ type: 'grammar', allowed: ASKED });
    const found = feed(listener, voice(200), quiet(600));
    expect(found).toMatchObject([{ type: 'refused', reason: 'not-possible-now' }]);
  });
});

describe('over the mouth', () => {
  const mouth = (count: number): Float32Array => ms(count, 0.06);
  const speak = (change: { readonly conf?: number; readonly loud?: number }) => {
    const { listener, maker, tell } = setUp();
    tell({ type: 'mouth', speaking: true, text: 'Remove the cover.' });
    // What the recogniser has amid the sentence is the sentence, from beginning to end.
    maker.partial = 'remove the cover';
    maker.text = 'stop';
    maker.conf = change.conf ?? 1;
    return feed(listener, mouth(1_500), ms(200, change.loud ?? 0.3), mouth(800));
  };

  it('a word that rises out of it is heard by itself, shortly after its end', () => {
    const found = speak({});
    expect(found).toMatchObject([{ type: 'heard', text: 'stop', early: true }]);
    expect(found[0]?.at).toBeLessThanOrEqual(500 + 1_500 + 200 + 200);
  });

  it('a word that does not, or that is not sure, is not', () => {
    expect(speak({ loud: 0.07 })).toEqual([]);
    expect(speak({ conf: 0.6 })).toEqual([]);
  });
});

describe('hold to talk', () => {
  const hold = (held: boolean): ToEar => ({ type: 'hold-to-talk', on: true, held });

  it('hears nothing until the key is held, and again nothing after it was let go', () => {
    const { listener, tell } = setUp();
    tell(hold(false));
    expect(feed(listener, voice(400), quiet(600))).toEqual([]);
    tell(hold(true));
    expect(feed(listener, voice(400), quiet(600))).toMatchObject([{ type: 'heard', text: 'next' }]);
    tell(hold(false));
    expect(feed(listener, quiet(400), voice(400), quiet(600))).toEqual([]);
  });

  it('decides when the key is let go, also beside noise that does not end', () => {
    const { listener, tell } = setUp();
    tell(hold(true));
    expect(feed(listener, voice(500))).toEqual([]);
    tell(hold(false));
    expect(feed(listener, voice(300))).toMatchObject([{ type: 'heard', text: 'next' }]);
  });

  it('hears a voice in noise that was there before the key', () => {
    const { listener, tell } = setUp();
    tell(hold(false));
    expect(feed(listener, voice(1_000))).toEqual([]);
    tell(hold(true));
    feed(listener, voice(400));
    tell(hold(false));
    expect(feed(listener, voice(300))).toMatchObject([{ type: 'heard', text: 'next' }]);
  });

  it('lets go what sounds before and behind the phrase', () => {
    const { listener, maker, tell } = setUp();
    maker.text = '[unk] next [unk]';
    feed(listener, voice(900), quiet(600));
    tell(hold(true));
    const found = feed(listener, voice(900), quiet(300));
    expect(found).toMatchObject([{ type: 'heard', text: 'next', early: true }]);
  });

  it('takes "stop" over the mouth only while the key is held', () => {
    for (const held of [false, true]) {
      const { listener, maker, tell } = setUp();
      tell(hold(held));
      tell({ type: 'mouth', speaking: true, text: 'Remove the cover.' });
      maker.text = 'stop';
      const found = feed(listener, quiet(300), voice(300), quiet(600));
      expect(found.map((one) => one.type)).toEqual(held ? ['heard'] : []);
    }
  });
});

describe('the attention word', () => {
  it('is needed before a phrase when switched on', () => {
    const { listener, tell, maker } = setUp();
    tell({ type: 'attention-word', on: true });
    expect(feed(listener, voice(400), quiet(900)).filter((m) => m.type === 'heard')).toEqual([]);
    maker.text = 'bench next';
    expect(feed(listener, voice(700), quiet(900))).toMatchObject([{ type: 'heard', text: 'next' }]);
  });

  it('may have a pause behind it that is heard as a word, but no sound as loud as speech', () => {
    for (const [amplitude, texts] of [
      [0.001, ['next']],
      [0.1, []],
    ] as const) {
      const { listener, tell, maker } = setUp();
      tell({ type: 'attention-word', on: true });
      maker.text = 'bench [unk] next';
      const found = feed(listener, voice(400), ms(320, amplitude), voice(400), quiet(900));
      expect(found.flatMap((message) => (message.type === 'heard' ? message.text : []))).toEqual(texts);
    }
  });

  it('alone opens the ear for a few seconds', () => {
    const { listener, tell, maker } = setUp();
    tell({ type: 'attention-word', on: true });
    maker.text = 'bench';
    feed(listener, voice(400), quiet(900));
    maker.text = 'next';
    expect(feed(listener, voice(400), quiet(900))).toMatchObject([{ type: 'heard', text: 'next' }]);
    feed(listener, quiet(6_000));
    expect(feed(listener, voice(400), quiet(900)).filter((m) => m.type === 'heard')).toEqual([]);
  });
});

describe('the microphone check', () => {
  it('counts the five phrases, acts on none, and gives the job its phrases back', () => {
    const { listener, tell, maker } = setUp({ ...ALLOWED, phrases: ['finish'] });
    tell({ type: 'check-microphone', seconds: 10 });
    const found: FromEar[] = [];
    for (const text of ['next', 'repeat', 'screw count', 'torque', 'where am i']) {
      maker.text = text;
      found.push(...feed(listener, voice(700), quiet(900)));
    }
    found.push(...feed(listener, quiet(2_100)));
    expect(found).toMatchObject([{ type: 'microphone-check', verdict: 'good', advice: [] }]);
    maker.text = 'finish';
    expect(feed(listener, voice(400), quiet(900))).toMatchObject([{ type: 'heard', text: 'finish' }]);
  });
});
