/**
 * What the checks look at: the product, where its steps stand in the file, and how to report.
 */
import type { Diagnostic, Severity } from '../base/diagnostic.ts';
import type { Part, Product, ProductStep } from './model.ts';
import type { Path } from './yaml-document.ts';

export type ReportFinding = (
  code: string,
  severity: Severity,
  facts: Diagnostic['facts'],
  path: Path,
) => void;

export type StepList = 'prepare' | 'steps' | 'new_part_steps' | 'checks';

/** A step with where it stands. */
export interface PlacedStep {
  readonly step: ProductStep;
  readonly path: Path;
  readonly list: StepList;
  readonly part?: Part;
}

export interface CheckSubject {
  readonly product: Product;
  readonly steps: readonly PlacedStep[];
  /** Ids that stand in the file in entries that could not be read; references to them are not findings. */
  readonly unread: ReadonlySet<string>;
  readonly report: ReportFinding;
}

/** Every step of a product in the order of the file, with its place in it. */
export function placedSteps(product: Product, pathOf: (step: ProductStep) => Path | undefined): PlacedStep[] {
  const placed = (list: StepList, base: Path, steps: readonly ProductStep[], part?: Part): PlacedStep[] =>
    steps.map((step, index) => {
      const path = pathOf(step) ?? [...base, index];
      return part ? { step, path, list, part } : { step, path, list };
    });
  return [
    ...placed('prepare', ['prepare'], product.prepare),
    ...product.parts.flatMap((part, index) => [
      ...placed('steps', ['parts', index, 'steps'], part.steps, part),
      ...placed('new_part_steps', ['parts', index, 'new_part_steps'], part.new_part_steps, part),
    ]),
    ...placed('checks', ['checks'], product.checks),
  ];
}

/** Part ids that come off before a part does: `needs`, and what those need. The part itself is not in it. */
export function closureOfNeeds(product: Product, id: string, byId = partsById(product)): Set<string> {
  const closure = new Set<string>();
  const open = [...(byId.get(id)?.needs ?? [])];
  for (let next = open.pop(); next !== undefined; next = open.pop()) {
    if (closure.has(next)) continue;
    closure.add(next);
    open.push(...(byId.get(next)?.needs ?? []));
  }
  return closure;
}

/** Parts by id; of parts with one id the first. */
export function partsById(product: Product): Map<string, Part> {
  const map = new Map<string, Part>();
  for (const part of product.parts) if (!map.has(part.id)) map.set(part.id, part);
  return map;
}
