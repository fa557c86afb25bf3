/**
 * Energy end-pointer: where speech begins and ends, how loud the place is. Pure; time is counted in
 * frames of audio, never read from a clock.
 *
 * The noise floor is a low percentile of the levels of the last seconds, so a fan that is switched on is
 * learnt within that time, and a spoken phrase, which has gaps, hardly moves it.
 */

/** Length of one frame in milliseconds. */
export const FRAME_MS = 10;
/** Digital silence counts as this level. */
export const LEVEL_MIN_DBFS = -90;

const FLOOR_WINDOW_FRAMES = 300;
const FLOOR_PERCENTILE = 0.15;
/** Until this many frames are known the floor is taken from what there is, but never above this level. */
const FLOOR_FRAMES_MIN = 20;
const FLOOR_AT_START_DBFS = -50;
/** A quieter place than this makes no difference to the thresholds. */
const FLOOR_MIN_DBFS = -72;
const START_ABOVE_FLOOR_DB = 9;
const START_FRAMES = 4;
const END_ABOVE_FLOOR_MIN_DB = 5;
/** Share of the way from floor to peak below which a frame counts as silence (reverberation decays slowly). */
const END_SHARE_OF_RANGE = 0.38;
const CLIPPED_SAMPLE = 0.985;

/** What the end-pointer says after a frame. Times are milliseconds of audio since it was made. */
export interface Endpoint {
  readonly nowMs: number;
  readonly levelDbfs: number;
  readonly noiseDbfs: number;
  readonly speech: boolean;
  /** True on the one frame on which speech was found to have begun. */
  readonly began: boolean;
  /** When the speech that goes on, or was last, began. */
  readonly startMs: number;
  /** End of the last frame that was speech. */
  readonly lastSpeechMs: number;
  /** Milliseconds since `lastSpeechMs`. */
  readonly silenceMs: number;
  /** Loudest level since `startMs`. */
  readonly peakDbfs: number;
}

export interface Endpointer {
  /** One frame of `FRAME_MS`: its level. `holdFloor` keeps the noise floor as it is (the mouth speaks). */
  frame(levelDbfs: number, holdFloor: boolean): Endpoint;
  /** The state after the last frame. */
  now(): Endpoint;
  /** Forgets speech in progress: the next loud frame begins a new one. */
  close(): void;
}

/** Root mean square of samples in [-1, 1] as dB relative to full scale, at least `LEVEL_MIN_DBFS`. */
export function levelDbfs(samples: Float32Array): number {
  let sum = 0;
  for (const sample of samples) sum += sample * sample;
  if (samples.length === 0 || sum === 0) return LEVEL_MIN_DBFS;
  return Math.max(LEVEL_MIN_DBFS, 10 * Math.log10(sum / samples.length));
}

/** Whether any sample is at the end of the scale. */
export function isClipping(samples: Float32Array): boolean {
  return samples.some((sample) => sample > CLIPPED_SAMPLE || sample < -CLIPPED_SAMPLE);
}

/** Counts levels in bins of 1 dB over a sliding window, for percentiles at constant cost. */
function levelWindow(framesMax: number) {
  const bins = new Int32Array(-LEVEL_MIN_DBFS + 1);
  const ring = new Int16Array(framesMax);
  let filled = 0;
  let at = 0;
  return {
    count: () => filled,
    add: (level: number): void => {
      const bin = Math.min(bins.length - 1, Math.max(0, Math.round(level - LEVEL_MIN_DBFS)));
      if (filled === framesMax) {
        const old = ring[at] ?? 0;
        bins[old] = (bins[old] ?? 0) - 1;
      } else filled += 1;
      ring[at] = bin;
      bins[bin] = (bins[bin] ?? 0) + 1;
      at = (at + 1) % framesMax;
    },
    percentile: (share: number): number => {
      let left = share * filled;
      for (let bin = 0; bin < bins.length; bin += 1) {
        left -= bins[bin] ?? 0;
        if (left <= 0) return bin + LEVEL_MIN_DBFS;
      }
      return 0;
    },
  };
}

/** A fresh end-pointer; nothing has been heard. */
export function createEndpointer(): Endpointer {
  const window = levelWindow(FLOOR_WINDOW_FRAMES);
  let frames = 0;
  let loudFrames = 0;
  let speech = false;
  let startMs = 0;
  let lastSpeechMs = 0;
  let peakDbfs = LEVEL_MIN_DBFS;
  let noiseDbfs = FLOOR_AT_START_DBFS;

  const learnFloor = (level: number): void => {
    // Speech is in the window too; in a long monologue the floor rises, which ends the endless utterance.
    window.add(level);
    const measured = window.percentile(FLOOR_PERCENTILE);
    noiseDbfs = window.count() < FLOOR_FRAMES_MIN ? Math.min(FLOOR_AT_START_DBFS, measured) : measured;
    noiseDbfs = Math.max(FLOOR_MIN_DBFS, noiseDbfs);
  };

  let last = 0;
  const state = (began: boolean): Endpoint => ({
    nowMs: frames * FRAME_MS,
    levelDbfs: last,
    noiseDbfs,
    speech,
    began,
    startMs,
    lastSpeechMs,
    silenceMs: frames * FRAME_MS - lastSpeechMs,
    peakDbfs,
  });

  return {
    now: () => state(false),
    frame: (level, holdFloor) => {
      frames += 1;
      last = level;
      const nowMs = frames * FRAME_MS;
      if (!holdFloor) learnFloor(level);
      let began = false;
      // One quiet frame inside a beginning takes one back; a click never gets there.
      const loud = level > noiseDbfs + START_ABOVE_FLOOR_DB;
      loudFrames = loud ? loudFrames + 1 : Math.max(0, loudFrames - 1);
      if (!speech && loudFrames >= START_FRAMES) {
        speech = true;
        began = true;
        startMs = nowMs - START_FRAMES * FRAME_MS;
        lastSpeechMs = nowMs;
        peakDbfs = level;
      } else if (speech) {
        peakDbfs = Math.max(peakDbfs, level);
        const range = Math.max(0, peakDbfs - noiseDbfs);
        const end = noiseDbfs + Math.max(END_ABOVE_FLOOR_MIN_DB, END_SHARE_OF_RANGE * range);
        if (level > end) lastSpeechMs = nowMs;
      }
      return state(began);
    },
    close: () => {
      speech = false;
      loudFrames = 0;
      peakDbfs = LEVEL_MIN_DBFS;
    },
  };
}
