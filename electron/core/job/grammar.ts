/**
 * The grammar of the moment: which strings the recogniser listens for, and what an utterance means.
 * Only an exact whole phrase counts. An utterance with "[unk]" in it never does, not even with the rest
 * of it in the grammar: stripping the unknown part and taking the rest raised the false accepts sixfold.
 */
import { heardLanguage, type Language } from '../base/language.ts';
import { ENGLISH_TABLE } from '../base/language-table.ts';
import { allowedByVoice } from './allowed.ts';
import { type CodeHearing, codeHearing } from './heard-codes.ts';
import { type NumberHearing, numberHearing } from './heard-numbers.ts';
import type { Allowed, PhraseId, SpeechMarks } from './model.ts';
import { answerWords, ENGLISH, fill, type Words } from './prompts.ts';
import { exchanged } from './spelled-codes.ts';
import { parseNumber, parseQuantity, speakDigits } from './spoken-numbers.ts';

/** What an utterance means; the shapes that voice can make of `JobInput`. */
export type Understood =
  | { readonly type: 'phrase'; readonly phrase: PhraseId }
  | { readonly type: 'reading'; readonly value: number; readonly unit?: string }
  | { readonly type: 'number'; readonly value: number }
  | { readonly type: 'serial'; readonly value: string }
  | { readonly type: 'answer'; readonly value: string };

/** The filler of the recogniser: anything that is not in the grammar. */
export const UNKNOWN = '[unk]';

/** More entries than this make the recogniser slower to change its grammar and easier to confuse. */
export const MAX_GRAMMAR_ENTRIES = 150;

/** How each phrase may be said in English; the first is the one that is taught. Few on purpose. */
export const SPOKEN_PHRASES: Readonly<Record<PhraseId, readonly string[]>> = ENGLISH_TABLE.phrases.phrases;

/** What may be said in one language, and what it means. */
export interface JobGrammar {
  readonly phrases: Readonly<Record<PhraseId, readonly string[]>>;
  readonly numbers: NumberHearing;
  readonly codes: CodeHearing;
  /** Spoken unit, as words are compared, and the unit as printed. */
  readonly units: ReadonlyMap<string, string>;
  /** Between the right and the wrong character of a correction. */
  readonly not: string;
  /** The optional word before every phrase in loud rooms. */
  readonly attentionWord: string;
  readonly grammarPhrases: (allowed: Allowed) => readonly string[];
  readonly decoysFor: (allowed: Allowed) => readonly string[];
  readonly understand: (allowed: Allowed, text: string) => Understood | undefined;
  readonly couldContinue: (allowed: Allowed, text: string) => boolean;
  /** Whether `text` is, or begins, a phrase or an answer that may be said now; openings of values are neither. */
  readonly beginsLiteral: (allowed: Allowed, text: string) => boolean;
  readonly openingWordCount: (allowed: Allowed, text: string) => number;
  readonly knownPhrase: (text: string) => PhraseId | undefined;
  readonly vocabulary: () => readonly string[];
}

/** What the grammar of a language looks up. */
interface Lookup {
  readonly language: Language;
  readonly phrases: Readonly<Record<PhraseId, readonly string[]>>;
  readonly phraseOf: ReadonlyMap<string, PhraseId>;
  readonly decoys: Partial<Readonly<Record<PhraseId, readonly string[]>>>;
  readonly readingOpenings: readonly string[];
  readonly serialOpenings: readonly string[];
  readonly numbers: NumberHearing;
  readonly codes: CodeHearing;
  readonly units: ReadonlyMap<string, string>;
  /** Units that are in the recogniser's vocabulary; the others can be typed but not heard. */
  readonly heardUnits: readonly string[];
  readonly numberAndUnitWords: ReadonlySet<string>;
  readonly no: string;
  readonly not: string;
  readonly attentionWord: string;
  /** An answer that is offered, as it is said. */
  readonly answerSaid: (answer: string) => string;
}

const grammars = new WeakMap<Language, JobGrammar>();

/** The grammar in the language that the ear hears where this one is spoken. */
export function grammarOf(spoken: Language): JobGrammar {
  const language = heardLanguage(spoken);
  const known = grammars.get(language);
  if (known !== undefined) return known;
  const at = lookupFor(language);
  const grammar: JobGrammar = {
    phrases: at.phrases,
    numbers: at.numbers,
    codes: at.codes,
    units: at.units,
    not: at.not,
    attentionWord: at.attentionWord,
    grammarPhrases: (allowed) => grammarEntries(at, allowed),
    decoysFor: (allowed) => decoyEntries(at, allowed),
    understand: (allowed, text) => meaning(at, allowed, text),
    couldContinue: (allowed, text) => mayContinue(at, allowed, text),
    beginsLiteral: (allowed, text) => isLiteralSoFar(at, allowed, text),
    openingWordCount: (allowed, text) => openingWords(at, allowed, text),
    knownPhrase: (text) => at.phraseOf.get(normalised(text)),
    vocabulary: () => vocabularyOf(at),
  };
  grammars.set(language, grammar);
  return grammar;
}

function lookupFor(language: Language): Lookup {
  const table = language.table.phrases;
  const phrases = mapValues(table.phrases, (said) => said.map(normalised));
  const units = new Map(Object.entries(table.units).map(([said, unit]) => [normalised(said), unit]));
  const unheard = new Set((table['unheard-units'] ?? []).map(normalised));
  const numbers = numberHearing(language);
  return {
    language,
    phrases,
    phraseOf: new Map(
      (Object.keys(phrases) as PhraseId[]).flatMap((phrase) =>
        phrases[phrase].map((said) => [said, phrase] as const),
      ),
    ),
    decoys: table.decoys,
    readingOpenings: openingForms(phrases.reading[0] ?? ''),
    serialOpenings: openingForms(phrases.serial[0] ?? ''),
    numbers,
    codes: codeHearing(language),
    units,
    heardUnits: [...units.keys()].filter((unit) => !unheard.has(unit)),
    numberAndUnitWords: new Set([...numbers.known, ...[...units.keys()].flatMap((unit) => unit.split(' '))]),
    no: phrases.no[0] ?? '',
    not: normalised(table.not),
    attentionWord: normalised(table['attention-word']),
    answerSaid: (answer) => normalised(answerWords(language, answer)),
  };
}

function mapValues<K extends string, A, B>(
  record: Readonly<Record<K, A>>,
  change: (value: A) => B,
): Record<K, B> {
  return Object.fromEntries(
    Object.entries(record).map(([key, value]) => [key, change(value as A)]),
  ) as Record<K, B>;
}

/**
 * How an opening may arrive: as it is taught, or with one of its small words swallowed ("serial alfa", "reading
 * is four"), which quick speech does. Its longest word must be there.
 */
function openingForms(opening: string): readonly string[] {
  const words = opening.split(' ');
  const main = words.reduce((longest, word) => (word.length > longest.length ? word : longest), '');
  const without = words.map((left) =>
    left === main ? opening : words.filter((word) => word !== left).join(' '),
  );
  return [...new Set([opening, ...without])];
}

/** What follows one of the openings; undefined where none stands at the beginning or nothing follows. */
function afterOpening(openings: readonly string[], said: string): string | undefined {
  const opening = openings.find((one) => said.startsWith(`${one} `));
  return opening === undefined ? undefined : said.slice(opening.length + 1);
}

/** Whether a value from outside is one of the phrases. */
export function isPhraseId(value: unknown): value is PhraseId {
  return typeof value === 'string' && Object.hasOwn(SPOKEN_PHRASES, value);
}

/**
 * The strings for the recogniser: each allowed phrase, number and spelling words where they may follow,
 * answers, decoys, and "[unk]" last. No entry twice; at most `MAX_GRAMMAR_ENTRIES`, decoys being the
 * first to give way. Call it with `allowedByVoice` while the ear is told not to listen.
 */
function grammarEntries(at: Lookup, allowed: Allowed): readonly string[] {
  const entries = new Set(allowed.phrases.flatMap((phrase) => at.phrases[phrase]));
  for (const answer of allowed.answers) entries.add(at.answerSaid(answer));
  if (allowed.number !== 'none') for (const word of at.numbers.words) entries.add(word);
  if (allowed.number === 'reading') {
    entries.add(at.readingOpenings[0] ?? '');
    for (const unit of at.heardUnits) entries.add(unit);
  }
  if (allowed.spelling) {
    entries.add(at.serialOpenings[0] ?? '');
    for (const word of at.codes.words) entries.add(word);
  }
  if (allowed.proposed !== undefined) entries.add(at.not);
  const room = MAX_GRAMMAR_ENTRIES - 1 - entries.size;
  const decoys = decoyEntries(at, allowed).slice(0, Math.max(0, room));
  return [...entries, ...decoys, UNKNOWN];
}

/** Draw "oh" and "nine" to themselves ("one no five" for "one oh five"): left out where those may be said. */
const NEAR_NUMBERS: ReadonlySet<string> = new Set(['no', 'now', 'new', 'known']);

/**
 * Words that sound like something allowed but are not: in the grammar they draw such sounds to
 * themselves, and `understand` refuses them. Also the everyday phrases that are not possible now, so that
 * saying one of them can be answered with the reason.
 */
function decoyEntries(at: Lookup, allowed: Allowed): readonly string[] {
  if (allowed.phrases.length === 0) return [];
  const said = new Set(allowed.phrases.flatMap((phrase) => at.phrases[phrase]));
  const words = allowed.number === 'none' ? [] : at.numbers.words;
  const answers = allowed.answers.map(at.answerSaid);
  const taken = new Set([...said, ...answers, ...words, ...(allowed.spelling ? at.codes.words : [])]);
  const found = allowed.phrases.flatMap((phrase) => at.decoys[phrase] ?? []);
  const notNow = (['next', 'yes', 'no', 'understood', 'back', 'finish'] as const)
    .filter((phrase) => allowed.phrases.length > 1 && !allowed.phrases.includes(phrase))
    .flatMap((phrase) => at.phrases[phrase][0] ?? []);
  const figures = allowed.number !== 'none' || allowed.spelling;
  return [...new Set([...notNow, ...found])].filter(
    (word) => !taken.has(word) && !(figures && NEAR_NUMBERS.has(word)),
  );
}

/**
 * How many words at the beginning only open a reading or a spelling ("the reading is"): what matters is how
 * surely the words after them were heard. 0 where there is no such opening.
 */
function openingWords(at: Lookup, allowed: Allowed, text: string): number {
  const said = normalised(text);
  const openings = [
    ...(allowed.number === 'reading' ? at.readingOpenings : []),
    ...(allowed.spelling ? at.serialOpenings : []),
  ];
  if (openings.includes(said)) return 0;
  return openings.find((opening) => said.startsWith(`${opening} `))?.split(' ').length ?? 0;
}

/** What an utterance means now; undefined where it is not exactly one allowed phrase, number or spelling. */
function meaning(at: Lookup, allowed: Allowed, text: string): Understood | undefined {
  const said = normalised(text);
  if (said === '' || said.length > 400 || said.includes(UNKNOWN)) return undefined;
  const phrase = at.phraseOf.get(said);
  if (phrase !== undefined && allowed.phrases.includes(phrase)) return { type: 'phrase', phrase };
  const answer = allowed.answers.find((one) => at.answerSaid(one) === said);
  if (answer !== undefined) return { type: 'answer', value: answer };
  return (
    correction(at, allowed, said) ??
    reading(at, allowed, said) ??
    bareNumber(at, allowed, said) ??
    serial(at, allowed, said)
  );
}

function reading(at: Lookup, allowed: Allowed, said: string): Understood | undefined {
  const rest = allowed.number === 'reading' ? afterOpening(at.readingOpenings, said) : undefined;
  const quantity = rest === undefined ? undefined : quantityIn(at, rest);
  return quantity === undefined ? undefined : { type: 'reading', ...quantity };
}

/** A number with its unit, if one was said. */
function quantityIn(
  at: Lookup,
  said: string,
): { readonly value: number; readonly unit?: string } | undefined {
  if (at.numbers.parse === parseNumber) return parseQuantity(said);
  for (const [unit, printed] of at.units) {
    const number = said.endsWith(` ${unit}`) ? at.numbers.parse(said.slice(0, -unit.length - 1)) : undefined;
    if (number?.kind === 'value') return { value: number.value, unit: printed };
  }
  const number = at.numbers.parse(said);
  return number?.kind === 'value' ? { value: number.value } : undefined;
}

function bareNumber(at: Lookup, allowed: Allowed, said: string): Understood | undefined {
  if (allowed.number !== 'bare') return undefined;
  const number = at.numbers.parse(said);
  return number?.kind === 'value' ? { type: 'number', value: number.value } : undefined;
}

function serial(at: Lookup, allowed: Allowed, said: string): Understood | undefined {
  const rest = allowed.spelling ? afterOpening(at.serialOpenings, said) : undefined;
  const value = rest === undefined ? undefined : at.codes.parse(rest);
  return value === undefined ? undefined : { type: 'serial', value };
}

/** "no five not nine" while a value waits for "yes". */
function correction(at: Lookup, allowed: Allowed, said: string): Understood | undefined {
  if (allowed.proposed === undefined || !said.startsWith(`${at.no} `)) return undefined;
  const [right, wrong, more] = said.slice(at.no.length + 1).split(` ${at.not} `);
  if (right === undefined || wrong === undefined || more !== undefined) return undefined;
  const value = exchanged(allowed.proposed, at.codes.parse(right), at.codes.parse(wrong));
  if (value === undefined) return undefined;
  if (allowed.spelling) return { type: 'serial', value };
  const number = Number(value);
  return allowed.number === 'reading' && Number.isFinite(number)
    ? { type: 'reading', value: number }
    : undefined;
}

/**
 * True while these words could be the beginning of something longer that is allowed: then an early
 * decision has to wait for silence. A number or a spelling can nearly always go on.
 */
function mayContinue(at: Lookup, allowed: Allowed, text: string): boolean {
  const said = normalised(text);
  if (said.includes(UNKNOWN)) return false;
  const words = said.split(' ');
  const literal = [
    ...allowed.phrases.flatMap((phrase) => at.phrases[phrase]),
    ...allowed.answers.map(at.answerSaid),
  ];
  if (allowed.number === 'reading') literal.push(at.readingOpenings[0] ?? '');
  if (allowed.spelling) literal.push(at.serialOpenings[0] ?? '');
  const open = said === '' ? '' : `${said} `;
  if (literal.some((phrase) => phrase.startsWith(open) && phrase !== said)) return true;
  if (allowed.number === 'reading' && continues(said, at.readingOpenings, at.numberAndUnitWords)) return true;
  if (allowed.number === 'bare' && words.every((word) => at.numbers.known.has(word))) return true;
  if (allowed.spelling && continues(said, at.serialOpenings, at.codes.known)) return true;
  const correcting = said === at.no || said.startsWith(`${at.no} `);
  return allowed.proposed !== undefined && correcting && words.at(-2) !== at.not;
}

function isLiteralSoFar(at: Lookup, allowed: Allowed, text: string): boolean {
  const said = normalised(text);
  const literal = allowed.phrases
    .filter((phrase) => phrase !== 'reading' && phrase !== 'serial')
    .flatMap((phrase) => at.phrases[phrase]);
  return [...literal, ...allowed.answers.map(at.answerSaid)].some(
    (phrase) => phrase === said || phrase.startsWith(`${said} `),
  );
}

/** Whether all that follows an opening is made of words that numbers or spellings are made of. */
function continues(said: string, openings: readonly string[], words: ReadonlySet<string>): boolean {
  if (openings.includes(said)) return true;
  const rest = afterOpening(openings, said);
  return rest?.split(' ').every((word) => words.has(word)) ?? false;
}

/** The words that make up everything the grammar can contain, for checking against the vocabulary. */
function vocabularyOf(at: Lookup): readonly string[] {
  const entries = [
    ...Object.values(at.phrases).flat(),
    ...Object.values(at.decoys).flat(),
    ...at.numbers.words,
    ...at.codes.words,
    ...at.heardUnits,
    at.not,
    at.attentionWord,
  ];
  return [...new Set(entries.flatMap((entry) => entry.split(' ')))];
}

/** The spoken help: everything that can be said now, one form each, and how it has to be marked. */
export function whatCanISay(allowed: Allowed, words: Words = ENGLISH, marks?: SpeechMarks): string {
  const list = [
    ...allowed.phrases
      .filter((phrase) => phrase !== 'reading' && phrase !== 'serial')
      .map((phrase) => words.phrases.phrases[phrase][0] ?? phrase),
    ...allowed.answers.map((answer) => answerWords(words, answer)),
  ];
  if (allowed.number === 'reading') list.push(fill(words, 'answer.can-say-number'));
  if (allowed.number === 'bare') list.push(fill(words, 'answer.can-say-bare'));
  if (allowed.spelling) list.push(fill(words, 'answer.can-say-spelling'));
  const sentences = [fill(words, 'answer.can-say', { list })];
  if (marks?.attentionWord)
    sentences.push(fill(words, 'answer.can-say-after', { word: words.phrases['attention-word'] }));
  if (marks?.talkKey) sentences.push(fill(words, 'answer.can-say-holding'));
  return sentences.join(' ');
}

function normalised(text: string): string {
  return text.trim().toLowerCase().replace(/\s+/g, ' ');
}

/** English, which the shipped model hears. */
export const {
  grammarPhrases,
  decoysFor,
  understand,
  couldContinue,
  openingWordCount,
  knownPhrase,
  vocabulary: grammarVocabulary,
} = grammarOf(ENGLISH);

export { allowedByVoice, speakDigits };
