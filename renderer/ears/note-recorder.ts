/**
 * One spoken note out of the microphone's stream. It is made only when the job asks for it and holds the
 * sound in memory until the note ends: by silence, by the word that ends it, or at its greatest length. It
 * judges loudness itself, against the noise of the room; the listener beside it goes on hearing "stop".
 */
import { NOTE_MS_MAX } from '../../electron/core/job/spoken-note.ts';
import type { NoteEnd } from '../../electron/ipc/contract.ts';
import { SAMPLE_RATE_HZ } from './decoder.ts';
import { FRAME_MS, levelDbfs } from './endpointer.ts';

/** So much silence after speech ends a note: longer than a person thinks in the middle of a sentence. */
export const NOTE_SILENCE_MS = 3_000;
/** Whoever has said nothing for this long wanted no note. */
export const NOTE_WAIT_MS = 10_000;
/** Less speech than this is a knock or a cough. */
const SPEECH_MS_MIN = 240;
/** Speech is at least this far above the noise. */
const ABOVE_NOISE_DB = 9;
/** Kept before the first and after the last loud moment. */
const EDGE_MS = 300;
/** The tone that opens the note is not part of it. */
const SKIP_MS = 200;

/** A note as it goes to the host; `pcm` is mono, 16 bits, and empty where nothing was said. */
export interface SpokenNote {
  readonly endedBy: NoteEnd;
  readonly rateHz: number;
  readonly pcm: Int16Array;
}

export interface NoteRecorder {
  /** Takes one frame of `FRAME_MS`; gives the note when it has ended by itself. */
  frame(frame: Float32Array, noiseDbfs: number): SpokenNote | undefined;
  /** Ends the note now, without the last `dropMs` (the word that ended it). */
  end(dropMs: number): SpokenNote;
}

/** A recorder that begins with the next frame. */
export function createNoteRecorder(): NoteRecorder {
  const frames: Float32Array[] = [];
  let skippedMs = 0;
  let firstLoud = -1;
  let lastLoud = -1;
  let loudFrames = 0;

  const noteOf = (endedBy: NoteEnd, upTo: number): SpokenNote => {
    const said = loudFrames * FRAME_MS >= SPEECH_MS_MIN && firstLoud >= 0 && firstLoud < upTo;
    if (!said) return { endedBy: 'nothing-said', rateHz: SAMPLE_RATE_HZ, pcm: new Int16Array() };
    const edge = EDGE_MS / FRAME_MS;
    const kept = frames.slice(Math.max(0, firstLoud - edge), Math.min(upTo, lastLoud + 1 + edge));
    return { endedBy, rateHz: SAMPLE_RATE_HZ, pcm: pcmFrom(kept) };
  };

  return {
    frame(frame, noiseDbfs) {
      if (skippedMs < SKIP_MS) {
        skippedMs += FRAME_MS;
        return undefined;
      }
      frames.push(frame);
      if (levelDbfs(frame) >= noiseDbfs + ABOVE_NOISE_DB) {
        if (firstLoud < 0) firstLoud = frames.length - 1;
        lastLoud = frames.length - 1;
        loudFrames += 1;
      }
      const length_ms = frames.length * FRAME_MS;
      const spoke = loudFrames * FRAME_MS >= SPEECH_MS_MIN;
      const quiet_ms = (frames.length - 1 - lastLoud) * FRAME_MS;
      if (!spoke && length_ms >= NOTE_WAIT_MS) return noteOf('nothing-said', frames.length);
      if (spoke && quiet_ms >= NOTE_SILENCE_MS) return noteOf('silence', frames.length);
      return length_ms >= NOTE_MS_MAX ? noteOf('limit', frames.length) : undefined;
    },
    end: (dropMs) => noteOf('stop', frames.length - Math.max(0, Math.ceil(dropMs / FRAME_MS))),
  };
}

function pcmFrom(frames: readonly Float32Array[]): Int16Array {
  const pcm = new Int16Array(frames.reduce((length, frame) => length + frame.length, 0));
  let at = 0;
  for (const frame of frames)
    for (const sample of frame) {
      pcm[at] = Math.round(Math.max(-1, Math.min(1, sample)) * 32_767);
      at += 1;
    }
  return pcm;
}
