/**
 * The sentences of the review, from the language's table: how each kind of figure is computed, notices and
 * lapses. The figures are made with English ones; `reviewIn` says them in another language.
 */
import { ENGLISH, type Language } from '../base/language.ts';
import { logDiagnosticText } from '../log/words.ts';
import type { Lapse, Notice, Rejected } from './model.ts';

type Facts = Readonly<Record<string, string | number>>;
type NoticeCode = keyof Language['review']['notice'];

/** How each kind of figure is computed, in a sentence or two that a supervisor can read. */
export const HOW: Language['table']['review']['how'] = ENGLISH.table.review.how;

/** Key of a sentence that says how a figure is computed. */
export type HowKey = keyof typeof HOW;

/** The sentence of a lapse. */
export function lapseText(kind: Lapse['kind'], facts: Facts = {}, language: Language = ENGLISH): string {
  return language.review.lapse[kind](facts);
}

type RejectionCode = keyof Language['review']['rejected'];

/** Why a log was not taken, by the review's own codes. */
export function rejectionText(code: RejectionCode, language: Language = ENGLISH): string {
  return language.review.rejected[code]();
}

/** The same for any code: those of the log have their words in its table. A reason that knows more stays. */
function rejectionIn({ job, line, code, message }: Rejected, language: Language): string {
  if (Object.hasOwn(ENGLISH.review.rejected, code)) return rejectionText(code as RejectionCode, language);
  const finding = { code, severity: 'error', facts: line === null ? { job } : { job, line } } as const;
  const isWhole = logDiagnosticText(finding).message === message;
  return isWhole ? logDiagnosticText(finding, language).message : message;
}

function isNoticeCode(code: string): code is NoticeCode {
  return Object.hasOwn(ENGLISH.review.notice, code);
}

/** Makes a notice with its sentence. An unknown code is a mistake in the program and throws. */
export function notice(code: string, facts: Facts = {}, language: Language = ENGLISH): Notice {
  if (!isNoticeCode(code)) throw new Error(`assertion failed: notice without words: ${code}`);
  return { code, facts, text: language.review.notice[code](facts) };
}

/** The sentences for the keys given, for a screen or a file that explains its figures. */
export function explain(keys: Iterable<HowKey>): Partial<Record<HowKey, string>> {
  const out: Partial<Record<HowKey, string>> = {};
  for (const key of keys) out[key] = HOW[key];
  return out;
}

/**
 * A review with its sentences in another language: notices, reasons, lapses and rejected logs are told again from
 * their codes and facts, and how figures are computed from their keys. Figures, and what product files say, stay.
 */
export function reviewIn<T>(review: T, language: Language): T {
  if (language === ENGLISH) return review;
  return retold(review, language) as T;
}

function retold(value: unknown, language: Language): unknown {
  if (Array.isArray(value)) return value.map((one) => retold(one, language));
  if (typeof value !== 'object' || value === null) return value;
  const { code, kind, facts, text, message } = value as Partial<Notice> & Partial<Lapse> & Partial<Rejected>;
  if (code !== undefined && message !== undefined)
    return { ...value, message: rejectionIn(value as Rejected, language) };
  if (text !== undefined && facts !== undefined) {
    if (code !== undefined && isNoticeCode(code)) return notice(code, facts, language);
    if (kind !== undefined && Object.hasOwn(language.review.lapse, kind))
      return { ...value, text: lapseText(kind, facts, language) };
  }
  const entries = Object.entries(value).map(([key, one]) => {
    // A figure names its key under `how`, a review has the sentences of all keys there.
    if (key === 'how' && typeof one === 'object')
      return [key, howIn(one as Readonly<Record<string, string>>, language)];
    return [key, retold(one, language)];
  });
  return Object.fromEntries(entries);
}

function howIn(how: Readonly<Record<string, string>>, language: Language): Readonly<Record<string, string>> {
  const words: Readonly<Record<string, string>> = language.table.review.how;
  return Object.fromEntries(Object.entries(how).map(([key, text]) => [key, words[key] ?? text]));
}
