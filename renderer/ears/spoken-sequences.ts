/**
 * Which word may follow which in spoken numbers and spelled codes, for the recogniser's language model. Pure.
 *
 * The recogniser learns pairs of words by counting the entries of its grammar. A grammar of single number
 * words teaches it that each of them stands alone: every further word of "three point two five" then costs
 * as much as a surprise, and the filler swallows the middle of the number. So the pairs are shown to it,
 * each once, in a few long entries that are never said as a whole.
 */
import { ENGLISH } from '../../electron/core/base/language.ts';
import { grammarOf, type JobGrammar } from '../../electron/core/job/grammar.ts';
import type { Allowed } from '../../electron/core/job/model.ts';
import { NUMBER_WORDS, parseNumber } from '../../electron/core/job/spoken-numbers.ts';

const wholeValueOf = (word: string): number => {
  const number = parseNumber(word);
  return number?.kind === 'value' && Number.isInteger(number.value) ? number.value : Number.NaN;
};
const between = (low: number, high: number): readonly string[] =>
  NUMBER_WORDS.filter((word) => wholeValueOf(word) >= low && wholeValueOf(word) <= high);
// Words of the grammar by what they do in a number; "a dozen" has a value, but no number goes on with it.
const DIGITS = between(0, 9);
const TEENS = between(10, 19).filter((word) => word !== 'dozen');
const TENS = between(20, 90);
const SMALL = [...DIGITS, ...TEENS, ...TENS];

/** What may follow each word of a number; `units`: first words of the units that may be said. */
function numberFollows(units: readonly string[]): ReadonlyMap<string, readonly string[]> {
  const follows = new Map<string, readonly string[]>();
  const large = ['hundred', 'thousand', 'million'];
  const after = [...large, 'point', 'and', ...units];
  for (const word of DIGITS) follows.set(word, [...SMALL, ...after, 'quarters', 'dozen']);
  // "twelve thirty", but not "ten thirty": "two hundred and thirty" would be heard as "two hundred ten thirty".
  for (const word of TEENS) {
    follows.set(word, ['zero', 'oh', ...(wholeValueOf(word) === 10 ? [] : TENS), ...after]);
  }
  for (const word of TENS) follows.set(word, [...DIGITS, ...after]);
  for (const word of large) follows.set(word, [...SMALL, 'thousand', 'point', 'and', ...units]);
  follows.set('and', [...SMALL, 'a', 'half', 'quarter']);
  follows.set('a', ['half', 'quarter', 'hundred', 'thousand', 'dozen']);
  follows.set('half', ['a', ...units]);
  follows.set('point', DIGITS);
  follows.set('minus', [...SMALL, 'point']);
  return follows;
}

/** What may come first in a number. */
const NUMBER_FIRST = ['minus', 'point', 'a', 'half', ...SMALL];

/** What may follow what where nothing is known of a language's numbers but their words. */
function anyFollows(
  words: readonly string[],
  units: readonly string[],
): ReadonlyMap<string, readonly string[]> {
  return new Map(words.map((word) => [word, [...words, ...units]]));
}

/**
 * A few long entries that hold every pair of `follows` once, beginning after `first`: each goes on to a pair
 * that is not yet shown for as long as there is one.
 */
export function walksOver(follows: ReadonlyMap<string, readonly string[]>): readonly string[] {
  const left = new Map([...follows].map(([word, next]) => [word, [...next]]));
  const walks: string[] = [];
  for (const [start, rest] of left) {
    while (rest.length > 0) {
      const walk = [start];
      for (let next = rest.shift(); next !== undefined; next = left.get(next)?.shift()) walk.push(next);
      walks.push(walk.join(' '));
    }
  }
  return walks;
}

/**
 * The long entries for what may be said now, none where neither readings nor spellings may. `phrases` are the
 * entries of the grammar, `openings` what is said before the number or the code.
 */
export function sequencesFor(
  allowed: Allowed,
  phrases: readonly string[],
  openings: readonly string[],
  grammar: JobGrammar = grammarOf(ENGLISH),
): readonly string[] {
  const isEnglish = grammar.numbers.words === NUMBER_WORDS;
  const spelling = grammar.codes.words;
  const known = new Set(phrases.flatMap((phrase) => phrase.split(' ')));
  const entries: string[] = [];
  const opened = (first: readonly string[]): readonly string[] =>
    openings.flatMap((opening) => first.map((word) => `${opening} ${word}`));
  if (allowed.number === 'reading') {
    const units = phrases
      .filter((phrase) => grammar.units.has(phrase))
      .map((unit) => unit.split(' ')[0] ?? '');
    const firstOfUnits = [...new Set(units)];
    const all = isEnglish ? numberFollows(firstOfUnits) : anyFollows(grammar.numbers.words, firstOfUnits);
    const first = isEnglish ? NUMBER_FIRST : grammar.numbers.words;
    const follows = [...all]
      .filter(([word]) => known.has(word))
      .map(([word, next]) => [word, next.filter((one) => known.has(one))] as const);
    // Said weakly, and taken for "ten" or "amps" otherwise.
    if (isEnglish)
      entries.push(...TENS.filter((word) => known.has(word)).map((word) => `hundred and ${word}`));
    entries.push(...walksOver(new Map(follows)), ...opened(first.filter((word) => known.has(word))));
  }
  if (allowed.spelling) {
    entries.push(...walksOver(new Map(spelling.map((word) => [word, spelling]))));
    entries.push(...opened(spelling));
  }
  // "no five not nine" while a value waits for "yes".
  if (allowed.proposed !== undefined) {
    const digits = isEnglish ? DIGITS : grammar.numbers.words;
    const [no = ''] = grammar.phrases.no;
    const signs = allowed.spelling ? spelling : digits;
    entries.push(...signs.map((sign) => `${no} ${sign} ${grammar.not} ${sign}`));
  }
  return entries;
}
