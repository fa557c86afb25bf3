/**
 * Numbers and codes heard in another language, from its table alone. The words are Esperanto's: regular, with one
 * word for each digit and power, and a decimal comma. From memory.
 */
import { describe, expect, it } from 'vitest';
import { ENGLISH, type Language, languageOf } from '../../../electron/core/base/language.ts';
import { ENGLISH_TABLE, type NumberWords } from '../../../electron/core/base/language-table.ts';
import { grammarOf } from '../../../electron/core/job/grammar.ts';
import { codeHearing } from '../../../electron/core/job/heard-codes.ts';
import { comparable, MAX_NUMBER_WORDS, numberHearing } from '../../../electron/core/job/heard-numbers.ts';
import type { Allowed } from '../../../electron/core/job/model.ts';
import { parseCode } from '../../../electron/core/job/spelled-codes.ts';
import { parseNumber } from '../../../electron/core/job/spoken-numbers.ts';

const DIGITS = ['nul', 'unu', 'du', 'tri', 'kvar', 'kvin', 'ses', 'sep', 'ok', 'naŭ'];
const LETTERS = Object.fromEntries(
  [...'ABCDEFGHIJKLMNOPQRSTUVWXYZ'].map((letter) => [letter, `${letter.toLowerCase()}o`]),
);
const NUMBERS: NumberWords = {
  ...ENGLISH_TABLE.numbers,
  ones: [...DIGITS, 'dek', ...DIGITS.slice(1).map((digit) => `dek ${digit}`)],
  tens: DIGITS.slice(2).map((digit) => `${digit}dek`),
  'below-hundred': '{tens} {ones}',
  hundreds: '{hundreds, select, unu {cent} other {{hundreds}cent}}{rest, select, none {} other { {rest}}}',
  thousands: '{thousands, select, unu {mil} other {{thousands} mil}}{rest, select, none {} other { {rest}}}',
  irregular: {},
  decimal: '{whole} komo {digits}',
  minus: 'minus {number}',
  letters: { ...LETTERS, A: 'Granda A', B: 'granda' },
  signs: { '-': 'streko', '/': 'oblikva streko' },
};
const speaking = (numbers: NumberWords): Language =>
  languageOf({
    ...ENGLISH_TABLE,
    language: { tag: 'eo', name: 'Esperanto', direction: 'ltr', model: 'eo' },
    numbers,
    phrases: { ...ENGLISH_TABLE.phrases, 'other-words': { nulo: 'nul', kvino: 'kvin', banano: 'pomo' } },
  });
const LANGUAGE = speaking(NUMBERS);
const numbers = numberHearing(LANGUAGE);
const valueOfText = (text: string): number | undefined => {
  const said = numbers.parse(text);
  return said?.kind === 'value' ? said.value : undefined;
};

describe('numbers of another language', () => {
  it.each([
    ['nul', 0],
    ['kvin', 5],
    ['dek', 10],
    ['dek unu', 11],
    ['dudek tri', 23],
    ['cent', 100],
    ['cent kvin', 105],
    ['unu nul kvin', 105],
    ['mil naŭcent', 1900],
    ['naŭ mil naŭcent naŭdek naŭ', 9999],
    ['tri komo du kvin', 3.25],
    ['tri komo dudek kvin', 3.25],
    ['nul komo nul kvin', 0.05],
    ['cent komo dek', 100.1],
    ['minus kvar', -4],
    ['minus tri komo du', -3.2],
    ['minus nul', 0],
    [' Dudek-Tri ', 23],
    ['nulo komo kvino', 0.5],
    ['unu du tri kvar kvin ses sep ok naŭ unu du tri', 123_456_789_123],
  ])('"%s" is %d', (text, value) => {
    expect(valueOfText(text)).toBe(value);
  });

  it('is never minus nought', () => {
    expect(Object.is(valueOfText('minus nul'), 0)).toBe(true);
  });

  it.each([
    '',
    'pomo',
    'banano',
    'minus',
    'minus minus unu',
    'komo kvin',
    'tri komo',
    'komo',
    'tri komo du komo kvin',
    'tri komo cent',
    'tri komo pomo',
    'dudek dudek',
    'dek mil',
    'unu du tri kvar kvin ses sep ok naŭ unu du tri kvar',
    'twenty',
  ])('"%s" is none', (text) => {
    expect(numbers.parse(text)).toBeUndefined();
  });

  it('put each of their words once into the grammar', () => {
    expect(new Set(numbers.words).size).toBe(numbers.words.length);
    expect(numbers.words.length).toBeLessThanOrEqual(MAX_NUMBER_WORDS);
    expect(numbers.words).toEqual(
      expect.arrayContaining([...DIGITS, 'dek', 'naŭdek', 'cent', 'naŭcent', 'mil', 'komo', 'minus']),
    );
    expect(numbers.words.every((word) => word !== '' && !word.includes(' '))).toBe(true);
    expect([...numbers.known].sort()).toEqual([...numbers.words, 'banano', 'kvino', 'nulo'].sort());
  });

  it('written as one word each are heard digit by digit, and whole where they are said whole', () => {
    const joined = numberHearing(speaking({ ...NUMBERS, 'below-hundred': '{ones}kaj{tens}' }));
    expect([...joined.words].sort()).toEqual([...DIGITS, 'komo', 'minus'].sort());
    expect(joined.parse('trikajdudek')).toEqual({ kind: 'value', value: 23 });
    expect(joined.parse('du tri')).toEqual({ kind: 'value', value: 23 });
  });

  it('that are said alike are none of them', () => {
    const doubtful = numberHearing(speaking({ ...NUMBERS, irregular: { '21': 'dudek du' } }));
    expect(doubtful.parse('dudek du')).toBeUndefined();
    expect(doubtful.parse('dudek tri')).toEqual({ kind: 'value', value: 23 });
  });

  it('a sign may stand behind, and the digits before the comma', () => {
    const behind = numberHearing(speaking({ ...NUMBERS, minus: '{number} sub nul' }));
    expect(behind.parse('kvar sub nul')).toEqual({ kind: 'value', value: -4 });
    expect(behind.parse('sub nul')).toBeUndefined();
  });

  it('English has an ear of its own', () => {
    expect(numberHearing(ENGLISH).parse).toBe(parseNumber);
    expect(numberHearing(speaking(ENGLISH_TABLE.numbers)).parse).toBe(parseNumber);
    expect(comparable('  The  READING-is,  3 ')).toBe('the reading is 3');
  });
});

describe('codes of another language', () => {
  const codes = codeHearing(LANGUAGE);

  it.each([
    ['co do unu', 'CD1'],
    ['Granda A', 'A'],
    ['granda', 'B'],
    ['granda granda a co', 'BAC'],
    ['co streko du oblikva streko tri', 'C-2/3'],
    ['nulo kvino', '05'],
  ])('"%s" is %s', (text, code) => {
    expect(codes.parse(text)).toBe(code);
  });

  it.each(['', 'pomo', 'co pomo', 'a', 'oblikva', 'dek', 'banano', 'alfa'])('"%s" is none', (text) => {
    expect(codes.parse(text)).toBeUndefined();
  });

  it('are 64 signs long at most', () => {
    const said = (count: number): string => Array.from({ length: count }, () => 'co').join(' ');
    expect(codes.parse(said(64))).toBe('C'.repeat(64));
    expect(codes.parse(said(65))).toBeUndefined();
  });

  it('name their words for the grammar, and know the others that mean the same', () => {
    expect(codes.words).toEqual(expect.arrayContaining(['granda a', 'co', 'naŭ', 'oblikva streko']));
    expect(codes.words).not.toContain('nulo');
    for (const word of ['nulo', 'granda', 'a', 'oblikva']) expect(codes.known.has(word)).toBe(true);
    expect(codes.known.has('banano')).toBe(false);
    expect(codes.known.has('dek')).toBe(false);
  });

  it('English has an ear of its own, also where only the figures are other words', () => {
    expect(codeHearing(ENGLISH).parse).toBe(parseCode);
    const figures = codeHearing(speaking({ ...NUMBERS, letters: ENGLISH_TABLE.numbers.letters }));
    expect(figures.parse('alfa kvin')).toBe('A5');
  });
});

describe('the grammar of another language', () => {
  const grammar = grammarOf(LANGUAGE);
  const allow = (given: Partial<Allowed>): Allowed => ({
    phrases: ['next'],
    number: 'none',
    spelling: false,
    answers: [],
    ...given,
  });
  const READING = allow({ number: 'reading', phrases: ['reading'] });

  it('is made once, and is that of English where the ear has no model', () => {
    expect(grammarOf(LANGUAGE)).toBe(grammar);
    const deaf = languageOf({
      ...ENGLISH_TABLE,
      language: { tag: 'xx', name: 'X', direction: 'ltr' },
      numbers: NUMBERS,
    });
    expect(grammarOf(deaf)).toBe(grammarOf(ENGLISH));
  });

  it('understands readings with and without a unit, bare numbers and codes', () => {
    expect(grammar.understand(READING, 'the reading is dudek tri volts')).toEqual({
      type: 'reading',
      value: 23,
      unit: 'V',
    });
    expect(grammar.understand(READING, 'the reading is minus tri komo du')).toEqual({
      type: 'reading',
      value: -3.2,
    });
    for (const text of ['the reading is pomo', 'the reading is volts', 'the reading is twenty', 'dudek tri'])
      expect([text, grammar.understand(READING, text)]).toEqual([text, undefined]);
    expect(grammar.understand(allow({ number: 'bare' }), 'dudek')).toEqual({ type: 'number', value: 20 });
    expect(grammar.understand(allow({ number: 'bare' }), 'twenty')).toBeUndefined();
    expect(grammar.understand(allow({ spelling: true }), 'serial is co unu')).toEqual({
      type: 'serial',
      value: 'C1',
    });
  });

  it('takes corrections in its own words', () => {
    expect(grammar.understand({ ...READING, proposed: '3.9' }, 'no kvin not naŭ')).toEqual({
      type: 'reading',
      value: 3.5,
    });
    expect(grammar.understand({ ...READING, proposed: '3.9' }, 'no five not nine')).toBeUndefined();
  });

  it('lists its own words where they may follow, and goes on only with those', () => {
    expect(grammar.grammarPhrases(READING)).toEqual(expect.arrayContaining(['naŭcent', 'komo', 'volts']));
    expect(grammar.grammarPhrases(READING)).not.toContain('seventeen');
    expect(grammar.grammarPhrases(allow({ spelling: true }))).toEqual(
      expect.arrayContaining(['serial is', 'co', 'granda a']),
    );
    expect(grammar.couldContinue(READING, 'the reading is dudek')).toBe(true);
    expect(grammar.couldContinue(READING, 'the reading is twenty')).toBe(false);
    expect(grammar.openingWordCount(READING, 'the reading is dudek')).toBe(3);
    expect(grammar.vocabulary()).toEqual(expect.arrayContaining(['next', 'naŭdek', 'granda']));
  });
});
