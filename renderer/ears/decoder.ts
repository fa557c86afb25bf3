/**
 * The port between the decision logic and whatever decodes speech. Synchronous on purpose: decoder and
 * decision live in the same worker, so a decision never waits for a message to cross a thread.
 */

/** One word of a result. Times are milliseconds from the first sample fed since the last `finish`. */
export interface DecodedWord {
  readonly word: string;
  /** Posterior of the word in the lattice, 0 to 1. 1 does NOT mean "certainly said": see decision.ts. */
  readonly conf: number;
  readonly startMs: number;
  readonly endMs: number;
}

/** What a decoder makes of the samples so far. `words` is empty for a partial result. */
export interface Decoded {
  readonly text: string;
  readonly words: readonly DecodedWord[];
}

/** A recogniser with one grammar. */
export interface Decoder {
  /**
   * Feeds mono samples at 16 kHz in [-1, 1] and gives the text so far. `ended` is set when the decoder's
   * own end-pointing closed a result, which then is complete and will not be part of later ones.
   */
  accept(samples: Float32Array): Decoded & { readonly ended: boolean };
  /** Closes the utterance: everything fed and not yet given as ended. The decoder can be fed again. */
  finish(): Decoded;
  /** Frees the memory. The decoder must not be used afterwards. */
  free(): void;
}

/** Makes decoders that share one loaded model. */
export interface DecoderMaker {
  /** `grammar`: phrases of lower-case words, with `[unk]` for everything else; null means no grammar. */
  decoder(grammar: readonly string[] | null): Decoder;
}

/** The rate everything behind the microphone works at, in Hz. */
export const SAMPLE_RATE_HZ = 16_000;

/** Puts results that belong to one utterance behind one another. */
export function joinDecoded(parts: readonly Decoded[]): Decoded {
  return {
    text: parts
      .map((part) => part.text)
      .filter((text) => text !== '')
      .join(' '),
    words: parts.flatMap((part) => part.words),
  };
}
