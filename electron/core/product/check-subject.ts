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

/** Parts visited on all walks along `needs` together; a chain of 10,000 parts with a walk each would be 50 million. */
const VISITS_LIMIT = 3_000_000;

/** Walks along `needs`, with a bound on the work of all walks together. */
export class NeedsWalk {
  readonly #byId: ReadonlyMap<string, Part>;
  #left = VISITS_LIMIT;

  constructor(product: Product) {
    this.#byId = partsById(product);
  }

  /** Whether the bound was reached; checks that walk are then left out rather than slow. */
  get exhausted(): boolean {
    return this.#left <= 0;
  }

  /**
   * Part ids that come off before a part does: its `needs`, and what those need, the part itself not among
   * them. Empty once the bound is reached.
   */
  closure(id: string): ReadonlySet<string> {
    return new Set(this.#reached(this.#byId.get(id)?.needs ?? []).keys());
  }

  /** What the given parts need, however far, each with the one of the given parts that leads to it. */
  beyond(ids: readonly string[]): ReadonlyMap<string, string> {
    const origins = new Map<string, string>();
    for (const id of ids) {
      for (const each of this.#reached(this.#byId.get(id)?.needs ?? [], origins).keys())
        origins.set(each, id);
    }
    return origins;
  }

  #reached(from: readonly string[], known: ReadonlyMap<string, unknown> = new Map()): Map<string, true> {
    const reached = new Map<string, true>();
    const open = [...from];
    for (let next = open.pop(); next !== undefined && this.#left > 0; next = open.pop()) {
      this.#left--;
      if (reached.has(next) || known.has(next)) continue;
      reached.set(next, true);
      open.push(...(this.#byId.get(next)?.needs ?? []));
    }
    return reached;
  }
}

/** Parts by id; of parts with one id the first. */
export function partsById(product: Product): Map<string, Part> {
  const map = new Map<string, Part>();
  for (const part of product.parts) if (!map.has(part.id)) map.set(part.id, part);
  return map;
}
