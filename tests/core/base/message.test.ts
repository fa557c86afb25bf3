/** Patterns of messages at the edges: blanks, apostrophes, and where a fault lies. */
import { describe, expect, it } from 'vitest';
import { compileMessage, numberRules, placesOf } from '../../../electron/core/base/message.ts';

const fill = (pattern: string, facts = {}): string => compileMessage(pattern, numberRules('en'))(facts);

describe('a pattern', () => {
  it('may have blanks around names, cases and ends', () => {
    expect(fill('{ n , plural , one {# bolt}  other {# bolts} }!', { n: 2 })).toBe('2 bolts!');
    expect(fill('{k, select, a {x}\n other {y}\n}z', { k: 'a' })).toBe('xz');
  });

  it('takes an apostrophe as quoting before a brace only, and only with its end', () => {
    expect(fill("a 'b' {n}", { n: 1 })).toBe("a 'b' 1");
    expect(fill("'{'{n}'}'", { n: 1 })).toBe('{1}');
    expect(fill("it''s {n}", { n: 1 })).toBe("it's 1");
  });

  it.each([
    ['{a', 'at character 3'],
    ['{n, plural, other {x}', 'at character 22'],
    ['ab{', 'at character 4'],
  ])('%s: its fault is told %s', (pattern, place) => {
    const places = placesOf(pattern);
    expect(places.ok ? '' : places.error).toContain(place);
  });

  it('names the places of all its cases', () => {
    expect(placesOf('{k, select, a {{x}} other {{n, plural, other {{y}}}}}')).toEqual({
      ok: true,
      value: ['k', 'n', 'x', 'y'],
    });
  });

  it('tells plurals of halves, of less than nothing and of much by their own rule', () => {
    const rules = numberRules('en');
    expect([1, 1.5, -1, 0, 1000].map(rules.category)).toEqual(['one', 'other', 'one', 'other', 'other']);
    expect([1, 1].map(rules.category)).toEqual(['one', 'one']);
  });
});

describe('facts', () => {
  const german = numberRules('de');
  it('of every kind are shown: truth, lists, numbers in them', () => {
    expect(fill('{a} {b}', { a: true, b: false })).toBe('true false');
    expect(compileMessage('{list}', german)({ list: [1.5, 'x', 2] })).toBe('1,5, x, 2');
    expect(fill('{a}|{b}|{c}', { a: undefined, b: null, c: '' })).toBe('||');
    expect(fill('{n, number, integer}', { n: 2.5 })).toBe('3');
    expect(placesOf('{n, number, whole}')).toMatchObject({
      ok: false,
      error: expect.stringContaining('integer'),
    });
  });

  it('take the case "other" where there is none of their own', () => {
    // Polish has one, few and many: by the language data of the runtime.
    const polish = compileMessage('{n, plural, one {a} other {b}}', numberRules('pl'));
    expect([1, 3, 5].map((n) => polish({ n }))).toEqual(['a', 'b', 'b']);
    expect(fill('{k, select, a {x} other {y}}', { k: 'z' })).toBe('y');
    expect(fill('{k, select, true {x} other {y}}', { k: true })).toBe('x');
    expect(fill('{k, select, none {x} other {y}}', { k: [] })).toBe('x');
    expect(fill('{k, select, none {x} other {y}}', { k: ['a'] })).toBe('y');
  });

  it('# is a sign outside of plurals, and the number of the plural in a select inside one', () => {
    expect(fill('#{n}', { n: 1 })).toBe('#1');
    expect(fill('{k, select, other {#}}', {})).toBe('#');
    expect(fill('{n, plural, other {{k, select, other {#}}}}', { n: 7 })).toBe('7');
    expect(fill('{n, plural, other {# {m, plural, other {#}}}}', { n: 7, m: 8 })).toBe('7 8');
  });

  it('stand in patterns of any number of pieces, in order', () => {
    const pieces = ['{a}', '-', '{b}', '+', '{c}', '.'];
    const facts = { a: 1, b: 2, c: 3 };
    const whole = '1-2+3.';
    for (let count = 0; count <= pieces.length; count += 1)
      expect(fill(pieces.slice(0, count).join(''), facts)).toBe(whole.slice(0, count));
  });

  it('a pattern that cannot be read stands as it is', () => {
    expect(fill('{a', { a: 1 })).toBe('{a');
    expect(fill('a}', { a: 1 })).toBe('a}');
    expect(placesOf('{k, select, a {x}}')).toMatchObject({ error: expect.stringContaining('"other"') });
    expect(placesOf('{k, choice, a {x}}')).toMatchObject({ error: '"choice" is not known' });
    expect(placesOf(`${'{k, select, other {'.repeat(6)}x${'}}'.repeat(6)}`)).toMatchObject({
      error: 'nested too deep',
    });
    expect(placesOf(`${'{k, select, other {'.repeat(5)}x${'}}'.repeat(5)}`).ok).toBe(true);
    expect(placesOf('{k, select, {x}}')).toMatchObject({
      error: expect.stringContaining('the name of a case is missing'),
    });
  });
});
