/**
 * How sure the ear must be before a phrase counts. Words that lose something or let a caution pass need
 * more. The table is a default: the listening bench measures better values and the host passes them in.
 */
import type { PhraseId } from './model.ts';

/** Least confidence, 0…1, for each phrase and for spoken values; `other` where a phrase is not listed. */
export interface ConfidenceTable {
  readonly phrases: Partial<Readonly<Record<PhraseId, number>>>;
  readonly values: number;
  readonly other: number;
}

export const DEFAULT_CONFIDENCE: ConfidenceTable = {
  phrases: {
    next: 0.7,
    understood: 0.75,
    yes: 0.75,
    finish: 0.75,
    undo: 0.75,
    skip: 0.75,
    stop: 0.4,
    repeat: 0.5,
    problem: 0.6,
    pause: 0.6,
  },
  values: 0.6,
  other: 0.6,
};

/** The least confidence for a phrase, from the table. */
export function neededConfidence(table: ConfidenceTable, phrase: PhraseId): number {
  return table.phrases[phrase] ?? table.other;
}

/**
 * Whether a confidence is enough. A missing one counts as enough: keys and touch have none, and an ear
 * that states none has decided by its own rule. Anything that is not a number does not.
 */
export function isSure(confidence: number | undefined, needed: number): boolean {
  return confidence === undefined || confidence >= needed;
}
