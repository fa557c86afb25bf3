/** The words of the planner's findings, from the language's table. Codes are never reused. */
import type { Diagnostic, DiagnosticText } from '../base/diagnostic.ts';
import { ENGLISH, type Language } from '../base/language.ts';
import { listed } from './wording.ts';

type Code = keyof Language['findings']['plan'];

/** Codes that the planner can return. */
export const PLAN_CODES: readonly string[] = Object.keys(ENGLISH.findings.plan);

/** How the parts of a chain hang together. */
const LINKS: Readonly<Record<string, keyof Language['findings']['links']>> = {
  'plan/part-never-comes-off': 'needs',
  'plan/part-never-goes-back': 'waits-for',
};

/** A planner finding in words. An unknown code gets the code itself and its facts. */
export function diagnosticText(diagnostic: Diagnostic, language: Language = ENGLISH): DiagnosticText {
  const { code, facts } = diagnostic;
  if (!Object.hasOwn(language.findings.plan, code))
    return { message: `${code}: ${JSON.stringify(facts)}`, mend: '' };
  const words = language.findings.plan[code as Code];
  const all = (name: string): readonly string[] => {
    const value = facts[name];
    return Array.isArray(value) ? value : [];
  };
  const link = language.findings.links[LINKS[code] ?? 'needs'];
  const [first = '', ...others] = all('chain');
  const filled = {
    ...facts,
    known: listed(language, all('known')),
    // Of which one is to be chosen: neither "and" nor "or".
    allowed: all('allowed').join(', '),
    chain: others.reduce((before, after) => link({ before, after }), first),
  };
  return { message: words.message(filled), mend: words.mend(filled) };
}
