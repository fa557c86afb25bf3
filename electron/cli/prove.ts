/** The plan proof as the command line shows it. */
import type { Language } from '../core/base/language.ts';
import { provePlan } from '../core/plan/proof.ts';
import { proofText } from '../core/plan/proof-text.ts';
import type { Planned } from './planning.ts';

export interface ShownProof {
  readonly holds: boolean;
  readonly lines: readonly string[];
  readonly json: { readonly holds: boolean; readonly violations: readonly unknown[] };
}

/** Replays the plan on a model of the unit; one line for each violation, or one that says it holds. */
export function prove({ product, plan }: Planned, language: Language): ShownProof {
  const words = language.cli.lines;
  const violations = provePlan(product, plan);
  const shown = violations.map((violation) => ({ ...violation, message: proofText(violation, language) }));
  const holds = violations.length === 0;
  return {
    holds,
    lines: holds
      ? [words['proof-holds']({ steps: plan.steps.length })]
      : shown.map(({ code, step, message }) => words.violation({ code, step, message })),
    json: { holds, violations: shown },
  };
}
