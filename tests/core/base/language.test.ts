/** Numbers and nouns of English as its table makes them. Ordinary usage, from memory, no source. */
import { describe, expect, it } from 'vitest';
import { compiled, ENGLISH, heardLanguage, languageOf } from '../../../electron/core/base/language.ts';
import { ENGLISH_TABLE } from '../../../electron/core/base/language-table.ts';
import { numberRules } from '../../../electron/core/base/message.ts';
import { assert, err, ok, unreachable } from '../../../electron/core/base/result.ts';

// Made anew from its table, not taken from the one that the program made at its start.
const { numbers, nouns } = languageOf({ ...ENGLISH_TABLE });

describe('numbers in words', () => {
  it.each([
    [0, 'zero'],
    [12, 'twelve'],
    [19, 'nineteen'],
    [20, 'twenty'],
    [21, 'twenty-one'],
    [99, 'ninety-nine'],
    [100, 'one hundred'],
    [101, 'one hundred one'],
    [342, 'three hundred forty-two'],
    [1000, 'one thousand'],
    [1100, 'one thousand one hundred'],
    [12_345, 'twelve thousand three hundred forty-five'],
    [999_999, 'nine hundred ninety-nine thousand nine hundred ninety-nine'],
    [1_000_000, '1000000'],
    [-7, 'seven'],
    [2.9, 'two'],
  ])('%d: %s', (value, words) => {
    expect(numbers.whole(value)).toBe(words);
  });

  it.each([
    ['2.5', 'two point five'],
    ['0,25', 'zero point two five'],
    ['10.05', 'ten point zero five'],
    ['−0.05', 'minus zero point zero five'],
    ['-3', 'minus three'],
    ['+4', 'four'],
    ['5.', 'five'],
    ['.5', 'zero point five'],
  ])('printed "%s": %s', (text, words) => {
    expect(numbers.printed(text)).toBe(words);
  });

  it('counts are words up to twelve, orders up to tenth', () => {
    expect([1, 12, 13, 100].map(numbers.count)).toEqual(['one', 'twelve', '13', '100']);
    expect([1, 2, 10, 11, 30].map(numbers.ordinal)).toEqual([
      'first',
      'second',
      'tenth',
      'number 11',
      'number 30',
    ]);
    expect(numbers.negative('four')).toBe('minus four');
  });

  it('another table has its own irregular words and its own way to put them together', () => {
    const other = languageOf({
      ...ENGLISH_TABLE,
      language: { ...ENGLISH_TABLE.language, tag: 'de' },
      numbers: {
        ...ENGLISH_TABLE.numbers,
        irregular: { '1': 'ein', '100': 'hundert' },
        'below-hundred': '{ones}und{tens}',
        'largest-count-in-words': 3,
      },
    }).numbers;
    expect([1, 100, 21, 121].map(other.whole)).toEqual([
      'ein',
      'hundert',
      'oneundtwenty',
      'ein hundred oneundtwenty',
    ]);
    expect([3, 4, 4.5].map(other.count)).toEqual(['three', '4', '4,5']);
  });

  it('a table whose words for hundreds and thousands bend with their number is given it', () => {
    const bent = languageOf({
      ...ENGLISH_TABLE,
      numbers: {
        ...ENGLISH_TABLE.numbers,
        hundreds: '{n, plural, one {a hundred} other {{hundreds} hundreds}} {rest}',
        thousands: '{n, plural, one {a thousand} other {{thousands} thousands}} {rest}',
      },
    }).numbers;
    expect([105, 205, 1005, 3005].map((n) => bent.whole(n))).toEqual([
      'a hundred five',
      'two hundreds five',
      'a thousand five',
      'three thousands five',
    ]);
    // Only a sign in front is one.
    for (const text of ['1-2', '5−']) expect(bent.printed(text)).not.toContain('minus');
  });
});

describe('nouns', () => {
  it.each([
    ['screw', 'screws'],
    ['case screw', 'case screws'],
    ['box', 'boxes'],
    ['boss', 'bosses'],
    ['switch', 'switches'],
    ['brush', 'brushes'],
    ['battery', 'batteries'],
    ['key', 'keys'],
    ['tray', 'trays'],
    ['Lid', 'Lids'],
    ['screws', 'screws'],
    ['CASE SCREWS', 'CASE SCREWS'],
  ])('of %s: %s', (one, many) => {
    expect(nouns.plural(one)).toBe(many);
  });

  it.each([
    ['screws', 'screw'],
    ['case screws', 'case screw'],
    ['Case Screws', 'Case Screw'],
    ['SCREWS', 'SCREW'],
    ['lid', 'lid'],
    ['batteries', 'batteries'],
  ])('one of %s: %s', (many, one) => {
    expect(nouns.singular(many)).toBe(one);
  });

  it('a word of another kind stands in for a whole plural that is irregular', () => {
    const odd = languageOf({
      ...ENGLISH_TABLE,
      grammar: { ...ENGLISH_TABLE.grammar, 'plural-words': { feet: 'foot' }, plurals: [] },
    }).nouns;
    expect([odd.singular('rubber feet'), odd.plural('feet'), odd.plural('lid')]).toEqual([
      'rubber foot',
      'feet',
      'lid',
    ]);
  });

  it('look like several by their head, not by what follows it', () => {
    for (const name of ['screws', 'screws of the lid', 'clips for cables'])
      expect([name, nouns.looksPlural(name)]).toEqual([name, true]);
    for (const name of ['side of the screws', 'glass', 'lens', 'bus', 'chassis', 'lid', 's'])
      expect([name, nouns.looksPlural(name)]).toEqual([name, false]);
  });

  it('have articles and determiners as words of their own', () => {
    for (const name of ['the lid', 'a lid', 'The lid', 'your lid', 'all screws'])
      expect([name, nouns.hasDeterminer(name)]).toEqual([name, true]);
    for (const name of ['lid', 'theatre lid', 'the'])
      expect([name, nouns.hasDeterminer(name)]).toEqual([name, false]);
    expect(['the lid', 'The  lid', 'a lid', 'theatre'].map(nouns.withoutArticle)).toEqual([
      'lid',
      'lid',
      'a lid',
      'theatre',
    ]);
  });

  it('have prepositions as words of their own, the longer ones whole', () => {
    for (const place of ['at the left', 'under the lid', 'left of the fan', 'Inside it'])
      expect([place, nouns.hasPreposition(place)]).toEqual([place, true]);
    for (const place of ['left side', 'atlas', 'lid', 'left'])
      expect([place, nouns.hasPreposition(place)]).toEqual([place, false]);
  });

  it.each([
    ['Remove the lid.', 'Remove it.'],
    ['Lift the lid', 'Lift it'],
    ['Lift out the lid.', 'Lift it out.'],
    ['Slide in the lid fully.', 'Slide it in fully.'],
    ['Remove the lid, then wait.', 'Remove it, then wait.'],
    ['Remove the lids.', 'Remove the lids.'],
    ['Slowly remove the lid.', 'Slowly remove the lid.'],
    ['Remove the (lid).', 'Remove the (lid).'],
  ])('in "%s" as a pronoun: %s', (text, shorter) => {
    expect(nouns.withPronoun(text, 'the lid', 'it')).toBe(shorter);
  });

  it('with signs in them are taken as they stand', () => {
    expect(nouns.withPronoun('Remove the J4 (A+B).', 'the J4 (A+B)', 'it')).toBe('Remove it.');
    expect(nouns.withPronoun('Remove the J4 AAB.', 'the J4 (A+B)', 'it')).toBe('Remove the J4 AAB.');
  });

  it('of a language without any such words have none', () => {
    const bare = languageOf({
      ...ENGLISH_TABLE,
      grammar: {
        ...ENGLISH_TABLE.grammar,
        articles: [],
        determiners: [],
        prepositions: [],
        'plural-words': {},
        'plural-endings': [],
      },
    }).nouns;
    expect(bare.hasDeterminer('the lid')).toBe(false);
    expect(bare.hasPreposition('at the left')).toBe(false);
    expect(bare.withoutArticle('the lid')).toBe('the lid');
    expect(bare.looksPlural('screws')).toBe(false);
    expect(bare.singular('screws')).toBe('screws');
  });
});

describe('a language', () => {
  it('is compiled once for its table, and heard as English where it has no model', () => {
    const table = { ...ENGLISH_TABLE };
    expect(languageOf(table)).toBe(languageOf(table));
    const other = languageOf({ ...ENGLISH_TABLE, language: { tag: 'xx', name: 'X', direction: 'ltr' } });
    expect(heardLanguage(other)).toBe(ENGLISH);
    expect(other.phrases).toBe(ENGLISH_TABLE.phrases);
    const own = languageOf({
      ...ENGLISH_TABLE,
      language: { tag: 'xx', name: 'X', direction: 'ltr', model: 'xx' },
    });
    expect(heardLanguage(own)).toBe(own);
  });

  it('has its texts as messages, lists as they are, groups inside', () => {
    const made = compiled({ a: '{n} x', list: ['{n}'], group: { b: 'plain' } }, numberRules('en'));
    expect([made.a({ n: 2 }), made.list, made.group.b()]).toEqual(['2 x', ['{n}'], 'plain']);
  });
});

describe('results and assertions', () => {
  it('carry their value or their error', () => {
    expect([ok(1), err('x')]).toEqual([
      { ok: true, value: 1 },
      { ok: false, error: 'x' },
    ]);
  });

  it('name the fact that does not hold', () => {
    expect(() => assert(true, 'a')).not.toThrow();
    expect(() => assert(0, 'steps above 0, got 0')).toThrow('assertion failed: steps above 0, got 0');
    expect(() => unreachable({ kind: 'x' } as never, 'a switch')).toThrow(
      'unreachable value in a switch: {"kind":"x"}',
    );
  });
});
