/**
 * Two revisions of a product: recorded times stay comparable only while step ids stay the same.
 */
import type { Diagnostic, Severity } from '../base/diagnostic.ts';
import { type PlacedStep, placedSteps } from './check-subject.ts';
import type { Product } from './model.ts';

/**
 * What changed from an older to a newer revision that an author should know: ids that changed or went,
 * ids that mean something else now, a revision number that was not raised. In the order of the old file,
 * then of the new one; empty for equal products. Findings carry no place: a product has none.
 */
export function compareRevisions(older: Product, newer: Product): readonly Diagnostic[] {
  const findings: Diagnostic[] = [];
  const add = (code: string, severity: Severity, facts: Diagnostic['facts']): void => {
    findings.push({ code, severity, facts });
  };
  if (older.id !== newer.id) {
    add('revision/other-product', 'error', { old: older.id, new: newer.id });
    return findings;
  }
  const changed = JSON.stringify({ ...older, revision: 0 }) !== JSON.stringify({ ...newer, revision: 0 });
  if (newer.revision < older.revision)
    add('revision/lowered', 'error', { old: older.revision, new: newer.revision });
  else if (changed && newer.revision === older.revision)
    add('revision/not-raised', 'warning', { revision: newer.revision });

  const partIds = new Set(newer.parts.map((part) => part.id));
  for (const part of older.parts)
    if (!partIds.has(part.id)) add('revision/part-gone', 'warning', { part: part.id });

  const before = placedSteps(older, () => undefined);
  const after = placedSteps(newer, () => undefined);
  const oldIds = new Set(before.map(({ step }) => step.id));
  const byId = new Map(after.map((placed) => [placed.step.id, placed]));
  const added = after.filter(({ step }) => !oldIds.has(step.id));
  const taken = new Set<PlacedStep>();
  for (const placed of before) {
    const { step } = placed;
    const now = byId.get(step.id);
    if (now) {
      const facts = { step: step.id, old: step.action.kind, new: now.step.action.kind };
      if (facts.old !== facts.new) add('revision/step-does-something-else', 'warning', facts);
      continue;
    }
    const renamed = added.find((each) => !taken.has(each) && isSameStep(placed, each));
    if (renamed) {
      taken.add(renamed);
      add('revision/step-id-changed', 'warning', { old: step.id, new: renamed.step.id });
    } else add('revision/step-gone', 'warning', { step: step.id });
  }
  for (const each of added)
    if (!taken.has(each)) add('revision/step-added', 'advice', { step: each.step.id });
  return findings;
}

/** The same list of the same part, and the same action with the same fields: most likely renamed only. */
function isSameStep(a: PlacedStep, b: PlacedStep): boolean {
  if (a.list !== b.list || a.part?.id !== b.part?.id) return false;
  return JSON.stringify(a.step.action) === JSON.stringify(b.step.action);
}
