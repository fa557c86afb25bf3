/**
 * The unit in the plan proof: which parts are on, off or on their way, and what must wait for what. Shares
 * no code with the planner.
 */
import type { Part } from '../product/model.ts';
import type { UnitModel } from './proof-model.ts';
import { Sequence } from './proof-sequence.ts';

/** `back`: off and on again. */
export type PartState = 'on' | 'coming-off' | 'off' | 'going-on' | 'back';

/** One part of the job with what must happen to it. */
export interface PartReplay {
  readonly part: Part;
  readonly off: Sequence;
  readonly on: Sequence;
  state: PartState;
}

/** True while a part is off, or on its way off or back, and something must still be done to close it. */
export function isOpen(replay: PartReplay): boolean {
  if (replay.state === 'on' || replay.state === 'back') return false;
  return replay.on.operations.length > 0 || replay.state !== 'off';
}

/** The state of all parts while a plan is replayed, and what must wait for what. */
export class UnitReplay {
  readonly parts = new Map<string, PartReplay>();
  /** What is done to each new part before it goes in. */
  readonly newSteps = new Map<string, Sequence>();
  readonly replaced: ReadonlySet<string>;
  /** Parts that may come off in this job. */
  readonly scope: ReadonlySet<string>;
  /** Energy sources and the parts that must be off before them. */
  readonly sourcesInTheWay: ReadonlySet<string>;
  readonly waitsForSource: ReadonlySet<string>;
  openParts = 0;
  /** Energy sources still in the unit. */
  sourcesOn: number;
  private readonly model: UnitModel;
  private carriers: Map<string, readonly string[]> | undefined;

  constructor(model: UnitModel, replace: readonly string[]) {
    this.model = model;
    this.replaced = new Set(replace);
    const carried = replace.flatMap((id) => model.parts.get(id)?.carries ?? []);
    this.scope = this.closure([...replace, ...carried]);
    for (const id of this.scope) this.begin(id);
    const sources = this.energySources();
    this.sourcesInTheWay = this.closure(sources);
    this.waitsForSource = this.waiting(sources);
    this.sourcesOn = sources.filter((id) => this.parts.get(id)?.off.complete === false).length;
  }

  private energySources(): readonly string[] {
    return [...this.parts.values()].filter((r) => r.part.energy_source).map((r) => r.part.id);
  }

  private begin(id: string): void {
    const owner = this.model.owners.get(id);
    if (owner?.part === undefined || owner.part === null) return;
    const off = new Sequence(owner.wayIn);
    const on = new Sequence(owner.wayBack);
    // A part with nothing to do on the way in counts as off until its steps on the way back are done.
    const state = off.operations.length === 0 && on.operations.length > 0 ? 'off' : 'on';
    this.parts.set(id, {
      part: owner.part,
      off,
      on,
      state,
    });
    if (this.replaced.has(id)) this.newSteps.set(id, new Sequence(this.model.newPartSteps.get(id) ?? []));
  }

  private closure(targets: readonly string[]): Set<string> {
    const seen = new Set<string>();
    const open = [...targets];
    while (open.length > 0) {
      const id = open.pop() ?? '';
      const part = this.model.parts.get(id);
      if (part === undefined || seen.has(id)) continue;
      seen.add(id);
      open.push(...part.needs);
    }
    return seen;
  }

  /** Parts that must go back after an energy source, by what covers what and by `install_after`. */
  private waiting(sources: readonly string[]): Set<string> {
    const waits = new Set<string>();
    const later = new Map<string, string[]>();
    for (const { part } of this.parts.values()) {
      for (const q of part.install_after) later.set(q, [...(later.get(q) ?? []), part.id]);
    }
    const open = [...sources];
    while (open.length > 0) {
      const id = open.pop() ?? '';
      if (waits.has(id)) continue;
      waits.add(id);
      open.push(...(this.model.parts.get(id)?.needs ?? []), ...(later.get(id) ?? []));
    }
    return waits;
  }

  /** Parts that are not back yet. */
  openNames(): readonly string[] {
    return [...this.parts.values()].filter((r) => isOpen(r)).map((r) => r.part.id);
  }

  /** True where the part never came off or is back. */
  isBackOrStayed(id: string): boolean {
    const other = this.parts.get(id);
    return (
      other === undefined ||
      other.state === 'on' ||
      other.state === 'back' ||
      other.on.operations.length === 0
    );
  }

  /** Replaced parts that this one sits on. */
  carriersOf(id: string): readonly string[] {
    if (this.carriers === undefined) {
      this.carriers = new Map();
      for (const owner of this.replaced) {
        for (const c of this.model.parts.get(owner)?.carries ?? []) {
          this.carriers.set(c, [...(this.carriers.get(c) ?? []), owner]);
        }
      }
    }
    return this.carriers.get(id) ?? [];
  }
}
