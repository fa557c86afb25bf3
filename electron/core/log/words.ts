/** The words of the log's findings, from the language's table. */
import type { Diagnostic, DiagnosticText } from '../base/diagnostic.ts';
import { ENGLISH, type Language } from '../base/language.ts';

type Code = keyof Language['findings']['log'];

/** What a finding of the log means and what to do. Asserts nothing: an unknown code is shown as it is. */
export function logDiagnosticText(diagnostic: Diagnostic, language: Language = ENGLISH): DiagnosticText {
  const { code, facts } = diagnostic;
  if (!Object.hasOwn(language.findings.log, code))
    return { message: code, mend: language.findings.other['report-code']() };
  const words = language.findings.log[code as Code];
  return { message: words.message(facts), mend: words.mend(facts) };
}

/** Every code that has words, for the test that keeps the table complete. */
export const LOG_CODES: readonly string[] = Object.keys(ENGLISH.findings.log);
