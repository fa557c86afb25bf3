/**
 * A language made from the English one by a program: every text in ⟦brackets⟧, letters with accents, some
 * 40 % longer. What a person sees or hears outside brackets did not come from the table.
 */
import {
  ENGLISH_TABLE,
  type LanguageTable,
  type NumberWords,
} from '../../electron/core/base/language-table.ts';

const ACCENTS: Readonly<Record<string, string>> = {
  a: 'á',
  c: 'ç',
  d: 'đ',
  e: 'é',
  g: 'ğ',
  h: 'ĥ',
  i: 'í',
  k: 'ķ',
  l: 'ļ',
  n: 'ñ',
  o: 'ö',
  r: 'ŕ',
  s: 'š',
  t: 'ţ',
  u: 'ü',
  w: 'ŵ',
  y: 'ý',
  z: 'ž',
  A: 'Á',
  C: 'Ç',
  D: 'Đ',
  E: 'É',
  G: 'Ğ',
  I: 'Í',
  L: 'Ļ',
  N: 'Ñ',
  O: 'Ö',
  R: 'Ŕ',
  S: 'Š',
  T: 'Ţ',
  U: 'Ü',
  W: 'Ŵ',
  Y: 'Ý',
};

/** Signs of units are the same everywhere; the voice has to know them. */
const UNITS = /(N·m|\bmm\b)/;

/** The words in brackets, accented and longer; what stands in the places of a pattern stays as it is. */
export function pseudoText(pattern: string): string {
  let depth = 0;
  let text = '';
  let letters = 0;
  const signs = pattern.split(UNITS).flatMap((part) => (UNITS.test(part) ? [part] : [...part]));
  for (const sign of signs) {
    if (sign === '{') depth += 1;
    else if (sign === '}') depth -= 1;
    // Text stands at even depth; at odd depth are names of places and of cases.
    const accented = depth % 2 === 0 ? ACCENTS[sign] : undefined;
    if (depth % 2 === 0) letters += 1;
    text += accented ?? sign;
  }
  return `⟦${text}${'·'.repeat(Math.ceil(letters * 0.4))}⟧`;
}

function deep(value: unknown): unknown {
  if (typeof value === 'string') return pseudoText(value);
  if (Array.isArray(value)) return value.map(deep);
  return typeof value === 'object' && value !== null
    ? Object.fromEntries(Object.entries(value).map(([key, one]) => [key, deep(one)]))
    : value;
}

const texts = <T>(table: T): T => deep(table) as T;

function numbers(words: NumberWords): NumberWords {
  return { ...texts(words), 'largest-count-in-words': words['largest-count-in-words'] };
}

/** The pseudo-locale under a tag, whose numbers and plurals follow the tag's language ("de-XA": 0,4). */
export function pseudoTable(tag = 'en-XA'): LanguageTable {
  const english = ENGLISH_TABLE;
  return {
    language: { tag, name: 'Pseudo', direction: 'ltr' },
    page: texts(english.page),
    prompts: texts(english.prompts),
    plan: texts(english.plan),
    findings: texts(english.findings),
    review: texts(english.review),
    reports: texts(english.reports),
    cli: texts(english.cli),
    numbers: numbers(english.numbers),
    // The names in the product files are English, and so is what is known of their grammar.
    grammar: english.grammar,
    spoken: {
      ...texts(english.spoken),
      'not-described-after-unit': english.spoken['not-described-after-unit'],
    },
    phrases: {
      ...texts(english.phrases),
      units: Object.fromEntries(
        Object.entries(english.phrases.units).map(([said, unit]) => [pseudoText(said), unit]),
      ),
    },
  };
}

/** What is left of a text once bracketed pieces (which may hold each other, or be cut in two) are taken out. */
export function outsideBrackets(text: string): string {
  let depth = 0;
  let rest = '';
  for (const letter of text) {
    if (letter === '⟦') depth += 1;
    else if (letter === '⟧' && depth === 0) rest = '';
    else if (letter === '⟧') depth -= 1;
    else if (depth === 0) rest += letter;
  }
  return rest;
}
