/** An utterance in progress: its audio, and how far the decoder has got with it. Kept by `listener.ts`. */
import type { Decoded } from './decoder.ts';
import { type Endpoint, FRAME_MS, levelDbfs } from './endpointer.ts';
import type { Sound } from './talk-memory.ts';

export interface OpenUtterance {
  /** Audio time of the first frame fed to the decoder. */
  readonly originMs: number;
  readonly startMs: number;
  readonly frames: Float32Array[];
  readonly parts: Decoded[];
  /** Frames already given to the decoder. */
  given: number;
  partial: string;
  /** Since when the partial text has been what it is. */
  steadySinceMs: number;
  /** The final result of a close that did not end the utterance; void once speech goes on. */
  closed: Decoded | undefined;
  /** Whether `closed` was judged already. */
  judged: boolean;
  /** Whether `closed` was made before the decoder had shown a phrase. */
  unseen: boolean;
  /** What was acted on although more may follow. */
  acted: string | undefined;
}

/** An utterance that has just begun; `preRoll` is the sound before that. */
export function openUtterance(point: Endpoint, preRoll: readonly Float32Array[]): OpenUtterance {
  return {
    originMs: point.nowMs - preRoll.length * FRAME_MS,
    startMs: point.startMs,
    frames: [...preRoll],
    parts: [],
    given: 0,
    partial: '',
    steadySinceMs: point.nowMs,
    closed: undefined,
    judged: false,
    unseen: false,
    acted: undefined,
  };
}

/** Speech went on after a close: the decoder has forgotten, so it will get the whole again. */
export function reopen(utterance: OpenUtterance): void {
  utterance.closed = undefined;
  utterance.unseen = false;
  utterance.parts.length = 0;
  utterance.given = 0;
}

/** What sounded of it until `endMs`, where something louder began. */
export function soundUntil({ originMs, startMs, frames }: OpenUtterance, endMs: number): Sound {
  const before = frames.slice(0, Math.round((endMs - originMs) / FRAME_MS));
  return { startMs, lastSpeechMs: endMs, peakDbfs: Math.max(...before.map(levelDbfs)) };
}
