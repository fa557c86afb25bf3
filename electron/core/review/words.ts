/**
 * The sentences of the review, from the language's table: how each kind of figure is computed, notices and
 * lapses. The figures are made with English ones; `reviewIn` says them in another language.
 */
import { ENGLISH, type Language } from '../base/language.ts';
import type { Lapse, Notice } from './model.ts';

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
