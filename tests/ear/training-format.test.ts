/**
 * That the files our training writes mean to the recogniser what we think. Two tiny models, written by
 * `models/training/tone_model.py`, hear a low tone as "ah" and a high one as "e"; in one every layer takes
 * the later of its taps, in the other the earlier one. A wrong offset, order of weights, norm or phone
 * number moves or loses a word. (`models/training/test_tone_model.py` holds the training's own network
 * against the same expectation.)
 */
import { readdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { expect, it } from 'vitest';
import '../../electron/ear-node/shims.ts';
import { SAMPLE_RATE_HZ } from '../../renderer/ears/decoder.ts';
import { loadEngine } from '../../renderer/ears/vosk-engine.ts';

const FOLDER = fileURLToPath(new URL('tone-model/', import.meta.url));
const WASM = createRequire(import.meta.url).resolve('@lichess-org/vosk-browser/dist/vosk.wasm');

/** [tone in Hz, seconds]; 0 is silence. */
const SOUND = [
  [0, 1],
  [300, 0.4],
  [0, 0.6],
  [2_500, 0.4],
  [0, 0.6],
  [300, 0.3],
  [0, 2.4],
] as const;
const SAID = [
  ['ah', 1_000],
  ['e', 2_000],
  ['ah', 3_000],
] as const;
/** Half a decoded frame: one layer with a wrong offset moves a word by a whole one. */
const TOLERANCE_MS = 15;
/** What the shipped wiring adds up to: 3 layers of one frame and 7 of three ahead; 3 of one, 10 of three and 12, 24 and 48 behind. */
const LOOK_MS = { ahead: 240, behind: -1_170 } as const;

function samples(): Float32Array {
  const parts = SOUND.map(([hz, seconds]) =>
    Float32Array.from(
      { length: Math.round(seconds * SAMPLE_RATE_HZ) },
      (_, n) => 0.25 * Math.sin((2 * Math.PI * hz * n) / SAMPLE_RATE_HZ),
    ),
  );
  return Float32Array.from(parts.flatMap((part) => [...part]));
}

function modelFiles(network: keyof typeof LOOK_MS): Map<string, Uint8Array> {
  const files = readdirSync(`${FOLDER}model`, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => `${entry.parentPath}/${entry.name}`.slice(`${FOLDER}model/`.length));
  const found = new Map(files.map((path) => [path, new Uint8Array(readFileSync(`${FOLDER}model/${path}`))]));
  return found.set('am/final.mdl', new Uint8Array(readFileSync(`${FOLDER}${network}.mdl`)));
}

it.each(['ahead', 'behind'] as const)('hears the tones where the wiring puts them: %s', async (network) => {
  const engine = await loadEngine(pathToFileURL(WASM).href, modelFiles(network));
  const decoder = engine.decoder(['ah', 'e', '[unk]']);
  const ended = decoder.accept(samples()); // the decoder's own end-pointing may close a result
  const words = [...(ended.ended ? ended.words : []), ...decoder.finish().words];
  expect(words.map(({ word }) => word)).toEqual(SAID.map(([word]) => word));
  SAID.forEach(([word, at], index) => {
    const expected = at - LOOK_MS[network];
    expect(
      Math.abs((words[index]?.startMs ?? Number.NaN) - expected),
      `${word} at ${at}`,
    ).toBeLessThanOrEqual(TOLERANCE_MS);
  });
  decoder.free();
  engine.free();
});
