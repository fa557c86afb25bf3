/** What `check` finds about the answers that questions about the unit offer. */
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readProduct } from '../../../electron/core/product/read-product.ts';
import { wordsOfGraph } from '../../../electron/ear-node/vocabulary.ts';

const FOLDER = new URL('../../../procedures/', import.meta.url);
const WORDS = wordsOfGraph(readFileSync(new URL('../../../models/en/graph/Gr.fst', import.meta.url)));

function findingsFor(answers: string, words: ReadonlySet<string> | undefined = WORDS): readonly string[] {
  const text = `stepcaller: 1
id: lamp-1
name: Bench lamp
revision: 1
summary: A lamp to try answers with.
start_side: front
variants: [{id: kind, ask: Which kind is it?, answers: [${answers}]}]
parts: [{id: lid, name: lid, steps: [{id: lid-off, do: lift-out, expected_s: 5, when: {kind: ${answers.split(',')[0]}}}]}]
`;
  const knowsWord = words === undefined ? undefined : (word: string) => words.has(word);
  const { diagnostics } = readProduct(text, 'lamp.yaml', knowsWord);
  return diagnostics
    .filter(({ code }) => code.startsWith('product/answer'))
    .map(({ code, facts, place }) => `${code} ${Object.values(facts).join('/')} ${place?.line}`);
}

describe('offered answers', () => {
  it('that are words of their own are well', () => {
    expect(findingsFor('plastic, steel')).toEqual([]);
    expect(findingsFor('yes, no')).toEqual([]);
  });

  it('that sound alike are found', () => {
    expect(findingsFor('plastic, plastics')).toEqual(['product/answers-sound-alike plastics/plastic 7']);
  });

  it('that sound like a command are found', () => {
    expect(findingsFor('step, steel')).toEqual(['product/answer-like-command step/stop 7']);
  });

  it('with words that the recogniser lacks are found, where its vocabulary is known', () => {
    expect(findingsFor('"4", six')).toEqual(['product/answer-not-heard 4/4 7']);
    expect(findingsFor('blue qzx, six')).toEqual(['product/answer-not-heard blue qzx/qzx 7']);
    expect(findingsFor('blue qzx, six', new Set(['blue', 'six', 'qzx']))).toEqual([]);
    expect(readProduct('', 'nothing.yaml').diagnostics.length).toBe(1);
  });

  it('of the project’s own product files are all heard and told apart', () => {
    const files = readdirSync(FOLDER).filter((file) => file.endsWith('.yaml'));
    expect(files.length).toBeGreaterThanOrEqual(3);
    for (const file of files) {
      const { diagnostics } = readProduct(readFileSync(new URL(file, FOLDER), 'utf8'), file, (word) =>
        WORDS.has(word),
      );
      expect(
        diagnostics.filter(({ code }) => code.startsWith('product/answer')),
        file,
      ).toEqual([]);
    }
  });
});
