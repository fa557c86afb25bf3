import { describe, expect, it } from 'vitest';
import { randomFromSeed } from '../../../electron/core/base/random.ts';
import { changePoint } from '../../../electron/core/review/change-point.ts';

function series(seed: number, lengths: readonly number[], levels: readonly number[]): number[] {
  const random = randomFromSeed(seed);
  return lengths.flatMap((length, part) => Array.from({ length }, () => levels[part]! + random.normal()));
}

describe('change of level', () => {
  it('is found near where it is', () => {
    const found = changePoint(series(1, [40, 30], [0, 1.5]))!;
    expect(Math.abs(found.index - 40)).toBeLessThanOrEqual(4);
    expect(found.difference).toBeGreaterThan(1);
    expect(changePoint(series(2, [40, 30], [0, -1.5]))!.difference).toBeLessThan(-1);
  });

  it('is rarely named where there is none: at most 5 of 200 steady series at the 1 % level', () => {
    let named = 0;
    for (let seed = 1; seed <= 200; seed += 1) if (changePoint(series(seed, [80], [0])) !== null) named += 1;
    expect(named).toBeLessThanOrEqual(5);
  });

  it('needs eight values on either side, and some spread', () => {
    expect(changePoint(series(1, [8, 7], [0, 50]))).toBe(null);
    expect(changePoint(new Array<number>(40).fill(3.1))).toBe(null);
    expect(
      changePoint([...new Array<number>(20).fill(3.1), ...new Array<number>(20).fill(4.2)]),
    ).toMatchObject({
      index: 20,
      p: 0,
    });
  });

  it('does not lose digits to large values', () => {
    const small = series(3, [20, 20], [0, 3]);
    expect(changePoint(small.map((value) => value + 1e9))!.index).toBe(changePoint(small)!.index);
  });
});
