/**
 * What was said around that was no phrase, for telling a command from a word in a conversation. Pure; times are
 * the audio's own.
 */

/** Shorter sounds are knocks and coughs, not talk. */
const TALK_MIN_MS = 200;
/** Talk this far below the voice in question is in another part of the room. */
const FAR_BELOW_DB = 12;
/** A phrase that did not count was meant for the ear, if anything, where nobody had talked for this long. */
const ALONE_MS = 3_000;

export interface TalkMemory {
  /** Speech from `startMs` to `endMs` did not count; `phrase` is what it was where it was one all the same. */
  heard(startMs: number, endMs: number, peakDbfs: number, phrase?: string): void;
  /** The talk heard last went on until `endMs`. */
  goesOn(endMs: number): void;
  /**
   * Silence between the last talk and speech that began at `startMs`; infinite where there was none as near, and
   * where `text` is the very phrase that did not count: somebody says it again.
   */
  sinceMs(startMs: number, peakDbfs: number, text: string): number;
}

/** Nobody has talked. */
export function createTalkMemory(): TalkMemory {
  let lastMs = Number.NEGATIVE_INFINITY;
  let lastDbfs = Number.NEGATIVE_INFINITY;
  let lastPhrase: string | undefined;
  return {
    heard: (startMs, endMs, peakDbfs, phrase) => {
      if (endMs - startMs < TALK_MIN_MS) return;
      // Only where nobody was talking before: in a conversation a phrase is said twice by chance.
      const alone = startMs - lastMs >= ALONE_MS;
      lastPhrase = alone ? phrase : undefined;
      lastMs = endMs;
      lastDbfs = peakDbfs;
    },
    goesOn: (endMs) => {
      lastMs = Math.max(lastMs, endMs);
      lastPhrase = undefined;
    },
    sinceMs: (startMs, peakDbfs, text) =>
      lastDbfs < peakDbfs - FAR_BELOW_DB || (text !== '' && text === lastPhrase)
        ? Number.POSITIVE_INFINITY
        : Math.max(0, startMs - lastMs),
  };
}
