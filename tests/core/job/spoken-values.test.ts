/**
 * Numbers, codes and likeness of phrases: the forms at the edges. Ordinary English usage, from memory, no source;
 * written against changes of the readers that no other test noticed.
 */
import { describe, expect, it } from 'vitest';
import { checkCharacter, checkCharacterFits } from '../../../electron/core/job/check-digits.ts';
import { closestPairs, likeness, phonemesOf } from '../../../electron/core/job/confusability.ts';
import { couldContinue, grammarVocabulary, understand } from '../../../electron/core/job/grammar.ts';
import type { Allowed } from '../../../electron/core/job/model.ts';
import { exchanged, normaliseCode, parseCode, speakCode } from '../../../electron/core/job/spelled-codes.ts';
import {
  MAX_DIGITS,
  parseNumber,
  parseQuantity,
  speakNumber,
} from '../../../electron/core/job/spoken-numbers.ts';

const numberOf = (text: string): number | undefined => {
  const said = parseNumber(text);
  return said?.kind === 'value' ? said.value : undefined;
};

describe('numbers said aloud', () => {
  it.each([
    ['a hundred', 100],
    ['hundred and five', 105],
    ['two hundred and one', 201],
    ['thousand', 1000],
    ['a thousand', 1000],
    ['a thousand and one', 1001],
    ['nine hundred thousand', 900_000],
    ['a million', 1_000_000],
    ['one million and one', 1_000_001],
    ['two million three hundred thousand and four', 2_300_004],
    ['two million a hundred thousand', 2_100_000],
    ['ninety nine hundred', 9900],
    ['nineteen oh five', 1905],
    ['twenty oh one', 2001],
    ['one oh', 10],
    ['nine ninety nine', 999],
    ['twenty five twenty', 2520],
    ['twenty ten', 2010],
    ['two dozen', 24],
    ['dozen', 12],
    ['plus four', 4],
    ['three point fifteen', 3.15],
    ['three point twenty one', 3.21],
    ['zero point zero zero five', 0.005],
    ['half', 0.5],
    ['a quarter', 0.25],
    ['three quarters', 0.75],
    ['twelve and a quarter', 12.25],
    ['one hundred and one and a half', 101.5],
    ['minus one and a half', -1.5],
    ['one-oh-five', 105],
    [' Three,  point two ', 3.2],
  ])('"%s" is %d', (text, expected) => {
    expect(numberOf(text)).toBe(expected);
  });

  it.each([
    ['a million a thousand', 'a thousand stands alone only'],
    ['zero fifteen', 'what begins with nought is no pair'],
    ['two thousand twelve hundred', 'two ways of saying thousands'],
    ['two thousand and zero', 'nothing follows'],
    ['twelve hundred thousand', 'too many thousands'],
    ['zero thousand', 'none of them'],
    ['zero hundred', 'none of them'],
    ['one hundred and zero', 'nothing follows'],
    ['and one hundred', 'nothing stands before'],
    ['a', 'no number'],
    ['a five', 'no number'],
    ['twenty zero', 'no unit'],
    ['twenty fifteen oh five', 'two pairs'],
    ['thirty forty', 'two numbers'],
    ['thousand million', 'the wrong way round'],
    ['five million million', 'twice'],
    ['zero dozen', 'none of them'],
    ['screws dozen', 'no number'],
    ['five and a third', 'no exact decimal'],
    ['point five and a half', 'two fractions'],
    ['three point five hundred', 'no digits'],
    ['three point and', 'no digits'],
    ['screws point five', 'no number'],
    ['minus', 'nothing follows'],
    ['plus plus one', 'two signs'],
    ['constructor', 'a name of the language'],
  ])('"%s" is refused: %s', (text) => {
    expect(parseNumber(text)).toBeUndefined();
  });

  it('has twelve digits at most, before the point and after it', () => {
    const digits = (count: number): string => Array.from({ length: count }, () => 'one').join(' ');
    expect(numberOf(digits(MAX_DIGITS))).toBe(111_111_111_111);
    expect(numberOf(digits(MAX_DIGITS + 1))).toBeUndefined();
    expect(numberOf(`two point ${digits(MAX_DIGITS)}`)).toBe(2.111111111111);
    expect(numberOf(`two point ${digits(MAX_DIGITS + 1)}`)).toBeUndefined();
  });

  it('is never minus nought', () => {
    expect(Object.is(numberOf('minus zero'), 0)).toBe(true);
  });

  it('"to" between two numbers is a range in either direction; where one side is none, nothing', () => {
    expect(parseNumber('minus two to five point five')).toEqual({ kind: 'range', low: -2, high: 5.5 });
    expect(parseNumber('twelve to ten')).toEqual({ kind: 'range', low: 12, high: 10 });
    expect(parseNumber('screws to ten')).toBeUndefined();
    expect(parseNumber('ten to screws')).toBeUndefined();
  });

  it('takes the longest unit that is one', () => {
    expect(parseQuantity('four kilo ohms')).toEqual({ value: 4, unit: 'kΩ' });
    expect(parseQuantity('four volts')).toEqual({ value: 4, unit: 'V' });
    expect(parseQuantity('volts')).toBeUndefined();
    expect(parseQuantity('four volts volts')).toBeUndefined();
    expect(parseQuantity('')).toBeUndefined();
  });
});

describe('numbers spoken', () => {
  it.each([
    [0, 'zero'],
    [-0, 'zero'],
    [9, 'nine'],
    [10, 'ten'],
    [19, 'nineteen'],
    [20, 'twenty'],
    [99, 'ninety nine'],
    [100, 'one hundred'],
    [110, 'one hundred and ten'],
    [1000, 'one thousand'],
    [1099, 'one thousand and ninety nine'],
    [1100, 'one thousand one hundred'],
    [100_001, 'one hundred thousand and one'],
    [1_000_000, 'one million'],
    [1_000_100, 'one million one hundred'],
    [2_003_000, 'two million three thousand'],
    [
      999_999_999,
      'nine hundred and ninety nine million nine hundred and ninety nine thousand nine hundred and ninety nine',
    ],
    [1_000_000_000, 'one zero zero zero zero zero zero zero zero zero'],
    [0.05, 'zero point zero five'],
    [-0.5, 'minus zero point five'],
    [2.5, 'two point five'],
    [Number.NaN, ''],
    [Number.POSITIVE_INFINITY, ''],
    [1e21, ''],
  ])('%d is "%s"', (value, text) => {
    expect(speakNumber(value)).toBe(text);
  });

  it('round to the decimals asked for, ten at most, and what rounds to nought has no sign', () => {
    expect(speakNumber(2.345, 1)).toBe('two point three');
    expect(speakNumber(2.345, 0)).toBe('two');
    expect(speakNumber(2.345, -3)).toBe('two');
    expect(speakNumber(-0.04, 1)).toBe('zero');
    expect(speakNumber(0.12345678912, 99)).toBe(
      'zero point one two three four five six seven eight nine one',
    );
  });
});

describe('codes spelled', () => {
  it.each([
    ['capital alfa bravo', 'AB'],
    ['x ray x-ray', 'XX'],
    ['triple five treble alfa', '555AAA'],
    ['oh niner dash slash dot', '09-/.'],
    ['h l r', 'HLR'],
    ['alfa, bravo', 'AB'],
  ])('"%s" is %s', (text, code) => {
    expect(parseCode(text)).toBe(code);
  });

  it.each(['capital five', 'capital', 'double', 'double double five', 'alfa banana', 'm', '', 'constructor'])(
    '"%s" is none',
    (text) => {
      expect(parseCode(text)).toBeUndefined();
    },
  );

  it('are 64 signs long at most', () => {
    const alfas = (count: number): string => Array.from({ length: count }, () => 'alfa').join(' ');
    expect(parseCode(alfas(64))).toBe('A'.repeat(64));
    expect(parseCode(alfas(65))).toBeUndefined();
    expect(parseCode(`${alfas(63)} double five`)).toBeUndefined();
  });

  it('are read aloud sign by sign, others left out', () => {
    expect(speakCode('ab-1')).toBe('alfa bravo dash one');
    expect(speakCode('A B_2')).toBe('alfa bravo two');
  });

  it('are kept in capitals without spaces, or not at all', () => {
    expect(normaliseCode(' ab 12-3./x ')).toBe('AB12-3./X');
    expect(normaliseCode('AB_1')).toBeUndefined();
    expect(normaliseCode('')).toBeUndefined();
    expect(normaliseCode('ä1')).toBeUndefined();
  });

  it('one character is exchanged where it is there just once', () => {
    expect(exchanged('A9B', '5', '9')).toBe('A5B');
    expect(exchanged('A99', '5', '9')).toBeUndefined();
    expect(exchanged('A1', '5', '9')).toBeUndefined();
    expect(exchanged('A9', undefined, '9')).toBeUndefined();
    expect(exchanged('A9', '5', undefined)).toBeUndefined();
    expect(exchanged('A9', '55', '9')).toBeUndefined();
    expect(exchanged('A99', '5', '99')).toBeUndefined();
  });
});

describe('likeness of phrases', () => {
  it('is one for the same sounds, nought where there are none, never outside', () => {
    expect(likeness('next', 'next')).toBe(1);
    expect(likeness('Next', '  next ')).toBe(1);
    expect(likeness('next', '')).toBe(0);
    expect(likeness('', 'next')).toBe(0);
    expect(likeness('no', 'start listening')).toBeGreaterThanOrEqual(0);
    expect(likeness('no', 'start listening')).toBeLessThan(0.3);
  });

  // pit, bit: one of three sounds by voicing; pit, kit: of one manner; pit, pat: a vowel; pit, sit: nothing in common.
  it.each([
    ['pit', 'bit', 1 - 0.3 / 3],
    ['pit', 'kit', 1 - 0.7 / 3],
    ['pot', 'pit', 1 - 0.5 / 3],
    ['pit', 'mit', 1 - 1 / 3],
    ['pit', 'it', 1 - 1 / 3],
    ['it', 'pit', 1 - 1 / 3],
    ['pit', 'pits', 1 - 1 / 4],
  ])('%s and %s', (first, second, expected) => {
    expect(likeness(first, second)).toBeCloseTo(expected, 10);
    expect(likeness(second, first)).toBeCloseTo(expected, 10);
  });

  it('knows words by the table and others by their letters', () => {
    expect(phonemesOf('  Back  ')).toEqual(['B', 'AE', 'K']);
    expect(phonemesOf('back bar')).toEqual(['B', 'AE', 'K', 'B', 'AA', 'R']);
    expect(phonemesOf('constructor').length).toBeGreaterThan(5);
    expect(phonemesOf('')).toEqual([]);
  });

  it('lists pairs, most alike first, without those that mean the same', () => {
    const pairs = closestPairs(['kit', 'pit', 'bit', 'mit'], (a, b) => a === 'kit' && b === 'mit');
    expect(pairs.map(({ first, second }) => `${first} ${second}`)).toEqual([
      'pit bit',
      'kit pit',
      'kit bit',
      'bit mit',
      'pit mit',
    ]);
  });
});

describe('corrections', () => {
  const READ: Allowed = {
    phrases: ['yes', 'no'],
    number: 'reading',
    spelling: false,
    answers: [],
    proposed: '3.9',
  };

  it('have one right and one wrong character, no more and no fewer', () => {
    expect(understand(READ, 'no five not nine')).toEqual({ type: 'reading', value: 3.5 });
    for (const text of [
      'no five not',
      'no not nine',
      'no five',
      'no five not nine not three',
      'no five not six',
    ])
      expect([text, understand(READ, text)]).toEqual([text, undefined]);
  });

  it('are of a reading or a code only', () => {
    for (const number of ['none', 'bare'] as const)
      expect(understand({ ...READ, number }, 'no five not nine')).toBeUndefined();
  });
});

describe('what the grammar is made of', () => {
  it('is told whole, each word once', () => {
    const words = grammarVocabulary();
    expect(words.length).toBeGreaterThan(150);
    expect(new Set(words).size).toBe(words.length);
    for (const word of ['next', 'seventeen', 'alfa', 'volts', 'not']) expect(words).toContain(word);
  });

  it('goes on only where something longer is allowed', () => {
    const allowed: Allowed = { phrases: ['understood'], number: 'none', spelling: false, answers: [] };
    expect(couldContinue(allowed, 'understood')).toBe(false);
    expect(couldContinue(allowed, 'twenty')).toBe(false);
    expect(couldContinue(allowed, 'under')).toBe(false);
  });
});

describe('check characters', () => {
  it('are of figures only where the system is, and of nothing where there is no code', () => {
    for (const body of ['12A4', 'A', '1-2', ''])
      for (const kind of ['luhn', 'iso7064-mod11-10'] as const)
        expect([kind, body, checkCharacter(kind, body)]).toEqual([kind, body, undefined]);
    expect(checkCharacter('iso7064-mod37-36', 'ab')).toBeUndefined();
    expect(checkCharacterFits('luhn', '7')).toBe(false);
    expect(checkCharacterFits('luhn', '-.')).toBe(false);
    expect(checkCharacterFits('none', '')).toBe(true);
  });
});
