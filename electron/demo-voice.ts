/**
 * Voices for the demonstration's technician: Debian's synthesisers where they are installed, otherwise
 * the embedded voice, which is always there.
 */
import { execFile } from 'node:child_process';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { SAMPLE_RATE_HZ } from '../renderer/ears/decoder.ts';
import { resample } from '../renderer/ears/stream-resampler.ts';
import { readWav } from './ear-node/wav.ts';
import { renderSpeech } from './mouth-node.ts';

const run = promisify(execFile);

export interface DemoVoice {
  readonly name: string;
  /** Mono samples at 16 kHz. */
  speak(text: string): Promise<Float32Array>;
}

/** In order of preference; a different voice from the mouth's own makes a better demonstration. */
const COMMANDS: readonly (readonly [string, string, (text: string, file: string) => readonly string[]])[] = [
  ['flite, voice rms', 'flite', (text, file) => ['-voice', 'rms', '-t', text, '-o', file]],
  ['espeak-ng, voice en-us', 'espeak-ng', (text, file) => ['-v', 'en-us', '-s', '150', '-w', file, text]],
];

const EMBEDDED: DemoVoice = {
  name: 'the embedded voice',
  speak: async (text) => {
    const speech = await renderSpeech(text);
    return resample(speech.samples, speech.sampleRate, SAMPLE_RATE_HZ);
  },
};

async function speakWith(
  command: string,
  args: (text: string, file: string) => readonly string[],
  text: string,
): Promise<Float32Array> {
  const folder = await mkdtemp(join(tmpdir(), 'stepcaller-demo-'));
  try {
    const file = join(folder, 'speech.wav');
    await run(command, [...args(text, file)]);
    const wav = readWav(await readFile(file));
    if (!wav.ok) throw new Error(`${command}: ${wav.error.detail}`);
    return resample(wav.value.samples, wav.value.rateHz, SAMPLE_RATE_HZ);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/** The voices that work here, at least one. */
export async function demoVoices(): Promise<readonly [DemoVoice, ...DemoVoice[]]> {
  const found: DemoVoice[] = [];
  for (const [name, command, args] of COMMANDS) {
    const voice: DemoVoice = { name, speak: (text) => speakWith(command, args, text) };
    try {
      await voice.speak('next');
      found.push(voice);
    } catch {
      // Not installed, or without this voice: the next one then.
    }
  }
  const [first = EMBEDDED, ...others] = [...found, EMBEDDED];
  return [first, ...others];
}
