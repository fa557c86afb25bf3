/**
 * Energy end-pointer: where speech begins and ends, how loud the place is. Pure; time is counted in
 * frames of audio, never read from a clock.
 *
 * The noise floor is a low percentile of the levels of the last seconds, so a fan that is switched on is
 * learnt within that time, and a spoken phrase, which has gaps, hardly moves it.
 *
 * Noise that comes and goes (an air tool, music) is never learnt as a floor. So where speech ends is also
 * measured from its own peak, and a sound well above all of the last second is told apart as a new beginning.
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
/**
 * Speech has ended where it is no louder than this above the loudest noise of the second before it, which
 * is at most this far below its own peak (that second may hold speech).
 */
const END_ABOVE_NOISE_BEFORE_DB = 3;
const END_BELOW_PEAK_DB = 20;
/** Vowels of a phrase reach this far below its peak; weaker sound may be noise beside it. */
const LOUD_BELOW_PEAK_DB = 10;
/** Sound no louder than the noise before the speech is taken for that noise, up to this far below the peak. */
const NOISE_BELOW_PEAK_DB = 5;
/** A new beginning stands this far above the loudest frame of the time before it. */
const JUMP_DB = 6;
const JUMP_WINDOW_FRAMES = 100;
const JUMP_WITHIN_FRAMES = 8;
const JUMP_FRAMES = 5;
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
  /** Loudest level of the second before `startMs`. */
  readonly noiseBeforeDbfs: number;
  /** Milliseconds since the last frame that was about as loud as the speech itself. */
  readonly faintMs: number;
  /** True where the sound has risen well above everything of the last second: see `restart`. */
  readonly jumped: boolean;
}

export interface Endpointer {
  /** One frame of `FRAME_MS`: its level. `holdFloor` keeps the noise floor as it is (the mouth speaks). */
  frame(levelDbfs: number, holdFloor: boolean): Endpoint;
  /** The state after the last frame. */
  now(): Endpoint;
  /** Forgets speech in progress: the next loud frame begins a new one. */
  close(): void;
  /** Takes what jumped as the beginning of speech, and what came before it as noise. */
  restart(): void;
}

/** Sound above this is about as loud as speech with this peak, and louder than the noise before it. */
function loudAbove(peakDbfs: number, noiseBeforeDbfs: number): number {
  const aboveNoise = Math.min(noiseBeforeDbfs + END_ABOVE_NOISE_BEFORE_DB, peakDbfs - NOISE_BELOW_PEAK_DB);
  return Math.max(peakDbfs - LOUD_BELOW_PEAK_DB, aboveNoise);
}

/**
 * First frame and frame after the last one of `levels` that are about as loud as `peakDbfs` and louder than
 * the loudest noise before the speech; undefined where none is. Single frames do not count.
 */
export function loudSpan(
  levels: readonly number[],
  peakDbfs: number,
  noiseBeforeDbfs: number,
): { readonly from: number; readonly to: number } | undefined {
  const least = loudAbove(peakDbfs, noiseBeforeDbfs);
  const loud = (level: number | undefined): boolean => level !== undefined && level > least;
  const steady = levels.map(
    (level, index) => loud(level) && (loud(levels[index - 1]) || loud(levels[index + 1])),
  );
  const from = steady.indexOf(true);
  return from < 0 ? undefined : { from, to: steady.lastIndexOf(true) + 1 };
}

/**
 * The most sound between one of `words` and the next that is about as loud as `peakDbfs` and louder than the noise
 * before the speech, in ms: the recogniser took it for silence.
 */
export function loudBetweenMs(
  levels: readonly number[],
  words: readonly { readonly startMs: number; readonly endMs: number }[],
  peakDbfs: number,
  noiseBeforeDbfs: number,
): number {
  const least = loudAbove(peakDbfs, noiseBeforeDbfs);
  const gaps = words.slice(1).map((next, index) => {
    const fromMs = words[index]?.endMs ?? next.startMs;
    const gap = levels.slice(Math.round(fromMs / FRAME_MS), Math.round(next.startMs / FRAME_MS));
    return gap.filter((level) => level > least).length * FRAME_MS;
  });
  return Math.max(0, ...gaps);
}

/** The loudest frame of the second before the last few, and whether those stand out of it. */
function jumpFinder(): (level: number) => { readonly before: number; readonly jumped: boolean } {
  const ring = new Float32Array(JUMP_WINDOW_FRAMES + JUMP_WITHIN_FRAMES).fill(LEVEL_MIN_DBFS);
  let at = 0;
  let seen = 0;
  return (level) => {
    ring[at] = level;
    at = (at + 1) % ring.length;
    seen += 1;
    let before = LEVEL_MIN_DBFS;
    for (let index = 0; index < JUMP_WINDOW_FRAMES; index += 1) {
      before = Math.max(before, ring[(at + index) % ring.length] ?? 0);
    }
    let above = 0;
    for (let index = JUMP_WINDOW_FRAMES; index < ring.length; index += 1) {
      if ((ring[(at + index) % ring.length] ?? 0) > before + JUMP_DB) above += 1;
    }
    return { before, jumped: seen >= ring.length && above >= JUMP_FRAMES };
  };
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
  let lastLoudMs = 0;
  let jumped = false;
  let loudestBefore = LEVEL_MIN_DBFS;
  let noiseBefore = LEVEL_MIN_DBFS;
  const findJump = jumpFinder();

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
    noiseBeforeDbfs: noiseBefore,
    faintMs: frames * FRAME_MS - lastLoudMs,
    jumped,
  });

  return {
    now: () => state(false),
    frame: (level, holdFloor) => {
      frames += 1;
      last = level;
      const nowMs = frames * FRAME_MS;
      if (!holdFloor) learnFloor(level);
      ({ jumped, before: loudestBefore } = findJump(level));
      let began = false;
      // One quiet frame inside a beginning takes one back; a click never gets there.
      const loud = level > noiseDbfs + START_ABOVE_FLOOR_DB;
      loudFrames = loud ? loudFrames + 1 : Math.max(0, loudFrames - 1);
      if (!speech && loudFrames >= START_FRAMES) {
        speech = true;
        began = true;
        startMs = nowMs - START_FRAMES * FRAME_MS;
        lastSpeechMs = nowMs;
        lastLoudMs = nowMs;
        noiseBefore = loudestBefore;
        peakDbfs = level;
      } else if (speech) {
        peakDbfs = Math.max(peakDbfs, level);
        const range = Math.max(0, peakDbfs - noiseDbfs);
        const aboveFloor = noiseDbfs + Math.max(END_ABOVE_FLOOR_MIN_DB, END_SHARE_OF_RANGE * range);
        const aboveBefore = Math.min(noiseBefore + END_ABOVE_NOISE_BEFORE_DB, peakDbfs - END_BELOW_PEAK_DB);
        if (level > Math.max(aboveFloor, aboveBefore)) lastSpeechMs = nowMs;
        if (level > loudAbove(peakDbfs, noiseBefore)) lastLoudMs = nowMs;
      }
      return state(began);
    },
    close: () => {
      speech = false;
      loudFrames = 0;
      peakDbfs = LEVEL_MIN_DBFS;
    },
    restart: () => {
      speech = true;
      startMs = (frames - JUMP_WITHIN_FRAMES) * FRAME_MS;
      lastSpeechMs = frames * FRAME_MS;
      lastLoudMs = lastSpeechMs;
      noiseBefore = loudestBefore;
      peakDbfs = last;
    },
  };
}
