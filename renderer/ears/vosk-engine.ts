/**
 * The Vosk recogniser (WebAssembly) as a synchronous `DecoderMaker`. Used by the browser's worker and by
 * the worker thread of Node alike; it needs `self`, `location`, `fetch` and nothing else.
 *
 * The package's own worker is not used as it stands, for three measured reasons: it unpacks the model
 * into IndexedDB keyed by address (a damaged one stays there), it never answers when a model is bad, and
 * its `setWords` also switches on partial words, which empties many partial results. So its loader is run
 * with a stand-in for the module, the real module is caught, the verified files of the model are written
 * into its memory file system, and the recogniser is driven directly.
 */
import { RecognizerWorker } from '@lichess-org/vosk-browser/dist/vosk.worker.js';
import { type Decoded, type Decoder, type DecoderMaker, joinDecoded, SAMPLE_RATE_HZ } from './decoder.ts';
import { decodedFromJson } from './vosk-json.ts';

interface VoskRecogniser {
  SetWords(on: boolean): void;
  AcceptWaveform(address: number, count: number): boolean;
  Result(): string;
  FinalResult(): string;
  PartialResult(): string;
  delete(): void;
}

interface VoskModel {
  delete(): void;
}

interface VoskModule {
  readonly HEAPF32: Float32Array;
  readonly FS: {
    mkdirTree(path: string): void;
    writeFile(path: string, data: Uint8Array, options: { readonly canOwn: boolean }): void;
    unlink(path: string): void;
  };
  readonly Model: new (path: string) => VoskModel;
  readonly Recognizer: new (model: VoskModel, rateHz: number, grammar?: string) => VoskRecogniser;
  SetLogLevel(level: number): void;
  _malloc(bytes: number): number;
  _free(address: number): void;
}

/** Vosk scales by 16-bit samples. */
const INT16_SCALE = 32_768;
/** Largest chunk a decoder takes at once; longer input is cut. */
const CHUNK_SAMPLES_MAX = 4_096;
/** Errors only: the recogniser's own lines on stdout are of no use to a technician. */
const LOG_ERRORS_ONLY = -2;

/** A loaded model with the memory it lives in. */
export interface Engine extends DecoderMaker {
  /** Bytes of WebAssembly memory taken so far (it never shrinks). */
  memoryBytes(): number;
  /** Frees the model. Decoders made from it must be freed before. */
  free(): void;
}

/**
 * Loads the WebAssembly from `wasmUrl` and the model from `files` (path inside the model → bytes, already
 * verified). Rejects with the recogniser's message when either is not usable.
 */
export async function loadEngine(wasmUrl: string, files: ReadonlyMap<string, Uint8Array>): Promise<Engine> {
  const vosk = await catchModule(wasmUrl);
  vosk.SetLogLevel(LOG_ERRORS_ONLY);
  for (const [path, bytes] of files) {
    const full = `/model/${path}`;
    vosk.FS.mkdirTree(full.slice(0, full.lastIndexOf('/')));
    vosk.FS.writeFile(full, bytes, { canOwn: true });
  }
  const model = new vosk.Model('/model');
  // A loaded model reads nothing more from them.
  for (const path of files.keys()) vosk.FS.unlink(`/model/${path}`);
  const buffer = vosk._malloc(CHUNK_SAMPLES_MAX * Float32Array.BYTES_PER_ELEMENT);
  return {
    decoder: (grammar) => makeDecoder(vosk, model, buffer, grammar),
    memoryBytes: () => vosk.HEAPF32.byteLength,
    free: () => {
      vosk._free(buffer);
      model.delete();
    },
  };
}

/** Runs the package's loader on an object that is not a live worker, and keeps the module it makes. */
async function catchModule(wasmUrl: string): Promise<VoskModule> {
  let caught: VoskModule | undefined;
  let failure: unknown;
  const nothing = (): void => {};
  const standIn = {
    SetLogLevel: nothing,
    FS: { mkdir: nothing, mount: nothing },
    syncFilesystem: async () => {},
    downloadAndExtract: async () => {},
    Model: class {},
  };
  const loader = Object.create(RecognizerWorker.prototype) as RecognizerWorker;
  Object.defineProperties(loader, {
    logger: {
      value: { getLogLevel: () => LOG_ERRORS_ONLY, verbose: () => {}, error: (e: unknown) => (failure = e) },
    },
    module: { get: () => standIn, set: (module: VoskModule) => (caught = module) },
  });
  await loader.load('unused', wasmUrl);
  if (caught === undefined) throw new Error(`the recogniser did not start: ${String(failure)}`);
  return caught;
}

function makeDecoder(
  vosk: VoskModule,
  model: VoskModel,
  buffer: number,
  grammar: readonly string[] | null,
): Decoder {
  const recogniser =
    grammar === null
      ? new vosk.Recognizer(model, SAMPLE_RATE_HZ)
      : new vosk.Recognizer(model, SAMPLE_RATE_HZ, JSON.stringify(grammar));
  recogniser.SetWords(true);
  let freed = false;
  // Vosk counts a recogniser's time from its making on; ours from the last `finish`.
  let fed = 0;
  let basisMs = 0;
  const acceptChunk = (samples: Float32Array): boolean => {
    fed += samples.length;
    const scaled = samples.map((sample) => sample * INT16_SCALE);
    // HEAPF32 is read anew each time: the memory may have grown and the old view be detached.
    vosk.HEAPF32.set(scaled, buffer / Float32Array.BYTES_PER_ELEMENT);
    return recogniser.AcceptWaveform(buffer, scaled.length);
  };
  return {
    accept: (samples) => {
      const parts: Decoded[] = [];
      for (let from = 0; from < samples.length; from += CHUNK_SAMPLES_MAX) {
        const ended = acceptChunk(samples.subarray(from, from + CHUNK_SAMPLES_MAX));
        if (ended) parts.push(decodedFromJson(recogniser.Result(), basisMs));
      }
      if (parts.length > 0) return { ...joinDecoded(parts), ended: true };
      const partial = JSON.parse(recogniser.PartialResult()) as { partial?: string };
      return { text: partial.partial ?? '', words: [], ended: false };
    },
    finish: () => {
      const decoded = decodedFromJson(recogniser.FinalResult(), basisMs);
      basisMs = (fed * 1000) / SAMPLE_RATE_HZ;
      return decoded;
    },
    free: () => {
      if (freed) return;
      freed = true;
      recogniser.delete();
    },
  };
}
