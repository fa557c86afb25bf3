/**
 * Codes spelled aloud: ICAO letters (Annex 10, volume II), figures, "double" and "triple", and back.
 * "sierra november oh one" is SN01: "oh" is always nought here, the letter O is only "oscar".
 */
import { ENGLISH_TABLE, type NumberWords } from '../base/language-table.ts';

const { letters: LETTER_WORDS, signs: SIGN_WORDS, ones } = ENGLISH_TABLE.numbers;
const FIGURE_WORDS = ones.slice(0, 10);

/** Other spellings and forms of the same words, and the homophones that mean a figure here. */
const SAME: Readonly<Record<string, string>> = {
  alpha: 'A',
  juliet: 'J',
  xray: 'X',
  whisky: 'W',
  oh: '0',
  o: '0',
  nought: '0',
  naught: '0',
  wun: '1',
  won: '1',
  to: '2',
  too: '2',
  tree: '3',
  for: '4',
  fower: '4',
  fife: '5',
  ate: '8',
  ait: '8',
  niner: '9',
  hyphen: '-',
  nadazero: '0',
  unaone: '1',
  bissotwo: '2',
  terrathree: '3',
  kartefour: '4',
  pantafive: '5',
  soxisix: '6',
  setteseven: '7',
  oktoeight: '8',
  novenine: '9',
};

/**
 * Plain letters that may be said by their own name, because neither another letter's name nor a word of
 * the alphabet sounds like it (see the confusability test): not the "ee" letters, nor A/J/K, I/Y, M/N, F/S,
 * Q/U, O, nor W ("double") and X ("six"). They are understood but not put into the grammar, for a measured
 * reason: beside the alphabet's words these three are heard right 54 times of 57 (17 synthetic and 2 real
 * speakers), "h" once as "eight", and whoever takes them for leave to say other letters plainly gets wrong
 * ones (of 19 each: "m" as L 3 times, "a" as H 2, "i" as R 1), which no check but a check character finds.
 */
export const PLAIN_LETTERS = ['h', 'l', 'r'] as const;

const REPEATS: Readonly<Record<string, number>> = { double: 2, triple: 3, treble: 3 };

const SIGN_OF: ReadonlyMap<string, string> = new Map([
  ...Object.entries(LETTER_WORDS).map(([sign, word]) => [word, sign] as const),
  ...FIGURE_WORDS.map((word, digit) => [word, String(digit)] as const),
  ...Object.entries(SIGN_WORDS).map(([sign, word]) => [word, sign] as const),
  ...Object.entries(SAME),
  ...PLAIN_LETTERS.map((letter) => [letter, letter.toUpperCase()] as const),
]);

/** Words for the recogniser's grammar when a code may be spelled. */
export const SPELLING_WORDS: readonly string[] = [
  ...Object.values(LETTER_WORDS),
  ...FIGURE_WORDS,
  'niner',
  'oh',
  'double',
  'triple',
  'dash',
  'slash',
  'dot',
];

/** The longest code that is understood, in characters. */
export const MAX_SPELLED = 64;

/**
 * The code that was spelled, in capital letters; undefined where a word is none of the alphabet, where
 * nothing follows "double", or where nothing was spelled.
 */
export function parseCode(text: string): string | undefined {
  const words = text
    .toLowerCase()
    .replace(/\bx[ -]ray\b/g, 'xray')
    .split(/[\s,]+/)
    .filter((word) => word !== '');
  let code = '';
  for (let i = 0; i < words.length; i += 1) {
    let word = words[i] ?? '';
    if (word === 'capital') {
      word = words[++i] ?? '';
      if (!/^[A-Z]$/.test(SIGN_OF.get(word) ?? '')) return undefined;
    }
    const times = Object.hasOwn(REPEATS, word) ? (REPEATS[word] ?? 1) : 1;
    const sign = SIGN_OF.get(times > 1 ? (words[++i] ?? '') : word);
    if (sign === undefined) return undefined;
    code += sign.repeat(times);
    if (code.length > MAX_SPELLED) return undefined;
  }
  return code === '' ? undefined : code;
}

/** A code read aloud: "AB1" is "alfa bravo one". Signs outside the alphabet are left out. */
export function speakCode(code: string, words: NumberWords = ENGLISH_TABLE.numbers): string {
  return [...code.toUpperCase()]
    .map((sign) => words.letters[sign] ?? words.ones[Number.parseInt(sign, 10)] ?? words.signs[sign] ?? '')
    .filter((word) => word !== '')
    .join(' ');
}

/** A typed, scanned or spelled code in the form in which it is kept; undefined where it has other signs. */
export function normaliseCode(code: string): string | undefined {
  const clean = String(code).trim().toUpperCase().replace(/\s+/g, '');
  return /^[A-Z0-9./-]+$/.test(clean) ? clean : undefined;
}

/**
 * "five not nine" said of a value that was read back: the 9 becomes 5. Works on one character at a time;
 * undefined where the wrong character is not there exactly once, since then it would be a guess.
 */
export function exchanged(
  value: string,
  right: string | undefined,
  wrong: string | undefined,
): string | undefined {
  if (right === undefined || wrong === undefined || wrong.length !== 1 || right.length !== 1)
    return undefined;
  const pieces = value.split(wrong);
  return pieces.length === 2 ? pieces.join(right) : undefined;
}
