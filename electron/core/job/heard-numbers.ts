/**
 * Numbers heard in the words of a language's table: what the table says for a number is understood as that
 * number, so a language that can be spoken can be heard without code. English has a fuller ear of its own
 * (`spoken-numbers.ts`), with pairs, dozens and halves.
 */
import { ENGLISH, type Language } from '../base/language.ts';
import { compileMessage } from '../base/message.ts';
import { MAX_DIGITS, NUMBER_WORDS, parseNumber, type SpokenNumber } from './spoken-numbers.ts';

export interface NumberHearing {
  /** Words for the recogniser's grammar where a number may follow. */
  readonly words: readonly string[];
  /** Every word that may stand in a number. */
  readonly known: ReadonlySet<string>;
  /** A number said aloud, or undefined where the words are not one number without doubt. */
  readonly parse: (text: string) => SpokenNumber | undefined;
}

/** Whole numbers up to this one are heard as they are said; longer ones digit by digit. */
export const LARGEST_HEARD_WHOLE = 9999;
/**
 * A language whose numbers up to 99 are made of more words than these (each written as one) is heard digit by
 * digit, since the recogniser's grammar would be crowded out.
 */
export const MAX_NUMBER_WORDS = 60;

const ENGLISH_HEARING: NumberHearing = {
  words: NUMBER_WORDS,
  known: new Set([...NUMBER_WORDS, 'to', 'too', 'for', 'tree', 'fife']),
  parse: parseNumber,
};

/** A text as words are compared: lower case, one blank between words, none at the ends. */
export function comparable(text: string): string {
  return text
    .toLowerCase()
    .replace(/[-,\s]+/g, ' ')
    .trim();
}

const hasEnglishNumbers = ({ table: { numbers } }: Language): boolean =>
  [...numbers.ones, ...numbers.tens].join() ===
  [...ENGLISH.table.numbers.ones, ...ENGLISH.table.numbers.tens].join();

/** How numbers are heard in a language. */
export function numberHearing(language: Language): NumberHearing {
  if (hasEnglishNumbers(language)) return ENGLISH_HEARING;
  const { numbers, phrases } = language.table;
  const digits = numbers.ones.slice(0, 10).map(comparable);
  const decimal = around(numbers.decimal, ['whole', 'digits'], language);
  const minus = around(numbers.minus, ['number'], language);
  const others = new Map(
    Object.entries(phrases['other-words'] ?? {}).map(([heard, meant]) => [
      comparable(heard),
      comparable(meant),
    ]),
  );
  const wholes = lazily(() => wholeNumbers(language));

  const digitString = (said: string): string | undefined => {
    const read = said.split(' ').map((word) => digits.indexOf(word));
    return read.length > MAX_DIGITS || read.includes(-1) ? undefined : read.join('');
  };
  const whole = (said: string): number | undefined => {
    const read = digitString(said);
    return wholes().get(said) ?? (read === undefined ? undefined : Number(read));
  };
  const unsigned = (said: string): number | undefined => {
    const plain = whole(said);
    if (plain !== undefined) return plain;
    const parts = between(said, decimal);
    const before = whole(parts?.[0] ?? '');
    const after = parts?.[1] ?? '';
    const read = digitString(after) ?? twoDigits(whole(after));
    return before === undefined || read === undefined ? undefined : Number(`${before}.${read}`);
  };
  const parse = (text: string): SpokenNumber | undefined => {
    const said = comparable(text)
      .split(' ')
      .map((word) => others.get(word) ?? word)
      .join(' ');
    const negative = between(said, minus)?.[0];
    const value = negative === undefined ? unsigned(said) : unsigned(negative);
    if (value === undefined) return undefined;
    return { kind: 'value', value: negative === undefined || value === 0 ? value : -value };
  };
  const words = grammarWords(language, [...decimal, ...minus]);
  return { words, known: new Set([...words, ...others.keys()]), parse };
}

/** The whole numbers by how they are said; what could be two of them is left out. */
function wholeNumbers({ numbers }: Language): ReadonlyMap<string, number> {
  const found = new Map<string, number>();
  const doubtful = new Set<string>();
  for (let n = 0; n <= LARGEST_HEARD_WHOLE; n += 1) {
    const said = comparable(numbers.whole(n));
    if (found.has(said)) doubtful.add(said);
    else found.set(said, n);
  }
  for (const said of doubtful) found.delete(said);
  return found;
}

function grammarWords({ table: { numbers: table }, numbers }: Language, signs: readonly string[]) {
  const said = (n: number): readonly string[] => comparable(numbers.whole(n)).split(' ');
  const range = (from: number, to: number, by: number): readonly string[] =>
    Array.from({ length: Math.floor((to - from) / by) + 1 }, (_, i) => said(from + i * by)).flat();
  const small = new Set(range(0, 99, 1));
  const wholes =
    small.size <= MAX_NUMBER_WORDS
      ? [...small, ...range(100, 900, 100), ...said(1000)]
      : table.ones.slice(0, 10).map(comparable);
  return [...new Set([...wholes, ...signs.flatMap((sign) => comparable(sign).split(' '))])].filter(
    (word) => word !== '',
  );
}

/** What stands before, between and after the places of a pattern. */
function around(pattern: string, places: readonly string[], language: Language): readonly string[] {
  const mark = '\u0000';
  const facts = Object.fromEntries(places.map((name) => [name, mark]));
  return compileMessage(pattern, language.rules)(facts).split(mark).map(comparable);
}

/** What stands in the places of a pattern whose other parts are these; undefined where it is not of that pattern. */
function between(said: string, parts: readonly string[]): readonly string[] | undefined {
  const [first = '', second = '', third] = parts;
  const last = third ?? second;
  if (!said.startsWith(first) || !said.endsWith(last) || said.length <= first.length + last.length)
    return undefined;
  const middle = said.slice(first.length, said.length - last.length).trim();
  if (third === undefined) return [middle];
  const at = middle.indexOf(` ${second} `);
  return at < 1 ? undefined : [middle.slice(0, at), middle.slice(at + second.length + 2)];
}

function twoDigits(value: number | undefined): string | undefined {
  return value !== undefined && value >= 10 && value <= 99 ? String(value) : undefined;
}

function lazily<T>(make: () => T): () => T {
  let made: T | undefined;
  return () => {
    made ??= make();
    return made;
  };
}
