import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { PIECE_CHARS_MAX, sentencesOf } from '../../renderer/mouth/sentences.ts';

describe('sentencesOf', () => {
  it('cuts at the ends of sentences and keeps the signal word in front by itself', () => {
    expect(sentencesOf('Warning: stored charge. Do not touch! Is it off?')).toEqual([
      'Warning:',
      'stored charge.',
      'Do not touch!',
      'Is it off?',
    ]);
  });

  it('does not cut inside a number', () => {
    expect(sentencesOf('Set it to 3.7 volts.')).toEqual(['Set it to 3.7 volts.']);
  });

  it('cuts a sentence without an end at a comma', () => {
    const long = `${'turn the knob slowly, '.repeat(20)}and stop`;
    const pieces = sentencesOf(long);
    expect(pieces.length).toBeGreaterThan(1);
    expect(pieces.slice(0, -1).every((piece) => piece.endsWith(','))).toBe(true);
  });

  it('gives nothing for nothing', () => {
    expect(sentencesOf(' \n ')).toEqual([]);
  });

  it('loses no word and keeps every piece short enough, whatever the text', () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 2000 }), (text) => {
        const pieces = sentencesOf(text);
        expect(pieces.join('').replace(/\s/g, '')).toBe(text.replace(/\s/g, ''));
        for (const piece of pieces) expect(piece.length).toBeLessThanOrEqual(PIECE_CHARS_MAX);
      }),
      { seed: 7 },
    );
  });
});
