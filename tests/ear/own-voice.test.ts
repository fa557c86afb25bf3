/** What may be heard while the mouth speaks, and what counts as its echo. */
import { describe, expect, it } from 'vitest';
import {
  containsPhrase,
  grammarOverMouth,
  phrasesOverMouth,
  spokenWords,
} from '../../renderer/ears/own-voice.ts';

describe('the words of a sentence', () => {
  it('are lower case, without signs, digits spelled', () => {
    expect(spokenWords('Remove the M2.5×10 screws.')).toEqual([
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
    expect(spokenWords('')).toEqual([]);
  });

  it('contain a phrase only as whole words in order', () => {
    const words = spokenWords('Say next to go on. Check the screw count.');
    expect(containsPhrase(words, 'next')).toBe(true);
    expect(containsPhrase(words, 'screw count')).toBe(true);
    expect(containsPhrase(words, 'count screw')).toBe(false);
    expect(containsPhrase(spokenWords('the nextdoor'), 'next')).toBe(false);
  });
});

describe('over the mouth', () => {
  it('"stop" and "pause" are heard', () => {
    expect(phrasesOverMouth('Remove two screws.')).toEqual(['stop', 'pause']);
  });

  it('a word that the sentence itself says is not', () => {
    expect(phrasesOverMouth('Stop the pump.')).toEqual(['pause']);
    expect(phrasesOverMouth('Pause, then stop.')).toEqual([]);
  });

  it('the recogniser gets the sentence itself, near-sounding words and the filler', () => {
    const grammar = grammarOverMouth('Go to the next step.');
    for (const entry of ['stop', 'pause', 'go to the next step', 'step', 'top', '[unk]']) {
      expect(grammar, entry).toContain(entry);
    }
    const others = grammar.filter((entry) => entry !== 'stop' && entry !== 'pause');
    expect(new Set(others).size).toBe(others.length);
  });
});
