/**
 * The mouth's own words in the microphone. Pure.
 *
 * While the mouth speaks, the recogniser gets the very sentence that is being spoken as part of its
 * grammar: the echo then is recognised as that sentence, and a "stop" said over it stands out. A short
 * tail after the sentence its words are refused, because the room and the loudspeaker lag behind.
 */
import { FILLER } from './decision.ts';

/** Words that are heard while the mouth speaks. */
export const OVER_MOUTH = ['stop', 'pause'] as const;

/**
 * Offered beside the sentence, because steps are full of them. More near words ("stuff", "shop", "staff")
 * were tried and drew the real "stop" to themselves.
 */
const NEAR_OVER_MOUTH = ['step', 'top'];

/**
 * How often a word over the mouth is listed: the recogniser counts entries, and the sentence alone would
 * outweigh it. Over 14 sentences "stop" was heard 12 times at weight 1 and 14 times at 8.
 */
const OVER_MOUTH_WEIGHT = 32;

const DIGIT_WORDS = ['zero', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine'] as const;

/** The words of a sentence as the recogniser knows them: lower case, digits one by one, no signs. */
export function spokenWords(sentence: string): readonly string[] {
  return sentence
    .toLowerCase()
    .replace(/(?<=[0-9])\.(?=[0-9])/g, ' point ')
    .replace(/[0-9]/g, (digit) => ` ${DIGIT_WORDS[Number(digit)]} `)
    .split(/[^a-z']+/)
    .filter((word) => word !== '' && word !== "'");
}

/** Whether `phrase` occurs in `words` as it stands. */
export function containsPhrase(words: readonly string[], phrase: string): boolean {
  return ` ${words.join(' ')} `.includes(` ${phrase} `);
}

/** The words that may be heard over `sentence`: not those which the sentence itself says. */
export function phrasesOverMouth(sentence: string): readonly string[] {
  const words = spokenWords(sentence);
  return OVER_MOUTH.filter((phrase) => !words.includes(phrase));
}

/** The recogniser's grammar while the mouth says `sentence`. */
export function grammarOverMouth(sentence: string): readonly string[] {
  const words = spokenWords(sentence);
  // Clauses, not one long phrase: the echo may be caught in the middle of the sentence.
  const pieces: string[] = [];
  for (let at = 0; at < words.length; at += 3) pieces.push(words.slice(at, at + 6).join(' '));
  const decoys = NEAR_OVER_MOUTH.filter((word) => !words.includes(word));
  const over = phrasesOverMouth(sentence).flatMap((phrase) => Array<string>(OVER_MOUTH_WEIGHT).fill(phrase));
  return [...over, ...new Set([...pieces, ...words, ...decoys, FILLER])];
}
