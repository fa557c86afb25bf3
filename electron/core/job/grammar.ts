/**
 * The grammar of the moment: which strings the recogniser listens for, and what an utterance means.
 * Only an exact whole phrase counts. An utterance with "[unk]" in it never does, not even with the rest
 * of it in the grammar: stripping the unknown part and taking the rest raised the false accepts sixfold.
 */
import { ENGLISH_TABLE } from '../base/language-table.ts';
import { allowedByVoice } from './allowed.ts';
import { DECOYS } from './decoys.ts';
import type { Allowed, PhraseId } from './model.ts';
import { answerWords, ENGLISH, fill, type Words } from './prompts.ts';
import { SPOKEN_UNITS } from './reading-units.ts';
import { corrected, parseCode, SPELLING_WORDS } from './spelled-codes.ts';
import { NUMBER_WORDS, parseNumber, parseQuantity, speakDigits } from './spoken-numbers.ts';

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

const PHRASE_OF: ReadonlyMap<string, PhraseId> = new Map(
  (Object.keys(SPOKEN_PHRASES) as PhraseId[]).flatMap((phrase) =>
    SPOKEN_PHRASES[phrase].map((said) => [said, phrase] as const),
  ),
);

const READING_OPENING = SPOKEN_PHRASES.reading[0] ?? '';
const SERIAL_OPENING = SPOKEN_PHRASES.serial[0] ?? '';

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
const READING_OPENINGS = openingForms(READING_OPENING);
const SERIAL_OPENINGS = openingForms(SERIAL_OPENING);

/** What follows one of the openings; undefined where none stands at the beginning or nothing follows. */
function afterOpening(openings: readonly string[], said: string): string | undefined {
  const opening = openings.find((one) => said.startsWith(`${one} `));
  return opening === undefined ? undefined : said.slice(opening.length + 1);
}

/** Whether a value from outside is one of the phrases. */
export function isPhraseId(value: unknown): value is PhraseId {
  return typeof value === 'string' && Object.hasOwn(SPOKEN_PHRASES, value);
}

/** The phrase that these words stand for, allowed now or not; for telling "not now" from "not known". */
export function knownPhrase(text: string): PhraseId | undefined {
  return PHRASE_OF.get(normalised(text));
}

/**
 * The strings for the recogniser: each allowed phrase, number and spelling words where they may follow,
 * answers, decoys, and "[unk]" last. No entry twice; at most `MAX_GRAMMAR_ENTRIES`, decoys being the
 * first to give way. Call it with `allowedByVoice` while the ear is told not to listen.
 */
export function grammarPhrases(allowed: Allowed): readonly string[] {
  const entries = new Set(allowed.phrases.flatMap((phrase) => SPOKEN_PHRASES[phrase]));
  for (const answer of allowed.answers) entries.add(normalised(answer));
  if (allowed.number !== 'none') for (const word of NUMBER_WORDS) entries.add(word);
  if (allowed.number === 'reading') {
    entries.add(READING_OPENING);
    for (const unit of SPOKEN_UNITS.keys()) if (GRAMMAR_UNITS.has(unit)) entries.add(unit);
  }
  if (allowed.spelling) {
    entries.add(SERIAL_OPENING);
    for (const word of SPELLING_WORDS) entries.add(word);
  }
  if (allowed.proposed !== undefined) entries.add('not');
  const room = MAX_GRAMMAR_ENTRIES - 1 - entries.size;
  const decoys = decoysFor(allowed).slice(0, Math.max(0, room));
  return [...entries, ...decoys, UNKNOWN];
}

/** Spoken units that are in the recogniser's vocabulary; the others can be typed but not heard. */
const GRAMMAR_UNITS = new Set([
  'newton metres',
  'newton meters',
  'volts',
  'amps',
  'ohms',
  'kilo ohms',
  'watts',
  'hertz',
  'degrees',
  'degrees celsius',
  'millimetres',
  'millimeters',
  'bar',
  'percent',
  'milliliters per minute',
  'seconds',
  'minutes',
]);

/** Draw "oh" and "nine" to themselves ("one no five" for "one oh five"): left out where those may be said. */
const NEAR_NUMBERS: ReadonlySet<string> = new Set(['no', 'now', 'new', 'known']);

/**
 * Words that sound like something allowed but are not: in the grammar they draw such sounds to
 * themselves, and `understand` refuses them. Also the everyday phrases that are not possible now, so that
 * saying one of them can be answered with the reason.
 */
export function decoysFor(allowed: Allowed): readonly string[] {
  if (allowed.phrases.length === 0) return [];
  const said = new Set(allowed.phrases.flatMap((phrase) => SPOKEN_PHRASES[phrase]));
  const words = allowed.number === 'none' ? [] : NUMBER_WORDS;
  const taken = new Set([...said, ...allowed.answers, ...words, ...(allowed.spelling ? SPELLING_WORDS : [])]);
  const found = allowed.phrases.flatMap((phrase) => DECOYS[phrase] ?? []);
  const notNow = (['next', 'yes', 'no', 'understood', 'back', 'finish'] as const).filter(
    (phrase) => allowed.phrases.length > 1 && !allowed.phrases.includes(phrase),
  );
  const figures = allowed.number !== 'none' || allowed.spelling;
  return [...new Set([...notNow, ...found])].filter(
    (word) => !taken.has(word) && !(figures && NEAR_NUMBERS.has(word)),
  );
}

/**
 * How many words at the beginning only open a reading or a spelling ("the reading is"): what matters is how
 * surely the words after them were heard. 0 where there is no such opening.
 */
export function openingWordCount(allowed: Allowed, text: string): number {
  const said = normalised(text);
  const openings = [
    ...(allowed.number === 'reading' ? READING_OPENINGS : []),
    ...(allowed.spelling ? SERIAL_OPENINGS : []),
  ];
  if (openings.includes(said)) return 0;
  return openings.find((opening) => said.startsWith(`${opening} `))?.split(' ').length ?? 0;
}

/** What an utterance means now; undefined where it is not exactly one allowed phrase, number or spelling. */
export function understand(allowed: Allowed, text: string): Understood | undefined {
  const said = normalised(text);
  if (said === '' || said.length > 400 || said.includes(UNKNOWN)) return undefined;
  const phrase = PHRASE_OF.get(said);
  if (phrase !== undefined && allowed.phrases.includes(phrase)) return { type: 'phrase', phrase };
  if (allowed.answers.some((answer) => normalised(answer) === said)) return { type: 'answer', value: said };
  return (
    correction(allowed, said) ?? reading(allowed, said) ?? bareNumber(allowed, said) ?? serial(allowed, said)
  );
}

function reading(allowed: Allowed, said: string): Understood | undefined {
  const rest = allowed.number === 'reading' ? afterOpening(READING_OPENINGS, said) : undefined;
  const quantity = rest === undefined ? undefined : parseQuantity(rest);
  return quantity === undefined ? undefined : { type: 'reading', ...quantity };
}

function bareNumber(allowed: Allowed, said: string): Understood | undefined {
  if (allowed.number !== 'bare') return undefined;
  const number = parseNumber(said);
  return number?.kind === 'value' ? { type: 'number', value: number.value } : undefined;
}

function serial(allowed: Allowed, said: string): Understood | undefined {
  const rest = allowed.spelling ? afterOpening(SERIAL_OPENINGS, said) : undefined;
  const value = rest === undefined ? undefined : parseCode(rest);
  return value === undefined ? undefined : { type: 'serial', value };
}

/** "no five not nine" while a value waits for "yes". */
function correction(allowed: Allowed, said: string): Understood | undefined {
  if (allowed.proposed === undefined || !said.startsWith('no ') || !said.includes(' not ')) return undefined;
  const value = corrected(allowed.proposed, said);
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
export function couldContinue(allowed: Allowed, text: string): boolean {
  const said = normalised(text);
  if (said.includes(UNKNOWN)) return false;
  const literal = [
    ...allowed.phrases.flatMap((phrase) => SPOKEN_PHRASES[phrase]),
    ...allowed.answers.map(normalised),
  ];
  if (allowed.number === 'reading') literal.push(READING_OPENING);
  if (allowed.spelling) literal.push(SERIAL_OPENING);
  const open = said === '' ? '' : `${said} `;
  if (literal.some((phrase) => phrase.startsWith(open) && phrase !== said)) return true;
  if (allowed.number === 'reading' && continues(said, READING_OPENINGS, NUMBER_AND_UNIT_WORDS)) return true;
  if (allowed.number === 'bare' && said.split(' ').every((word) => NUMBER_WORD_SET.has(word))) return true;
  if (allowed.spelling && continues(said, SERIAL_OPENINGS, SPELLING_WORD_SET)) return true;
  return allowed.proposed !== undefined && /^no( |$)/.test(said) && !/ not \S+$/.test(said);
}

const NUMBER_WORD_SET: ReadonlySet<string> = new Set([...NUMBER_WORDS, 'to', 'too', 'for', 'tree', 'fife']);
const NUMBER_AND_UNIT_WORDS: ReadonlySet<string> = new Set([
  ...NUMBER_WORD_SET,
  ...[...SPOKEN_UNITS.keys()].flatMap((unit) => unit.split(' ')),
]);
const SPELLING_WORD_SET: ReadonlySet<string> = new Set([...SPELLING_WORDS, 'x', 'ray', 'capital']);

/** Whether all that follows an opening is made of words that numbers or spellings are made of. */
function continues(said: string, openings: readonly string[], words: ReadonlySet<string>): boolean {
  if (openings.includes(said)) return true;
  const rest = afterOpening(openings, said);
  return rest?.split(' ').every((word) => words.has(word)) ?? false;
}

function normalised(text: string): string {
  return text.trim().toLowerCase().replace(/\s+/g, ' ');
}

/** The spoken help: everything that can be said now, one form each, as one sentence. */
export function whatCanISay(allowed: Allowed, words: Words = ENGLISH): string {
  const list = [
    ...allowed.phrases
      .filter((phrase) => phrase !== 'reading' && phrase !== 'serial')
      .map((phrase) => words.phrases.phrases[phrase][0] ?? phrase),
    ...allowed.answers.map((answer) => answerWords(words, answer)),
  ];
  if (allowed.number === 'reading') list.push(fill(words, 'answer.can-say-number'));
  if (allowed.number === 'bare') list.push(fill(words, 'answer.can-say-bare'));
  if (allowed.spelling) list.push(fill(words, 'answer.can-say-spelling'));
  return fill(words, 'answer.can-say', { list });
}

/** The words that make up everything the grammar can contain, for checking against the vocabulary. */
export function grammarVocabulary(): readonly string[] {
  const entries = [
    ...Object.values(SPOKEN_PHRASES).flat(),
    ...Object.values(DECOYS).flat(),
    ...NUMBER_WORDS,
    ...SPELLING_WORDS,
    ...GRAMMAR_UNITS,
    'not',
  ];
  return [...new Set(entries.flatMap((entry) => entry.split(' ')))];
}

export { allowedByVoice, speakDigits };
