/** The words of the plan proof's violations, from the language's table. Codes are never reused. */
import { ENGLISH, type Language } from '../base/language.ts';
import type { Violation } from './proof-contents.ts';

type Code = keyof Language['findings']['proof'];

/** Codes that the proof can return. */
export const PROOF_CODES: readonly string[] = Object.keys(ENGLISH.findings.proof);

/** A violation in one sentence, with the step's id in front. */
export function proofText(violation: Violation, language: Language = ENGLISH): string {
  const { code, facts, step } = violation;
  const text = Object.hasOwn(language.findings.proof, code)
    ? language.findings.proof[code as Code](facts)
    : `${code} ${JSON.stringify(facts)}`;
  return step === null ? text : `${step}: ${text}`;
}
