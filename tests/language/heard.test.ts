/**
 * A second language is heard from its table alone: phrases, answers, numbers, units, alphabet. Once with the
 * pseudo-locale and a model of its own, once with the number words of a real language that counts differently
 * (German, written from memory).
 */
import { describe, expect, it } from 'vitest';
import { languageOf } from '../../electron/core/base/language.ts';
import { ENGLISH_TABLE, type LanguageTable } from '../../electron/core/base/language-table.ts';
import {
  grammarOf,
  grammarPhrases,
  MAX_GRAMMAR_ENTRIES,
  UNKNOWN,
  whatCanISay,
} from '../../electron/core/job/grammar.ts';
import type { Allowed, PhraseId } from '../../electron/core/job/model.ts';
import { PROBLEM_KINDS } from '../../electron/core/job/prompts.ts';
import { hangOverMs, isPhrase, judge, type Verdict } from '../../renderer/ears/decision.ts';
import { listenerGrammar } from '../../renderer/ears/job-grammar.ts';
import { THRESHOLDS } from '../../renderer/ears/model-files.ts';
import { Bench } from '../core/job/bench.ts';
import { planOf, planStep } from '../properties/random-plan.ts';
import { pseudoTable, pseudoText } from './pseudo-locale.ts';

const silentPseudo = pseudoTable();
const PSEUDO = languageOf({ ...silentPseudo, language: { ...silentPseudo.language, model: 'pseudo' } });
const grammar = grammarOf(PSEUDO);
const allow = (change: Partial<Allowed>): Allowed => ({
  phrases: [],
  number: 'none',
  spelling: false,
  answers: [],
  ...change,
});
const READING = allow({ phrases: ['repeat'], number: 'reading' });
const pseudo = (...words: readonly string[]): string => words.map(pseudoText).join(' ').toLowerCase();

const GERMAN_NUMBERS = {
  ...ENGLISH_TABLE.numbers,
  ones: 'null eins zwei drei vier fünf sechs sieben acht neun zehn elf zwölf dreizehn vierzehn fünfzehn sechzehn siebzehn achtzehn neunzehn'.split(
    ' ',
  ),
  tens: 'zwanzig dreißig vierzig fünfzig sechzig siebzig achtzig neunzig'.split(' '),
  'below-hundred': '{ones, select, eins {ein} other {{ones}}} und {tens}',
  hundreds:
    '{hundreds, select, eins {ein} other {{hundreds}}} hundert{rest, select, none {} other { {rest}}}',
  thousands:
    '{thousands, select, eins {ein} other {{thousands}}} tausend{rest, select, none {} other { {rest}}}',
  decimal: '{whole} komma {digits}',
  minus: 'minus {number}',
  letters: Object.fromEntries(
    'Anton Berta Cäsar Dora Emil Friedrich Gustav Heinrich Ida Julius Kaufmann Ludwig Martha Nordpol Otto Paula Quelle Richard Samuel Theodor Ulrich Viktor Wilhelm Xanthippe Ypsilon Zacharias'
      .split(' ')
      .map((word) => [word[0] ?? '', word]),
  ),
  signs: { '-': 'Strich', '/': 'Schrägstrich', '.': 'Punkt' },
};
const GERMAN: LanguageTable = {
  ...ENGLISH_TABLE,
  language: { tag: 'de', name: 'Deutsch', direction: 'ltr', model: 'de' },
  numbers: GERMAN_NUMBERS,
  phrases: {
    ...ENGLISH_TABLE.phrases,
    phrases: {
      ...ENGLISH_TABLE.phrases.phrases,
      next: ['weiter'],
      no: ['nein'],
      reading: ['der messwert ist'],
      serial: ['die nummer ist'],
    },
    decoys: {},
    not: 'nicht',
    'attention-word': 'werkbank',
    units: { volt: 'V', millimeter: 'mm' },
    'other-words': { zwo: 'zwei' },
  },
};

describe('what is heard in a second language', () => {
  it('is in the grammar, and nothing of it is English', () => {
    const phrases = Object.keys(ENGLISH_TABLE.phrases.phrases) as PhraseId[];
    const all = allow({ phrases, number: 'reading', spelling: true, answers: PROBLEM_KINDS, proposed: '9' });
    for (const entries of [grammar.grammarPhrases(all), listenerGrammar(PSEUDO).grammarPhrases(all)]) {
      const english = new Set(grammarPhrases(all));
      expect(entries.filter((entry) => english.has(entry))).toEqual([UNKNOWN]);
      expect(entries).toContain(pseudo('next'));
      expect(entries).toContain(pseudo('stripped screw'));
    }
    expect(grammar.grammarPhrases(all).length).toBeLessThanOrEqual(MAX_GRAMMAR_ENTRIES);
  });

  it('means what the table says', () => {
    const every = Object.entries(ENGLISH_TABLE.phrases.phrases) as [PhraseId, readonly string[]][];
    for (const [phrase, ways] of every)
      for (const said of ways) {
        expect(grammar.understand(allow({ phrases: [phrase] }), pseudo(said))).toEqual({
          type: 'phrase',
          phrase,
        });
        expect(grammar.understand(allow({ phrases: [phrase] }), said)).toBeUndefined();
      }
    for (const value of PROBLEM_KINDS)
      expect(grammar.understand(allow({ answers: PROBLEM_KINDS }), pseudo(value))).toEqual({
        type: 'answer',
        value,
      });
  });

  it('moves the engine, from the first step to a noted problem', () => {
    const bench = new Bench(planOf([planStep('first'), planStep('second')]), {}, { words: PSEUDO });
    bench.passCautions();
    const first = bench.at;
    bench.hear(pseudo('next'));
    expect(bench.at).not.toBe(first);
    bench.passCautions().hear(pseudo('problem'));
    bench.hear(pseudo('something else'));
    expect(bench.records.some((one) => one.event === 'problem.reported')).toBe(true);
    expect(() => bench.hear('go on')).toThrow('not understood');
  });

  it('waits for more words by what begins, whatever the language', () => {
    const spoken = listenerGrammar(PSEUDO);
    const [opening = ''] = spoken.formsOf('reading');
    const [again = ''] = spoken.formsOf('repeat').slice(1);
    const some = { ...READING, phrases: ['repeat', 'reading'] as const };
    expect(again.split(' ')).toHaveLength(2);
    const wait = (text: string): number => hangOverMs(spoken, THRESHOLDS, some, text);
    expect(wait(again.split(' ')[0] ?? '')).toBe(THRESHOLDS.continueMs);
    expect(wait(opening)).toBe(THRESHOLDS.numberMs);
  });

  it('is a question answered and listening turned on by meaning, not by English words', () => {
    const spoken = listenerGrammar(PSEUDO);
    const said = (phrase: PhraseId): Verdict => {
      const [text = ''] = spoken.formsOf(phrase);
      const decoded = {
        text,
        words: text.split(' ').map((word) => ({ word, conf: 1, startMs: 0, endMs: 900 })),
      };
      const sound = {
        speechStartMs: 0,
        speechEndMs: 900,
        betweenWordsMs: 0,
        peakDbfs: -10,
        noiseDbfs: -60,
        held: false,
        sinceTalkMs: Infinity,
        lasting: false,
      };
      return judge(spoken, THRESHOLDS, allow({ phrases: [phrase] }), { decoded, partial: text, ...sound });
    };
    for (const phrase of ['yes', 'start listening'] as const) {
      expect(isPhrase(said(phrase), phrase)).toBe(true);
      expect(isPhrase(said('no'), phrase)).toBe(false);
    }
  });

  it('has an attention word of its own', () => {
    expect(listenerGrammar(PSEUDO).attentionWord).toBe(pseudo('bench'));
    const marks = { attentionWord: true, talkKey: false };
    expect(whatCanISay(allow({ phrases: ['next'] }), PSEUDO, marks)).toMatch(
      new RegExp(pseudoText('bench'), 'i'),
    );
  });

  it('without a model of its own is English', () => {
    const english = grammarOf(languageOf(silentPseudo));
    expect(english.understand(allow({ phrases: ['next'] }), 'next')).toEqual({
      type: 'phrase',
      phrase: 'next',
    });
  });
});

describe('numbers and codes of a language that counts differently', () => {
  const german = grammarOf(languageOf(GERMAN));

  it.each([
    ['zwei und vierzig', 42],
    ['zwo und vierzig', 42],
    ['ein und zwanzig', 21],
    ['drei hundert fünf', 305],
    ['ein tausend zwei hundert', 1200],
    ['drei komma zwei fünf', 3.25],
    ['drei komma fünf und zwanzig', 3.25],
    ['minus vier komma null fünf', -4.05],
    ['eins null fünf', 105],
  ])('“%s” is %d', (said, value) => {
    expect(german.understand(READING, `der messwert ist ${said} volt`)).toEqual({
      type: 'reading',
      value,
      unit: 'V',
    });
    expect(german.understand(allow({ phrases: ['no'], number: 'bare' }), said)).toEqual({
      type: 'number',
      value,
    });
  });

  it.each(['vierzig dreißig', 'komma', 'drei komma', 'und zwanzig', 'forty two'])('“%s” is none', (said) => {
    expect(german.understand(READING, `der messwert ist ${said}`)).toBeUndefined();
  });

  it('hears every number it says', () => {
    const { numbers } = languageOf(GERMAN);
    for (let n = 0; n <= 2100; n += 7)
      expect(german.numbers.parse(numbers.whole(n)), numbers.whole(n)).toEqual({ kind: 'value', value: n });
    const words = new Set(german.numbers.words);
    for (let n = 0; n <= 999; n += 1)
      for (const word of numbers.whole(n).split(' ')) expect(words).toContain(word);
  });

  it('spells with its own alphabet, and corrects a character', () => {
    const serial = allow({ phrases: ['yes', 'no'], spelling: true });
    expect(german.understand(serial, 'die nummer ist anton berta fünf strich zwo')).toEqual({
      type: 'serial',
      value: 'AB5-2',
    });
    expect(german.understand(serial, 'die nummer ist alfa')).toBeUndefined();
    const proposed = { ...serial, proposed: 'AB9' };
    expect(german.understand(proposed, 'nein fünf nicht neun')).toEqual({ type: 'serial', value: 'AB5' });
    expect(german.couldContinue(proposed, 'nein fünf')).toBe(true);
    expect(german.couldContinue(READING, 'der messwert ist zwei und')).toBe(true);
  });
});
