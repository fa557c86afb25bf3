/** WAV files (RIFF/WAVE) of 16-bit mono samples: written here once for the listening bench and for spoken notes. */

const HEADER_BYTES = 44;
const SAMPLE_BYTES = 2;
const FORMAT_PCM = 1;

/** Length in bytes of the file of so many bytes of samples. */
export function wavBytes(pcmBytes: number): number {
  return HEADER_BYTES + pcmBytes;
}

/** The file of 16-bit little-endian mono samples, `rateHz` of them a second. */
export function wavFromPcm(pcm: Uint8Array, rateHz: number): Uint8Array {
  const bytes = new Uint8Array(wavBytes(pcm.length));
  const view = new DataView(bytes.buffer);
  const name = (at: number, text: string): void =>
    bytes.set(
      [...text].map((sign) => sign.charCodeAt(0)),
      at,
    );
  name(0, 'RIFF');
  view.setUint32(4, bytes.length - 8, true);
  name(8, 'WAVEfmt ');
  view.setUint32(16, 16, true);
  view.setUint16(20, FORMAT_PCM, true);
  view.setUint16(22, 1, true);
  view.setUint32(24, rateHz, true);
  view.setUint32(28, rateHz * SAMPLE_BYTES, true);
  view.setUint16(32, SAMPLE_BYTES, true);
  view.setUint16(34, 8 * SAMPLE_BYTES, true);
  name(36, 'data');
  view.setUint32(40, pcm.length, true);
  bytes.set(pcm, HEADER_BYTES);
  return bytes;
}
