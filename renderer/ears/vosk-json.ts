/** Vosk's results, which are JSON text, as values. Pure. */
import type { Decoded, DecodedWord } from './decoder.ts';

/** A result as Vosk writes it; `basisMs` is subtracted from its times. */
export function decodedFromJson(json: string, basisMs: number): Decoded {
  const result = JSON.parse(json) as {
    text?: string;
    result?: readonly { word: string; conf: number; start: number; end: number }[];
  };
  const words: DecodedWord[] = (result.result ?? []).map((word) => ({
    word: word.word,
    conf: word.conf,
    startMs: Math.round(word.start * 1000) - basisMs,
    endMs: Math.round(word.end * 1000) - basisMs,
  }));
  return { text: result.text ?? '', words };
}
