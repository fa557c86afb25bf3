/** Frames of audio: 10 ms of mono samples at 16 kHz, the unit in which levels are measured and audio is kept. */
import { SAMPLE_RATE_HZ } from './decoder.ts';
import { FRAME_MS } from './endpointer.ts';

export const FRAME_SAMPLES = (SAMPLE_RATE_HZ * FRAME_MS) / 1000;

/** The samples of whole frames behind one another. */
export function concatenate(frames: readonly Float32Array[]): Float32Array {
  const all = new Float32Array(frames.length * FRAME_SAMPLES);
  frames.forEach((frame, index) => {
    all.set(frame, index * FRAME_SAMPLES);
  });
  return all;
}

export interface Framing {
  /** The frames that are full with these samples; what is left over begins the next. */
  cut(samples: Float32Array): Generator<Float32Array>;
}

/** Cuts a stream of samples into frames. */
export function createFraming(): Framing {
  const pending = new Float32Array(FRAME_SAMPLES);
  let count = 0;
  return {
    *cut(samples) {
      let at = 0;
      while (at < samples.length) {
        const more = Math.min(FRAME_SAMPLES - count, samples.length - at);
        pending.set(samples.subarray(at, at + more), count);
        count += more;
        at += more;
        if (count < FRAME_SAMPLES) return;
        count = 0;
        yield pending.slice();
      }
    },
  };
}
