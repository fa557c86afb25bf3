/**
 * The optional word before every phrase in loud rooms ("bench, next"): what the recogniser is given for it,
 * and what is left of an utterance without it. Pure; times are the audio's own.
 */
import type { Decoded } from './decoder.ts';

/** After the attention word alone, the phrase may follow within this time. */
export const ATTENTION_OPEN_MS = 5_000;
/** Longer entries are not phrases but show the recogniser how numbers go on. */
const PHRASE_WORDS_MAX = 6;

export interface AttentionWord {
  set(on: boolean): void;
  isOn(): boolean;
  /** The entries for the recogniser that begin with the word; none while it is off. */
  entries(phrases: readonly string[]): readonly string[];
  /** `text` without the word; empty where one is asked for and was not said. */
  without(text: string, nowMs: number): string;
  /** The same of a result; undefined where the word was not said, or nothing was said but the word. */
  decodedWithout(decoded: Decoded, nowMs: number): Decoded | undefined;
}

/** `word` is what has to be said, switched off. */
export function createAttentionWord(word: string): AttentionWord {
  let on = false;
  let openUntilMs = Number.NEGATIVE_INFINITY;
  const called = `${word} `;
  return {
    set: (newOn) => {
      on = newOn;
    },
    isOn: () => on,
    entries: (phrases) => {
      if (!on) return [];
      const short = phrases.filter((phrase) => phrase.split(' ').length <= PHRASE_WORDS_MAX);
      return [word, ...short.map((phrase) => called + phrase)];
    },
    without: (text, nowMs) => {
      if (!on) return text;
      if (text.startsWith(called)) return text.slice(called.length);
      return nowMs <= openUntilMs ? text : '';
    },
    decodedWithout: (decoded, nowMs) => {
      if (!on) return decoded;
      if (decoded.text === word) {
        openUntilMs = nowMs + ATTENTION_OPEN_MS;
        return undefined;
      }
      if (decoded.text.startsWith(called))
        return { text: decoded.text.slice(called.length), words: decoded.words.slice(1) };
      return nowMs <= openUntilMs ? decoded : undefined;
    },
  };
}
