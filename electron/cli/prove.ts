/** The plan proof as the command line shows it. */
import type { Planned } from './planning.ts';

export interface ShownProof {
  readonly holds: boolean;
  readonly lines: readonly string[];
  readonly json: unknown;
}

export function prove(_planned: Planned): ShownProof {
  return { holds: false, lines: ['The plan proof is not there yet.'], json: null };
}
