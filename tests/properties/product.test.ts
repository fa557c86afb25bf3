/**
 * Whatever the text: a product or an error with a place, never an exception.
 *
 * Run more with STEPCALLER_FUZZ_RUNS=1000000; choose another beginning with STEPCALLER_FUZZ_SEED.
 */
import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { randomFromSeed } from '../../electron/core/base/random.ts';
import { cyclesOf } from '../../electron/core/product/check-order.ts';
import { countWordsSte } from '../../electron/core/product/controlled-english.ts';
import { readProduct } from '../../electron/core/product/read-product.ts';
import { parseYamlDocument } from '../../electron/core/product/yaml-document.ts';
import { SMALL_FILE } from '../core/product/small-file.ts';
import { expectAnswered, mutated } from './product-mutations.ts';
import { LEAST_FILE, TINY_FILE } from './small-files.ts';

const RUNS = Number(process.env.STEPCALLER_FUZZ_RUNS ?? 10_000);
const SEED = Number(process.env.STEPCALLER_FUZZ_SEED ?? 20_261_125);

describe(`damaged files (seed ${SEED})`, () => {
  it(`answers ${RUNS} damaged copies of two small files`, { timeout: 60_000 + RUNS * 20 }, () => {
    const codes = new Map<string, number>();
    let readable = 0;
    for (let run = 0; run < RUNS; run++) {
      const text = mutated(run % 3 === 0 ? TINY_FILE : LEAST_FILE, randomFromSeed(SEED + run));
      try {
        const found = expectAnswered(text);
        if (found.length === 0) readable++;
        for (const code of new Set(found)) codes.set(code, (codes.get(code) ?? 0) + 1);
      } catch (error) {
        throw new Error(`seed ${SEED + run}: ${String(error)}\n${text}`, { cause: error });
      }
    }
    // The damage reaches every stage: syntax, shape, references, order, and files that survive it.
    for (const code of [
      'yaml/not-yaml',
      'product/unknown-key',
      'product/unknown-fastener',
      'product/duplicate-id',
    ]) {
      expect(codes.get(code) ?? 0, code).toBeGreaterThan(RUNS / 1000);
    }
    expect(codes.size).toBeGreaterThan(40);
    expect(readable).toBeLessThan(RUNS / 2);
  });

  it.each(['wt-3.yaml', 'bp-60.yaml', 'dp-8.yaml'])(
    'answers damaged copies of %s',
    { timeout: 120_000 },
    (name) => {
      const text = readFileSync(new URL(`../../procedures/${name}`, import.meta.url), 'utf8');
      fc.assert(
        fc.property(fc.integer(), (seed) => {
          expectAnswered(mutated(text, randomFromSeed(seed)));
        }),
        { seed: SEED, numRuns: Math.max(20, Math.floor(RUNS / 400)) },
      );
    },
  );

  it.each([
    // A mapping after `do:` was put into a message with String(), which throws for an object without prototype.
    ['an action that is a mapping', 'checks: [do: {id: e, do: measure}]\nstepcaller: 1\n'],
  ])('still answers what once failed: %s', (_what, text) => {
    expect(expectAnswered(text)).not.toEqual([]);
  });

  it('answers the small file cut at every line', () => {
    const lines = SMALL_FILE.split('\n');
    for (let n = 0; n <= lines.length; n++) expectAnswered(lines.slice(0, n).join('\n'));
  });

  it('answers the tiny file with each line left out, and finds something wrong with nearly every one', () => {
    const lines = TINY_FILE.trimEnd().split('\n');
    const silent = lines.filter(
      (_, n) =>
        !expectAnswered(lines.filter((__, i) => i !== n).join('\n')).some(
          (code) => code !== 'product/no-expected-time' && code !== 'product/torque-without-torque-tool',
        ),
    );
    expect(silent).toEqual([
      expect.stringContaining('mirrors: a'),
      '    needs: [lid]',
      expect.stringContaining('checks:'),
    ]);
  });
});

describe('any text', () => {
  it('is answered', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary', maxLength: 200 }), (text) => {
        expectAnswered(text);
      }),
      { seed: SEED, numRuns: 500 },
    );
  });

  it('made of YAML’s own characters is answered', () => {
    const unit = fc.constantFrom(...' \t\n\r-?:,[]{}#&*!|>\'"%@`ab1.~<=\\'.split(''), '\ufeff', 'é');
    fc.assert(
      fc.property(fc.string({ unit, maxLength: 60 }), (text) => {
        expectAnswered(text);
      }),
      { seed: SEED, numRuns: 2000 },
    );
  });

  it('of JSON values is read as those values', () => {
    const key = fc
      .string({ unit: 'grapheme-ascii', minLength: 1, maxLength: 8 })
      .filter((each) => !['__proto__', 'constructor', 'prototype', '<<'].includes(each));
    const scalar = fc.oneof(fc.string({ maxLength: 20 }), fc.integer(), fc.boolean(), fc.constant(null));
    const tree = fc.letrec((tie) => ({
      value: fc.oneof(
        { maxDepth: 4 },
        scalar,
        fc.array(tie('value'), { maxLength: 4 }),
        fc.dictionary(key, tie('value'), { maxKeys: 4 }),
      ),
    })).value;
    fc.assert(
      fc.property(tree, (value) => {
        const document = parseYamlDocument(JSON.stringify(value, null, 1), 'a');
        expect(document.diagnostics).toEqual([]);
        expect(JSON.parse(JSON.stringify(document.value))).toEqual(JSON.parse(JSON.stringify(value)));
      }),
      { seed: SEED, numRuns: 300 },
    );
  });
});

describe('laws', () => {
  it('reading twice gives the same', () => {
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        const text = mutated(TINY_FILE, randomFromSeed(seed));
        expect(readProduct(text, 'a')).toEqual(readProduct(text, 'a'));
      }),
      { seed: SEED, numRuns: 100 },
    );
  });

  it('a graph has cycles exactly if no order of its nodes respects its edges', () => {
    const graph = fc.integer({ min: 1, max: 7 }).chain((size) =>
      fc
        .array(fc.tuple(fc.integer({ min: 0, max: size - 1 }), fc.integer({ min: 0, max: size - 1 })), {
          maxLength: 12,
        })
        .map((edges) => ({ size, edges })),
    );
    fc.assert(
      fc.property(graph, ({ size, edges }) => {
        const nodes = Array.from({ length: size }, (_, i) => String(i));
        const out = (node: string) =>
          edges.filter(([from]) => String(from) === node).map(([, to]) => String(to));
        const cycles = cyclesOf(nodes, out);
        // Kahn: take away nodes without edges to what is left.
        let left = nodes;
        for (let before = -1; before !== left.length; ) {
          before = left.length;
          left = left.filter((node) => out(node).some((to) => left.includes(to)));
        }
        expect(cycles.length > 0).toBe(left.length > 0);
        for (const cycle of cycles) {
          for (const [i, node] of cycle.entries()) expect(out(node)).toContain(cycle[(i + 1) % cycle.length]);
        }
      }),
      { seed: SEED, numRuns: 500 },
    );
  });

  it('counts no fewer words in the early edition than in the late one', () => {
    const word = fc.constantFrom(
      'remove',
      'the',
      'quick-release',
      're-install',
      'J4-12A',
      '1.2',
      'N·m',
      'pin',
      '(see',
      'figure)',
      'then.',
      'so:',
      '-',
    );
    fc.assert(
      fc.property(fc.array(word, { maxLength: 20 }), (words) => {
        const text = words.join(' ');
        const early = countWordsSte(text, 'early');
        const late = countWordsSte(text, 'late');
        expect(early.length).toBe(late.length);
        for (const [i, count] of early.entries()) expect(count).toBeGreaterThanOrEqual(late[i] ?? 0);
      }),
      { seed: SEED, numRuns: 500 },
    );
  });
});
