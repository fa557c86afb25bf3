/**
 * A language ready for use: the patterns of its tables compiled, what its grammar needs looked up once.
 * Core functions that make words take one as an argument; English is what they use without it.
 *
 *     language.plan['disconnect']({ item: 'the fan cable' })   // "Disconnect the fan cable."
 */

import { ENGLISH_TABLE, type GrammarTable, type LanguageTable, type PhraseTable } from './language-table.ts';
import {
  compileMessage,
  type Facts,
  type Message,
  type NumberRules,
  numberRules,
  printedIn,
} from './message.ts';

type Messages<T> = {
  readonly [K in keyof T]: T[K] extends string
    ? Message
    : T[K] extends readonly unknown[]
      ? T[K]
      : Messages<T[K]>;
};

/** The grammar's lists as tests on a name. */
export interface Nouns {
  readonly hasDeterminer: (name: string) => boolean;
  readonly hasPreposition: (place: string) => boolean;
  readonly withoutArticle: (name: string) => string;
  readonly plural: (name: string) => string;
  readonly singular: (name: string) => string;
  readonly looksPlural: (name: string) => boolean;
  /** The text with its first object, where it is this name, exchanged for a pronoun. */
  readonly withPronoun: (text: string, name: string, pronoun: string) => string;
}

export interface Language {
  readonly table: LanguageTable;
  readonly tag: string;
  readonly rules: NumberRules;
  readonly prompts: Messages<LanguageTable['prompts']>;
  readonly plan: Messages<LanguageTable['plan']>;
  readonly findings: Messages<LanguageTable['findings']>;
  readonly review: Messages<LanguageTable['review']>;
  readonly reports: Messages<LanguageTable['reports']>;
  readonly cli: Messages<LanguageTable['cli']>;
  readonly nouns: Nouns;
  readonly numbers: NumberSpeech;
  readonly units: ReadonlyMap<string, Message>;
  /** What the ear listens for: the language's own phrases where it has a model for them, else the English ones. */
  readonly phrases: PhraseTable;
}

/** Numbers in words. */
export interface NumberSpeech {
  /** A whole number from 0 to 999,999 in words; larger ones stay figures. The sign is left out. */
  readonly whole: (value: number) => string;
  /** A printed decimal number ("2.5", "−0.05", with the language's own decimal sign or a point). */
  readonly printed: (text: string) => string;
  /** A count as it stands in a sentence: a word while it is small, figures beyond. */
  readonly count: (value: number) => string;
  /** "first", "second" …. */
  readonly ordinal: (number: number) => string;
  /** "minus" in front. */
  readonly negative: (words: string) => string;
}

const compiledTables = new WeakMap<LanguageTable, Language>();

/** The ear hears a language that has a recogniser's model of its own, and English where another is spoken. */
const isHeard = (table: LanguageTable): boolean => table.language.model !== undefined;

/** What is heard where this language is spoken. */
export function heardPhrases(table: LanguageTable): PhraseTable {
  return isHeard(table) ? table.phrases : ENGLISH_TABLE.phrases;
}

/** The language of a table. The same table gives the same language, compiled once. */
export function languageOf(table: LanguageTable): Language {
  const known = compiledTables.get(table);
  if (known !== undefined) return known;
  const rules = numberRules(table.language.tag);
  const language: Language = {
    table,
    tag: table.language.tag,
    rules,
    prompts: compiled(table.prompts, rules),
    plan: compiled(table.plan, rules),
    findings: compiled(table.findings, rules),
    review: compiled(table.review, rules),
    reports: compiled(table.reports, rules),
    cli: compiled(table.cli, rules),
    phrases: heardPhrases(table),
    nouns: nounsOf(table.grammar),
    numbers: numberSpeech(table, rules),
    units: new Map(
      Object.entries(table.spoken.units).map(([unit, pattern]) => [unit, compileMessage(pattern, rules)]),
    ),
  };
  compiledTables.set(table, language);
  return language;
}

/** Every text of a table as a message. */
export function compiled<T extends object>(table: T, rules: NumberRules): Messages<T> {
  const entries = Object.entries(table).map(([key, value]: [string, unknown]) => {
    if (typeof value === 'string') return [key, compileMessage(value, rules)];
    return [key, Array.isArray(value) ? value : compiled(value as object, rules)];
  });
  return Object.fromEntries(entries) as Messages<T>;
}

function escaped(text: string): string {
  return text.replace(/[.*+?^${}()|[\]\\/]/g, '\\$&');
}

/** One of the words, longest first; nothing at all where there are none. */
function oneOf(words: readonly string[]): string {
  if (words.length === 0) return '(?!)';
  return [...words]
    .sort((a, b) => b.length - a.length)
    .map(escaped)
    .join('|');
}

function nounsOf(grammar: GrammarTable): Nouns {
  const determiner = new RegExp(`^(?:${oneOf(grammar.determiners)})\\s`, 'iu');
  const article = new RegExp(`^(?:${oneOf(grammar.articles)})\\s+`, 'iu');
  const preposition = new RegExp(`^(?:${oneOf(grammar.prepositions)})\\s`, 'iu');
  const afterHead = new RegExp(`\\s(?:${oneOf(grammar['after-head'])})\\s.*$`, 'iu');
  const pluralWord = new RegExp(`(?:${oneOf(Object.keys(grammar['plural-words']))})$`, 'iu');
  const pluralEnding = new RegExp(`.(?:${oneOf(grammar['plural-endings'])})$`, 'iu');
  const notPlural = new RegExp(`(?:${oneOf(grammar['not-plural-endings'])})$`, 'iu');
  const rules = grammar.plurals.map((rule) => ({
    fits: new RegExp(`(?:${rule.ends.includes('') ? '' : oneOf(rule.ends)})$`, 'iu'),
    not: new RegExp(`(?:${oneOf(rule['but-not'] ?? [])})$`, 'iu'),
    cut: rule.cut ?? 0,
    add: rule.add,
  }));
  const particles = grammar['verb-particles'].map((word) => `${escaped(word)} `).join('|');
  const behind = grammar['after-object'].map((word) => ` ${escaped(word)}`).join('|');
  return {
    hasDeterminer: (name) => determiner.test(name),
    hasPreposition: (place) => preposition.test(place),
    withoutArticle: (name) => name.replace(article, ''),
    plural: (name) => {
      if (pluralWord.test(name)) return name;
      const rule = rules.find(({ fits, not }) => fits.test(name) && !not.test(name));
      return rule === undefined ? name : `${name.slice(0, name.length - rule.cut)}${rule.add}`;
    },
    singular: (name) => {
      const found = pluralWord.exec(name)?.[0];
      const one = found === undefined ? undefined : grammar['plural-words'][found.toLowerCase()];
      if (found === undefined || one === undefined) return name;
      // The author's own letters stay where the singular is only shorter.
      const kept = found.slice(0, one.length);
      return `${name.slice(0, name.length - found.length)}${kept.toLowerCase() === one ? kept : one}`;
    },
    looksPlural: (name) => {
      const head = name.replace(afterHead, '');
      return pluralEnding.test(head) && !notPlural.test(head);
    },
    withPronoun: (text, name, pronoun) => {
      const object = new RegExp(
        `^(\\p{L}+ )(${particles === '' ? '(?!)' : particles})?${escaped(name)}(?=${behind === '' ? '' : `(?:${behind})\\b|`}[.,]|$)`,
        'u',
      );
      // "Slide out the lid" becomes "slide it out".
      return text.replace(object, (_, verb: string, particle: string | undefined) =>
        particle === undefined ? verb + pronoun : `${verb}${pronoun} ${particle.trim()}`,
      );
    },
  };
}

function numberSpeech({ numbers }: LanguageTable, rules: NumberRules): NumberSpeech {
  const belowHundred = compileMessage(numbers['below-hundred'], rules);
  const hundreds = compileMessage(numbers.hundreds, rules);
  const thousands = compileMessage(numbers.thousands, rules);
  const decimal = compileMessage(numbers.decimal, rules);
  const minus = compileMessage(numbers.minus, rules);
  const beyond = compileMessage(numbers['ordinal-beyond'], rules);
  const whole = (value: number): string => {
    const n = Math.trunc(Math.abs(value));
    const irregular = numbers.irregular[String(n)];
    if (irregular !== undefined) return irregular;
    if (n < 20) return numbers.ones[n] ?? String(n);
    if (n < 100) {
      const tens = numbers.tens[Math.trunc(n / 10) - 2] ?? '';
      return n % 10 === 0 ? tens : belowHundred({ tens, ones: numbers.ones[n % 10] ?? '', n });
    }
    const rest = (size: number): string => (n % size === 0 ? '' : whole(n % size));
    if (n < 1000)
      return hundreds({ hundreds: whole(Math.trunc(n / 100)), rest: rest(100), n: Math.trunc(n / 100) });
    if (n < 1_000_000)
      return thousands({ thousands: whole(Math.trunc(n / 1000)), rest: rest(1000), n: Math.trunc(n / 1000) });
    return String(n);
  };
  const negative = (words: string): string => minus({ number: words });
  const printed = (text: string): string => {
    const [before = '0', after] = text.replace(/^[-−+]/, '').split(/[.,]/);
    const head = whole(Number(before));
    const words =
      after === undefined || after === ''
        ? head
        : decimal({ whole: head, digits: [...after].map((digit) => whole(Number(digit))).join(' ') });
    return /^[-−]/.test(text) ? negative(words) : words;
  };
  return {
    whole,
    printed,
    negative,
    count: (value) => (value <= numbers['largest-count-in-words'] ? whole(value) : printedIn(rules, value)),
    ordinal: (number) => numbers.ordinals[number - 1] ?? beyond({ n: number }),
  };
}

/** English: complete, and what stands in for a text that another language lacks. */
export const ENGLISH: Language = languageOf(ENGLISH_TABLE);

/** The language that the ear hears: the one given where it has a recogniser's model of its own, else English. */
export function heardLanguage(language: Language): Language {
  return isHeard(language.table) ? language : ENGLISH;
}

export type { Facts };
