/**
 * The embedded voice: the Flite synthesiser compiled to WebAssembly for a command-line world (WASI). Each
 * sentence is one run of the program with its arguments; the small stand-in for a system below gives it a
 * clock, its arguments, and one file to write: the sound. Runs in a worker of the page and in Node alike.
 */

/** Sound of one sentence: mono, −1…1. */
export interface Sound {
  readonly samples: Float32Array<ArrayBuffer>;
  readonly sampleRateHz: number;
}

/** One run takes one sentence; longer text is cut at sentences before (`sentences.ts`). */
export const TEXT_CHARS_MAX = 1000;
export const RATE_MIN = 0.5;
export const RATE_MAX = 2;

const SUCCESS = 0;
const BAD_FILE = 8;
const NOT_SUPPORTED = 58;
const FOLDER = 3;
const OUTPUT = 4;
const OUTPUT_BYTES_MAX = 64 * 1024 * 1024;

/** Thrown by `proc_exit` to unwind the program; not a fault by itself. */
class Exit extends Error {
  constructor(readonly code: number) {
    super(`exit ${code}`);
  }
}

/** A stand-in for WASI that offers arguments and one output file, `/out.wav`. */
function system(args: readonly string[]) {
  const encoder = new TextEncoder();
  const encoded = args.map((arg) => encoder.encode(`${arg}\0`));
  const file = { bytes: new Uint8Array(256 * 1024), length: 0, position: 0 };
  let words = '';
  let memory = new WebAssembly.Memory({ initial: 0 });
  const view = (): DataView => new DataView(memory.buffer);

  const write = (part: Uint8Array): void => {
    const end = file.position + part.length;
    if (end > OUTPUT_BYTES_MAX) throw new Error('assertion failed: the voice wrote more sound than allowed');
    if (end > file.bytes.length) {
      const larger = new Uint8Array(Math.max(end, file.bytes.length * 2));
      larger.set(file.bytes);
      file.bytes = larger;
    }
    file.bytes.set(part, file.position);
    file.position = end;
    file.length = Math.max(file.length, end);
  };

  const calls = {
    args_sizes_get(countAt: number, bytesAt: number): number {
      view().setUint32(countAt, encoded.length, true);
      view().setUint32(
        bytesAt,
        encoded.reduce((sum, arg) => sum + arg.length, 0),
        true,
      );
      return SUCCESS;
    },
    args_get(listAt: number, bytesAt: number): number {
      let at = bytesAt;
      encoded.forEach((arg, index) => {
        view().setUint32(listAt + index * 4, at, true);
        new Uint8Array(memory.buffer).set(arg, at);
        at += arg.length;
      });
      return SUCCESS;
    },
    clock_time_get(_clock: number, _precision: bigint, at: number): number {
      view().setBigUint64(at, 0n, true); // The sound must not depend on the time.
      return SUCCESS;
    },
    fd_prestat_get(fd: number, at: number): number {
      if (fd !== FOLDER) return BAD_FILE;
      view().setUint32(at, 0, true);
      view().setUint32(at + 4, 1, true);
      return SUCCESS;
    },
    fd_prestat_dir_name(fd: number, at: number): number {
      if (fd !== FOLDER) return BAD_FILE;
      new Uint8Array(memory.buffer)[at] = 0x2f;
      return SUCCESS;
    },
    fd_fdstat_get(fd: number, at: number): number {
      if (fd > OUTPUT) return BAD_FILE;
      new Uint8Array(memory.buffer, at, 24).fill(0);
      view().setUint8(at, fd === FOLDER ? 3 : fd === OUTPUT ? 4 : 2); // folder, file, terminal
      view().setBigUint64(at + 8, 0xffffffffffffffffn, true);
      view().setBigUint64(at + 16, 0xffffffffffffffffn, true);
      return SUCCESS;
    },
    fd_fdstat_set_flags: () => SUCCESS,
    path_open(...given: (number | bigint)[]): number {
      file.position = 0;
      view().setUint32(Number(given[8]), OUTPUT, true);
      return SUCCESS;
    },
    fd_read: () => NOT_SUPPORTED,
    fd_seek(fd: number, offset: bigint, whence: number, at: number): number {
      if (fd !== OUTPUT) return NOT_SUPPORTED;
      const from = whence === 0 ? 0 : whence === 1 ? file.position : file.length;
      file.position = from + Number(offset);
      view().setBigUint64(at, BigInt(file.position), true);
      return SUCCESS;
    },
    fd_write(fd: number, listAt: number, count: number, writtenAt: number): number {
      let written = 0;
      for (let index = 0; index < count; index++) {
        const from = view().getUint32(listAt + index * 8, true);
        const length = view().getUint32(listAt + index * 8 + 4, true);
        const part = new Uint8Array(memory.buffer, from, length);
        if (fd === OUTPUT) write(part);
        else words = (words + new TextDecoder().decode(part)).slice(-500);
        written += length;
      }
      view().setUint32(writtenAt, written, true);
      return SUCCESS;
    },
    fd_close: () => SUCCESS,
    proc_exit(code: number): never {
      throw new Exit(code);
    },
  };
  return {
    imports: { wasi_snapshot_preview1: calls } as WebAssembly.Imports,
    attach: (instance: WebAssembly.Instance) => {
      memory = instance.exports.memory as WebAssembly.Memory;
    },
    output: () => file.bytes.slice(0, file.length),
    words: () => words,
  };
}

/** Reads the sound of a RIFF file as the program writes it: PCM, 16 bits, mono. */
function soundFrom(wav: Uint8Array<ArrayBuffer>): Sound {
  const view = new DataView(wav.buffer);
  const isRiff = wav.length > 44 && view.getUint32(0) === 0x52494646 && view.getUint16(34, true) === 16;
  if (!isRiff) throw new Error(`assertion failed: the voice wrote no sound (${wav.length} bytes)`);
  const sampleRateHz = view.getUint32(24, true);
  const count = Math.floor((wav.length - 44) / 2);
  const samples = new Float32Array(count);
  for (let index = 0; index < count; index++) samples[index] = view.getInt16(44 + index * 2, true) / 32768;
  return { samples, sampleRateHz };
}

/** Below this a sample counts as silence (−40 dBFS). */
const SILENCE = 0.01;
const LEAD_S = 0.02;
const TAIL_S = 0.06;

/** Cuts the silence around a sentence (the program leaves a quarter of a second in front). */
export function trimSilence(sound: Sound): Sound {
  const { samples, sampleRateHz } = sound;
  let first = 0;
  let last = samples.length - 1;
  while (first < last && Math.abs(samples[first] ?? 0) < SILENCE) first++;
  while (last > first && Math.abs(samples[last] ?? 0) < SILENCE) last--;
  const from = Math.max(0, first - Math.round(LEAD_S * sampleRateHz));
  const to = Math.min(samples.length, last + 1 + Math.round(TAIL_S * sampleRateHz));
  return { samples: samples.slice(from, to), sampleRateHz };
}

/**
 * Speaks one sentence. `text` is as it is to be pronounced; anything but printable characters becomes a
 * blank and more than `TEXT_CHARS_MAX` is an assertion. `rate` 1 is normal, 2 twice as fast (0.5…2).
 * The same text and rate give the same sound. Takes about a twentieth of the sound's length.
 */
export async function renderSentence(voice: WebAssembly.Module, text: string, rate: number): Promise<Sound> {
  if (text.length > TEXT_CHARS_MAX)
    throw new Error(`assertion failed: a sentence of ${text.length} characters`);
  const clean = text
    .normalize('NFKD')
    .replace(/[^\x20-\x7e]/g, ' ')
    .trim();
  if (clean === '') return { samples: new Float32Array(0), sampleRateHz: 16_000 };
  const stretch = 1 / Math.min(RATE_MAX, Math.max(RATE_MIN, rate));
  const wasi = system([
    'flite',
    '-voice',
    'slt',
    '--setf',
    `duration_stretch=${stretch.toFixed(3)}`,
    '-t',
    clean,
    '-o',
    '/out.wav',
  ]);
  const instance = await WebAssembly.instantiate(voice, wasi.imports);
  wasi.attach(instance);
  try {
    (instance.exports._start as () => void)();
  } catch (end) {
    if (!(end instanceof Exit)) throw end;
    if (end.code !== 0) throw new Error(`the voice ended with code ${end.code}: ${wasi.words()}`);
  }
  return trimSilence(soundFrom(wasi.output()));
}
