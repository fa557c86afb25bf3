/**
 * Whether bytes hold recorded sound, by their content and not by their name: a container of sound, or samples
 * (16 bit or floating point, at any offset) that follow one another as those of a voice do, also as base64 inside
 * a text. For looking through everything that a job writes and sends.
 */

/** Half a second at 16 kHz in 16 bit; shorter sound says nothing that could be understood. */
const LEAST_BYTES = 16_000;
const WINDOW = 2048;
/** So many windows of a voice make sound: about half a second at 16 kHz. */
const LEAST_WINDOWS = 4;

const CONTAINERS: readonly (readonly [name: string, at: number, text: string])[] = [
  ['WAV', 8, 'WAVE'],
  ['Ogg', 0, 'OggS'],
  ['FLAC', 0, 'fLaC'],
  ['MP3', 0, 'ID3'],
  ['WebM', 0, '\u001a\u0045\u00df\u00a3'],
  ['MP4', 4, 'ftyp'],
  ['Core Audio', 0, 'caff'],
  ['AIFF', 8, 'AIFF'],
  ['AMR', 0, '#!AMR'],
];

/** What kind of sound the bytes are, or undefined where they are none. */
export function soundIn(bytes: Uint8Array): string | undefined {
  const latin = (from: number, length: number): string =>
    String.fromCharCode(...bytes.subarray(from, from + length));
  for (const [name, at, text] of CONTAINERS) if (latin(at, text.length) === text) return name;
  if (bytes.length < LEAST_BYTES) return undefined;
  for (const shift of [0, 1]) if (voiced(samples16(bytes, shift))) return '16-bit samples';
  for (const shift of [0, 1, 2, 3]) if (voiced(samplesFloat(bytes, shift))) return 'floating-point samples';
  for (const run of base64Runs(bytes)) if (soundIn(run) !== undefined) return 'sound in base64';
  return undefined;
}

function viewOf(bytes: Uint8Array, shift: number): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset + shift, bytes.length - shift);
}

function samples16(bytes: Uint8Array, shift: number): Float64Array {
  const view = viewOf(bytes, shift);
  return Float64Array.from({ length: view.byteLength >> 1 }, (_, i) => view.getInt16(2 * i, true) / 32768);
}

function samplesFloat(bytes: Uint8Array, shift: number): Float64Array {
  const view = viewOf(bytes, shift);
  return Float64Array.from({ length: view.byteLength >> 2 }, (_, i) => view.getFloat32(4 * i, true));
}

/**
 * A voice: neighbours are alike (the lag-one correlation of speech is far above that of text, tables and
 * compressed data), it swings about zero, and it hardly ever repeats a value for long.
 */
function voiced(samples: Float64Array): boolean {
  let windows = 0;
  for (let from = 0; from + WINDOW <= samples.length; from += WINDOW) {
    if (isVoice(samples.subarray(from, from + WINDOW))) windows += 1;
    if (windows >= LEAST_WINDOWS) return true;
  }
  return false;
}

function isVoice(window: Float64Array): boolean {
  let sum = 0;
  let squares = 0;
  let products = 0;
  let crossings = 0;
  let before = 0;
  for (const value of window) {
    if (!(Math.abs(value) <= 1)) return false; // not a number, or louder than sound can be
    sum += value;
    squares += value * value;
    products += value * before;
    if (value * before < 0) crossings += 1;
    before = value;
  }
  const mean = sum / window.length;
  const power = squares / window.length;
  const loud = power > 1e-6 && mean * mean < power / 10;
  const alike = products / squares;
  const swings = crossings / window.length;
  return loud && alike > 0.6 && swings > 0.005 && swings < 0.4 && new Set(window).size > 100;
}

function* base64Runs(bytes: Uint8Array): Generator<Uint8Array> {
  const text = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.length).toString('latin1');
  for (const [run] of text.matchAll(/[A-Za-z0-9+/_-]{20000,}/g)) {
    for (const skip of [0, 1, 2, 3]) yield new Uint8Array(Buffer.from(run.slice(skip), 'base64'));
  }
}
