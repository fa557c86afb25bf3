/** All words of the engine stand in one table, and the table can be exchanged for another language. */
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { languageOf } from '../../../electron/core/base/language.ts';
import { randomFromSeed } from '../../../electron/core/base/random.ts';
import { openJob, step } from '../../../electron/core/job/engine.ts';
import type { Effect } from '../../../electron/core/job/model.ts';
import {
  durationInWords,
  ENGLISH,
  fill,
  type WordKey,
  type Words,
} from '../../../electron/core/job/prompts.ts';
import { viewOf } from '../../../electron/core/job/view.ts';
import { pseudoTable } from '../../language/pseudo-locale.ts';
import { randomInput } from '../../properties/random-input.ts';
import { randomPlan } from '../../properties/random-plan.ts';

const KEYS = Object.keys(ENGLISH.prompts) as WordKey[];
/** What is left plain is not from the table. */
const PSEUDO: Words = languageOf(pseudoTable());

function says(effects: readonly Effect[]): readonly string[] {
  return effects.filter((effect) => effect.type === 'say').map((effect) => effect.text);
}

describe('the table of words', () => {
  it('fills in facts, agrees with numbers, and leaves nothing open', () => {
    expect(fill(ENGLISH, 'job.reopened', { n: 3, m: 12 })).toBe('Welcome back. This is step 3 of 12.');
    expect(fill(ENGLISH, 'time.minutes', { n: 1 })).toBe('1 minute');
    expect(fill(ENGLISH, 'time.minutes', { n: 5 })).toBe('5 minutes');
    expect(fill(ENGLISH, 'answer.passes', { count: 3, list: '1, 2, 3' })).toBe('3 passes: 1, 2, 3 N·m.');
    for (const key of KEYS)
      expect([key, fill(ENGLISH, key)]).toEqual([key, expect.not.stringMatching(/[{}]/)]);
  });

  it('puts facts in as they are, whatever they look like', () => {
    expect(fill(ENGLISH, 'answer.signed', { name: '$& {n} <b>' })).toBe(
      'Signed off by $& {n} <b>. Say next to go on.',
    );
  });

  it('says lengths of time in whole minutes', () => {
    for (const [ms, text] of [
      [0, 'less than a minute'],
      [59_999, 'less than a minute'],
      [60_000, '1 minute'],
      [3_600_000, '1 hour'],
      [3_660_000, '1 hour 1 minute'],
      [7_500_000, '2 hours 5 minutes'],
      [-5, 'less than a minute'],
    ] as const) {
      expect(durationInWords(ENGLISH, ms)).toBe(text);
    }
  });

  it('keeps sentences to twenty words, in the imperative or plain', () => {
    for (const key of KEYS) {
      for (const sentence of fill(ENGLISH, key).split(/[.?!:]/)) {
        const count = sentence.trim().split(/\s+/).length;
        expect([key, sentence, count <= 20]).toEqual([key, sentence, true]);
      }
    }
  });

  it('can be exchanged whole: every text is made of the other table and of the plan', () => {
    let others = 0;
    for (let seed = 1; seed <= 60; seed += 1) {
      const random = randomFromSeed(seed);
      const plan = randomPlan(random);
      const options = { words: PSEUDO };
      const own = new Set([...plan.steps.map((one) => one.say), ...plan.steps.map((one) => one.why)]);
      const cautions = [...plan.job_cautions, ...plan.steps.flatMap((one) => one.cautions)].map(
        (one) => one.say,
      );
      const isPlan = (text: string): boolean =>
        own.has(text) || [...cautions, ...own].some((one) => one !== null && text.startsWith(one));
      const opened = openJob(plan, { technician: 'Technician A', verbosity: 'trainee' }, options);
      let state = opened.state;
      let last = 1;
      for (let i = 0; i < 80; i += 1) {
        const after = step(plan, state, randomInput(random, plan, state, last), options);
        state = after.state;
        for (const text of [...says(after.effects), viewOf(plan, state, state.at_ms, PSEUDO).prompt]) {
          if (text.includes('⟦')) others += 1;
          else expect([seed, text, isPlan(text)]).toEqual([seed, text, true]);
        }
        last = after.effects.reduce((n, effect) => (effect.type === 'say' ? effect.utterance : n), last);
      }
    }
    expect(others).toBeGreaterThan(500);
  });
});

describe('the numbered rules', () => {
  const read = (path: string): string => readFileSync(new URL(path, import.meta.url), 'utf8');
  const stated = [...read('../../../electron/core/job/engine.ts').matchAll(/^ \* (S\d+) {1,2}\S/gm)].map(
    (m) => m[1],
  );

  it('stand at the head of the engine without a gap', () => {
    expect(stated).toEqual(stated.map((_, i) => `S${i + 1}`));
    expect(stated.length).toBeGreaterThan(20);
  });

  it('have each a test with its number in the title', () => {
    const folders = ['./', '../../properties/'];
    const tests = folders.flatMap((folder) =>
      readdirSync(new URL(folder, import.meta.url))
        .filter((file) => file.endsWith('.test.ts'))
        .map((file) => read(folder + file)),
    );
    const titles = tests.flatMap((text) => [...text.matchAll(/\bit\('([^']+)'/g)].map((m) => m[1] ?? ''));
    const tested = new Set(titles.flatMap((title) => title.match(/\bS\d+\b/g) ?? []));
    expect(stated.filter((rule) => rule !== undefined && !tested.has(rule))).toEqual([]);
    expect([...tested].filter((rule) => !stated.includes(rule))).toEqual([]);
  });
});
