/**
 * Recordings made at test time: phrases at given times, for the fake microphone of the journeys, for the
 * ear's tests and for the listening bench.
 */
import { writeFileSync } from 'node:fs';
import { writeWav } from '../../electron/ear-node/wav.ts';
import { SAMPLE_RATE_HZ } from '../../renderer/ears/decoder.ts';
import { resample } from '../../renderer/ears/stream-resampler.ts';
import { backgroundNoise } from './noise.ts';
import { speak, type Voice } from './voices.ts';

export interface SpokenPart {
  readonly text: string;
  /** Where the first sound lies, in ms from the beginning. */
  readonly atMs: number;
}

export interface Recording {
  /** Mono, 16 kHz. */
  readonly samples: Float32Array;
  /** Where each part begins and ends, in ms. */
  readonly parts: readonly { readonly text: string; readonly startMs: number; readonly endMs: number }[];
}

/** Quiet after the last part, so that its end is heard. */
const TRAIL_MS = 1_500;
/** A still room. */
const ROOM_DBFS = -66;

/** `parts` spoken by `voice` over the faint noise of a still room (seeded). Parts may overlap: they are added. */
export async function makeRecording(
  parts: readonly SpokenPart[],
  voice: Voice,
  seed = 1,
): Promise<Recording> {
  const spoken = await Promise.all(
    parts.map(async (part) => ({ ...part, sound: await speak(voice, part.text) })),
  );
  const placed = spoken.map(({ text, atMs, sound }) => ({
    text,
    sound,
    startMs: atMs,
    endMs: atMs + (sound.length * 1000) / SAMPLE_RATE_HZ,
  }));
  const lastMs = placed.reduce((last, part) => Math.max(last, part.endMs), 0) + TRAIL_MS;
  const samples = backgroundNoise('white', Math.round((lastMs * SAMPLE_RATE_HZ) / 1000), ROOM_DBFS, seed);
  for (const part of placed) addAt(samples, part.sound, part.startMs);
  return { samples, parts: placed.map(({ text, startMs, endMs }) => ({ text, startMs, endMs })) };
}

/** Parts behind one another with `gapMs` of quiet between them and before the first. */
export async function makeSequence(
  texts: readonly string[],
  voice: Voice,
  gapMs: number,
  seed = 1,
): Promise<Recording> {
  const parts: SpokenPart[] = [];
  let atMs = gapMs;
  for (const text of texts) {
    parts.push({ text, atMs });
    atMs += ((await speak(voice, text)).length * 1000) / SAMPLE_RATE_HZ + gapMs;
  }
  return makeRecording(parts, voice, seed);
}

/** Adds `sound` into `samples` at a time; what reaches beyond the end is let go. */
export function addAt(samples: Float32Array, sound: Float32Array, atMs: number, gain = 1): void {
  const at = Math.round((atMs * SAMPLE_RATE_HZ) / 1000);
  const count = Math.min(sound.length, samples.length - at);
  for (let index = 0; index < count; index += 1) {
    samples[at + index] = (samples[at + index] ?? 0) + (sound[index] ?? 0) * gain;
  }
}

/** Writes a 16-bit mono WAV at `rateHz` (44.1 kHz suits Chromium's fake microphone). */
export function writeRecording(file: string, samples: Float32Array, rateHz = 44_100): void {
  writeFileSync(file, writeWav(resample(samples, SAMPLE_RATE_HZ, rateHz), rateHz));
}
