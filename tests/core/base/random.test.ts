/** The seeded generator: the sequence of a seed must never change, since kept cases and demo data name seeds. */
import { describe, expect, it } from 'vitest';
import { randomFromSeed } from '../../../electron/core/base/random.ts';

const draws = (seed: number, count: number): number[] => {
  const random = randomFromSeed(seed);
  return Array.from({ length: count }, () => random.next());
};

describe('a seeded generator', () => {
  it('gives the numbers that it has always given', () => {
    expect(draws(1, 3)).toEqual([0.6270739405881613, 0.002735721180215478, 0.5274470399599522]);
    expect(draws(20_261_125, 2)).toEqual([0.27387164323590696, 0.34019215404987335]);
    expect(draws(-1, 2)).toEqual(draws(0xffff_ffff, 2));
  });

  it('gives numbers from nought to one, evenly', () => {
    const all = draws(7, 20_000);
    expect(all.every((one) => one >= 0 && one < 1)).toBe(true);
    const tenths = Array.from({ length: 10 }, (_, tenth) =>
      all.filter((one) => Math.floor(one * 10) === tenth),
    );
    // Five standard deviations of a count of 2,000.
    for (const tenth of tenths) expect(Math.abs(tenth.length - 2000)).toBeLessThan(5 * Math.sqrt(1800));
  });

  it('gives whole numbers with both ends, each as often', () => {
    const random = randomFromSeed(3);
    const seen = new Map<number, number>();
    for (let n = 0; n < 6000; n += 1) {
      const one = random.integer(-1, 1);
      seen.set(one, (seen.get(one) ?? 0) + 1);
    }
    expect([...seen.keys()].sort((a, b) => a - b)).toEqual([-1, 0, 1]);
    for (const count of seen.values()) expect(Math.abs(count - 2000)).toBeLessThan(5 * Math.sqrt(1333));
    expect(random.integer(4, 4)).toBe(4);
  });

  it('picks every item, and has nothing to pick from an empty list', () => {
    const random = randomFromSeed(5);
    const seen = new Set(Array.from({ length: 100 }, () => random.pick(['a', 'b', 'c'])));
    expect([...seen].sort()).toEqual(['a', 'b', 'c']);
    expect(() => random.pick([])).toThrow('pick from an empty list');
  });

  it('gives normal variates: mean 0, deviation 1, two thirds within it, both signs', () => {
    const random = randomFromSeed(9);
    const all = Array.from({ length: 20_000 }, () => random.normal());
    const mean = all.reduce((sum, one) => sum + one, 0) / all.length;
    const variance = all.reduce((sum, one) => sum + (one - mean) ** 2, 0) / all.length;
    expect(Math.abs(mean)).toBeLessThan(5 / Math.sqrt(20_000));
    expect(Math.abs(variance - 1)).toBeLessThan(5 * Math.sqrt(2 / 20_000));
    expect(all.filter((one) => Math.abs(one) < 1).length / all.length).toBeCloseTo(0.683, 1);
    expect(all.every(Number.isFinite)).toBe(true);
  });
});
