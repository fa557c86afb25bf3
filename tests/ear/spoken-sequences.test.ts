/** Every number and code that we ourselves speak must be a path of pairs that the recogniser was shown. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { grammarPhrases, SPOKEN_PHRASES, understand } from '../../electron/core/job/grammar.ts';
import type { Allowed } from '../../electron/core/job/model.ts';
import { speakCode } from '../../electron/core/job/spelled-codes.ts';
import { speakNumber } from '../../electron/core/job/spoken-numbers.ts';
import { earlyAfterMs } from '../../renderer/ears/decision.ts';
import { JOB_GRAMMAR } from '../../renderer/ears/job-grammar.ts';
import { THRESHOLDS } from '../../renderer/ears/model-files.ts';
import { sequencesFor, walksOver } from '../../renderer/ears/spoken-sequences.ts';

const READING: Allowed = { phrases: ['reading', 'stop'], number: 'reading', spelling: false, answers: [] };
const SERIAL: Allowed = { phrases: ['serial', 'stop'], number: 'none', spelling: true, answers: [] };

const pairsOf = (entry: string): readonly string[] => {
  const words = entry.split(' ');
  return words.slice(1).map((word, index) => `${words[index]} ${word}`);
};
function pairsFor(allowed: Allowed, openings: readonly string[]): ReadonlySet<string> {
  return new Set(sequencesFor(allowed, grammarPhrases(allowed), openings).flatMap(pairsOf));
}

describe('walks', () => {
  it('show every pair exactly once and no other', () => {
    fc.assert(
      fc.property(
        fc.dictionary(
          fc.constantFrom('a', 'b', 'c', 'd'),
          fc.uniqueArray(fc.constantFrom('a', 'b', 'c', 'd')),
        ),
        (follows) => {
          const wanted = Object.entries(follows).flatMap(([word, next]) =>
            next.map((one) => `${word} ${one}`),
          );
          const shown = walksOver(new Map(Object.entries(follows))).flatMap(pairsOf);
          expect([...shown].sort()).toEqual([...wanted].sort());
        },
      ),
      { seed: 20261125 },
    );
  });
});

describe('what the recogniser is shown', () => {
  it('holds every reading that we speak', () => {
    const pairs = pairsFor(READING, SPOKEN_PHRASES.reading);
    fc.assert(
      fc.property(
        fc.integer({ min: -9_999_999, max: 9_999_999 }),
        fc.constantFrom(0, 1, 2, 3),
        (n, places) => {
          const said = `the reading is ${speakNumber(n / 10 ** places)}`;
          expect(understand(READING, said), said).toEqual({ type: 'reading', value: n / 10 ** places });
          for (const pair of pairsOf(said).slice(2)) expect(pairs.has(pair), `${pair} in ${said}`).toBe(true);
        },
      ),
      { seed: 20261125 },
    );
  });

  it('holds every code that we speak', () => {
    const pairs = pairsFor(SERIAL, SPOKEN_PHRASES.serial);
    fc.assert(
      fc.property(fc.stringMatching(/^[A-Z0-9./-]{1,20}$/), (code) => {
        const said = `serial is ${speakCode(code)}`;
        expect(understand(SERIAL, said), said).toEqual({ type: 'serial', value: code });
        for (const pair of pairsOf(said).slice(1)) expect(pairs.has(pair), `${pair} in ${said}`).toBe(true);
      }),
      { seed: 20261125 },
    );
  });

  it('holds the form of a correction, where a value waits', () => {
    const waiting: Allowed = { ...SERIAL, phrases: ['yes', 'no'], proposed: 'AB59' };
    const pairs = pairsFor(waiting, SPOKEN_PHRASES.serial);
    for (const pair of pairsOf('no five not nine')) expect(pairs.has(pair), pair).toBe(true);
    expect(understand(waiting, 'no one not nine')).toEqual({ type: 'serial', value: 'AB51' });
  });

  it('has no word that is not in the grammar', () => {
    for (const allowed of [READING, SERIAL]) {
      const known = new Set(grammarPhrases(allowed).flatMap((phrase) => phrase.split(' ')));
      const words = JOB_GRAMMAR.grammarPhrases(allowed).flatMap((phrase) => phrase.split(' '));
      expect(words.filter((word) => !known.has(word))).toEqual([]);
    }
  });

  it('is nothing where neither a reading nor a code may be said', () => {
    const plain: Allowed = { phrases: ['next', 'stop'], number: 'none', spelling: false, answers: [] };
    expect(sequencesFor(plain, grammarPhrases(plain), [])).toEqual([]);
  });
});

describe('an opening in quick speech', () => {
  it('may lose a small word, not its own', () => {
    const four = { type: 'reading', value: 4 };
    for (const said of ['the reading is four', 'reading is four', 'the reading four'])
      expect(understand(READING, said), said).toEqual(four);
    expect(understand(SERIAL, 'serial alfa four')).toEqual({ type: 'serial', value: 'A4' });
    for (const said of ['the is four', 'is four', 'four'])
      expect(understand(READING, said), said).toBeUndefined();
    expect(understand(SERIAL, 'is alfa four')).toBeUndefined();
  });

  it('does not count when it is asked how sure the value is', () => {
    expect(JOB_GRAMMAR.openingWordCount(READING, 'the reading is four')).toBe(3);
    expect(JOB_GRAMMAR.openingWordCount(READING, 'reading is four')).toBe(2);
    expect(JOB_GRAMMAR.openingWordCount(SERIAL, 'serial is alfa four')).toBe(2);
    for (const said of ['stop', 'the reading is', ''])
      expect(JOB_GRAMMAR.openingWordCount(READING, said)).toBe(0);
  });

  it('alone is the question how to say it, and waits for what follows', () => {
    expect(understand(READING, 'the reading is')).toEqual({ type: 'phrase', phrase: 'reading' });
    expect(earlyAfterMs(JOB_GRAMMAR, THRESHOLDS, READING, 'the reading is')).toBeUndefined();
    expect(earlyAfterMs(JOB_GRAMMAR, THRESHOLDS, SERIAL, 'serial is')).toBeUndefined();
    expect(JOB_GRAMMAR.couldContinue(READING, 'reading is three')).toBe(true);
    expect(JOB_GRAMMAR.couldContinue(SERIAL, 'serial alfa')).toBe(true);
  });
});
