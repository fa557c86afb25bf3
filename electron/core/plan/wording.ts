/**
 * Small words around the names of a product file: articles, plurals, counts, lists. The rules and words
 * are those of the language; this file owns none.
 */
import type { Language } from '../base/language.ts';
import { printedIn } from '../base/message.ts';

/** Whether a name stands for one thing or several; patterns choose "it" or "them" by it. */
export type GrammaticalNumber = 'one' | 'many';

export function numberOf(isPlural: boolean): GrammaticalNumber {
  return isPlural ? 'many' : 'one';
}

/** A noun phrase with its definite article: "the back cover"; left alone where it has a determiner. */
export function the(language: Language, name: string): string {
  return language.nouns.hasDeterminer(name) ? name : language.plan['noun.the']({ name });
}

/** "a new O-ring", "new clips". */
export function newOne(language: Language, name: string): string {
  return language.plan['noun.new']({ name, number: numberOf(looksPlural(language, name)) });
}

/** "the new O-ring". */
export function theNew(language: Language, name: string): string {
  return language.plan['noun.the-new']({ name });
}

/** A place: "from the back cover", or as it is where it begins with a preposition. */
export function placed(language: Language, preposition: 'from' | 'on' | 'in', place: string): string {
  if (language.nouns.hasPreposition(place)) return place;
  return language.plan[`place.${preposition}`]({ place: the(language, place) });
}

/** The plural of a noun phrase's last word; a phrase that is plural already stays. */
export function plural(language: Language, name: string): string {
  return language.nouns.plural(name);
}

/** The singular of a plural fastener name ("case screws" → "case screw"); others stay. */
export function singular(language: Language, name: string): string {
  return language.nouns.singular(name);
}

/** True where a name reads as a plural ("antenna leads", "O-rings of the head"), for "it" or "them". */
export function looksPlural(language: Language, name: string): boolean {
  return language.nouns.looksPlural(name);
}

/** A count as it stands in a sentence: a word up to twelve, figures beyond. */
export function countWord(language: Language, count: number): string {
  return language.numbers.count(count);
}

/** "the four case screws", "the case screw". */
export function counted(language: Language, count: number, name: string): string {
  if (count === 1) return the(language, singular(language, name));
  const facts = { count, counted: countWord(language, count), name: plural(language, name) };
  return language.plan['noun.counted'](facts);
}

/** "four new lock nuts". */
export function countedNew(language: Language, count: number, name: string): string {
  const facts = { count, counted: countWord(language, count), name: plural(language, name) };
  return language.plan['noun.counted-new'](facts);
}

/** "a", "a and b", "a, b and c". */
export function listed(language: Language, names: readonly string[]): string {
  if (names.length <= 1) return names[0] ?? '';
  const list = enumerated(language, names.slice(0, -1));
  return language.plan['list.last']({ list, last: names[names.length - 1] });
}

/** "a, b, c". */
export function enumerated(language: Language, names: readonly string[]): string {
  const [first = '', ...others] = names;
  const between = language.plan['list.between'];
  return others.reduce((list, next) => between({ list, next }), first);
}

/** First letter to a capital, and a full stop where there is no end mark. */
export function asSentence(text: string): string {
  const first = text.charCodeAt(0);
  // Most texts begin with a plain letter and end with no blank.
  const plain = first > 64 && first < 123 && text.charCodeAt(text.length - 1) > 32;
  const trimmed = plain ? text : text.trim();
  if (trimmed === '') return '';
  const isCapital = plain && first < 91;
  const head = trimmed.charAt(0);
  const upper = isCapital ? head : head.toUpperCase();
  const capital = head === upper ? trimmed : upper + trimmed.slice(1);
  const end = capital.charCodeAt(capital.length - 1);
  // . ! ? :
  return end === 46 || end === 33 || end === 63 || end === 58 ? capital : `${capital}.`;
}

/** A number as printed: at most `decimals` places, no trailing zeros, the decimal sign of the language. */
export function printedNumber(language: Language, value: number, decimals = 3): string {
  return printedIn(language.rules, Number(value.toFixed(decimals)));
}
