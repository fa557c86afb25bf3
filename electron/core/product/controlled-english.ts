/**
 * Controlled English for sentences that are read aloud: word counts and simple checks after the rules of
 * ASD-STE100 (procedural sentences of at most 20 words, one instruction in each, imperative, noun
 * clusters of at most three words). The checks are heuristics on plain words, meant as advice to
 * authors; they know no grammar beyond the small word lists below.
 */

/**
 * How hyphenated groups are counted. `early`: each word of the group counts (a prefix does not).
 * `late` (issue 6 and after): the group is one word, and a number with its unit is two words as written.
 */
export type SteEdition = 'early' | 'late';

export const MAX_PROCEDURAL_WORDS = 20;
export const MAX_NOUN_CLUSTER = 3;

const PREFIXES = new Set([
  're',
  'un',
  'non',
  'pre',
  'post',
  'anti',
  'de',
  'dis',
  'in',
  'inter',
  'micro',
  'mid',
  'mini',
  'multi',
  'over',
  'semi',
  'sub',
  'super',
  'under',
  'ultra',
  'co',
  'counter',
  'self',
]);

/**
 * Words of each sentence of a text, in order of their beginning. A full stop, question or exclamation
 * mark, colon, semicolon or dash ends a sentence; text in parentheses is a sentence of its own, placed
 * after the one it stands in. Numbers, identifiers and acronyms are one word each.
 */
export function countWordsSte(text: string, edition: SteEdition = 'late'): readonly number[] {
  return steSentences(text).map((sentence) =>
    wordsOf(sentence).reduce((sum, word) => sum + weight(word, edition), 0),
  );
}

function weight(word: string, edition: SteEdition): number {
  if (edition === 'late' || !word.includes('-') || /\d/.test(word)) return 1;
  const pieces = word.split('-').filter((piece) => piece !== '');
  const first = pieces[0]?.toLowerCase() ?? '';
  const counted = pieces.length > 1 && PREFIXES.has(first) ? pieces.length - 1 : pieces.length;
  return Math.max(1, counted);
}

/** The sentences of a text, parentheses taken out and put after the sentence they stood in. */
export function steSentences(text: string): string[] {
  const sentences: string[] = [];
  let main = '';
  const asides: string[] = [];
  let aside: string | undefined;
  const close = (): void => {
    for (const each of [main, ...asides]) if (wordsOf(each).length > 0) sentences.push(each.trim());
    main = '';
    asides.length = 0;
  };
  for (let i = 0; i < text.length; i++) {
    const c = text[i] ?? '';
    if (c === '(' && aside === undefined) aside = '';
    else if (c === ')' && aside !== undefined) {
      asides.push(aside);
      aside = undefined;
    } else if (aside !== undefined) aside += c;
    else if (endsSentence(text, i)) close();
    else main += c;
  }
  if (aside !== undefined) asides.push(aside);
  close();
  return sentences;
}

function endsSentence(text: string, index: number): boolean {
  const c = text[index] ?? '';
  const next = text[index + 1] ?? ' ';
  if (c === '—' || c === '–') return true;
  if (c === '-') return next === ' ' && text[index - 1] === ' ';
  return '.!?:;'.includes(c) && (next === ' ' || next === ')' || next === '"');
}

function wordsOf(sentence: string): string[] {
  return sentence
    .split(/[\s,/]+/)
    .map((word) => word.replace(/^[^\p{L}\p{N}]{1,8}|[^\p{L}\p{N}°%]{1,8}$/gu, ''))
    .filter((word) => word !== '');
}

/** Verbs that begin an instruction in this field; used to count instructions and to know an imperative. */
const INSTRUCTIONS = new Set(
  `adjust align apply attach bend bond bring check clean clip close connect count cut disconnect discard discharge drain
  dry fill find fit hold insert inspect install isolate keep lay let lift listen lock look loosen lower make measure move
  note open part peel pick place plug point press pull push put read record release remove replace rest restore rotate
  route seal seat separate set slide start stop support switch take tighten torque turn undo unclip unlock unplug unscrew
  use verify wait wear wipe write`.split(/\s+/),
);

/** Words that cannot stand inside a noun cluster. */
const FUNCTION_WORDS = new Set(
  `a an the this that these those and or but of to in on at by for from with without into onto over under off out up down
  through between until when while if as is are was be been it its they them you your not no do does all both each one
  two three four five six seven eight nine ten eleven twelve again slowly fully only then than before after so that
  together square straight there must can cannot will`.split(/\s+/),
);

/** Nouns of this field that only look like adverbs. */
const NOUNS_ON_LY = new Set(['supply', 'assembly', 'subassembly', 'ply', 'family', 'anomaly', 'pulley']);

function isAdverb(word: string): boolean {
  return word.endsWith('ly') && !NOUNS_ON_LY.has(word);
}

/** One remark on a sentence; the words are made in `words.ts`. */
export interface SentenceFinding {
  readonly code: 'text/too-many-words' | 'text/several-instructions' | 'text/noun-cluster';
  readonly facts: Readonly<Record<string, string | number>>;
}

/** Checks a text that is read aloud, sentence by sentence. An empty list means that nothing was found. */
export function checkSentence(text: string, edition: SteEdition = 'late'): readonly SentenceFinding[] {
  return steSentences(text).flatMap((sentence) => {
    const findings: SentenceFinding[] = [];
    const words = countWordsSte(sentence, edition)[0] ?? 0;
    if (words > MAX_PROCEDURAL_WORDS) {
      findings.push({ code: 'text/too-many-words', facts: { words, limit: MAX_PROCEDURAL_WORDS, sentence } });
    }
    const verbs = instructionsOf(sentence);
    if (verbs.length > 1) {
      findings.push({ code: 'text/several-instructions', facts: { verbs: verbs.join(', '), sentence } });
    }
    const cluster = nounCluster(sentence);
    if (cluster) findings.push({ code: 'text/noun-cluster', facts: { cluster, limit: MAX_NOUN_CLUSTER } });
    return findings;
  });
}

/**
 * Verbs that give an instruction: the first word, the first word after a leading clause ("When …,"),
 * and a verb after "and", "then" or "or". "while" joins actions that happen together, which is allowed.
 */
export function instructionsOf(sentence: string): string[] {
  const verbs: string[] = [];
  const clauses = sentence.split(/,|\band then\b|\bthen\b|\band\b/i);
  for (const clause of clauses) {
    const first = wordsOf(clause)[0]?.toLowerCase() ?? '';
    if (INSTRUCTIONS.has(first)) verbs.push(first);
  }
  return verbs;
}

/**
 * The longest run of words that look like one noun with its qualifiers, if it has more than three words.
 * A run is broken by function words, numbers, words that end in -ly, and by a leading verb.
 */
export function nounCluster(sentence: string): string | undefined {
  let run: string[] = [];
  let longest: string[] = [];
  for (const [index, word] of [...wordsOf(sentence), 'the'].entries()) {
    const lower = word.toLowerCase();
    const breaks =
      FUNCTION_WORDS.has(lower) ||
      /\d/.test(word) ||
      isAdverb(lower) ||
      (INSTRUCTIONS.has(lower) && run.length === 0 && index === 0);
    if (breaks) {
      if (run.length > longest.length) longest = run;
      run = [];
    } else run.push(word);
  }
  return longest.length > MAX_NOUN_CLUSTER ? longest.join(' ') : undefined;
}
