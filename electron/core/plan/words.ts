/** The words of the planner's findings. Codes are never reused. */
import type { Diagnostic, DiagnosticText } from '../base/diagnostic.ts';
import { listed } from './wording.ts';

function fact(diagnostic: Diagnostic, name: string): string {
  const value = diagnostic.facts[name];
  return Array.isArray(value) ? value.join(', ') : String(value ?? '');
}

function facts(diagnostic: Diagnostic, name: string): readonly string[] {
  const value = diagnostic.facts[name];
  return Array.isArray(value) ? value : [];
}

function chainText(chain: readonly string[], verb: string): string {
  return chain.slice(1).reduce((text, id) => `${text} ${verb} ${id}`, chain[0] ?? '');
}

const TEXTS: Readonly<Record<string, (d: Diagnostic) => DiagnosticText>> = {
  'plan/nothing-to-replace': () => ({
    message: 'The job names no part to replace.',
    mend: 'Name at least one part.',
  }),
  'plan/unknown-part': (d) => ({
    message: `The unit has no part "${fact(d, 'part')}".`,
    mend: `Name one of these parts: ${listed(facts(d, 'known'))}.`,
  }),
  'plan/part-not-replaceable': (d) => ({
    message: `The part "${fact(d, 'part')}" (${fact(d, 'name')}) is not one that can be replaced.`,
    mend: 'Name the part that it belongs to, or mark it `replaceable: true` in the product file.',
  }),
  'plan/unknown-variant': (d) => ({
    message: `The product has no variant "${fact(d, 'variant')}".`,
    mend:
      facts(d, 'known').length === 0
        ? 'Leave the answer out: the product has no variants.'
        : `Answer only these: ${listed(facts(d, 'known'))}.`,
  }),
  'plan/variant-answer-not-allowed': (d) => ({
    message: `"${fact(d, 'answer')}" is not an answer to "${fact(d, 'ask')}" (variant "${fact(d, 'variant')}").`,
    mend: `Give one of these answers: ${listed(facts(d, 'allowed'))}.`,
  }),
  'plan/variant-answer-missing': (d) => ({
    message: `The step "${fact(d, 'step')}" depends on the question "${fact(d, 'ask')}", which has no answer.`,
    mend: `Answer the variant "${fact(d, 'variant')}" with one of: ${listed(facts(d, 'allowed'))}.`,
  }),
  'plan/unknown-needed-part': (d) => ({
    message: `The part "${fact(d, 'part')}" needs "${fact(d, 'needs')}", which the unit does not have.`,
    mend: 'Correct the name under `needs` in the product file.',
  }),
  'plan/part-never-comes-off': (d) => ({
    message: `The part "${fact(d, 'part')}" can never come off: ${chainText(facts(d, 'chain'), 'needs')}.`,
    mend: 'Take one of these `needs` out of the product file, so that the chain has an end.',
  }),
  'plan/part-never-goes-back': (d) => ({
    message: `The part "${fact(d, 'part')}" can never go back: ${chainText(facts(d, 'chain'), 'waits for')}.`,
    mend: 'Change `install_after` in the product file: it contradicts the order in which parts come off.',
  }),
};

/** Codes that the planner can return. */
export const PLAN_CODES: readonly string[] = Object.keys(TEXTS);

/** A planner finding in words. An unknown code gets the code itself and its facts. */
export function diagnosticText(diagnostic: Diagnostic): DiagnosticText {
  const make = TEXTS[diagnostic.code];
  if (make !== undefined) return make(diagnostic);
  return { message: `${diagnostic.code}: ${JSON.stringify(diagnostic.facts)}`, mend: '' };
}
