/** The rules that turn a recogniser's text into "heard" or one of the refusals. */
import { describe, expect, it } from 'vitest';
import type { Allowed } from '../../electron/core/job/model.ts';
import {
  confidenceOf,
  earlyAfterMs,
  hangOverMs,
  judge,
  mayGoOn,
  type Thresholds,
  type Utterance,
  withoutOuterFiller,
} from '../../renderer/ears/decision.ts';
import { JOB_GRAMMAR } from '../../renderer/ears/job-grammar.ts';
import { THRESHOLDS } from '../../renderer/ears/model-files.ts';
import { STAND_IN_GRAMMAR as GRAMMAR } from './stand-in-grammar.ts';

const ALLOWED: Allowed = {
  phrases: ['next', 'stop', 'stop listening', 'finish', 'yes'],
  number: 'none',
  spelling: false,
  answers: ['stripped screw'],
};
const T: Thresholds = { ...THRESHOLDS, conf: 0.6, phrases: { finish: 0.9 }, snrMinDb: 8 };

function utterance(text: string, change: Partial<Utterance> & { readonly conf?: number } = {}): Utterance {
  const { conf = 1, ...rest } = change;
  const words = text === '' ? [] : text.split(' ');
  const decoded = {
    text,
    words: words.map((word, index) => ({ word, conf, startMs: 300 + index * 400, endMs: 650 + index * 400 })),
  };
  const endMs = 300 + words.length * 400;
  return {
    decoded,
    partial: text,
    speechStartMs: 280,
    speechEndMs: endMs,
    betweenWordsMs: 0,
    peakDbfs: -20,
    noiseDbfs: -60,
    held: false,
    sinceTalkMs: Number.POSITIVE_INFINITY,
    lasting: false,
    ...rest,
  };
}

const verdict = (one: Utterance, allowed = ALLOWED) => judge(GRAMMAR, T, allowed, one);
const reason = (one: Utterance, allowed = ALLOWED): string => {
  const found = verdict(one, allowed);
  return found.kind === 'refused' ? found.reason : `heard ${found.text}`;
};

describe('judge', () => {
  it('hears a whole allowed phrase', () => {
    expect(verdict(utterance('next', { conf: 0.8 }))).toEqual({
      kind: 'heard',
      text: 'next',
      understood: { type: 'phrase', phrase: 'next' },
      confidence: 0.8,
    });
  });

  it('hears an offered answer', () => {
    expect(verdict(utterance('stripped screw'))).toMatchObject({
      understood: { type: 'answer', value: 'stripped screw' },
    });
  });

  it('ignores a phrase with anything unknown beside it', () => {
    expect(reason(utterance('[unk] next'))).toBe('unknown-words');
    expect(reason(utterance('next [unk]'))).toBe('unknown-words');
    expect(reason(utterance(''))).toBe('unknown-words');
  });

  it('ignores words of the grammar that are no phrase', () => {
    expect(reason(utterance('screw'))).toBe('unknown-words');
    expect(reason(utterance('next stop'))).toBe('unknown-words');
  });

  it('tells a command that is not possible now from noise', () => {
    expect(reason(utterance('back'))).toBe('not-possible-now');
  });

  it('is not sure below the threshold, and takes the least sure word', () => {
    expect(reason(utterance('next', { conf: 0.59 }))).toBe('not-sure');
    expect(reason(utterance('next', { conf: 0.6 }))).toBe('heard next');
    const two = utterance('stop listening');
    const [first, second] = two.decoded.words;
    if (first === undefined || second === undefined) throw new Error('two words were made');
    const decoded = { ...two.decoded, words: [first, { ...second, conf: 0.3 }] };
    expect(confidenceOf(decoded)).toBe(0.3);
    expect(reason({ ...two, decoded })).toBe('not-sure');
  });

  it('asks more where a phrase has its own threshold', () => {
    expect(reason(utterance('finish', { conf: 0.85 }))).toBe('not-sure');
    expect(reason(utterance('finish', { conf: 0.9 }))).toBe('heard finish');
  });

  it('tells too quiet from too noisy by the room', () => {
    expect(reason(utterance('next', { peakDbfs: -55, noiseDbfs: -60 }))).toBe('too-quiet');
    expect(reason(utterance('next', { peakDbfs: -25, noiseDbfs: -30 }))).toBe('too-noisy');
  });

  it('ignores a phrase in the middle of longer speech', () => {
    expect(reason(utterance('next', { speechStartMs: -700 }))).toBe('unknown-words');
    expect(reason(utterance('next', { speechEndMs: 1500 }))).toBe('unknown-words');
  });

  it('ignores a phrase of impossible length', () => {
    const short = utterance('what can i say');
    const words = short.decoded.words.map((word, index) => ({
      ...word,
      startMs: 300 + index * 30,
      endMs: 330 + index * 30,
    }));
    const allowed: Allowed = { ...ALLOWED, phrases: ['what can i say'] };
    expect(reason({ ...short, speechEndMs: 440, decoded: { ...short.decoded, words } }, allowed)).toBe(
      'unknown-words',
    );
  });
});

describe('amid talk', () => {
  it('a phrase needs silence before it, more of it where its mistake costs something', () => {
    expect(reason(utterance('next', { sinceTalkMs: T.talkBeforeMs - 10 }))).toBe('not-sure');
    expect(reason(utterance('next', { sinceTalkMs: T.talkBeforeMs }))).toBe('heard next');
    expect(T.talkBeforeCarefulMs).toBeGreaterThan(T.talkBeforeMs);
    expect(reason(utterance('yes', { sinceTalkMs: T.talkBeforeCarefulMs - 10 }))).toBe('not-sure');
    expect(reason(utterance('yes', { sinceTalkMs: T.talkBeforeCarefulMs }))).toBe('heard yes');
  });

  it('a phrase has to be surely heard', () => {
    const unsure = { conf: T.talkConf - 0.01 };
    expect(reason(utterance('next', { ...unsure, sinceTalkMs: T.talkMs - 10 }))).toBe('not-sure');
    expect(reason(utterance('next', { ...unsure, sinceTalkMs: T.talkMs }))).toBe('heard next');
  });

  it('"stop" counts as ever', () => {
    expect(reason(utterance('stop', { conf: T.conf, sinceTalkMs: 0 }))).toBe('heard stop');
    expect(earlyAfterMs(GRAMMAR, T, ALLOWED, 'stop', 'now')).toBe(T.earlySilenceMs);
  });

  it('nothing else is decided before a longer silence', () => {
    expect(earlyAfterMs(GRAMMAR, T, ALLOWED, 'next', 'now')).toBeUndefined();
    expect(hangOverMs(GRAMMAR, T, ALLOWED, 'next', 'now')).toBe(T.talkAfterMs);
    expect(T.talkAfterMs).toBeGreaterThan(T.hangOverMs);
  });

  it('nor, a little sooner, where people talk now and then', () => {
    expect(earlyAfterMs(GRAMMAR, T, ALLOWED, 'stop', 'around')).toBe(T.earlySilenceMs);
    expect(earlyAfterMs(GRAMMAR, T, ALLOWED, 'next', 'around')).toBeUndefined();
    expect(hangOverMs(GRAMMAR, T, ALLOWED, 'next', 'around')).toBe(T.talkAroundAfterMs);
    expect(T.talkAroundAfterMs).toBeGreaterThan(T.hangOverMs);
    expect(T.talkAroundAfterMs).toBeLessThan(T.talkAfterMs);
  });
});

describe('while a key is held', () => {
  it('noise beside the words does not matter, unknown sounds before and behind are let go', () => {
    const noisy = { speechStartMs: 0, speechEndMs: 1_200 };
    expect(reason(utterance('next', noisy))).toBe('unknown-words');
    expect(reason(utterance('next', { ...noisy, held: true }))).toBe('heard next');
    const { decoded } = utterance('[unk] next [unk]');
    expect(withoutOuterFiller(decoded)).toEqual({ text: 'next', words: decoded.words.slice(1, 2) });
    expect(withoutOuterFiller({ text: '[unk] what [unk] say', words: [] }).text).toBe('what [unk] say');
    for (const text of ['', '[unk]', '[unk] [unk]'])
      expect(withoutOuterFiller(utterance(text).decoded)).toEqual({ text: '', words: [] });
  });

  it('no phrase needs more than the others, and none less', () => {
    expect(reason(utterance('finish', { conf: 0.7 }))).toBe('not-sure');
    expect(reason(utterance('finish', { conf: 0.7, held: true }))).toBe('heard finish');
    expect(reason(utterance('finish', { conf: T.conf - 0.01, held: true }))).toBe('not-sure');
  });
});

describe('how sure a value must be', () => {
  const rules: Thresholds = { ...T, conf: 0.6, numberConf: 0.7, spellingConf: 0.9 };
  const found = (allowed: Allowed, text: string, conf: readonly number[]): string => {
    const said = utterance(text);
    const words = said.decoded.words.map((word, index) => ({ ...word, conf: conf[index] ?? 1 }));
    const result = judge(JOB_GRAMMAR, rules, allowed, { ...said, decoded: { text, words } });
    return result.kind === 'refused' ? result.reason : `heard at ${result.confidence}`;
  };
  const reading: Allowed = { phrases: ['reading'], number: 'reading', spelling: false, answers: [] };
  const serial: Allowed = { phrases: ['serial'], number: 'none', spelling: true, answers: [] };

  it('asks more of a code than of a reading', () => {
    expect(found(reading, 'the reading is four', [1, 1, 1, 0.8])).toBe('heard at 0.8');
    expect(found(serial, 'serial is alfa four', [1, 1, 1, 0.8])).toBe('not-sure');
    expect(found(serial, 'serial is alfa four', [1, 1, 1, 0.95])).toBe('heard at 0.95');
  });

  it('does not count the words that only open it', () => {
    expect(found(reading, 'the reading is four', [0.3, 0.9, 0.4, 0.8])).toBe('heard at 0.8');
    expect(found(reading, 'the reading is four', [1, 1, 1, 0.65])).toBe('not-sure');
  });

  it('asks again where sound between the words of a code may have been one, but not of others', () => {
    const least = (text: string, allowed: Allowed, betweenWordsMs: number): string => {
      const result = judge(JOB_GRAMMAR, rules, allowed, utterance(text, { betweenWordsMs }));
      return result.kind === 'refused' ? result.reason : 'heard';
    };
    const { betweenWordsMaxMs } = rules;
    expect(least('serial is alfa four', serial, betweenWordsMaxMs)).toBe('heard');
    expect(least('serial is alfa four', serial, betweenWordsMaxMs + 10)).toBe('not-sure');
    expect(least('the reading is four point two', reading, 500)).toBe('heard');
    expect(least('say again', { ...reading, phrases: ['repeat'] }, 500)).toBe('heard');
  });
});

describe('when to decide', () => {
  const silenceAfter = (text: string) => earlyAfterMs(GRAMMAR, T, ALLOWED, text);

  it('acts early on a whole phrase that nothing could continue', () => {
    expect(silenceAfter('next')).toBe(T.earlySilenceMs);
  });

  it('waits a little longer for what loses something', () => {
    expect(T.lateSilenceMs).toBeGreaterThan(T.earlySilenceMs);
    for (const text of ['finish', 'yes', 'stop listening'])
      expect(silenceAfter(text), text).toBe(T.lateSilenceMs);
  });

  it('acts at once on "stop", although more may follow', () => {
    expect(silenceAfter('stop')).toBe(T.earlySilenceMs);
    expect(mayGoOn(GRAMMAR, ALLOWED, 'stop')).toBe(true);
    expect(mayGoOn(GRAMMAR, ALLOWED, 'next')).toBe(false);
  });

  it('never acts early on beginnings, on nothing, or on what is not possible now', () => {
    for (const text of ['stripped', '', '[unk]', 'back']) expect(silenceAfter(text), text).toBeUndefined();
  });

  it('waits longer where something could follow', () => {
    expect(hangOverMs(GRAMMAR, T, ALLOWED, 'yes')).toBe(T.hangOverMs);
    expect(hangOverMs(GRAMMAR, T, ALLOWED, 'stop')).toBe(T.continueMs);
    const number: Allowed = { ...ALLOWED, number: 'bare' };
    expect(hangOverMs(GRAMMAR, T, number, 'three')).toBe(T.numberMs);
    expect(hangOverMs(GRAMMAR, T, number, 'stop')).toBe(T.continueMs);
  });
});
