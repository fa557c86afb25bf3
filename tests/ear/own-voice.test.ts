/** What may be heard while the mouth speaks, and what counts as its echo. */
import { describe, expect, it } from 'vitest';
import { JOB_GRAMMAR } from '../../renderer/ears/job-grammar.ts';
import {
  containsPhrase,
  grammarOverMouth,
  spokenWords,
  wordsOverMouth,
} from '../../renderer/ears/own-voice.ts';

const { digitWords, formsOf } = JOB_GRAMMAR;
const wordsOf = (sentence: string): readonly string[] => spokenWords(sentence, digitWords);
const overMouth = (sentence: string): readonly string[] => [
  ...wordsOverMouth(wordsOf(sentence), formsOf).keys(),
];

describe('the words of a sentence', () => {
  it('are lower case, without signs, digits spelled', () => {
    expect(wordsOf('Remove the M2.5×10 screws.')).toEqual([
      'remove',
      'the',
      'm',
      'two',
      'point',
      'five',
      'one',
      'zero',
      'screws',
    ]);
    expect(wordsOf('')).toEqual([]);
  });

  it('contain a phrase only as whole words in order', () => {
    const words = wordsOf('Say next to go on. Check the screw count.');
    expect(containsPhrase(words, 'next')).toBe(true);
    expect(containsPhrase(words, 'screw count')).toBe(true);
    expect(containsPhrase(words, 'count screw')).toBe(false);
    expect(containsPhrase(wordsOf('the nextdoor'), 'next')).toBe(false);
  });
});

describe('over the mouth', () => {
  it('"stop" and "pause" are heard', () => {
    expect(overMouth('Remove two screws.')).toEqual(['stop', 'pause']);
  });

  it('a word that the sentence itself says is not', () => {
    expect(overMouth('Stop the pump.')).toEqual(['pause']);
    expect(overMouth('Pause, then stop.')).toEqual([]);
  });

  it('the recogniser gets the sentence itself, near-sounding words and the filler', () => {
    const grammar = grammarOverMouth(wordsOf('Go to the next step.'), ['stop', 'pause']);
    for (const entry of ['stop', 'pause', 'go to the next step', 'step', 'top', '[unk]']) {
      expect(grammar, entry).toContain(entry);
    }
    const others = grammar.filter((entry) => entry !== 'stop' && entry !== 'pause');
    expect(new Set(others).size).toBe(others.length);
  });

  it('only what is one word, in every language and script', () => {
    const forms: Readonly<Record<string, readonly string[]>> = {
      stop: ['halt', 'hör auf'],
      pause: ['пауза'],
    };
    expect([...wordsOverMouth(['die', 'schraube'], (phrase) => forms[phrase] ?? [])]).toEqual([
      ['halt', 'stop'],
      ['пауза', 'pause'],
    ]);
    expect(spokenWords('Löse 2 Schrauben.', ['null', 'eins', 'zwei'])).toEqual(['löse', 'zwei', 'schrauben']);
  });
});
