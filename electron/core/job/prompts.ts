/**
 * What the engine says, from the language's table (`prompts.json`). Numbers and units stay in printed form
 * ("1.2 N·m"); the mouth turns them into speech. Sentences are short, polite and calm; what to do comes last.
 */
import { ENGLISH, type Language } from '../base/language.ts';
import type { Facts } from '../base/message.ts';

/** The language in which the engine speaks. */
export type Words = Language;
export type WordKey = keyof Language['prompts'];
export { ENGLISH };

/** Why a phrase is refused; each has a sentence in the table under `why.`. */
export type WhyNot = WordKey extends infer K ? (K extends `why.${infer Code}` ? Code : never) : never;

/** Answers to "what is the problem": what the log keeps. How each is said stands under `problem.`. */
export const PROBLEM_KINDS = [
  'stripped screw',
  'lost screw',
  'extra screw',
  'missing part',
  'broken part',
  'does not fit',
  'wrong unit',
  'injury',
  'something else',
] as const;

/** What can be decided about a problem; how it is said stands under `decision.`. */
export const PROBLEM_DECISIONS = ['go on', 'stop the job'] as const;

/** Whether there is a sentence of this name. */
export function isWordKey(key: string): key is WordKey {
  return Object.hasOwn(ENGLISH.prompts, key);
}

/** Fills a sentence of the table. A place with no fact becomes nothing; facts are put in as they are. */
export function fill(words: Words, key: WordKey, facts: Facts = {}): string {
  return words.prompts[key](facts);
}

/** An answer that is offered (a kind of problem, a decision, "yes") as it is said; others stay as they are. */
export function answerWords(words: Words, answer: string): string {
  const key = [`problem.${answer}`, `decision.${answer}`].find(isWordKey);
  if (key !== undefined) return fill(words, key);
  return answer === 'yes' || answer === 'no' ? (words.phrases.phrases[answer][0] ?? answer) : answer;
}

/** A length of time in whole minutes as it is said: "less than a minute", "1 hour 5 minutes". */
export function durationInWords(words: Words, ms: number): string {
  const minutes = Math.floor(Math.max(0, ms) / 60_000);
  if (minutes < 1) return fill(words, 'time.less-than-a-minute');
  const hours = Math.floor(minutes / 60);
  if (hours === 0) return fill(words, 'time.minutes', { n: minutes });
  if (minutes % 60 === 0) return fill(words, 'time.hours', { n: hours });
  return fill(words, 'time.hours-minutes', { n: hours, k: minutes % 60 });
}
