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
