/**
 * Noise and rooms for the ear's tests, all from seeds: the same seed gives the same samples everywhere.
 * Our own synthetic material; no recording is kept. 16 kHz mono.
 */
import { type RandomSource, randomFromSeed } from '../../electron/core/base/random.ts';
import { SAMPLE_RATE_HZ } from '../../renderer/ears/decoder.ts';

export const NOISE_KINDS = ['white', 'hum', 'fan', 'air tool', 'babble', 'music'] as const;
export type NoiseKind = (typeof NOISE_KINDS)[number];

/** Root mean square. */
export function rms(samples: Float32Array): number {
  let sum = 0;
  for (const sample of samples) sum += sample * sample;
  return Math.sqrt(sum / Math.max(1, samples.length));
}

const ACTIVE_FRAME = SAMPLE_RATE_HZ / 50;
/** Frames within this of the loudest one count as speech. */
const ACTIVE_WITHIN_DB = 25;

/** RMS over the frames in which somebody speaks: pauses must not make a signal seem quiet. */
export function activeRms(samples: Float32Array): number {
  const levels: number[] = [];
  for (let at = 0; at + ACTIVE_FRAME <= samples.length; at += ACTIVE_FRAME) {
    levels.push(rms(samples.subarray(at, at + ACTIVE_FRAME)));
  }
  if (levels.length === 0) return rms(samples);
  const least = Math.max(...levels) * 10 ** (-ACTIVE_WITHIN_DB / 20);
  const active = levels.filter((level) => level >= least);
  return Math.sqrt(active.reduce((sum, level) => sum + level * level, 0) / active.length);
}

/** `noise` added to `speech` so that active speech stands `snrDb` above it. `noise` must be at least as long. */
export function mixAtSnr(speech: Float32Array, noise: Float32Array, snrDb: number): Float32Array {
  const gain = activeRms(speech) / Math.max(1e-9, rms(noise.subarray(0, speech.length))) / 10 ** (snrDb / 20);
  return speech.map((sample, index) => sample + (noise[index] ?? 0) * gain);
}

/** `count` samples of a noise at a level in dBFS (RMS). Babble needs speech: see `babble`. */
export function backgroundNoise(
  kind: Exclude<NoiseKind, 'babble'>,
  count: number,
  levelDbfs: number,
  seed: number,
): Float32Array {
  const random = randomFromSeed(seed);
  const samples = MAKERS[kind](count, random);
  const gain = 10 ** (levelDbfs / 20) / Math.max(1e-9, rms(samples));
  return samples.map((sample) => sample * gain);
}

const MAKERS: Readonly<
  Record<Exclude<NoiseKind, 'babble'>, (count: number, random: RandomSource) => Float32Array>
> = {
  white: (count, random) => Float32Array.from({ length: count }, () => random.normal()),
  hum: (count, random) => {
    const phases = Array.from({ length: 12 }, () => random.next() * 2 * Math.PI);
    return Float32Array.from({ length: count }, (_, index) => {
      const t = index / SAMPLE_RATE_HZ;
      return phases.reduce(
        (sum, phase, n) => sum + Math.sin(2 * Math.PI * 50 * (n + 1) * t + phase) / (n + 1),
        0,
      );
    });
  },
  fan: (count, random) => {
    // Air: low-passed noise; blades: a tone at the blade rate and its double, slightly uneven.
    let low = 0;
    return Float32Array.from({ length: count }, (_, index) => {
      low += 0.06 * (random.normal() - low);
      const t = index / SAMPLE_RATE_HZ;
      return (
        low +
        0.03 * Math.sin(2 * Math.PI * 187 * t) +
        0.015 * Math.sin(2 * Math.PI * 374 * t + 1) +
        0.04 * random.normal()
      );
    });
  },
  'air tool': (count, random) => {
    // Bursts of 0.2 to 0.8 s of bright noise and a whine, with pauses as long.
    const samples = new Float32Array(count);
    for (let at = 0; at < count; ) {
      const burst = random.integer(SAMPLE_RATE_HZ * 0.2, SAMPLE_RATE_HZ * 0.8);
      const whine = 900 + random.next() * 900;
      let before = 0;
      for (let index = at; index < Math.min(count, at + burst); index += 1) {
        const white = random.normal();
        samples[index] =
          white - 0.7 * before + 0.8 * Math.sin((2 * Math.PI * whine * index) / SAMPLE_RATE_HZ);
        before = white;
      }
      at += burst + random.integer(SAMPLE_RATE_HZ * 0.2, SAMPLE_RATE_HZ * 0.8);
    }
    return samples;
  },
  music: (count, random) => {
    // Chords of plucked tones, a beat of two a second.
    const samples = new Float32Array(count);
    const scale = [220, 247, 277, 294, 330, 370, 415, 440];
    for (let at = 0; at < count; at += SAMPLE_RATE_HZ / 2) {
      for (let voice = 0; voice < 3; voice += 1) {
        const tone = random.pick(scale) * (voice === 0 ? 0.5 : 1);
        for (let index = 0; index < Math.min(SAMPLE_RATE_HZ, count - at); index += 1) {
          const t = index / SAMPLE_RATE_HZ;
          const wave =
            Math.sin(2 * Math.PI * tone * t) +
            0.5 * Math.sin(4 * Math.PI * tone * t) +
            0.3 * Math.sin(6 * Math.PI * tone * t);
          samples[at + index] = (samples[at + index] ?? 0) + wave * Math.exp(-3 * t);
        }
      }
    }
    return samples;
  },
};

/** Several talkers at once: `talkers` streams of `speech` pieces in random order, added. */
export function babble(
  speech: readonly Float32Array[],
  count: number,
  talkers: number,
  seed: number,
): Float32Array {
  const random = randomFromSeed(seed);
  const samples = new Float32Array(count);
  for (let talker = 0; talker < talkers; talker += 1) {
    let at = -random.integer(0, SAMPLE_RATE_HZ);
    while (at < count) {
      const piece = random.pick(speech);
      const gain = 0.05 / Math.max(1e-6, activeRms(piece));
      for (let index = 0; index < piece.length; index += 1) {
        const place = at + index;
        if (place >= 0 && place < count) samples[place] = (samples[place] ?? 0) + (piece[index] ?? 0) * gain;
      }
      at += piece.length + random.integer(0, SAMPLE_RATE_HZ / 5);
    }
  }
  return samples;
}

/**
 * The sound in a room: exponentially decaying noise as impulse response, `decayMs` to -60 dB, the direct
 * sound kept as it is and the room `directToRoomDb` below it.
 */
export function inRoom(
  samples: Float32Array,
  decayMs: number,
  directToRoomDb: number,
  seed: number,
): Float32Array {
  const random = randomFromSeed(seed);
  const length = Math.round((decayMs * SAMPLE_RATE_HZ) / 1000);
  // Every 16th tap: some hundreds of reflections are enough, and cost a sixteenth.
  const taps: { readonly delay: number; readonly gain: number }[] = [];
  for (let delay = 40; delay < length; delay += random.integer(8, 24)) {
    taps.push({ delay, gain: random.normal() * Math.exp((-6.9 * delay) / length) });
  }
  const energy = Math.sqrt(taps.reduce((sum, tap) => sum + tap.gain * tap.gain, 0));
  const scale = 10 ** (-directToRoomDb / 20) / Math.max(1e-9, energy);
  const out = new Float32Array(samples.length + length);
  out.set(samples);
  for (const tap of taps) {
    const gain = tap.gain * scale;
    for (let index = 0; index < samples.length; index += 1) {
      out[index + tap.delay] = (out[index + tap.delay] ?? 0) + (samples[index] ?? 0) * gain;
    }
  }
  return out;
}
