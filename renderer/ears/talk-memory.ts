/**
 * What was said around that was no phrase, for telling a command from a word in a conversation. Pure; times are
 * the audio's own.
 */

import { isTalk, type Talk, type Thresholds } from './decision.ts';

/** Shorter sounds are knocks and coughs, not talk. */
const TALK_MIN_MS = 200;
/** Talk this far below the voice in question is in another part of the room. */
const FAR_BELOW_DB = 12;
/** A phrase that did not count was meant for the ear, if anything, where nobody had talked for this long. */
const ALONE_MS = 3_000;

interface Heard {
  readonly endMs: number;
  readonly peakDbfs: number;
}

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
  /** Who talks where speech with this text began at `startMs`. */
  at(startMs: number, peakDbfs: number, text: string): Talk;
}

/** Nobody has talked. */
export function createTalkMemory(thresholds: Thresholds): TalkMemory {
  const nothing: Heard = { endMs: Number.NEGATIVE_INFINITY, peakDbfs: Number.NEGATIVE_INFINITY };
  let last = nothing;
  let lastPhrase: string | undefined;
  /** The last two that were no phrase, the later one first. */
  let talks = [nothing, nothing];
  const isNear = (heard: Heard, peakDbfs: number): boolean => heard.peakDbfs >= peakDbfs - FAR_BELOW_DB;
  const sinceMs = (startMs: number, peakDbfs: number, text: string): number => {
    const again = text !== '' && text === lastPhrase;
    return !again && isNear(last, peakDbfs) ? Math.max(0, startMs - last.endMs) : Number.POSITIVE_INFINITY;
  };
  return {
    heard: (startMs, endMs, peakDbfs, phrase) => {
      if (endMs - startMs < TALK_MIN_MS) return;
      // Only where nobody was talking before: in a conversation a phrase is said twice by chance.
      lastPhrase = startMs - last.endMs >= ALONE_MS ? phrase : undefined;
      last = { endMs, peakDbfs };
      if (phrase === undefined) talks = [last, ...talks.slice(0, 1)];
    },
    goesOn: (endMs) => {
      last = { ...last, endMs: Math.max(last.endMs, endMs) };
      lastPhrase = undefined;
    },
    sinceMs,
    at: (startMs, peakDbfs, text) => {
      const quietMs = sinceMs(startMs, peakDbfs, text);
      if (isTalk(thresholds, quietMs)) return 'now';
      const isAround = talks.every(
        (talk) => isNear(talk, peakDbfs) && startMs - talk.endMs < thresholds.talkAroundMs,
      );
      return isAround && text !== lastPhrase ? 'around' : 'none';
    },
  };
}
