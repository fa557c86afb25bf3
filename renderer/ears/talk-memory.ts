/**
 * What was said around that was no phrase, for telling a command from a word in a conversation. Pure; times are
 * the audio's own.
 */

/** Shorter sounds are knocks and coughs, not talk. */
const TALK_MIN_MS = 200;
/** Talk this far below the voice in question is in another part of the room. */
const FAR_BELOW_DB = 12;

export interface TalkMemory {
  /** Speech from `startMs` to `endMs` was no phrase. */
  heard(startMs: number, endMs: number, peakDbfs: number): void;
  /** The talk heard last went on until `endMs`. */
  goesOn(endMs: number): void;
  /** Silence between the last talk and speech that began at `startMs`; infinite where there was none as near. */
  sinceMs(startMs: number, peakDbfs: number): number;
}

/** Nobody has talked. */
export function createTalkMemory(): TalkMemory {
  let lastMs = Number.NEGATIVE_INFINITY;
  let lastDbfs = Number.NEGATIVE_INFINITY;
  return {
    heard: (startMs, endMs, peakDbfs) => {
      if (endMs - startMs < TALK_MIN_MS) return;
      lastMs = endMs;
      lastDbfs = peakDbfs;
    },
    goesOn: (endMs) => {
      lastMs = Math.max(lastMs, endMs);
    },
    sinceMs: (startMs, peakDbfs) =>
      lastDbfs < peakDbfs - FAR_BELOW_DB ? Number.POSITIVE_INFINITY : Math.max(0, startMs - lastMs),
  };
}
