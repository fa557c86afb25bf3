/** Round trips of everything that is spoken, and that nothing said at the same time sounds too alike. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { randomFromSeed } from '../../electron/core/base/random.ts';
import { allowedByVoice, allowedNow } from '../../electron/core/job/allowed.ts';
import { checkCharacter, checkCharacterFits } from '../../electron/core/job/check-digits.ts';
import { closestPairs, likeness, TOO_ALIKE } from '../../electron/core/job/confusability.ts';
import { openJob, step } from '../../electron/core/job/engine.ts';
import {
  couldContinue,
  grammarPhrases,
  knownPhrase,
  SPOKEN_PHRASES,
  understand,
} from '../../electron/core/job/grammar.ts';
import type { Allowed, PhraseId } from '../../electron/core/job/model.ts';
import {
  PLAIN_LETTERS,
  parseCode,
  SPELLING_WORDS,
  speakCode,
} from '../../electron/core/job/spelled-codes.ts';
import {
  NUMBER_WORDS,
  parseNumber,
  parseQuantity,
  speakDigits,
  speakNumber,
} from '../../electron/core/job/spoken-numbers.ts';
import { randomInput } from './random-input.ts';
import { randomPlan } from './random-plan.ts';

const CODE_SIGNS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-/.';
const code = fc
  .array(fc.constantFrom(...CODE_SIGNS), { minLength: 1, maxLength: 30 })
  .map((signs) => signs.join(''));

describe('every value that we can speak is understood', () => {
  it('numbers with up to six decimals, both signs, up to a thousand million', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: -1e15, max: 1e15 }),
        fc.integer({ min: 0, max: 6 }),
        (whole, decimals) => {
          const value = Number((whole / 10 ** 6).toFixed(decimals));
          const said = speakNumber(value, decimals);
          expect(parseNumber(said)).toEqual({ kind: 'value', value: value === 0 ? 0 : value });
          expect(parseQuantity(`${said} volts`)).toEqual({ value: value === 0 ? 0 : value, unit: 'V' });
        },
      ),
      { numRuns: 2000 },
    );
  });

  it('whole numbers up to twelve digits, as numbers and digit by digit', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 999_999_999_999 }), (value) => {
        expect(parseNumber(speakNumber(value))).toEqual({ kind: 'value', value });
        expect(parseNumber(speakDigits(String(value)))).toEqual({ kind: 'value', value });
      }),
      { numRuns: 2000 },
    );
  });

  it('codes of letters, figures and signs', () => {
    fc.assert(
      fc.property(code, (value) => {
        expect(parseCode(speakCode(value))).toBe(value);
      }),
      { numRuns: 1000 },
    );
  });

  it('through the grammar, with every word of it in the list for the recogniser', () => {
    const reading: Allowed = { phrases: ['reading'], number: 'reading', spelling: false, answers: [] };
    const serial: Allowed = { phrases: ['serial'], number: 'none', spelling: true, answers: [] };
    const words = (allowed: Allowed): Set<string> =>
      new Set(grammarPhrases(allowed).flatMap((phrase) => phrase.split(' ')));
    const numberWords = words(reading);
    const spellingWords = words(serial);
    fc.assert(
      fc.property(fc.integer({ min: -1e9, max: 1e9 }), code, (thousandths, value) => {
        const said = `the reading is ${speakNumber(thousandths / 1000, 3)}`;
        expect(understand(reading, said)).toMatchObject({ type: 'reading' });
        expect(said.split(' ').filter((word) => !numberWords.has(word))).toEqual([]);
        const spelled = `serial is ${speakCode(value)}`;
        expect(understand(serial, spelled)).toEqual({ type: 'serial', value });
        expect(spelled.split(' ').filter((word) => !spellingWords.has(word))).toEqual([]);
      }),
      { numRuns: 500 },
    );
  });

  it('and what is not a number or a code gives nothing and never throws', () => {
    const words = fc.array(
      fc.oneof(fc.constantFrom(...NUMBER_WORDS, ...SPELLING_WORDS, 'to', 'not', 'no', 'volts'), fc.string()),
      { maxLength: 12 },
    );
    fc.assert(
      fc.property(words, (list) => {
        const text = list.join(' ');
        const number = parseNumber(text);
        if (number?.kind === 'value') expect(Number.isFinite(number.value)).toBe(true);
        const spelled = parseCode(text);
        if (spelled !== undefined) expect(spelled).toMatch(/^[A-Z0-9./-]+$/);
      }),
      { numRuns: 2000 },
    );
  });
});

describe('check characters', () => {
  const body = fc.array(fc.constantFrom(...'0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ'), {
    minLength: 1,
    maxLength: 20,
  });

  it('fit what they were made for', () => {
    fc.assert(
      fc.property(body, (signs) => {
        const whole = signs.join('') + checkCharacter('iso7064-mod37-36', signs.join(''));
        expect(checkCharacterFits('iso7064-mod37-36', whole)).toBe(true);
      }),
    );
  });

  it('find all but a few swaps of neighbours', () => {
    const alphabet = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ';
    let swaps = 0;
    let missed = 0;
    for (const a of alphabet) {
      for (const b of alphabet) {
        if (a === b) continue;
        const check = checkCharacter('iso7064-mod37-36', `Q${a}${b}7`);
        swaps += 1;
        if (checkCharacterFits('iso7064-mod37-36', `Q${b}${a}7${check}`)) missed += 1;
      }
    }
    expect(missed / swaps).toBeLessThan(0.005);
  });
});

/** What may be said in the states of random jobs, each different set once. */
function allowedSets(jobs: number): readonly Allowed[] {
  const sets = new Map<string, Allowed>();
  for (let seed = 1; seed <= jobs; seed += 1) {
    const random = randomFromSeed(seed);
    const plan = randomPlan(random);
    const verbosity = random.pick(['full', 'trainee'] as const);
    let { state } = openJob(plan, { technician: 'Technician A', verbosity });
    let last = 1;
    for (let i = 0; i < 60; i += 1) {
      const after = step(plan, state, randomInput(random, plan, state, last));
      state = after.state;
      last = after.effects.reduce((n, effect) => (effect.type === 'say' ? effect.utterance : n), last);
      const { proposed: _, ...allowed } = allowedByVoice(allowedNow(plan, state), state.listening);
      sets.set(JSON.stringify(allowed), allowed);
    }
  }
  return [...sets.values()];
}

/** What can be said as a whole utterance: phrases, answers, and number words where a bare number counts. */
function utterances(allowed: Allowed): readonly string[] {
  return [
    ...allowed.phrases.flatMap((phrase) => SPOKEN_PHRASES[phrase]),
    ...allowed.answers,
    ...(allowed.number === 'bare' ? NUMBER_WORDS : []),
  ];
}

const isNumber = (text: string): boolean => NUMBER_WORDS.includes(text);

describe('nothing that can be said at the same time sounds too alike', () => {
  const sets = allowedSets(300);

  it('in any state of random jobs', () => {
    expect(sets.length).toBeGreaterThan(30);
    const seen = new Map<string, number>();
    for (const allowed of sets) {
      // Number words are alike among themselves by nature; they are read back before they count.
      const same = (a: string, b: string): boolean =>
        (isNumber(a) && isNumber(b)) || (knownPhrase(a) !== undefined && knownPhrase(a) === knownPhrase(b));
      for (const pair of closestPairs(utterances(allowed), same).slice(0, 5)) {
        seen.set(`${pair.first} / ${pair.second}`, pair.likeness);
      }
    }
    const tooAlike = [...seen].filter(([, alike]) => alike >= TOO_ALIKE);
    expect(tooAlike).toEqual([]);
  });

  it('but the measure does see words that are too alike', () => {
    for (const [first, second] of [
      ['no', 'know'],
      ['next', 'text'],
      ['stop listening', 'start listening'],
      ['thirteen', 'thirty'],
      ['pause', 'paws'],
    ] as const) {
      expect([first, second, likeness(first, second) >= TOO_ALIKE]).toEqual([first, second, true]);
    }
    expect(likeness('next', 'next')).toBe(1);
    expect(likeness('', 'next')).toBe(0);
    expect(likeness('back', 'torque')).toBe(likeness('torque', 'back'));
  });

  it('and the plain letters that may be said are unlike every word of the alphabet', () => {
    for (const letter of PLAIN_LETTERS) {
      for (const word of [...SPELLING_WORDS, ...PLAIN_LETTERS]) {
        if (word !== letter)
          expect([letter, word, likeness(letter, word) < TOO_ALIKE]).toEqual([letter, word, true]);
      }
    }
  });

  it('every allowed phrase is understood as itself, and grammars stay small', () => {
    for (const allowed of sets) {
      for (const phrase of allowed.phrases as PhraseId[]) {
        for (const said of SPOKEN_PHRASES[phrase]) {
          expect(understand(allowed, said)).toEqual({ type: 'phrase', phrase });
        }
      }
      for (const answer of allowed.answers) {
        expect(understand(allowed, answer)).toEqual({ type: 'answer', value: answer });
      }
      const grammar = grammarPhrases(allowed);
      expect(grammar.length).toBeLessThanOrEqual(150);
      for (const entry of grammar) expect(typeof couldContinue(allowed, entry)).toBe('boolean');
    }
  });

  it('whatever could go on, can: each proper beginning of an allowed phrase is told as such', () => {
    for (const allowed of sets) {
      for (const said of utterances(allowed).filter((text) => text.includes(' '))) {
        const words = said.split(' ');
        for (let n = 1; n < words.length; n += 1) {
          expect([said, n, couldContinue(allowed, words.slice(0, n).join(' '))]).toEqual([said, n, true]);
        }
      }
    }
  });
});
