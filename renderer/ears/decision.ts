/**
 * Whether an utterance counts: the rules between "the recogniser wrote this" and "the technician said
 * this". Pure; no time, no state. `listener.ts` feeds it.
 *
 * The recogniser's confidence alone does not reject (wrong words of the grammar come back at 1.0), so an
 * utterance must be, exactly and as a whole, something that may be said now, and pass every one of: word
 * confidence, a plausible length, no unexplained speech around the
 * words, and a level above the noise. (Agreement with earlier partial texts was tried and dropped: it cost
 * right phrases heard at confidence 1 and stopped nothing.) The refusals are told apart because each needs its own answer.
 */
import type { Allowed, PhraseId, RefusalReason } from '../../electron/core/job/model.ts';
import type { Understood } from '../../electron/ipc/contract.ts';
import type { Decoded } from './decoder.ts';

/** The grammar of the moment: `electron/core/job/grammar.ts` in the product, a small stand-in in tests. */
export interface SpokenGrammar {
  /** What the recogniser is given for what may be said now. */
  grammarPhrases(allowed: Allowed): readonly string[];
  /** The meaning of a whole utterance, undefined when it is not exactly something that may be said now. */
  understand(allowed: Allowed, text: string): Understood | undefined;
  /** Whether a longer thing that may be said now begins with `text`. */
  couldContinue(allowed: Allowed, text: string): boolean;
  /** Whether `text` is, or begins, a phrase or an answer that may be said now. */
  beginsLiteral(allowed: Allowed, text: string): boolean;
  /** How `phrase` may be said. */
  formsOf(phrase: PhraseId): readonly string[];
  /** The words for 0 to 9. */
  readonly digitWords: readonly string[];
  /** The command that `text` is, whether or not it may be said now. */
  knownPhrase(text: string): string | undefined;
  /** How many words at the beginning of `text` only open a reading or a spelling. */
  openingWordCount(allowed: Allowed, text: string): number;
  /** The optional word before every phrase in loud rooms. */
  readonly attentionWord: string;
}

/** Thresholds that belong to one model; kept in `models/thresholds.json` with the model's hash. */
export interface Thresholds {
  /** Least confidence of every word, 0 to 1. */
  readonly conf: number;
  /** Least confidence of every word of a reading or a bare number, and of a spelled code. */
  readonly numberConf: number;
  readonly spellingConf: number;
  /** Least confidence by phrase, where measuring asked for another one than `conf`. */
  readonly phrases: Readonly<Record<string, number>>;
  /** Least confidence of "stop" while the mouth speaks. */
  readonly overMouthConf: number;
  /** How much a word over the mouth must stand above the mouth's own loudness, in dB. */
  readonly overMouthLouderDb: number;
  /** Least height of an utterance's peak above the noise floor, in dB. */
  readonly snrMinDb: number;
  /** Longest speech before the first or after the last word, in ms. */
  readonly unexplainedMaxMs: number;
  /** Most sound between two words of a code, in ms. */
  readonly betweenWordsMaxMs: number;
  /** Shortest and longest plausible speech, in ms a letter (and a constant on top of the longest). */
  readonly letterMinMs: number;
  readonly letterMaxMs: number;
  readonly lengthSlackMs: number;
  /** Silence after a whole phrase that nothing could continue, in ms. */
  readonly earlySilenceMs: number;
  /** The same after a phrase whose mistake costs something. */
  readonly lateSilenceMs: number;
  /** A phrase that is less sure waits for the end of the utterance; an urgent one does not. */
  readonly earlyConf: number;
  /** Silence after any other phrase, in ms. */
  readonly hangOverMs: number;
  /** Silence where a phrase, a number or a spelling could go on, in ms. */
  readonly continueMs: number;
  readonly numberMs: number;
  readonly spellingMs: number;
  /** How long after speech that was no phrase what follows is taken for talk, in ms: see `isTalk`. */
  readonly talkMs: number;
  /** Amid talk: least silence before and after a phrase, in ms, and least confidence. */
  readonly talkBeforeMs: number;
  /** The silence before a phrase whose mistake costs something. */
  readonly talkBeforeCarefulMs: number;
  readonly talkAfterMs: number;
  readonly talkConf: number;
  /** Two sentences within this time, in ms, that were no phrase: people talk around here. */
  readonly talkAroundMs: number;
  /** Least silence after a phrase then, in ms. */
  readonly talkAroundAfterMs: number;
  /** So much of it within that time, in ms, is a conversation that lasts. */
  readonly talkLastingMs: number;
  /** Amid that, the least silence before a command that is said once, in ms. */
  readonly talkLastingBeforeMs: number;
  /** It may be said again within this time, in ms. */
  readonly talkRepeatMs: number;
}

/** One utterance as measured: text, and the speech it came from. Times in ms from the first sample fed. */
export interface Utterance {
  readonly decoded: Decoded;
  /** The last partial text before the utterance was closed. An early decision needs it to equal the final one. */
  readonly partial: string;
  readonly speechStartMs: number;
  readonly speechEndMs: number;
  /** The most sound as loud as speech between two words, those that open a reading or a code left out. */
  readonly betweenWordsMs: number;
  readonly peakDbfs: number;
  readonly noiseDbfs: number;
  /** Whether a key is held while it is said: it is meant for the ear, whatever sounds beside it. */
  readonly held: boolean;
  /** Silence since the last speech that was no phrase; infinite where there was none, or where it does not matter. */
  readonly sinceTalkMs: number;
  /** Whether it is a command, said once, amid a conversation that lasts. */
  readonly lasting: boolean;
}

export type Verdict =
  | {
      readonly kind: 'heard';
      readonly text: string;
      readonly understood: Understood;
      readonly confidence: number;
    }
  | { readonly kind: 'refused'; readonly reason: RefusalReason; readonly confidence: number | null };

/** The filler that stands for everything outside the grammar. */
export const FILLER = '[unk]';

/**
 * Phrases whose mistake costs something: acted on a little later, because a person who goes on speaking
 * ("yes … no, wait") must be able to.
 */
const CAREFUL_PHRASES: ReadonlySet<string> = new Set<PhraseId>([
  'finish',
  'yes',
  'undo',
  'skip',
  'stop listening',
]);
/** Phrases that lose nothing and are urgent: acted on at once, although more may follow ("stop listening"). */
const URGENT_PHRASES: ReadonlySet<string> = new Set<PhraseId>(['stop']);
const isOneOf = (phrases: ReadonlySet<string>, understood: Understood): boolean =>
  understood.type === 'phrase' && phrases.has(understood.phrase);

/** A result, of which words may be missing, without what is unknown before its first known word and after its last. */
export function withoutOuterFiller({ text, words }: Decoded): Decoded {
  const said = text.split(' ');
  const known = said.flatMap((word, index) => (word === FILLER ? [] : [index]));
  const [from, to] = [known[0] ?? 0, (known.at(-1) ?? -1) + 1];
  return { text: said.slice(from, to).join(' '), words: words.slice(from, to) };
}

/** Whether this phrase was heard. */
export function isPhrase(verdict: Verdict, phrase: PhraseId): boolean {
  return (
    verdict.kind === 'heard' && verdict.understood.type === 'phrase' && verdict.understood.phrase === phrase
  );
}

/** Whether `text` may be said now, and is no reading or code of several words: nobody says those by chance. */
export function isCommand(grammar: SpokenGrammar, allowed: Allowed, text: string): boolean {
  const type = grammar.understand(allowed, text)?.type;
  const isValue = (type === 'reading' || type === 'serial') && text.includes(' ');
  return type !== undefined && !isValue;
}

/**
 * Whether somebody talks beside the ear: right now (see `isTalk`), or now and then, so that more may follow a word;
 * `lasting`: people keep talking, and what is said is a command, as people say them to each other too.
 */
export type Talk = 'none' | 'around' | 'now' | 'lasting';

/**
 * A command stands alone: shortly after speech that was no phrase, somebody is talking, and a phrase counts only
 * with silence on both sides of it and when surely heard.
 */
export function isTalk(thresholds: Thresholds, sinceTalkMs: number): boolean {
  return sinceTalkMs < thresholds.talkMs;
}

/** Longest utterance by what may be said; longer speech is not meant for us and is let pass. */
const UTTERANCE_MAX_MS = 4_000;
const NUMBER_MAX_MS = 9_000;
const SPELLING_MAX_MS = 25_000;

/** How long an utterance may be at most, in ms. */
export function longestMs(allowed: Allowed): number {
  if (allowed.spelling) return SPELLING_MAX_MS;
  return allowed.number === 'none' ? UTTERANCE_MAX_MS : NUMBER_MAX_MS;
}

/** Below this floor a quiet utterance is the speaker's doing, above it the room's. */
const NOISY_ROOM_DBFS = -42;

/** Least confidence over the words after the first `skip`; 0 when there are none. */
export function confidenceOf(decoded: Decoded, skip = 0): number {
  const words = decoded.words.slice(skip);
  if (words.length === 0) return 0;
  return Math.min(...words.map((word) => word.conf));
}

/**
 * The least confidence that `text` needs; `understood` where it may be said now. What some phrases need beyond the
 * others is against foreign speech, of which there is none while a key is `held`.
 */
export function thresholdFor(
  thresholds: Thresholds,
  text: string,
  understood: Understood | undefined,
  held: boolean,
): number {
  if (understood?.type === 'serial') return thresholds.spellingConf;
  if (understood?.type === 'reading' || understood?.type === 'number') return thresholds.numberConf;
  return held ? thresholds.conf : (thresholds.phrases[text] ?? thresholds.conf);
}

/**
 * The silence after which `text` is acted on before the end of the utterance is certain, in ms; undefined
 * where it is not a whole phrase that may be said now, where something else may follow, and where people talk.
 */
export function earlyAfterMs(
  grammar: SpokenGrammar,
  thresholds: Thresholds,
  allowed: Allowed,
  text: string,
  talk: Talk = 'none',
): number | undefined {
  const understood = text === '' ? undefined : grammar.understand(allowed, text);
  if (understood === undefined) return undefined;
  const isUrgent = talk !== 'lasting' && isOneOf(URGENT_PHRASES, understood);
  if (!isUrgent && (talk !== 'none' || mayGoOn(grammar, allowed, text))) return undefined;
  return isOneOf(CAREFUL_PHRASES, understood) ? thresholds.lateSilenceMs : thresholds.earlySilenceMs;
}

/** Whether a phrase is sure enough to act on before the end of the utterance is certain. */
export function isSureEarly(
  thresholds: Thresholds,
  { understood, confidence }: Extract<Verdict, { kind: 'heard' }>,
): boolean {
  return confidence >= thresholds.earlyConf || isOneOf(URGENT_PHRASES, understood);
}

/** Whether something with another meaning may follow `text`, which is understood as it stands. */
export function mayGoOn(grammar: SpokenGrammar, allowed: Allowed, text: string): boolean {
  const understood = grammar.understand(allowed, text);
  if (understood === undefined || !grammar.couldContinue(allowed, text)) return false;
  return !continuesAlike(grammar, allowed, text, understood);
}

/** Whether `text`, which the decoder has got so far, may yet become a phrase: nothing, or the beginning of one. */
export function couldBecomePhrase(grammar: SpokenGrammar, allowed: Allowed, text: string): boolean {
  if (text === '') return true;
  return grammar.understand(allowed, text) === undefined && grammar.couldContinue(allowed, text);
}

/** Whether everything that could follow means the same anyway ("next" and "next step"). */
function continuesAlike(
  grammar: SpokenGrammar,
  allowed: Allowed,
  text: string,
  understood: Understood,
): boolean {
  if (understood.type !== 'phrase' || allowed.proposed !== undefined) return false;
  const longer = grammar.grammarPhrases(allowed).filter((phrase) => phrase.startsWith(`${text} `));
  // Nothing longer among the entries: a number or a code follows, word by word.
  if (longer.length === 0) return false;
  return longer.every((phrase) => {
    const meaning = grammar.understand(allowed, phrase);
    return meaning?.type === 'phrase' && meaning.phrase === understood.phrase;
  });
}

/** The silence to wait for before an utterance whose text so far is `text` is closed, in ms. */
export function hangOverMs(
  grammar: SpokenGrammar,
  thresholds: Thresholds,
  allowed: Allowed,
  text: string,
  talk: Talk = 'none',
): number {
  const { talkAroundAfterMs, talkAfterMs } = thresholds;
  const least = { none: 0, around: talkAroundAfterMs, now: talkAfterMs, lasting: talkAfterMs };
  return Math.max(least[talk], ownHangOverMs(grammar, thresholds, allowed, text));
}

function ownHangOverMs(
  grammar: SpokenGrammar,
  thresholds: Thresholds,
  allowed: Allowed,
  text: string,
): number {
  if (!grammar.couldContinue(allowed, text)) return thresholds.hangOverMs;
  if (grammar.beginsLiteral(allowed, text)) return thresholds.continueMs;
  if (allowed.spelling) return thresholds.spellingMs;
  return allowed.number === 'none' ? thresholds.continueMs : thresholds.numberMs;
}

/** The rule for a closed utterance. */
export function judge(
  grammar: SpokenGrammar,
  thresholds: Thresholds,
  allowed: Allowed,
  utterance: Utterance,
): Verdict {
  const { text } = utterance.decoded;
  const confidence = confidenceOf(utterance.decoded, grammar.openingWordCount(allowed, text));
  const refuse = (reason: RefusalReason): Verdict => ({ kind: 'refused', reason, confidence });
  if (text === '' || text.split(' ').includes(FILLER)) {
    return { kind: 'refused', reason: 'unknown-words', confidence: null };
  }
  const understood = grammar.understand(allowed, text);
  const known = understood !== undefined || grammar.knownPhrase(text) !== undefined;
  if (!known) return refuse('unknown-words');
  const snrDb = utterance.peakDbfs - utterance.noiseDbfs;
  if (snrDb < thresholds.snrMinDb) {
    return refuse(utterance.noiseDbfs > NOISY_ROOM_DBFS ? 'too-noisy' : 'too-quiet');
  }
  const explained = utterance.held || isExplained(thresholds, utterance);
  if (!hasPlausibleLength(thresholds, utterance) || !explained) return refuse('unknown-words');
  if (confidence < thresholdFor(thresholds, text, understood, utterance.held)) return refuse('not-sure');
  if (mayLackWord(thresholds, understood, utterance)) return refuse('not-sure');
  if (understood === undefined) return refuse('not-possible-now');
  if (!standsAlone(thresholds, understood, confidence, utterance)) return refuse('not-sure');
  return { kind: 'heard', text, understood, confidence };
}

/** The rule of `isTalk`, and of `lasting`; the silence after the phrase is waited for by `hangOverMs`. */
function standsAlone(
  thresholds: Thresholds,
  understood: Understood,
  confidence: number,
  { sinceTalkMs, lasting }: Utterance,
): boolean {
  const isFree = !isTalk(thresholds, sinceTalkMs) || isOneOf(URGENT_PHRASES, understood);
  if (isFree && !lasting) return true;
  const { talkBeforeMs, talkBeforeCarefulMs, talkLastingBeforeMs } = thresholds;
  const beforeMs = isOneOf(CAREFUL_PHRASES, understood) ? talkBeforeCarefulMs : talkBeforeMs;
  return sinceTalkMs >= (lasting ? talkLastingBeforeMs : beforeMs) && confidence >= thresholds.talkConf;
}

function hasPlausibleLength(thresholds: Thresholds, utterance: Utterance): boolean {
  const first = utterance.decoded.words[0];
  const last = utterance.decoded.words.at(-1);
  if (first === undefined || last === undefined) return false;
  const letters = utterance.decoded.text.replaceAll(' ', '').length;
  const lengthMs = last.endMs - first.startMs;
  return (
    lengthMs >= letters * thresholds.letterMinMs &&
    lengthMs <= letters * thresholds.letterMaxMs + thresholds.lengthSlackMs
  );
}

/** A code that has lost a word is still one; a command is not, and in a number sound beside a short word is usual. */
function mayLackWord(
  thresholds: Thresholds,
  understood: Understood | undefined,
  utterance: Utterance,
): boolean {
  return understood?.type === 'serial' && utterance.betweenWordsMs > thresholds.betweenWordsMaxMs;
}

/** Speech before the first or after the last word that the words do not account for. */
function isExplained(thresholds: Thresholds, utterance: Utterance): boolean {
  const first = utterance.decoded.words[0];
  const last = utterance.decoded.words.at(-1);
  if (first === undefined || last === undefined) return false;
  return (
    first.startMs - utterance.speechStartMs <= thresholds.unexplainedMaxMs &&
    utterance.speechEndMs - last.endMs <= thresholds.unexplainedMaxMs
  );
}
