/**
 * Reads WAV files of any usual kind (8, 16, 24, 32 bit, float; any rate; any number of channels) as mono
 * samples, and writes 16-bit ones. Pure functions over bytes; the format is RIFF/WAVE with little-endian
 * chunks of four-letter name, 32-bit length, content, padded to even length.
 */
import { err, ok, type Result } from '../core/base/result.ts';
import { wavFromPcm } from '../core/base/wav-file.ts';

export interface WavAudio {
  /** Mono: the mean of the channels, in [-1, 1]. */
  readonly samples: Float32Array;
  readonly rateHz: number;
  readonly channels: number;
  readonly bits: number;
  readonly float: boolean;
}

export interface WavFault {
  readonly code: 'not-wav' | 'no-format' | 'no-data' | 'compressed' | 'unknown-width' | 'too-long';
  readonly detail: string;
}

const FORMAT_PCM = 1;
const FORMAT_FLOAT = 3;
const FORMAT_EXTENSIBLE = 0xfffe;
const RATE_MIN_HZ = 4_000;
const RATE_MAX_HZ = 384_000;
const CHANNELS_MAX = 32;
/** Longest recording that is read: an hour at 48 kHz. */
export const WAV_FRAMES_MAX = 3_600 * 48_000;

interface Format {
  readonly code: number;
  readonly channels: number;
  readonly rateHz: number;
  readonly bits: number;
}

/** Mono samples of a WAV file's bytes, or why there are none. A data chunk cut short gives what is there. */
export function readWav(bytes: Uint8Array): Result<WavAudio, WavFault> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const name = (at: number): string => String.fromCharCode(...bytes.subarray(at, at + 4));
  if (bytes.byteLength < 12 || name(0) !== 'RIFF' || name(8) !== 'WAVE') {
    return err({ code: 'not-wav', detail: 'the file does not begin with RIFF … WAVE' });
  }
  let format: Format | undefined;
  for (let at = 12; at + 8 <= bytes.byteLength; ) {
    const length = view.getUint32(at + 4, true);
    const body = at + 8;
    if (name(at) === 'fmt ' && body + 16 <= bytes.byteLength) format = formatAt(view, body, length);
    if (name(at) === 'data') {
      if (format === undefined) return err({ code: 'no-format', detail: 'the data come before the format' });
      // A writer to a pipe leaves the length unknown: then the data go on to the end of the file.
      const end = Math.min(bytes.byteLength, body + length);
      return decode(new DataView(bytes.buffer, bytes.byteOffset + body, end - body), format);
    }
    at = body + length + (length % 2);
  }
  return err({ code: 'no-data', detail: 'the file has no data chunk' });
}

function formatAt(view: DataView, at: number, length: number): Format {
  const code = view.getUint16(at, true);
  // The extensible format names the real one in the first two bytes of its sub-format.
  const real = code === FORMAT_EXTENSIBLE && length >= 26 && at + 26 <= view.byteLength;
  return {
    code: real ? view.getUint16(at + 24, true) : code,
    channels: view.getUint16(at + 2, true),
    rateHz: view.getUint32(at + 4, true),
    bits: view.getUint16(at + 14, true),
  };
}

function decode(data: DataView, format: Format): Result<WavAudio, WavFault> {
  const { code, channels, rateHz, bits } = format;
  if (code !== FORMAT_PCM && code !== FORMAT_FLOAT) {
    return err({ code: 'compressed', detail: `format ${code}; only PCM (1) and float (3) are read` });
  }
  if (channels < 1 || channels > CHANNELS_MAX || rateHz < RATE_MIN_HZ || rateHz > RATE_MAX_HZ) {
    return err({ code: 'no-format', detail: `${channels} channels at ${rateHz} Hz` });
  }
  const read = sampleReader(data, code === FORMAT_FLOAT, bits);
  if (read === undefined) return err({ code: 'unknown-width', detail: `${bits} bits a sample` });
  const width = bits / 8;
  const frames = Math.floor(data.byteLength / (width * channels));
  if (frames > WAV_FRAMES_MAX) return err({ code: 'too-long', detail: `${frames} samples` });
  if (frames === 0) return err({ code: 'no-data', detail: 'the data chunk is empty' });
  const samples = new Float32Array(frames);
  for (let frame = 0; frame < frames; frame += 1) {
    let sum = 0;
    for (let channel = 0; channel < channels; channel += 1) sum += read((frame * channels + channel) * width);
    samples[frame] = Number.isFinite(sum) ? sum / channels : 0;
  }
  return ok({ samples, rateHz, channels, bits, float: code === FORMAT_FLOAT });
}

function sampleReader(data: DataView, float: boolean, bits: number): ((at: number) => number) | undefined {
  if (float) {
    if (bits === 32) return (at) => data.getFloat32(at, true);
    if (bits === 64) return (at) => data.getFloat64(at, true);
    return undefined;
  }
  if (bits === 8) return (at) => (data.getUint8(at) - 128) / 128;
  if (bits === 16) return (at) => data.getInt16(at, true) / 32_768;
  if (bits === 24) return (at) => ((data.getInt8(at + 2) << 16) | data.getUint16(at, true)) / 8_388_608;
  if (bits === 32) return (at) => data.getInt32(at, true) / 2_147_483_648;
  return undefined;
}

/** A 16-bit mono WAV file of samples in [-1, 1]; values outside are clipped. */
export function writeWav(samples: Float32Array, rateHz: number): Uint8Array {
  const pcm = new Uint8Array(samples.length * 2);
  const view = new DataView(pcm.buffer);
  samples.forEach((sample, index) => {
    view.setInt16(index * 2, Math.round(Math.max(-1, Math.min(1, sample)) * 32_767), true);
  });
  return wavFromPcm(pcm, rateHz);
}
