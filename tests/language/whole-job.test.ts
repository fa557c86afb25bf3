/** Whole jobs in the pseudo-locale: nothing that is shown or spoken comes from anywhere but the table and the author. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { type Language, languageOf } from '../../electron/core/base/language.ts';
import { randomFromSeed } from '../../electron/core/base/random.ts';
import { allowedNow } from '../../electron/core/job/allowed.ts';
import { openJob, step } from '../../electron/core/job/engine.ts';
import { whatCanISay } from '../../electron/core/job/grammar.ts';
import type { Effect, JobInput } from '../../electron/core/job/model.ts';
import type { JobState } from '../../electron/core/job/state.ts';
import { viewOf } from '../../electron/core/job/view.ts';
import type { Plan } from '../../electron/core/plan/model.ts';
import { planJob } from '../../electron/core/plan/plan-job.ts';
import { spokenText } from '../../electron/core/plan/spoken-text.ts';
import type { Product } from '../../electron/core/product/model.ts';
import { readProduct } from '../../electron/core/product/read-product.ts';
import { randomInput } from '../properties/random-input.ts';
import { outsideBrackets, pseudoTable } from './pseudo-locale.ts';

const FILES = ['wt-3', 'bp-60', 'dp-8', 'practice'];
const INPUTS = 400;

function textOf(file: string): string {
  return readFileSync(new URL(`../../procedures/${file}.yaml`, import.meta.url), 'utf8');
}

function productOf(file: string): Product {
  const { product } = readProduct(textOf(file), `${file}.yaml`);
  if (product === undefined) throw new Error(`assertion failed: ${file} has errors`);
  return product;
}

/** All parts at once, so that every step of the unit is in the plan. */
function planOf(product: Product, language: Language): Plan {
  const replace = product.parts.filter((part) => part.replaceable).map((part) => part.id);
  const variants = Object.fromEntries(product.variants.map((one) => [one.id, one.answers[0] ?? '']));
  const planned = planJob(product, { replace, variants }, language);
  if (!planned.ok) throw new Error(JSON.stringify(planned.error));
  return planned.value;
}

/** Pieces with letters that stand outside brackets and that no product file has. */
function foreign(text: string, author: string): readonly string[] {
  const given = author.replaceAll(/[\s"'\\>|]+/g, ' ').toLowerCase();
  return outsideBrackets(text)
    .split(/[.!?:,;·×±≤≥()“”"']|\s{2,}|\d+/u)
    .map((piece) => piece.trim().toLowerCase())
    .filter((piece) => /\p{L}{2,}/u.test(piece) && !given.includes(piece));
}

/** Everything a plan shows. */
function shownBy(plan: Plan): readonly string[] {
  return [
    ...plan.steps.flatMap((one) => [one.say, ...one.cautions.map((caution) => caution.say)]),
    ...plan.job_cautions.map((caution) => caution.say),
    ...plan.tray.map((place) => place.label),
  ];
}

/** Everything that is said and shown while a job runs by chance. */
function heardIn(plan: Plan, language: Language, seed: number): readonly string[] {
  const random = randomFromSeed(seed);
  const options = { words: language };
  const texts: string[] = [];
  let last = 1;
  const take = (effects: readonly Effect[], state: JobState): void => {
    for (const effect of effects)
      if (effect.type === 'say') {
        texts.push(effect.text, spokenText(effect.text, {}, language));
        texts.push(spokenText(effect.text, { imperial: true }, language));
        last = effect.utterance;
      }
    const view = viewOf(plan, state, state.at_ms, language);
    texts.push(view.prompt, view.question?.text ?? '', view.refusal_text ?? '');
    const marks = { attentionWord: false, talkKey: true };
    texts.push(whatCanISay(allowedNow(plan, state), language, marks));
  };
  const opened = openJob(plan, { technician: '⟦A⟧', verbosity: 'trainee' }, options);
  let { state } = opened;
  take(opened.effects, state);
  for (let i = 0; i < INPUTS && state.outcome === null; i += 1) {
    const caution = state.caution?.status === 'reading' ? state.caution.utterance : undefined;
    const input: JobInput =
      caution === undefined
        ? bracketed(randomInput(random, plan, state, last))
        : { type: 'spoken', atMs: state.at_ms + 500, utterance: caution, outcome: 'completed' };
    const after = step(plan, state, input, options);
    state = after.state;
    take(after.effects, state);
  }
  return texts;
}

/** What people type or spell counts as theirs. */
function bracketed(input: JobInput): JobInput {
  if (input.type === 'text') return { ...input, value: `⟦${input.value}⟧` };
  if (input.type === 'hand-over' || input.type === 'sign-off')
    return { ...input, person: `⟦${input.person}⟧` };
  return input;
}

describe('a whole job in another language', () => {
  const language = languageOf(pseudoTable());

  it('would show a word that is written into code', () => {
    expect(foreign('⟦Ţáķé⟧ the screw count', 'the fan')).toEqual(['the screw count']);
    expect(foreign('⟦Ţáķé⟧ the fan 4 N·m. ⟦…⟧', 'the fan')).toEqual([]);
  });

  it.each(FILES)('says and shows nothing of %s that is not from the table or the author', (file) => {
    const author = textOf(file);
    const plan = planOf(productOf(file), language);
    const texts = new Set(shownBy(plan));
    for (const seed of [1, 2, 3]) for (const text of heardIn(plan, language, seed)) texts.add(text);
    const found = [...texts].flatMap((text) => foreign(text, author).map((piece) => `${piece} ← ${text}`));
    expect(found).toEqual([]);
    expect([...texts].filter((text) => text.includes('⟦')).length).toBeGreaterThan(plan.steps.length / 2);
  });

  it('keeps the language of its plan by tag, English without one', () => {
    const product = productOf('practice');
    expect(planOf(product, language).language).toBe('en-XA');
    expect('language' in planOf(product, languageOf(pseudoTable('en')))).toBe(false);
  });

  it('has the same steps, times, tray and order as in English', () => {
    for (const file of FILES) {
      const product = productOf(file);
      const english = planOf(product, languageOf(pseudoTable('en')));
      const other = planOf(product, language);
      expect(other.steps.map((one) => [one.id, one.expected_s, one.tool])).toEqual(
        english.steps.map((one) => [one.id, one.expected_s, one.tool]),
      );
      expect(other.order).toEqual(english.order);
    }
  });
});

describe('numbers by locale', () => {
  const comma = languageOf(pseudoTable('de-XA'));

  it('stand with the decimal sign of the language in sentences, and are said with its word', () => {
    const plan = planOf(productOf('wt-3'), comma);
    const says = plan.steps.map((one) => one.say).join(' ');
    expect(says).toMatch(/\d,\d+ N·m/);
    expect(says).not.toMatch(/\d\.\d+ N·m/);
    const spoken = spokenText('0,4 N·m', {}, comma);
    expect(spoken).toContain('ñéŵţöñ');
    expect(spoken).toContain('pöíñţ');
    expect(spoken).not.toMatch(/\d/);
  });

  it('are turned into inch pounds with the same decimal sign', () => {
    expect(spokenText('1,2 N·m', { imperial: true }, comma)).toContain('íñçĥ pöüñđ');
    expect(spokenText('1,2 N·m', { imperial: true }, comma)).not.toMatch(/\d/);
  });
});
