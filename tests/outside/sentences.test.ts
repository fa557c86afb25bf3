/**
 * Sentences against outside rules: ASD-STE100 word counts (at most 20 in a procedure), one instruction a
 * sentence, signal word first; and units as they are spoken (SI names, common practice).
 */
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import type { Plan } from '../../electron/core/plan/model.ts';
import { planJob } from '../../electron/core/plan/plan-job.ts';
import { proofText, provePlan } from '../../electron/core/plan/proof.ts';
import { spokenText } from '../../electron/core/plan/spoken-text.ts';
import {
  checkSentence,
  countWordsSte,
  MAX_PROCEDURAL_WORDS,
} from '../../electron/core/product/controlled-english.ts';
import type { Product } from '../../electron/core/product/model.ts';
import { readProduct } from '../../electron/core/product/read-product.ts';
import { randomProduct, randomRequest } from '../properties/random-product.ts';

const FOLDER = new URL('../../procedures/', import.meta.url);

function demoUnits(): readonly Product[] {
  return readdirSync(FOLDER)
    .filter((name) => name.endsWith('.yaml'))
    .map((name) => {
      const { product } = readProduct(readFileSync(new URL(name, FOLDER), 'utf8'), name);
      if (product === undefined || product === null) throw new Error(`${name} does not read`);
      return product;
    });
}

/** Every combination of answers. */
function answersOf(unit: Product): readonly Readonly<Record<string, string>>[] {
  return unit.variants.reduce<readonly Readonly<Record<string, string>>[]>(
    (all, v) => all.flatMap((given) => v.answers.map((answer) => ({ ...given, [v.id]: answer }))),
    [{}],
  );
}

/** Each replaceable part alone, then all of them in one job, for every answer. */
function plansOf(unit: Product): readonly Plan[] {
  const ids = unit.parts.filter((p) => p.replaceable).map((p) => p.id);
  return [...ids.map((id) => [id]), ids].flatMap((replace) =>
    answersOf(unit).map((variants) => {
      const planned = planJob(unit, { replace, variants });
      if (!planned.ok) throw new Error(`${unit.id} ${replace.join()}: ${JSON.stringify(planned.error)}`);
      return planned.value;
    }),
  );
}

function checkPlan(plan: Plan): void {
  for (const step of plan.steps) {
    for (const edition of ['early', 'late'] as const) {
      for (const words of countWordsSte(step.say, edition)) {
        expect(words, step.say).toBeLessThanOrEqual(MAX_PROCEDURAL_WORDS);
      }
    }
    const several = checkSentence(step.say).filter((f) => f.code === 'text/several-instructions');
    expect(several, step.say).toEqual([]);
    for (const caution of step.cautions) {
      expect(caution.say.toLowerCase().startsWith(caution.word), caution.say).toBe(true);
      expect(caution.say.indexOf(caution.hazard)).toBeLessThan(caution.say.indexOf(caution.avoid));
    }
    const spoken = spokenText(step.say);
    expect(spoken, 'figures and signs are words when spoken').not.toMatch(/[×·°Ω±≤≥µ“”]|(?<![\p{L}-])\d/u);
  }
}

describe('every sentence of the demo units', () => {
  const units = demoUnits();
  test('there are demo units', () => {
    expect(units.length).toBeGreaterThanOrEqual(3);
  });
  for (const unit of units) {
    test(`${unit.id}: all jobs are proven and their sentences keep the rules`, () => {
      for (const plan of plansOf(unit)) {
        expect(provePlan(unit, plan).map((violation) => proofText(violation))).toEqual([]);
        expect(plan.order.exact).toBe(true);
        checkPlan(plan);
      }
    });
  }
});

test('every sentence of random units (seeds 1 to 120)', () => {
  for (let seed = 1; seed <= 120; seed += 1) {
    const unit = randomProduct(seed, { parts: 1 + (seed % 15) });
    const planned = planJob(unit, randomRequest(unit, seed));
    if (!planned.ok) throw new Error(`seed ${seed}`);
    checkPlan(planned.value);
  }
});

describe('spoken forms', () => {
  test.each([
    ['M2.5×8', 'M two point five by eight'],
    ['0.4 N·m', 'zero point four newton metres'],
    ['1 N·m', 'one newton metre'],
    ['M8×1', 'M eight by one'],
    ['3.7 V', 'three point seven volts'],
    ['0.05 Ω', 'zero point zero five ohms'],
    ['2 MΩ', 'two megohms'],
    ['-5 °C', 'minus five degrees Celsius'],
    ['25 °C ±2 °C', 'twenty-five degrees Celsius plus or minus two degrees Celsius'],
    ['90°', 'ninety degrees'],
    ['12 ml/min', 'twelve millilitres per minute'],
    ['Take the 4 mm hex key.', 'Take the four millimetre hex key.'],
    ['1,200 rpm', 'one thousand two hundred revolutions per minute'],
    ['Keep to this order: 1, 3, 2, 4.', 'Keep to this order: one, three, two, four.'],
    ['the T8 screwdriver', 'the T eight screwdriver'],
    ['Say “note”', 'Say note'],
    ['connector J4-12A of the BP-60', 'connector J4-12A of the BP-60'],
    ['12.75 %', 'twelve point seven five percent'],
    ['at 4 mm from the edge', 'at four millimetres from the edge'],
    ['≤ 5 V', 'at most five volts'],
    ['≥2 MΩ', 'at least two megohms'],
    ['5 – 7 mm', 'five to seven millimetres'],
    ['M10×1.5×30', 'M ten by one point five by thirty'],
    ['2×4 mm', 'two by four millimetres'],
    ['12,345.5 V', 'twelve thousand three hundred forty-five point five volts'],
    ['−3', 'minus three'],
    ['PH2', 'P H two'],
  ])('%s', (printed, spoken) => {
    expect(spokenText(printed)).toBe(spoken);
  });

  // 1 N·m = 8.850745791327 lbf·in = 0.737562149277 lbf·ft (exact definitions; agrees with NIST SP 811).
  test.each([
    ['1.2 N·m', 'ten point six inch pounds'],
    ['25 N·m', 'eighteen point four foot pounds'],
    ['0.25 N·m', 'two point two one inch pounds'],
    ['1,000 N·m', 'seven hundred thirty-eight foot pounds'],
    ['20 N·m', 'fourteen point eight foot pounds'],
    ['19.9 Nm', 'one hundred seventy-six inch pounds'],
    ['5 V', 'five volts'],
  ])('%s in inch or foot pounds', (printed, spoken) => {
    expect(spokenText(printed, { imperial: true })).toBe(spoken);
  });
});
