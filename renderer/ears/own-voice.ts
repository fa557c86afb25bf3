/**
 * The mouth's own words in the microphone. Pure.
 *
 * While the mouth speaks, the recogniser gets the very sentence that is being spoken as part of its
 * grammar: the echo then is recognised as that sentence, and a "stop" said over it stands out. A short
 * tail after the sentence its words are refused, because the room and the loudspeaker lag behind.
 */
import type { PhraseId } from '../../electron/core/job/model.ts';
import { FILLER, type SpokenGrammar } from './decision.ts';

/** Phrases that are heard while the mouth speaks. */
const OVER_MOUTH = ['stop', 'pause'] as const satisfies readonly PhraseId[];

/**
 * Offered beside the sentence, because steps are full of them. More near words ("stuff", "shop", "staff")
 * were tried and drew the real "stop" to themselves.
 */
const NEAR_OVER_MOUTH = ['step', 'top'];

/**
 * How often a word over the mouth is listed: the recogniser counts entries, and the sentence alone would
 * outweigh it. Amid the sentence "stop" was heard 63 times of 71 at weight 8 and 92 times of 104 at 32.
 */
const OVER_MOUTH_WEIGHT = 32;

/** The words of a sentence as the recogniser knows them: lower case, digits one by one, no signs. */
export function spokenWords(sentence: string, digitWords: readonly string[]): readonly string[] {
  return sentence
    .toLowerCase()
    .replace(/(?<=[0-9])\.(?=[0-9])/g, ' point ')
    .replace(/[0-9]/g, (digit) => ` ${digitWords[Number(digit)] ?? ''} `)
    .split(/[^\p{L}\p{M}']+/u)
    .filter((word) => word !== '' && word !== "'");
}

/** Whether `phrase` occurs in `words` as it stands. */
export function containsPhrase(words: readonly string[], phrase: string): boolean {
  return ` ${words.join(' ')} `.includes(` ${phrase} `);
}

/** The single words that may be heard over a sentence, and their meanings: not those which it says itself. */
export function wordsOverMouth(
  sentence: readonly string[],
  formsOf: SpokenGrammar['formsOf'],
): ReadonlyMap<string, PhraseId> {
  const forms = OVER_MOUTH.flatMap((phrase) => formsOf(phrase).map((form) => [form, phrase] as const));
  return new Map(forms.filter(([form]) => !form.includes(' ') && !sentence.includes(form)));
}

/** The recogniser's grammar while the mouth says a sentence of these words; `over` may be heard over it. */
export function grammarOverMouth(words: readonly string[], over: Iterable<string>): readonly string[] {
  // Clauses, not one long phrase: the echo may be caught in the middle of the sentence.
  const pieces: string[] = [];
  for (let at = 0; at < words.length; at += 3) pieces.push(words.slice(at, at + 6).join(' '));
  const decoys = NEAR_OVER_MOUTH.filter((word) => !words.includes(word));
  const weighted = [...over].flatMap((word) => Array<string>(OVER_MOUTH_WEIGHT).fill(word));
  return [...weighted, ...new Set([...pieces, ...words, ...decoys, FILLER])];
}
