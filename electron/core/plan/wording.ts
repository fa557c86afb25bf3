/**
 * Small words of controlled English: articles, plurals, numbers in words, lists. Used by the sentences
 * of a plan and by what is spoken; owns no sentence of its own.
 */

const UNITS = [
  'zero',
  'one',
  'two',
  'three',
  'four',
  'five',
  'six',
  'seven',
  'eight',
  'nine',
  'ten',
  'eleven',
  'twelve',
  'thirteen',
  'fourteen',
  'fifteen',
  'sixteen',
  'seventeen',
  'eighteen',
  'nineteen',
] as const;
const TENS = ['', '', 'twenty', 'thirty', 'forty', 'fifty', 'sixty', 'seventy', 'eighty', 'ninety'] as const;

/** Largest count written as a word in a sentence; from 13 on the printed form has figures. */
const LARGEST_WORD = 12;

/** A whole number from 0 to 999,999 in words, with hyphens ("twenty-one") and without "and". */
export function wholeNumberInWords(value: number): string {
  const n = Math.trunc(Math.abs(value));
  if (n < 20) return UNITS[n] ?? String(n);
  if (n < 100) {
    const rest = n % 10;
    return `${TENS[Math.trunc(n / 10)]}${rest === 0 ? '' : `-${UNITS[rest]}`}`;
  }
  if (n < 1000) {
    const rest = n % 100;
    return `${UNITS[Math.trunc(n / 100)]} hundred${rest === 0 ? '' : ` ${wholeNumberInWords(rest)}`}`;
  }
  if (n < 1_000_000) {
    const rest = n % 1000;
    return `${wholeNumberInWords(Math.trunc(n / 1000))} thousand${rest === 0 ? '' : ` ${wholeNumberInWords(rest)}`}`;
  }
  return String(n);
}

/** A printed decimal number ("2.5", "-0.05") in words: digits one by one after "point". */
export function numberInWords(printed: string): string {
  const negative = /^[-−]/.test(printed);
  const [whole = '0', decimals] = printed.replace(/^[-−+]/, '').split('.');
  const head = wholeNumberInWords(Number(whole));
  const tail =
    decimals === undefined || decimals === ''
      ? ''
      : ` point ${[...decimals].map((digit) => wholeNumberInWords(Number(digit))).join(' ')}`;
  return `${negative ? 'minus ' : ''}${head}${tail}`;
}

/** A count as it stands in a sentence: a word up to twelve, figures beyond. */
export function countWord(count: number): string {
  return count <= LARGEST_WORD ? wholeNumberInWords(count) : String(count);
}

/** "first", "second" … up to tenth; "pass 11" beyond is the caller's business. */
export function ordinalWord(number: number): string {
  const words = [
    'first',
    'second',
    'third',
    'fourth',
    'fifth',
    'sixth',
    'seventh',
    'eighth',
    'ninth',
    'tenth',
  ];
  return words[number - 1] ?? `number ${number}`;
}

const DETERMINER = /^(the|a|an|both|each|all|every|this|its|your)\s/i;
const PREPOSITION =
  /^(at|on|in|into|inside|along|under|underneath|below|above|behind|beside|between|near|around|next|left of|right of|over|through|by|within|beneath|from)\s/i;

/** A noun phrase with its definite article: "the back cover"; left alone where it has a determiner. */
export function the(name: string): string {
  return DETERMINER.test(name) ? name : `the ${name}`;
}

/** A place after "from"/"on": "from the back cover", or as it is where it begins with a preposition. */
export function placed(preposition: string, place: string): string {
  return PREPOSITION.test(place) ? place : `${preposition} ${the(place)}`;
}

const PLURAL_HEAD = /(screws|bolts|nuts|washers|standoffs|pins|studs|clips|strips|spacers)$/i;

/** The plural of a noun phrase's last word; a phrase that is plural already stays. */
export function plural(name: string): string {
  if (PLURAL_HEAD.test(name)) return name;
  if (/(s|x|z|ch|sh)$/i.test(name)) return `${name}es`;
  if (/[^aeiou]y$/i.test(name)) return `${name.slice(0, -1)}ies`;
  return `${name}s`;
}

/** The singular of a plural fastener name ("case screws" → "case screw"); others stay. */
export function singular(name: string): string {
  return PLURAL_HEAD.test(name) ? name.slice(0, -1) : name;
}

const AFTER_HEAD =
  /\s(of|over|under|for|in|on|at|with|from|to|around|behind|below|above|beside|between|along|through|rated|near)\s.*$/i;

/** The noun phrase up to its head noun: "tape over the terminals" → "tape". */
function headOf(name: string): string {
  return name.replace(AFTER_HEAD, '');
}

/** True where a name reads as a plural ("antenna leads", "O-rings of the head"), for "it" or "them". */
export function looksPlural(name: string): boolean {
  const head = headOf(name);
  return (
    /[^su]s$/i.test(head) && !/(lens|bus|chassis|gas|series|harness|glass|bias|canvas|axis)$/i.test(head)
  );
}

/** "the four case screws", "the case screw". */
export function counted(count: number, name: string): string {
  return count === 1 ? the(singular(name)) : `the ${countWord(count)} ${plural(name)}`;
}

/** "a", "a and b", "a, b and c". */
export function listed(names: readonly string[]): string {
  if (names.length <= 1) return names[0] ?? '';
  return `${names.slice(0, -1).join(', ')} and ${names[names.length - 1]}`;
}

/** First letter to a capital, and a full stop where there is no end mark. */
export function asSentence(text: string): string {
  const trimmed = text.trim();
  if (trimmed === '') return '';
  const head = trimmed.charAt(0);
  const upper = head.toUpperCase();
  const capital = head === upper ? trimmed : upper + trimmed.slice(1);
  const end = capital.charCodeAt(capital.length - 1);
  // . ! ? :
  return end === 46 || end === 33 || end === 63 || end === 58 ? capital : `${capital}.`;
}

/** A number as printed: at most `decimals` places, no trailing zeros, a point. */
export function printedNumber(value: number, decimals = 3): string {
  return String(Number(value.toFixed(decimals)));
}
