/** The plan proof as the command line shows it. */
import { provePlan } from '../core/plan/proof.ts';
import { proofText } from '../core/plan/proof-text.ts';
import type { Planned } from './planning.ts';

export interface ShownProof {
  readonly holds: boolean;
  readonly lines: readonly string[];
  readonly json: { readonly holds: boolean; readonly violations: readonly unknown[] };
}

/** Replays the plan on a model of the unit; one line for each violation, or one that says it holds. */
export function prove({ product, plan }: Planned): ShownProof {
  const violations = provePlan(product, plan);
  const shown = violations.map((violation) => ({ ...violation, message: proofText(violation) }));
  const holds = violations.length === 0;
  return {
    holds,
    lines: holds
      ? [`proof: holds for ${plan.steps.length} steps`]
      : shown.map(({ code, step, message }) => `${code}${step === null ? '' : ` at ${step}`}: ${message}`),
    json: { holds, violations: shown },
  };
}
