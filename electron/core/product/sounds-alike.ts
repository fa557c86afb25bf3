/**
 * Whether a listener would confuse two names. Each name is brought to a rough pronunciation (own rules
 * below, made for English words of technical names), cut to its stressed shape, and the two are compared
 * by edit distance. It is a warning aid for authors, no phonetic transcription: two names count as alike
 * when at most a fifth of their sounds differ (one sound in a name of three to five).
 */
import { editDistance } from './closest-word.ts';

const RULES: readonly (readonly [RegExp, string])[] = [
  [/[^a-z0-9 ]/g, ''],
  [/\b(?:the|a|an|assembly|unit)\b/g, ''],
  [/tch/g, 'C'],
  [/[cs]h/g, 'C'],
  [/sch/g, 'sk'],
  [/ph/g, 'f'],
  [/gh(?=t)/g, ''],
  [/gh/g, 'g'],
  [/th/g, 'f'], // heard as f over a small loudspeaker
  [/wh/g, 'w'],
  [/\bkn/g, 'n'],
  [/\bwr/g, 'r'],
  [/mb\b/g, 'm'],
  [/ck/g, 'k'],
  [/qu/g, 'kw'],
  [/x/g, 'ks'],
  [/dge?/g, 'j'],
  [/c(?=[eiy])/g, 's'],
  [/g(?=[eiy])/g, 'j'],
  [/c/g, 'k'],
  [/z/g, 's'],
  [/v/g, 'f'],
  [/ea|ee|ie|y\b/g, 'I'],
  [/ai|ay|ei|ey/g, 'E'],
  [/oa|ow|ou|oo|au|aw/g, 'O'],
  [/e\b/g, ''],
  [/[aeiouy]/g, '@'],
  [/([a-zA-Z@])\1+/g, '$1'],
  [/ +/g, ' '],
];

/** The rough pronunciation of a name: lower-case consonants, `@` for a short vowel, capitals for others. */
export function roughPronunciation(name: string): string {
  let sounds = name.toLowerCase();
  for (const [pattern, sound] of RULES) sounds = sounds.replace(pattern, sound);
  return sounds.trim();
}

/**
 * Words of a pair that tell its members apart: "left arm" and "right arm" are compared by "left" and
 * "right", however much else they share.
 */
function differingWords(a: string, b: string): readonly [string, string] {
  const first = a.split(' ');
  const second = b.split(' ');
  if (first.length !== second.length) return [a, b];
  const differing = first.flatMap((word, index) => (word === second[index] ? [] : [index]));
  return [
    differing.map((index) => first[index]).join(' '),
    differing.map((index) => second[index]).join(' '),
  ];
}

/** At most this share of the longer one's sounds may differ for two names to sound alike. */
export const ALIKE_SHARE = 0.2;

/** Whether two rough pronunciations are so close that a listener would confuse them. */
export function pronunciationsAlike(a: string, b: string): boolean {
  const [first, second] = differingWords(a, b);
  const longest = Math.max(first.length, second.length);
  // In a short name one sound is already a fifth; below three sounds none may differ.
  const limit = longest <= 5 ? Math.min(1, Math.floor(longest / 3)) : Math.floor(longest * ALIKE_SHARE);
  return editDistance(first, second, limit) <= limit;
}

/** Whether a listener would confuse two names: `pronunciationsAlike` of their rough pronunciations. */
export function soundAlike(a: string, b: string): boolean {
  return pronunciationsAlike(roughPronunciation(a), roughPronunciation(b));
}
