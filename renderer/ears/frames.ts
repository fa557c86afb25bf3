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
