/** The sound of spoken notes on the page: packed for the host, unpacked and played for the reader. */

const BLOCK_BYTES = 8192;
const PCM_AT = 44;

/** 16-bit samples as base64, little-endian as every machine we run on has them. */
export function base64FromPcm(pcm: Int16Array): string {
  const bytes = new Uint8Array(pcm.buffer, pcm.byteOffset, pcm.byteLength);
  let text = '';
  for (let at = 0; at < bytes.length; at += BLOCK_BYTES)
    text += String.fromCharCode(...bytes.subarray(at, at + BLOCK_BYTES));
  return btoa(text);
}

/** The samples of a note's WAV file, which has one fixed header, in [-1, 1]; empty where it has none. */
export function samplesFromWav(wav: string): Float32Array<ArrayBuffer> {
  const bytes = Uint8Array.from(atob(wav), (sign) => sign.charCodeAt(0));
  if (bytes.length <= PCM_AT) return new Float32Array();
  const view = new DataView(bytes.buffer, PCM_AT);
  return Float32Array.from(
    { length: Math.floor(view.byteLength / 2) },
    (_, index) => view.getInt16(index * 2, true) / 32_768,
  );
}

/** Plays samples; gives the function that stops them. `onEnd` is called once, however it ends. */
export function playSamples(
  samples: Float32Array<ArrayBuffer>,
  rateHz: number,
  onEnd: () => void,
): () => void {
  const context = new AudioContext();
  const source = context.createBufferSource();
  const buffer = context.createBuffer(1, Math.max(1, samples.length), rateHz);
  buffer.copyToChannel(samples, 0);
  source.buffer = buffer;
  source.connect(context.destination);
  source.onended = () => {
    void context.close();
    onEnd();
  };
  source.start();
  return () => source.stop();
}
