/**
 * Files at the limit of size, made so that a careless check would take minutes: each is answered with
 * findings. There is no clock here; a check that grows with the square runs into the time-out.
 */
import { describe, expect, it } from 'vitest';
import { readProduct } from '../../../electron/core/product/read-product.ts';
import { SMALL_FILE } from './small-file.ts';

const at = SMALL_FILE.indexOf('  - id: sink');
const many = (count: number, line: (i: number) => string) =>
  Array.from({ length: count }, (_, i) => line(i)).join('');
const withParts = (count: number, line: (i: number) => string) =>
  SMALL_FILE.slice(0, at) + many(count, line) + SMALL_FILE.slice(at);
const free = (i: number) => `steps: [{id: s${i}, do: lift-out, expected_s: 1}]`;

describe('large files are answered', { timeout: 60_000 }, () => {
  it.each([
    ['60,000 unknown keys', SMALL_FILE + many(60_000, (i) => `key${i}: 1\n`), 'product/unknown-key'],
    [
      '9,900 parts that need parts that are not there',
      withParts(9900, (i) => `  - {id: p${i}, name: part ${i}, needs: [q${i}], ${free(i)}}\n`),
      'product/unknown-part',
    ],
    [
      '480 parts that need all before them',
      withParts(
        480,
        (i) => `  - {id: p${i}, name: part ${i}, needs: [${many(i, (j) => `p${j}, `)}], ${free(i)}}\n`,
      ),
      'product/redundant-need',
    ],
  ])('%s', (_what, text, code) => {
    expect(text.length).toBeLessThan(1_000_000);
    const { diagnostics } = readProduct(text, 'large.yaml');
    expect(diagnostics.map((each) => each.code)).toContain(code);
    expect(diagnostics.length).toBeLessThanOrEqual(501);
  });
});
