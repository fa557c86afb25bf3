/** Fitting sentences: joining, the limit of twenty words, what a sentence needs beside its draft. */
import type { Language } from '../base/language.ts';
import { countWordsSte, MAX_PROCEDURAL_WORDS } from '../product/controlled-english.ts';
import type { Draft } from './draft.ts';
import type { FastenerNames } from './fastener-sentences.ts';
import { asSentence, looksPlural, numberOf, the } from './wording.ts';

/** What a sentence needs beside the draft. */
export interface SentenceContext {
  readonly language: Language;
  /** The part with its article: "the back cover"; the unit where it is about no part. */
  readonly part: string;
  readonly fasteners: FastenerNames;
  /** Compartment the fasteners go to or come from; null where there is none. */
  readonly compartment: number | null;
  /** Name of a part, tool or consumable by id. */
  readonly nameOf: (id: string) => string;
  /** The side to turn to, where that is a change. */
  readonly turnTo: string | null;
  /** The tool to take, where that is a change. */
  readonly take: string | null;
}

/** Words of any sentence at most: blanks and hyphens plus one, from one full stop or colon with a blank to the next. */
export function wordsAtMost(text: string): number {
  let most = 0;
  let words = 1;
  let before = 0;
  for (let i = 0; i < text.length; i += 1) {
    const c = text.charCodeAt(i);
    if (c === 32 && (before === 46 || before === 58)) {
      if (words > most) most = words;
      words = 1;
    } else if (c === 32 || c === 45) words += 1;
    before = c;
  }
  return Math.max(words, most);
}

/** Plain words with blanks between them, of which `wordsAtMost` counts neither too many nor too few. */
const PLAIN = /^(?:[A-Za-z0-9]+[,.:]?(?: |$))*$/;

/** True where every sentence keeps to the limit, by the stricter way of counting. */
export function fits(text: string): boolean {
  if (wordsAtMost(text) <= MAX_PROCEDURAL_WORDS) return true;
  if (PLAIN.test(text)) return false;
  return countWordsSte(text, 'early').every((words) => words <= MAX_PROCEDURAL_WORDS);
}

/** The wording, or the longer way round where a sentence of it would be too long. */
export function fitting(wording: string, otherwise: () => string): string {
  return fits(wording) ? wording : otherwise();
}

type Sentence = string | null | undefined;

function followedBy(text: string, sentence: Sentence): string {
  if (sentence === null || sentence === undefined || sentence === '') return text;
  return text === '' ? asSentence(sentence) : `${text} ${asSentence(sentence)}`;
}

/** Sentences in a row, each with its capital and full stop; empty ones are left out. */
export function joinAll(sentences: readonly Sentence[]): string {
  return sentences.reduce<string>(followedBy, '');
}

/** As `joinAll`, for a few: without a list for each text. */
export function join(
  one: Sentence,
  two?: Sentence,
  three?: Sentence,
  four?: Sentence,
  five?: Sentence,
): string {
  const start = followedBy(followedBy('', one), two);
  return followedBy(followedBy(followedBy(start, three), four), five);
}

/** The part that is held meanwhile; null where none is. */
export function heldPart(draft: Draft, context: SentenceContext): { name: string; plural: boolean } | null {
  const id = draft.step === null ? null : draft.step.supporting;
  if (id === null) return null;
  const name = context.nameOf(id);
  return { name, plural: draft.part?.id === id ? draft.part.plural : looksPlural(context.language, name) };
}

/** Puts "While you hold the display," in front of the first sentence; apart where that gets too long. */
export function whileHolding(
  language: Language,
  text: string,
  held: { name: string; plural: boolean } | null,
): string {
  if (held === null) return text;
  const part = the(language, held.name);
  // The part held is not named twice: "While you hold the fan, lift it out" reads better.
  const pronoun = language.plan['holding.object']({ number: numberOf(held.plural) });
  const rest = language.nouns.withPronoun(text, part, pronoun);
  const sentence = rest.charAt(0).toLowerCase() + rest.slice(1);
  return fitting(language.plan['holding.during']({ part, sentence }), () =>
    join(language.plan['holding.before']({ part }), text),
  );
}
