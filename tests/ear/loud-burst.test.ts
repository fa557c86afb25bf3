/** Bursts above a sound: as long as a word, out of the loudness the sound had until then. */
import { describe, expect, it } from 'vitest';
import { type Burst, createBurstFinder } from '../../renderer/ears/loud-burst.ts';

/** `levels` as runs of [frames, level]; what was found, and on which frame. */
function play(...runs: readonly (readonly [number, number])[]): readonly (Burst & { readonly at: number })[] {
  const finder = createBurstFinder();
  const found: (Burst & { at: number })[] = [];
  let at = 0;
  for (const [frames, level] of runs)
    for (let frame = 0; frame < frames; frame += 1) {
      at += 1;
      const burst = finder.frame(level);
      if (burst !== undefined) found.push({ ...burst, at });
    }
  return found;
}

describe('a loud burst', () => {
  it('is found a little after it has ended, with its frames', () => {
    expect(play([100, -30], [20, -20], [60, -30])).toEqual([{ from: 100, to: 120, at: 138 }]);
  });

  it('stands out of the loud parts of the sound, not of its mean', () => {
    const uneven = Array.from({ length: 20 }, (_, n) => [5, n % 2 === 0 ? -22 : -45] as const);
    expect(play(...uneven, [20, -20], [60, -30])).toEqual([]);
    expect(play(...uneven, [20, -15], [60, -30])).toMatchObject([{ from: 100, to: 120 }]);
  });

  it('may have a gap, and is none where it is a click or longer than a word', () => {
    expect(play([100, -30], [8, -20], [8, -40], [8, -20], [60, -30])).toMatchObject([{ from: 100, to: 124 }]);
    expect(play([100, -30], [4, -20], [60, -30])).toEqual([]);
    expect(play([100, -30], [200, -20], [60, -30])).toEqual([]);
  });

  it('is none before the sound is known, nor where the sound itself became louder', () => {
    expect(play([30, -30], [20, -20], [20, -30])).toEqual([]);
    expect(play([100, -30], [300, -20], [20, -18], [60, -30])).toEqual([]);
    expect(play([100, -30], [300, -20], [20, -12], [60, -30])).toMatchObject([{ to: 420 }]);
  });

  it('is found as often as it comes', () => {
    expect(play([100, -30], [20, -20], [60, -30], [20, -20], [60, -30])).toHaveLength(2);
  });
});
