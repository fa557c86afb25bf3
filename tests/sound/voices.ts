/**
 * Synthetic speakers from Debian's speech synthesisers (espeak-ng, flite, libttspico-utils), so that no
 * recording has to be kept. What is not installed is left out; `installedVoices` says what there is.
 */
import { execFile, execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, renameSync } from 'node:fs';
import { readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { readWav } from '../../electron/ear-node/wav.ts';
import { SAMPLE_RATE_HZ } from '../../renderer/ears/decoder.ts';
import { resample } from '../../renderer/ears/stream-resampler.ts';

const run = promisify(execFile);

export interface Voice {
  readonly id: string;
  readonly engine: 'espeak-ng' | 'flite' | 'pico';
  /** What the engine is called with, beside text and output file. */
  readonly options: readonly string[];
  /** Played faster (above 1) or slower, pitch included. */
  readonly speed: number;
  /** Thresholds are tuned on `tune`, tables are made from `report`: no voice is in both. */
  readonly part: 'tune' | 'report';
}

const espeak = (id: string, part: Voice['part'], ...options: string[]): Voice => ({
  id: `espeak ${id}`,
  engine: 'espeak-ng',
  options,
  speed: 1,
  part,
});
const flite = (voice: string, part: Voice['part'], speed = 1, stretch = 1): Voice => ({
  id: `flite ${voice}${speed === 1 ? '' : ` ×${speed}`}${stretch === 1 ? '' : ` slow ${stretch}`}`,
  engine: 'flite',
  options: ['-voice', voice, '--setf', `duration_stretch=${stretch}`],
  speed,
  part,
});
const pico = (language: string, part: Voice['part'], speed = 1): Voice => ({
  id: `pico ${language}${speed === 1 ? '' : ` ×${speed}`}`,
  engine: 'pico',
  options: ['-l', language],
  speed,
  part,
});

/** Every voice used, in a fixed order. */
export const VOICES: readonly Voice[] = [
  espeak('us man', 'report', '-v', 'en-us'),
  espeak('us woman', 'tune', '-v', 'en-us+f3', '-s', '160'),
  espeak('uk man', 'tune', '-v', 'en-gb', '-s', '155'),
  espeak('uk woman', 'report', '-v', 'en-gb+f2', '-p', '60', '-s', '165'),
  espeak('scots', 'report', '-v', 'en-gb-scotland', '-s', '150'),
  espeak('fast', 'tune', '-v', 'en-us+m3', '-s', '210', '-p', '40'),
  flite('slt', 'report'),
  flite('slt', 'tune', 1.12),
  flite('rms', 'tune'),
  flite('rms', 'report', 1, 1.2),
  flite('awb', 'report'),
  flite('awb', 'tune', 0.93),
  flite('kal16', 'report'),
  pico('en-US', 'report'),
  pico('en-GB', 'tune'),
  pico('en-GB', 'report', 0.94),
  pico('en-US', 'tune', 1.1),
];

const COMMANDS: Readonly<Record<Voice['engine'], string>> = {
  'espeak-ng': 'espeak-ng',
  flite: 'flite',
  pico: 'pico2wave',
};

function isInstalled(command: string): boolean {
  try {
    execFileSync('sh', ['-c', `command -v ${command}`], { stdio: 'ignore' });
    return true;
  } catch {
    return false;
  }
}

/** The voices whose engine is installed, optionally of one part only. */
export function installedVoices(part?: Voice['part']): readonly Voice[] {
  const engines = new Set(
    (Object.keys(COMMANDS) as Voice['engine'][]).filter((engine) => isInstalled(COMMANDS[engine])),
  );
  return VOICES.filter((voice) => engines.has(voice.engine) && (part === undefined || voice.part === part));
}

const CACHE = join(tmpdir(), 'stepcaller-sound');

/** `text` spoken by `voice`: mono, 16 kHz, peak brought to 0.5, silence at both ends cut. Cached by content. */
export async function speak(voice: Voice, text: string): Promise<Float32Array> {
  mkdirSync(CACHE, { recursive: true });
  const key = createHash('sha256')
    .update(JSON.stringify([voice.engine, voice.options, text]))
    .digest('hex');
  const file = join(CACHE, `${key}.wav`);
  if (!existsSync(file)) {
    const unfinished = join(CACHE, `${key}-${process.pid}.wav`);
    await synthesise(voice, text, unfinished);
    renameSync(unfinished, file);
  }
  const wav = readWav(await readFile(file));
  if (!wav.ok) {
    await rm(file);
    throw new Error(`${voice.id} made no usable sound for "${text}": ${wav.error.detail}`);
  }
  const samples = resample(wav.value.samples, wav.value.rateHz * voice.speed, SAMPLE_RATE_HZ);
  return normalised(withoutSilence(samples));
}

async function synthesise(voice: Voice, text: string, file: string): Promise<void> {
  if (voice.engine === 'espeak-ng') await run('espeak-ng', [...voice.options, '-w', file, text]);
  else if (voice.engine === 'flite') await run('flite', [...voice.options, '-t', text, '-o', file]);
  else await run('pico2wave', [...voice.options, '-w', file, text]);
}

const PEAK = 0.5;
/** Below this share of the peak (-46 dB) the ends count as silence. */
const SILENT_SHARE = 0.005;

function normalised(samples: Float32Array): Float32Array {
  const peak = samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 1e-6);
  return samples.map((sample) => (sample * PEAK) / peak);
}

function withoutSilence(samples: Float32Array): Float32Array {
  const peak = samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
  const loud = (sample: number): boolean => Math.abs(sample) > peak * SILENT_SHARE;
  const first = samples.findIndex(loud);
  const last = samples.findLastIndex(loud);
  return first < 0 ? samples : samples.slice(first, last + 1);
}
