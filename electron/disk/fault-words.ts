/** Refusals of the host in words, from the language's table (`findings.json`, `host`). */
import type { Diagnostic } from '../core/base/diagnostic.ts';
import { ENGLISH, type Language } from '../core/base/language.ts';
import { logDiagnosticText } from '../core/log/words.ts';
import type { Fault } from './disk-fault.ts';

type HostCode = keyof Language['findings']['host'];

function isHostCode(code: string): code is HostCode {
  return Object.hasOwn(ENGLISH.findings.host, code);
}

/** A refusal with its English words; `faultIn` says it in another language. */
export function fault(code: HostCode, facts: NonNullable<Fault['facts']> = {}): Fault {
  const { message, mend } = ENGLISH.findings.host[code];
  return { code, message: message(facts), mend: mend(facts), facts };
}

/** The refusal of a job whose log may not be written to, in the words of what is wrong with the log. */
export function faultOfLog(code: string, { code: finding, facts }: Diagnostic, folder: string): Fault {
  // Findings of a log that may not be written to tell places and sizes: numbers all of them.
  const all = { ...(facts as Readonly<Record<string, number>>), finding, folder };
  return faultIn({ code, message: '', mend: '', facts: all }, ENGLISH);
}

/** The refusal in a language; one that has no words in the table stays as it is. */
export function faultIn(given: Fault, language: Language): Fault {
  const { code, facts } = given;
  if (typeof facts?.finding === 'string') {
    const words = logDiagnosticText({ code: facts.finding, severity: 'error', facts }, language);
    return { code, message: `${words.message} (${facts.folder})`, mend: words.mend, facts };
  }
  if (!isHostCode(code) || facts === undefined) return given;
  const { message, mend } = language.findings.host[code];
  return { code, message: message(facts), mend: mend(facts), facts };
}
