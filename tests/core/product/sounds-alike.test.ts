import { describe, expect, it } from 'vitest';
import { closestWord, editDistance } from '../../../electron/core/product/closest-word.ts';
import { roughPronunciation, soundAlike } from '../../../electron/core/product/sounds-alike.ts';

describe('names a listener would confuse', () => {
  it.each([
    ['main board', 'mane board'],
    ['Main Board', 'the main-board'],
    ['face plate', 'phase plate'],
    ['brake pad', 'break pad'],
    ['coil', 'koil'],
    ['site glass', 'sight glass'],
    ['valve seat', 'valve seed'],
    ['fan', 'van'],
    ['heat sink', 'heat zinc'],
  ])('“%s” and “%s”', (a, b) => {
    expect(soundAlike(a, b)).toBe(true);
    expect(soundAlike(b, a)).toBe(true);
  });

  it.each([
    ['left arm', 'right arm'],
    ['board one', 'board two'],
    ['board 1', 'board 2'],
    ['suction valve', 'discharge valve'],
    ['battery pack', 'battery shield'],
    ['back cover', 'top cover'],
    ['antenna', 'antenna leads'],
    ['main board', 'control board'],
    ['heat sink', 'radio module'],
  ])('not “%s” and “%s”', (a, b) => {
    expect(soundAlike(a, b)).toBe(false);
    expect(soundAlike(b, a)).toBe(false);
  });

  it('answers for names without letters', () => {
    expect(roughPronunciation('— …')).toBe('');
    expect(soundAlike('…', '—')).toBe(true);
  });
});

describe('closestWord', () => {
  it.each([
    ['cabel', ['cable', 'clip', 'seal'], 'cable'],
    ['lenght_mm', ['length_mm', 'head'], 'length_mm'],
    ['screw', ['case-screw', 'plug'], 'case-screw'],
    ['case-screw-long', ['case-screw', 'plug'], 'case-screw'],
    ['Lid', ['lid'], 'lid'],
    ['xyz', ['abc', 'plug'], undefined],
    ['', ['a'], undefined],
    ['x'.repeat(100), ['x'.repeat(99)], undefined],
  ] as const)('%s', (word, allowed, expected) => {
    expect(closestWord(word, allowed)).toBe(expected);
  });

  it.each([
    ['', '', 0],
    ['abc', '', 3],
    ['kitten', 'sitting', 3], // the textbook pair
    ['ab', 'ba', 1],
    ['ca', 'abc', 3], // restricted: no edit inside a swapped pair
  ] as const)('distance of “%s” and “%s” is %i', (a, b, distance) => {
    expect(editDistance(a, b)).toBe(distance);
    expect(editDistance(b, a)).toBe(distance);
  });

  it('stops counting above the limit', () => {
    expect(editDistance('kitten', 'sitting', 2)).toBe(3);
    expect(editDistance('a', 'a'.repeat(50), 2)).toBe(3);
  });
});
