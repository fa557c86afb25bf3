/** Patterns of messages: places, plurals, cases, quoting, and what is wrong with a pattern. */
import { describe, expect, it } from 'vitest';
import { compileMessage, numberRules, placesOf, printedIn } from '../../electron/core/base/message.ts';

const ENGLISH = numberRules('en');
const fill = (pattern: string, facts = {}, tag = 'en'): string =>
  compileMessage(pattern, tag === 'en' ? ENGLISH : numberRules(tag))(facts);

describe('a pattern', () => {
  it('puts facts in as they are, and nothing where there is none', () => {
    expect(fill('{a}-{b}{c}', { a: 'x', b: 2.5 })).toBe('x-2.5');
    expect(fill('{a}', { a: '{b} $& <i>' })).toBe('{b} $& <i>');
    expect(fill('{list}', { list: ['a', 1.5, 'c'] })).toBe('a, 1.5, c');
  });

  it('chooses plurals by exact number first, then by category', () => {
    const steps = '{n, plural, =0 {no steps} one {# step} other {# steps}}';
    expect([0, 1, 2, 1.5, 300].map((n) => fill(steps, { n }))).toEqual([
      'no steps',
      '1 step',
      '2 steps',
      '1.5 steps',
      '300 steps',
    ]);
  });

  // Cardinal categories of CLDR 46, "Language Plural Rules": pl 1 one, 2–4 few, 5–21 many, 22–24 few; ar 0 zero,
  // 2 two, 3–10 few, 11–99 many, 100 other. From memory.
  it('follows the plural rules of its language', () => {
    const categories = '{n, plural, zero {zero} one {one} two {two} few {few} many {many} other {other}}';
    const of = (tag: string, ...numbers: number[]) => numbers.map((n) => fill(categories, { n }, tag));
    expect(of('pl', 1, 2, 4, 5, 12, 22)).toEqual(['one', 'few', 'few', 'many', 'many', 'few']);
    expect(of('ar', 0, 1, 2, 3, 11, 100)).toEqual(['zero', 'one', 'two', 'few', 'many', 'other']);
    expect(of('ja', 0, 1, 2)).toEqual(['other', 'other', 'other']);
  });

  it('chooses cases by a fact; none where it is missing or empty', () => {
    const pattern = '{kind, select, none {nothing} screw {it: {kind}} other {them}}';
    expect(fill(pattern)).toBe('nothing');
    expect(fill(pattern, { kind: '' })).toBe('nothing');
    expect(fill(pattern, { kind: [] })).toBe('nothing');
    expect(fill(pattern, { kind: 'screw' })).toBe('it: screw');
    expect(fill(pattern, { kind: 'nut' })).toBe('them');
    expect(fill('{on, select, true {yes} other {no}}', { on: true })).toBe('yes');
  });

  it('nests, and # is the number of the plural around it', () => {
    const pattern = '{a, plural, one {one} other {{b, select, x {# of x} other {#}}}}';
    expect(fill(pattern, { a: 3, b: 'x' })).toBe('3 of x');
    expect(fill('# is a sign here', {})).toBe('# is a sign here');
  });

  it('takes apostrophes as they stand, braces in them as signs', () => {
    expect(fill("the person's code")).toBe("the person's code");
    expect(fill("it''s '{'n'}' {n}", { n: 1 })).toBe("it's {n} 1");
  });

  it('writes numbers with the decimal sign of its language', () => {
    expect(fill('{x} {y, number, integer}', { x: 0.4, y: 2.7 }, 'de')).toBe('0,4 3');
    expect(printedIn(numberRules('fr'), 1234.5)).toBe('1234,5');
    expect(printedIn(numberRules('no such tag'), 1.5)).toBe('1.5');
  });

  it.each([
    ['{', 'place'],
    ['{a', '"," is missing'],
    ['}', 'has no "{"'],
    ['{a, plural, one {x}}', 'no case "other"'],
    ['{a, date}', 'not known'],
    ['{a, plural, other {x}', '"}" is missing'],
    [`${'{a, select, other {'.repeat(7)}${'}}'.repeat(7)}`, 'too deep'],
  ])('that reads %s is told to be wrong, and shown as it stands', (pattern, words) => {
    const places = placesOf(pattern);
    expect(places.ok).toBe(false);
    if (!places.ok) expect(places.error).toContain(words);
    expect(fill(pattern)).toBe(pattern);
  });

  it('tells its places', () => {
    const places = placesOf('{b} {a, plural, one {# {c}} other {{b}}}');
    expect(places).toEqual({ ok: true, value: ['a', 'b', 'c'] });
  });
});
