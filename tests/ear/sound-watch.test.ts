import { describe, expect, it } from 'vitest';
import {
  createDeadAir,
  createSoundWatch,
  DEAD_TELL_MAX_MS,
  DEAD_TELL_MS,
  type SoundState,
} from '../../renderer/ears/sound-watch.ts';

const SIGN_MS = 250;
const START_MS = 3_000;

/** Signs every 250 ms over `ms`; `dead` and `flows` say what the stream does. Gives the states. */
function watched() {
  const watch = createSoundWatch(START_MS);
  let now = 1_000;
  let heard = 0;
  let dead = 0;
  watch.opened(now);
  return {
    watch,
    run: (ms: number, kind: 'sound' | 'dead' | 'still'): readonly SoundState[] =>
      Array.from({ length: ms / SIGN_MS }, () => {
        now += SIGN_MS;
        if (kind !== 'still') heard += SIGN_MS;
        if (kind === 'sound') dead = 0;
        if (kind === 'dead') dead += SIGN_MS;
        return watch.sign(now, heard, dead);
      }),
    opened: () => watch.opened(now),
  };
}
const firstAt = (states: readonly SoundState[], state: SoundState): number =>
  (states.indexOf(state) + 1) * SIGN_MS;

describe('exact silence', () => {
  it('is counted in ms of audio at any rate and ends with the first sample that is one', () => {
    for (const rateHz of [16_000, 44_100, 48_000]) {
      const air = createDeadAir();
      const piece = new Float32Array(rateHz / 50);
      for (let count = 0; count < 50; count += 1) air.feed(piece, rateHz);
      expect(air.deadMs()).toBeCloseTo(1_000, 6);
      piece[7] = -1 / 32_768;
      air.feed(piece, rateHz);
      expect(air.deadMs()).toBe(0);
    }
  });

  it('is what a filter leaves behind, too', () => {
    const air = createDeadAir();
    air.feed(new Float32Array(160).fill(7e-8), 16_000);
    expect(air.deadMs()).toBe(10);
  });
});

describe('a microphone that is watched', () => {
  it('is told within 2 s of going silent, and is well again with the first sound', () => {
    const { run } = watched();
    expect(new Set(run(5_000, 'sound'))).toEqual(new Set(['sound']));
    const silent = run(4_000, 'dead');
    expect(firstAt(silent, 'dead')).toBeLessThanOrEqual(1_500);
    expect(silent.at(-1)).toBe('dead');
    expect(run(SIGN_MS, 'sound')).toEqual(['sound']);
  });

  it('is told within 2 s when its samples stop', () => {
    const { run } = watched();
    run(5_000, 'sound');
    expect(firstAt(run(4_000, 'still'), 'still')).toBeLessThanOrEqual(2_000);
  });

  it('may take its time to begin, but not for ever', () => {
    const { run } = watched();
    const states = run(6_000, 'still');
    expect(firstAt(states, 'still')).toBeGreaterThan(START_MS);
    expect(states.at(-1)).toBe('still');
  });

  it('that never gave any sound is told, too (muted before the start)', () => {
    const { run } = watched();
    expect(firstAt(run(3_000, 'dead'), 'dead')).toBeLessThanOrEqual(1_500);
  });

  it('with a gate between words is told of ever more seldom', () => {
    const { run } = watched();
    let told = 0;
    for (let word = 0; word < 40; word += 1) {
      run(500, 'sound');
      if (run(4_000, 'dead').includes('dead')) told += 1;
    }
    expect(told).toBe(Math.floor(Math.log2(4_000 / DEAD_TELL_MS)) + 1);
    expect(run(DEAD_TELL_MAX_MS, 'dead').at(-1)).toBe('dead');
  });

  it('short of the limit is not told', () => {
    const { run } = watched();
    run(1_000, 'sound');
    expect(run(DEAD_TELL_MS - SIGN_MS, 'dead')).not.toContain('dead');
  });

  it('opened anew in silence is not called well by its first samples', () => {
    const { run, opened } = watched();
    run(3_000, 'dead');
    opened();
    expect(run(DEAD_TELL_MS - SIGN_MS, 'dead')).not.toContain('sound');
  });

  it('opened anew in silence stays unknown until there is something to know', () => {
    const { run, opened } = watched();
    run(3_000, 'dead');
    opened();
    expect(run(SIGN_MS, 'still')).toEqual(['unknown']);
  });

  it('that was opened anew has no gate because of it', () => {
    const { run, opened } = watched();
    run(3_000, 'dead');
    opened();
    run(1_000, 'sound');
    expect(firstAt(run(3_000, 'dead'), 'dead')).toBeLessThanOrEqual(1_500);
  });

  it('on a page too busy to ask is not called still', () => {
    const watch = createSoundWatch(START_MS);
    watch.opened(0);
    watch.sign(5_000, 250, 0);
    expect(watch.sign(15_000, 250, 0)).toBe('sound');
  });
});
