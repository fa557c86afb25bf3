/** WAV files of every usual kind; and the rate changer. */
import { describe, expect, it } from 'vitest';
import { readWav, writeWav } from '../../electron/ear-node/wav.ts';
import { createStreamResampler, resample } from '../../renderer/ears/stream-resampler.ts';

interface Kind {
  readonly code: number;
  readonly bits: number;
  readonly channels: number;
  readonly extensible?: boolean;
}

const VALUES = [0, 0.5, -0.5, 0.25, -1];

/** A WAV file with `VALUES` in every channel, written here independently of the product's writer. */
function wav(kind: Kind, extraChunk = false): Uint8Array {
  const width = kind.bits / 8;
  const data = new DataView(new ArrayBuffer(VALUES.length * kind.channels * width));
  let at = 0;
  for (const value of VALUES) {
    for (let channel = 0; channel < kind.channels; channel += 1) {
      const scaled = Math.min(2 ** (kind.bits - 1) - 1, Math.round(value * 2 ** (kind.bits - 1)));
      if (kind.code === 3)
        kind.bits === 32 ? data.setFloat32(at, value, true) : data.setFloat64(at, value, true);
      else if (kind.bits === 8) data.setUint8(at, scaled + 128);
      else
        for (let byte = 0; byte < width; byte += 1) data.setUint8(at + byte, (scaled >> (8 * byte)) & 0xff);
      at += width;
    }
  }
  const format = new DataView(new ArrayBuffer(kind.extensible === true ? 40 : 16));
  format.setUint16(0, kind.extensible === true ? 0xfffe : kind.code, true);
  format.setUint16(2, kind.channels, true);
  format.setUint32(4, 44_100, true);
  format.setUint16(14, kind.bits, true);
  if (kind.extensible === true) format.setUint16(24, kind.code, true);
  const chunk = (name: string, body: DataView): number[] => {
    const length = body.byteLength;
    const bytes = [...new Uint8Array(body.buffer)];
    const head = [...name].map((c) => c.charCodeAt(0));
    return [...head, length & 255, (length >> 8) & 255, 0, 0, ...bytes, ...(length % 2 === 1 ? [0] : [])];
  };
  const extra = extraChunk ? chunk('LIST', new DataView(new ArrayBuffer(7))) : [];
  const body = [...chunk('fmt ', format), ...extra, ...chunk('data', data)];
  const riff = [...'RIFF'].map((c) => c.charCodeAt(0));
  const wave = [...'WAVE'].map((c) => c.charCodeAt(0));
  return Uint8Array.from([...riff, 0, 0, 0, 0, ...wave, ...body]);
}

describe('readWav', () => {
  const kinds: readonly Kind[] = [
    { code: 1, bits: 8, channels: 1 },
    { code: 1, bits: 16, channels: 1 },
    { code: 1, bits: 16, channels: 2 },
    { code: 1, bits: 24, channels: 6 },
    { code: 1, bits: 32, channels: 1 },
    { code: 3, bits: 32, channels: 2 },
    { code: 3, bits: 64, channels: 1 },
    { code: 1, bits: 24, channels: 2, extensible: true },
    { code: 3, bits: 32, channels: 1, extensible: true },
  ];
  for (const kind of kinds) {
    it(`reads ${kind.bits} bits, format ${kind.code}, ${kind.channels} channels${kind.extensible ? ', extensible' : ''}`, () => {
      const read = readWav(wav(kind, true));
      if (!read.ok) throw new Error(read.error.detail);
      expect(read.value.rateHz).toBe(44_100);
      expect(read.value.samples.length).toBe(VALUES.length);
      VALUES.forEach((value, index) => {
        expect(read.value.samples[index]).toBeCloseTo(value, kind.bits === 8 ? 1 : 3);
      });
    });
  }

  it('says why a file is no usable recording', () => {
    const code = (bytes: Uint8Array): string => {
      const read = readWav(bytes);
      return read.ok ? 'ok' : read.error.code;
    };
    expect(code(new Uint8Array(0))).toBe('not-wav');
    expect(code(new TextEncoder().encode('MP3 is not RIFF and WAVE'))).toBe('not-wav');
    expect(code(wav({ code: 2, bits: 16, channels: 1 }))).toBe('compressed');
    const odd = wav({ code: 1, bits: 16, channels: 1 });
    odd[34] = 12; // bits a sample
    expect(code(odd)).toBe('unknown-width');
    expect(code(wav({ code: 1, bits: 16, channels: 1 }).slice(0, 36))).toBe('no-data');
    expect(code(wav({ code: 1, bits: 16, channels: 0 }))).toBe('no-format');
  });

  it('survives a file cut anywhere', () => {
    const whole = wav({ code: 1, bits: 24, channels: 2, extensible: true }, true);
    for (let length = 0; length < whole.length; length += 1) {
      const read = readWav(whole.slice(0, length));
      if (read.ok) expect(read.value.samples.length).toBeLessThanOrEqual(VALUES.length);
      else expect(read.error.detail).not.toBe('');
    }
  });

  it('reads what writeWav writes', () => {
    const samples = Float32Array.from(VALUES);
    const read = readWav(writeWav(samples, 16_000));
    if (!read.ok) throw new Error(read.error.detail);
    expect(read.value).toMatchObject({ rateHz: 16_000, channels: 1, bits: 16, float: false });
    VALUES.forEach((value, index) => {
      expect(read.value.samples[index]).toBeCloseTo(value, 4);
    });
  });
});

const tone = (hz: number, rateHz: number, seconds = 0.5): Float32Array =>
  Float32Array.from({ length: rateHz * seconds }, (_, n) => Math.sin((2 * Math.PI * hz * n) / rateHz));

describe('resample', () => {
  for (const rateHz of [8_000, 22_050, 44_100, 48_000]) {
    it(`keeps a tone of 1 kHz from ${rateHz} Hz`, () => {
      const out = resample(tone(1_000, rateHz), rateHz, 16_000);
      const want = tone(1_000, 16_000);
      expect(Math.abs(out.length - want.length)).toBeLessThanOrEqual(1);
      let worst = 0;
      for (let n = 400; n < 7_600; n += 1) worst = Math.max(worst, Math.abs((out[n] ?? 0) - (want[n] ?? 0)));
      expect(worst).toBeLessThan(0.01);
    });
  }

  it('takes out what would alias: 11 kHz at 44.1 kHz is 40 dB down', () => {
    const out = resample(tone(11_000, 44_100), 44_100, 16_000).subarray(400, 7_600);
    const rms = Math.sqrt(out.reduce((sum, x) => sum + x * x, 0) / out.length);
    expect(rms).toBeLessThan(0.01);
  });

  it('gives the same in pieces as at once', () => {
    const samples = tone(440, 48_000, 0.2);
    const whole = resample(samples, 48_000, 16_000);
    const stream = createStreamResampler(48_000, 16_000);
    const parts: number[] = [];
    for (let at = 0; at < samples.length; at += 960) parts.push(...stream.push(samples.slice(at, at + 960)));
    parts.push(...stream.finish());
    expect(parts.length).toBe(whole.length);
    parts.forEach((value, index) => {
      expect(value).toBeCloseTo(whole[index] ?? 9, 6);
    });
  });
});
