/**
 * The practice of two minutes, done by doing what it says and nothing else: every phrase that is spoken here was
 * named aloud before. Speech counts by the word, at the pace of the embedded voice.
 */
import { describe, expect, it } from 'vitest';
import { planJob } from '../../electron/core/plan/plan-job.ts';
import { readProduct } from '../../electron/core/product/read-product.ts';
import { Bench } from '../core/job/bench.ts';
import { shipped } from './render-app.tsx';

/** Measured with the embedded voice at its usual rate: 341 ms a word. */
const MS_PER_WORD = 350;
/** To think, to say a phrase, and for it to be understood. */
const PHRASE_MS = 2000;
/** Folding four corners, and fetching a sheet. */
const HANDS_MS = 15_000;

const DONE_BY_ITS_WORDS: readonly (readonly [phrase: string, at: string])[] = [
  ['next', 'prepare.get-materials'],
  ['next', 'prepare.set-out-tray'],
  ['repeat', 'prepare.repeat-try'],
  ['next', 'prepare.repeat-try'],
  ['back', 'prepare.back-try'],
  ['next', 'prepare.repeat-try'],
  ['next', 'prepare.back-try'],
  ['understood', 'remove.corners'],
  ['screw count', 'remove.corners'],
  ['next', 'remove.corners'],
  ['next', 'replace.sheet.old'],
  ['next', 'replace.sheet.new'],
  ['next', 'install.corners'],
  ['next', 'check.count-tray'],
  ['problem', 'check.problem-try'],
  ['no', 'check.problem-try'],
  ['next', 'check.problem-try'],
  ['yes', 'check.problem-try'],
];

function practice(): Bench {
  const { product } = readProduct(shipped('practice.yaml'), 'practice.yaml');
  const plan = product === undefined ? undefined : planJob(product, { replace: ['sheet'], variants: {} });
  if (plan?.ok !== true) throw new Error('no plan of the practice');
  return new Bench(plan.value, { verbosity: 'full' });
}

describe('the practice', () => {
  it('names each phrase aloud before it is wanted, and is over in two minutes', () => {
    const bench = practice();
    let heard = bench.said;
    let words = heard.split(/\s+/).length;
    const hear = (): void => {
      heard += ` ${bench.said}`;
      words += bench.said.split(/\s+/).filter((word) => word !== '').length;
    };
    for (const [phrase, at] of DONE_BY_ITS_WORDS) {
      expect(bench.at).toBe(at);
      if (phrase === 'understood') bench.spoken();
      // A plain question needs no word taught.
      if (phrase === 'yes') expect(bench.said).toMatch(/\?$/);
      else expect(heard, phrase).toMatch(new RegExp(`\\b${phrase}\\b`));
      bench.hear(phrase);
      hear();
    }
    expect(bench.records.at(-1)?.event).toBe('job.finished');
    expect(words * MS_PER_WORD + DONE_BY_ITS_WORDS.length * PHRASE_MS + HANDS_MS).toBeLessThan(120_000);
  });

  it('begins with how to go on, and says so once', () => {
    const bench = practice();
    expect(bench.said).toContain('Say next when it is done.');
    bench.hear('repeat');
    expect(bench.said).toContain('Say next when it is done.');
    bench.hear('next');
    expect(bench.said).not.toContain('when it is done');
  });
});
