/**
 * Fails when two phrases that may be said at the same time sound too alike. Pronunciations are our own, in
 * the usual two-letter notation of American English phones, stress left out.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { understand } from '../../electron/core/job/grammar.ts';
import { readProduct } from '../../electron/core/product/read-product.ts';
import { SITUATIONS, type Situation } from '../bench/ear-trials.ts';

const PHONES: Readonly<Record<string, string>> = {
  again: 'AH G EH N',
  alpha: 'AE L F AH',
  am: 'AE M',
  back: 'B AE K',
  blocked: 'B L AA K T',
  broken: 'B R OW K AH N',
  can: 'K AE N',
  caution: 'K AO SH AH N',
  clear: 'K L IH R',
  count: 'K AW N T',
  does: 'D AH Z',
  eight: 'EY T',
  else: 'EH L S',
  extra: 'EH K S T R AH',
  finish: 'F IH N IH SH',
  fit: 'F IH T',
  five: 'F AY V',
  four: 'F AO R',
  go: 'G OW',
  help: 'HH EH L P',
  how: 'HH AW',
  i: 'AY',
  injury: 'IH N JH ER IY',
  is: 'IH Z',
  listening: 'L IH S AH N IH NG',
  long: 'L AO NG',
  lost: 'L AO S T',
  many: 'M EH N IY',
  missing: 'M IH S IH NG',
  next: 'N EH K S T',
  nine: 'N AY N',
  no: 'N OW',
  not: 'N AA T',
  note: 'N OW T',
  one: 'W AH N',
  part: 'P AA R T',
  pause: 'P AO Z',
  plastic: 'P L AE S T IH K',
  problem: 'P R AA B L AH M',
  repeat: 'R IH P IY T',
  resume: 'R IH Z UW M',
  say: 'S EY',
  screw: 'S K R UW',
  screws: 'S K R UW Z',
  seven: 'S EH V AH N',
  six: 'S IH K S',
  sixteen: 'S IH K S T IY N',
  skip: 'S K IH P',
  slower: 'S L OW ER',
  something: 'S AH M TH IH NG',
  start: 'S T AA R T',
  steel: 'S T IY L',
  step: 'S T EH P',
  stop: 'S T AA P',
  stripped: 'S T R IH P T',
  ten: 'T EH N',
  three: 'TH R IY',
  tool: 'T UW L',
  torque: 'T AO R K',
  twelve: 'T W EH L V',
  twenty: 'T W EH N T IY',
  two: 'T UW',
  understood: 'AH N D ER S T UH D',
  undo: 'AH N D UW',
  unit: 'Y UW N IH T',
  what: 'W AH T',
  where: 'W EH R',
  which: 'W IH CH',
  why: 'W AY',
  wrong: 'R AO NG',
  yes: 'Y EH S',
  zero: 'Z IH R OW',
};
const CLASSES = [
  'AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW',
  'P T K B D G',
  'F TH S SH HH V DH Z ZH',
  'CH JH',
  'M N NG',
  'L R W Y',
].map((phones) => new Set(phones.split(' ')));
/** A phone of the same class is half a difference: that is how recognisers and people mishear. */
const SAME_CLASS = 0.5;
/** Share of the longer phrase that must differ. The closest pair allowed is named in the test below. */
const LEAST = 0.34;

function phonesOf(phrase: string): readonly string[] {
  return phrase.split(' ').flatMap((word) => {
    const phones = PHONES[word];
    if (phones === undefined) throw new Error(`no pronunciation of "${word}" in the table of this test`);
    return phones.split(' ');
  });
}

function cost(a: string, b: string): number {
  if (a === b) return 0;
  return CLASSES.some((one) => one.has(a) && one.has(b)) ? SAME_CLASS : 1;
}

/** Weighted edit distance of two phrases as a share of the longer, 0 (alike) to 1. */
function difference(one: string, other: string): number {
  const [a, b] = [phonesOf(one), phonesOf(other)];
  let row = b.map((_, index) => index + 1);
  row.unshift(0);
  for (const [i, phone] of a.entries()) {
    const next = [i + 1];
    for (const [j, second] of b.entries()) {
      const options = [(next[j] ?? 0) + 1, (row[j + 1] ?? 0) + 1, (row[j] ?? 0) + cost(phone, second)];
      next.push(Math.min(...options));
    }
    row = next;
  }
  return (row.at(-1) ?? 0) / Math.max(a.length, b.length);
}

/** The answers that the project's product files offer, said beside the phrases of a step. */
function questionsAboutUnits(): readonly Situation[] {
  const folder = new URL('../../procedures/', import.meta.url);
  const step = SITUATIONS.find(({ name }) => name === 'step');
  if (step === undefined) throw new Error('there is no step among the situations');
  return readdirSync(folder)
    .filter((file) => file.endsWith('.yaml'))
    .flatMap((file) => readProduct(readFileSync(new URL(file, folder), 'utf8'), file).product?.variants ?? [])
    .map(({ id, answers }) => ({
      name: id,
      allowed: { ...step.allowed, answers },
      says: [...step.says, ...answers],
    }));
}

describe('how alike phrases sound', () => {
  it('is 0 for the same and measured as expected', () => {
    expect(difference('stop', 'stop')).toBe(0);
    expect(difference('stop', 'step')).toBe(0.125);
    expect(difference('no', 'note')).toBeCloseTo(1 / 3, 6);
    expect(difference('five', 'nine')).toBeCloseTo(2 / 3, 6);
  });

  const literal = SITUATIONS.filter(({ name }) => name !== 'reading' && name !== 'serial');
  for (const situation of [...literal, ...questionsAboutUnits()]) {
    it(`lets nothing too alike be said at "${situation.name}"`, () => {
      const alike: string[] = [];
      for (const [index, one] of situation.says.entries()) {
        for (const other of situation.says.slice(index + 1)) {
          const [first, second] = [one, other].map((text) =>
            JSON.stringify(understand(situation.allowed, text)),
          );
          if (first !== second && difference(one, other) < LEAST) alike.push(`${one} / ${other}`);
        }
      }
      expect(alike).toEqual([]);
    });
  }

  it('would notice "step" beside "stop"', () => {
    expect(difference('step', 'stop')).toBeLessThan(LEAST);
  });
});
