/** Refusals of the host in words, from the language's table (`findings.json`, `host`). */
import { ENGLISH, type Language } from '../core/base/language.ts';
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

/** The refusal in a language; one that has no words in the table stays as it is. */
export function faultIn(given: Fault, language: Language): Fault {
  const { code, facts } = given;
  if (!isHostCode(code) || facts === undefined) return given;
  const { message, mend } = language.findings.host[code];
  return { code, message: message(facts), mend: mend(facts), facts };
}
