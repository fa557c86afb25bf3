/**
 * The unit in the plan proof: which parts are on, off or on their way, and what must wait for what. Shares
 * no code with the planner.
 */
import type { Part, Product } from '../product/model.ts';
import type { Owner, UnitModel } from './proof-model.ts';
import { Sequence } from './proof-sequence.ts';

/** `back`: off and on again. */
export type PartState = 'on' | 'coming-off' | 'off' | 'going-on' | 'back';

const NEVER: Owner = { wayIn: [], wayBack: [], restores: [] };

/** One part of the unit, and where it comes off in the job, what must happen to it. */
export class PartReplay {
  readonly part: Part;
  readonly id: string;
  owner = NEVER;
  off: Sequence;
  on: Sequence;
  state: PartState = 'on';
  /** It may come off in this job. */
  inScope = false;
  isReplaced = false;
  /** An energy source, or one that must be off before an energy source. */
  inSourcesWay = false;
  /** It has to go back after an energy source, by what covers what and by `install_after`. */
  waitsForSource = false;
  /** Parts that must be off before it, and those that it must be off for; both only where it comes off. */
  needs: readonly PartReplay[] = NO_PARTS;
  neededBy: PartReplay[] | null = null;
  constructor(part: Part) {
    this.part = part;
    this.id = part.id;
    this.off = NO_SEQUENCE;
    this.on = NO_SEQUENCE;
  }
}

const NO_SEQUENCE = new Sequence([]);
const NO_PARTS: readonly PartReplay[] = [];

/** True while a part is off, or on its way off or back, and something must still be done to close it. */
export function isOpen(replay: PartReplay): boolean {
  if (replay.state === 'on' || replay.state === 'back') return false;
  return replay.on.operations.length > 0 || replay.state !== 'off';
}

/** True where the part never came off or is back. */
export function isBackOrStayed({ state, on }: PartReplay): boolean {
  return state === 'on' || state === 'back' || on.operations.length === 0;
}

/** The state of all parts while a plan is replayed, and what must wait for what. */
export class UnitReplay {
  /** Parts that may come off in this job. */
  readonly scope: readonly PartReplay[];
  /** What is done to each new part before it goes in. */
  readonly newSteps = new Map<string, Sequence>();
  openParts = 0;
  /** Energy sources still in the unit. */
  sourcesOn = 0;
  private readonly all = new Map<string, PartReplay>();
  private readonly model: UnitModel;
  private readonly replaced: readonly string[];
  private carriers: Map<string, readonly string[]> | undefined;

  constructor(product: Product, model: UnitModel, replace: readonly string[]) {
    this.model = model;
    this.replaced = [...new Set(replace)];
    for (const part of product.parts) this.all.set(part.id, new PartReplay(part));
    const carried = replace.flatMap((id) => this.all.get(id)?.part.carries ?? []);
    for (const id of this.replaced) {
      const replay = this.all.get(id);
      if (replay !== undefined) replay.isReplaced = true;
    }
    this.scope = this.begun([...replace, ...carried]);
    const sources = this.scope.filter((replay) => replay.part.energy_source);
    if (sources.length === 0) return;
    this.markInTheWay(sources);
    this.markWaiting(sources);
    for (const source of sources) if (!source.off.complete) this.sourcesOn += 1;
  }

  /** The part, if it may come off in this job. */
  inScope(id: string): PartReplay | undefined {
    const replay = this.all.get(id);
    return replay?.inScope === true ? replay : undefined;
  }

  /** The part, whether or not it comes off. */
  partOf(id: string): Part | undefined {
    return this.all.get(id)?.part;
  }

  /** These parts and all that must be off before them, ready to be replayed. */
  private begun(targets: readonly string[]): readonly PartReplay[] {
    const scope: PartReplay[] = [];
    const open: PartReplay[] = [];
    for (const id of targets) {
      const replay = this.all.get(id);
      if (replay !== undefined) open.push(replay);
    }
    for (let replay = open.pop(); replay !== undefined; replay = open.pop()) {
      if (replay.inScope) continue;
      replay.inScope = true;
      this.begin(replay);
      scope.push(replay);
      this.link(replay);
      for (const need of replay.needs) open.push(need);
    }
    return scope;
  }

  private link(replay: PartReplay): void {
    const needs = replay.part.needs.map((id) => this.all.get(id));
    replay.needs = needs.includes(undefined)
      ? needs.filter((need) => need !== undefined)
      : (needs as PartReplay[]);
    for (const need of replay.needs)
      if (need.neededBy === null) need.neededBy = [replay];
      else need.neededBy.push(replay);
  }

  private begin(replay: PartReplay): void {
    const { part, id } = replay;
    const owner = this.model.ownerOf(part.steps);
    replay.owner = owner;
    replay.off = new Sequence(owner.wayIn);
    replay.on = new Sequence(owner.wayBack);
    // A part with nothing to do on the way in counts as off until its steps on the way back are done.
    if (owner.wayIn.length === 0 && owner.wayBack.length > 0) replay.state = 'off';
    if (replay.isReplaced) this.newSteps.set(id, new Sequence(this.model.newPartSteps(part.new_part_steps)));
  }

  private markInTheWay(sources: readonly PartReplay[]): void {
    const open = [...sources];
    for (let replay = open.pop(); replay !== undefined; replay = open.pop()) {
      if (replay.inSourcesWay) continue;
      replay.inSourcesWay = true;
      open.push(...replay.needs);
    }
  }

  private markWaiting(sources: readonly PartReplay[]): void {
    const later = new Map<string, PartReplay[]>();
    for (const replay of this.scope)
      for (const id of replay.part.install_after) {
        const list = later.get(id);
        if (list === undefined) later.set(id, [replay]);
        else list.push(replay);
      }
    const open = [...sources];
    for (let replay = open.pop(); replay !== undefined; replay = open.pop()) {
      if (replay.waitsForSource) continue;
      replay.waitsForSource = true;
      open.push(...replay.needs, ...(later.get(replay.id) ?? []));
    }
  }

  /** Parts that are not back yet. */
  openNames(): readonly string[] {
    return this.scope.filter((r) => isOpen(r)).map((r) => r.id);
  }

  /** Replaced parts that this one sits on. */
  carriersOf(id: string): readonly string[] {
    if (this.carriers === undefined) {
      this.carriers = new Map();
      for (const owner of this.replaced) {
        for (const c of this.all.get(owner)?.part.carries ?? []) {
          this.carriers.set(c, [...(this.carriers.get(c) ?? []), owner]);
        }
      }
    }
    return this.carriers.get(id) ?? NOBODY;
  }
}

const NOBODY: readonly string[] = [];
