/**
 * A short rise above what a sound has been until then, as long as a word: somebody speaks over the mouth. Pure;
 * time is counted in frames.
 */
import { LEVEL_MIN_DBFS } from './endpointer.ts';

/** The sound itself is known after this many frames. */
const KNOWN_FRAMES_MIN = 60;
/** Its loudness: this share of its frames are no louder. */
const LOUDNESS_SHARE = 0.9;
const ABOVE_DB = 4;
const BEGIN_FRAMES = 5;
const END_FRAMES = 18;
const BURST_FRAMES_MIN = 7;
const BURST_FRAMES_MAX = 70;

/** First frame and frame after the last one, counted from the first frame that was told. */
export interface Burst {
  readonly from: number;
  readonly to: number;
}

export interface BurstFinder {
  /** The level of the next frame; a burst when one has just ended. */
  frame(levelDbfs: number): Burst | undefined;
}

/** Nothing has been told. */
export function createBurstFinder(): BurstFinder {
  const bins = new Int32Array(-LEVEL_MIN_DBFS + 1);
  let known = 0;
  let frames = 0;
  let loudFrames = 0;
  let burst: { from: number; to: number; levels: number[] } | undefined;
  const learn = (level: number): void => {
    const bin = Math.min(bins.length - 1, Math.max(0, Math.round(level - LEVEL_MIN_DBFS)));
    bins[bin] = (bins[bin] ?? 0) + 1;
    known += 1;
  };
  const loudness = (): number => {
    let left = LOUDNESS_SHARE * known;
    for (let bin = 0; bin < bins.length; bin += 1) {
      left -= bins[bin] ?? 0;
      if (left <= 0) return bin + LEVEL_MIN_DBFS;
    }
    return 0;
  };
  return {
    frame: (level) => {
      frames += 1;
      const loud = known >= KNOWN_FRAMES_MIN && level > loudness() + ABOVE_DB;
      if (burst === undefined) {
        if (!loud) learn(level);
        loudFrames = loud ? loudFrames + 1 : Math.max(0, loudFrames - 1);
        if (loudFrames >= BEGIN_FRAMES) burst = { from: frames - BEGIN_FRAMES, to: frames, levels: [] };
        return undefined;
      }
      burst.levels.push(level);
      if (loud) burst.to = frames;
      const { from, to, levels } = burst;
      if (to - from > BURST_FRAMES_MAX) {
        // No word is so long: the sound itself has become louder.
        levels.forEach(learn);
      } else if (frames - to < END_FRAMES) return undefined;
      burst = undefined;
      loudFrames = 0;
      return to - from >= BURST_FRAMES_MIN && to - from <= BURST_FRAMES_MAX ? { from, to } : undefined;
    },
  };
}
