/** The header of a WAV file, byte by byte: field positions after the RIFF/WAVE description, from memory. */
import { expect, it } from 'vitest';
import { wavBytes, wavFromPcm } from '../../../electron/core/base/wav-file.ts';

it('a WAV file has a header of 44 bytes and then its samples', () => {
  const file = wavFromPcm(Uint8Array.of(1, 2, 3, 4, 5, 6), 16_000);
  expect(file.length).toBe(wavBytes(6));
  expect(wavBytes(6)).toBe(50);
  const text = (from: number, to: number): string => String.fromCharCode(...file.subarray(from, to));
  expect([text(0, 4), text(8, 12), text(12, 16), text(36, 40)]).toEqual(['RIFF', 'WAVE', 'fmt ', 'data']);
  const view = new DataView(file.buffer);
  expect({
    size: view.getUint32(4, true),
    formatBytes: view.getUint32(16, true),
    pcm: view.getUint16(20, true),
    channels: view.getUint16(22, true),
    rateHz: view.getUint32(24, true),
    bytesASecond: view.getUint32(28, true),
    bytesAFrame: view.getUint16(32, true),
    bits: view.getUint16(34, true),
    dataBytes: view.getUint32(40, true),
  }).toEqual({
    size: 42,
    formatBytes: 16,
    pcm: 1,
    channels: 1,
    rateHz: 16_000,
    bytesASecond: 32_000,
    bytesAFrame: 2,
    bits: 16,
    dataBytes: 6,
  });
  expect([...file.subarray(44)]).toEqual([1, 2, 3, 4, 5, 6]);
});
