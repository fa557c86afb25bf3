/**
 * Spoken English numbers and back. Understood: cardinals ("three hundred and forty-two"), hundreds above
 * ten ("twelve hundred"), pairs ("twelve thirty-four", "six sixty"), digit strings ("one oh five"),
 * decimals ("three point two five"), signs, halves and quarters, dozens. What could be two numbers is
 * not guessed: "thirty twenty" and "hundred hundred" are refused, "two to three" is a range.
 */
import { ENGLISH_TABLE } from '../base/language-table.ts';
import { SPOKEN_UNITS } from './reading-units.ts';

const { ones, tens: TENS } = ENGLISH_TABLE.numbers;
const DIGITS = ones.slice(0, 10);
const TEENS = ones.slice(10);

/** Words that are heard for a digit and can mean nothing else where a number is asked for. */
const FOLDED: Readonly<Record<string, string>> = {
  oh: 'zero',
  o: 'zero',
  nought: 'zero',
  naught: 'zero',
  won: 'one',
  too: 'two',
  tree: 'three',
  for: 'four',
  fower: 'four',
  fife: 'five',
  ate: 'eight',
  niner: 'nine',
  fourty: 'forty',
  negative: 'minus',
  decimal: 'point',
};

const UNIT_WORDS = new Set([...SPOKEN_UNITS.keys()].flatMap((unit) => unit.split(' ')));

/** Words for the recogniser's grammar where a number may follow. */
export const NUMBER_WORDS: readonly string[] = [
  ...DIGITS,
  'oh',
  'niner',
  ...TEENS,
  ...TENS,
  'hundred',
  'thousand',
  'million',
  'point',
  'minus',
  'and',
  'a',
  'half',
  'quarter',
  'quarters',
  'dozen',
];

/** The most digits a number may have when it is said digit by digit. */
export const MAX_DIGITS = 12;

export type SpokenNumber =
  | { readonly kind: 'value'; readonly value: number }
  | { readonly kind: 'range'; readonly low: number; readonly high: number };

/** A number said aloud, or undefined where the words are not one number without doubt. */
export function parseNumber(text: string): SpokenNumber | undefined {
  const words = wordsOf(text);
  if (words.length === 0 || words.length > 40) return undefined;
  const range = rangeOf(words);
  if (range !== undefined) return range;
  const value = signed(words.map((word) => (word === 'to' ? 'two' : word)));
  return value === undefined ? undefined : { kind: 'value', value };
}

/** A number with its unit, if one was said: "one point two newton metres" is 1.2 N·m. */
export function parseQuantity(text: string): { readonly value: number; readonly unit?: string } | undefined {
  const words = wordsOf(text);
  let split = words.length;
  while (split > 0 && UNIT_WORDS.has(words[split - 1] ?? '')) split -= 1;
  for (let at = split; at <= words.length; at += 1) {
    const unit = SPOKEN_UNITS.get(words.slice(at).join(' '));
    if (unit === undefined && at < words.length) continue;
    const number = parseNumber(words.slice(0, at).join(' '));
    if (number?.kind === 'value')
      return unit === undefined ? { value: number.value } : { value: number.value, unit };
  }
  return undefined;
}

function wordsOf(text: string): readonly string[] {
  return text
    .toLowerCase()
    .replace(/[-,]/g, ' ')
    .split(/\s+/)
    .filter((word) => word !== '')
    .map((word) => (Object.hasOwn(FOLDED, word) ? (FOLDED[word] ?? word) : word));
}

function rangeOf(words: readonly string[]): SpokenNumber | undefined {
  const at = words.indexOf('to', 1);
  if (at < 1 || at >= words.length - 1 || words.indexOf('to', at + 1) >= 0) return undefined;
  const low = signed(words.slice(0, at));
  const high = signed(words.slice(at + 1));
  return low === undefined || high === undefined ? undefined : { kind: 'range', low, high };
}

function signed(words: readonly string[]): number | undefined {
  if (words[0] === 'minus') {
    const value = unsigned(words.slice(1));
    return value === undefined ? undefined : value === 0 ? 0 : -value;
  }
  return unsigned(words[0] === 'plus' ? words.slice(1) : words);
}

function unsigned(words: readonly string[]): number | undefined {
  return dozens(words) ?? fraction(words) ?? decimal(words) ?? whole(words);
}

function dozens(words: readonly string[]): number | undefined {
  const said = words.join(' ');
  if (said === 'half a dozen') return 6;
  if (words.at(-1) !== 'dozen') return undefined;
  const before = words.slice(0, -1);
  if (before.length === 0 || before.join(' ') === 'a') return 12;
  const count = cardinal(before);
  return count === undefined || count === 0 ? undefined : count * 12;
}

/** Halves and quarters, alone or after "and"; other fractions have no exact decimal and are not used. */
function fraction(words: readonly string[]): number | undefined {
  const part: Readonly<Record<string, number>> = {
    half: 0.5,
    'a half': 0.5,
    'one half': 0.5,
    quarter: 0.25,
    'a quarter': 0.25,
    'one quarter': 0.25,
    'three quarters': 0.75,
  };
  const alone = words.join(' ');
  if (Object.hasOwn(part, alone)) return part[alone];
  const and = words.lastIndexOf('and');
  if (and < 1) return undefined;
  const after = words.slice(and + 1).join(' ');
  const before = whole(words.slice(0, and));
  return before === undefined || !Object.hasOwn(part, after) ? undefined : before + (part[after] ?? 0);
}

function decimal(words: readonly string[]): number | undefined {
  const at = words.indexOf('point');
  if (at < 0) return undefined;
  const before = at === 0 ? 0 : whole(words.slice(0, at));
  const after = words.slice(at + 1);
  if (before === undefined || after.length === 0 || after.length > MAX_DIGITS) return undefined;
  const digits = digitString(after) ?? twoDigits(after);
  return digits === undefined ? undefined : Number(`${before}.${digits}`);
}

function whole(words: readonly string[]): number | undefined {
  const value = cardinal(words);
  if (value !== undefined) return value;
  const digits = words.length > 1 && words.length <= MAX_DIGITS ? digitString(words) : undefined;
  return digits === undefined ? pair(words) : Number(digits);
}

function digitString(words: readonly string[]): string | undefined {
  let digits = '';
  for (const word of words) {
    const digit = DIGITS.indexOf(word);
    if (digit < 0) return undefined;
    digits += digit;
  }
  return digits === '' ? undefined : digits;
}

/** "ten" … "ninety nine" as two digits. */
function twoDigits(words: readonly string[]): string | undefined {
  const value = belowHundred(words);
  return value === undefined || value < 10 ? undefined : String(value);
}

/** "twelve thirty four" is 1234, "six sixty" 660, "nineteen oh five" 1905. "thirty twenty" is two numbers. */
function pair(words: readonly string[]): number | undefined {
  for (let at = 1; at < words.length && at <= 2; at += 1) {
    const first = belowHundred(words.slice(0, at));
    if (first === undefined || first === 0) continue;
    const rest = words.slice(at);
    const second = rest[0] === 'zero' && rest.length === 2 ? digitString(rest) : twoDigits(rest);
    if (second === undefined || (first < 10 && second.startsWith('0'))) continue;
    const bareTens = first >= 20 && at === 1;
    if (bareTens && rest.length === 1 && Number(second) >= 20) continue;
    return Number(`${first}${second}`);
  }
  return undefined;
}

/** Zero to ninety-nine in the ordinary form. */
function belowHundred(words: readonly string[]): number | undefined {
  const [first = '', second] = words;
  const digit = DIGITS.indexOf(first);
  const teen = TEENS.indexOf(first);
  const ten = TENS.indexOf(first);
  if (words.length === 1) {
    if (digit >= 0) return digit;
    if (teen >= 0) return 10 + teen;
    return ten < 0 ? undefined : 20 + 10 * ten;
  }
  const unit = DIGITS.indexOf(second ?? '');
  return words.length === 2 && ten >= 0 && unit > 0 ? 20 + 10 * ten + unit : undefined;
}

/** A cardinal: [millions] [thousands] [rest], each below a thousand; "twelve hundred" up to ninety-nine hundred. */
function cardinal(words: readonly string[]): number | undefined {
  let rest = words;
  let total = 0;
  for (const [word, size] of [
    ['million', 1_000_000],
    ['thousand', 1000],
  ] as const) {
    const at = rest.indexOf(word);
    if (at < 0) continue;
    const before = rest.slice(0, at);
    const isOne = total === 0 && (before.length === 0 || before.join(' ') === 'a');
    const count = isOne ? 1 : hundreds(before, total > 0);
    if (count === undefined || count === 0 || count > 999) return undefined;
    total += count * size;
    rest = rest.slice(at + 1);
    if (rest.length === 0) return total;
  }
  const last = hundreds(rest, total > 0);
  if (last === undefined || (total > 0 && (last === 0 || last > 999))) return undefined;
  return total + last;
}

/** Below ten thousand with "hundred"; a leading "and" only after something larger. */
function hundreds(words: readonly string[], follows: boolean): number | undefined {
  const own = follows && words[0] === 'and' ? words.slice(1) : words;
  const at = own.indexOf('hundred');
  if (at < 0) return own[0] === 'a' ? undefined : belowHundred(own);
  const before = own.slice(0, at);
  const count = before.length === 0 || before.join(' ') === 'a' ? 1 : belowHundred(before);
  if (count === undefined || count === 0) return undefined;
  const tail = own.slice(at + 1);
  if (tail.length === 0) return count * 100;
  const after = belowHundred(tail[0] === 'and' ? tail.slice(1) : tail);
  return after === undefined || after === 0 ? undefined : count * 100 + after;
}

// ---- speaking --------------------------------------------------------------------------------------

/**
 * A number in words, as the trade says it: "minus twelve point seven five". `decimals` (0…10) rounds;
 * noughts at the end are left out. Whole parts from a billion up are said digit by digit. What is not
 * finite gives an empty text.
 */
export function speakNumber(value: number, decimals = 10): string {
  if (!Number.isFinite(value)) return '';
  const places = Math.min(10, Math.max(0, Math.round(decimals)));
  const fixed = Math.abs(value).toFixed(places);
  if (fixed.includes('e')) return '';
  const [before = '0', after = ''] = fixed.split('.');
  const digits = after.replace(/0+$/, '');
  const said = [speakWhole(before)];
  if (digits !== '') said.push('point', speakDigits(digits));
  const isZero = Number(fixed) === 0;
  return (value < 0 && !isZero ? ['minus', ...said] : said).join(' ');
}

/** A string of digits, one by one. */
export function speakDigits(digits: string): string {
  return [...digits].map((digit) => DIGITS[Number(digit)] ?? '').join(' ');
}

function speakWhole(digits: string): string {
  const value = Number(digits);
  if (digits.length > 9) return speakDigits(digits);
  const parts: string[] = [];
  const millions = Math.floor(value / 1_000_000);
  const thousands = Math.floor(value / 1000) % 1000;
  const rest = value % 1000;
  if (millions > 0) parts.push(speakBelowThousand(millions), 'million');
  if (thousands > 0) parts.push(speakBelowThousand(thousands), 'thousand');
  if (rest > 0 && rest < 100 && parts.length > 0) parts.push('and');
  if (rest > 0 || parts.length === 0) parts.push(speakBelowThousand(rest));
  return parts.join(' ');
}

function speakBelowThousand(value: number): string {
  const hundred = Math.floor(value / 100);
  const rest = value % 100;
  if (hundred === 0) return speakBelowHundred(rest);
  const head = `${DIGITS[hundred]} hundred`;
  return rest === 0 ? head : `${head} and ${speakBelowHundred(rest)}`;
}

function speakBelowHundred(value: number): string {
  if (value < 10) return DIGITS[value] ?? '';
  if (value < 20) return TEENS[value - 10] ?? '';
  const ten = TENS[Math.floor(value / 10) - 2] ?? '';
  return value % 10 === 0 ? ten : `${ten} ${DIGITS[value % 10]}`;
}
