/**
 * Parts in the plan proof: what must hold when one begins to come off or to go back, and what a new part
 * must have seen before. Shares no code with the planner.
 */
import type { Part } from '../product/model.ts';
import type { PlanStep } from './model.ts';
import type { Performance, ReportAt } from './proof-performance.ts';
import type { Sequence } from './proof-sequence.ts';
import { isBackOrStayed, isOpen, type PartReplay, type UnitReplay } from './proof-unit.ts';

/** What has been done on the bench so far; ids of parts. */
export interface Bench {
  readonly fetched: Set<string>;
  readonly moved: Set<string>;
  readonly serials: Set<string>;
  /** The serial number of the unit has been recorded. */
  unitSerial: boolean;
}

/** Takes the parts of a unit off and puts them back as the plan says. */
export class PartsReplay {
  private readonly unit: UnitReplay;
  private readonly bench: Bench;
  private readonly prepare: Sequence;
  private readonly unitSerialWanted: boolean;
  private readonly performance: Performance;
  private readonly report: ReportAt;

  constructor(
    unit: UnitReplay,
    bench: Bench,
    prepare: Sequence,
    unitSerialWanted: boolean,
    performance: Performance,
    report: ReportAt,
  ) {
    this.unit = unit;
    this.bench = bench;
    this.prepare = prepare;
    this.unitSerialWanted = unitSerialWanted;
    this.performance = performance;
    this.report = report;
  }

  takeOff(step: PlanStep, source: string, replay: PartReplay): void {
    const { part } = replay;
    if (replay.state === 'on') {
      replay.state = 'coming-off';
      this.unit.openParts += 1;
      this.checkMayComeOff(step, replay);
    } else if (replay.state !== 'coming-off') this.report(step, 'proof/part-off-twice', { part: part.id });
    this.performance.perform(step, replay.off, source);
    if (replay.off.complete && replay.state === 'coming-off') {
      replay.state = 'off';
      if (part.energy_source) this.unit.sourcesOn -= 1;
      // Nothing has to happen on the way back: the part counts as closed.
      if (replay.on.operations.length === 0) this.unit.openParts -= 1;
    }
  }

  private checkMayComeOff(step: PlanStep, replay: PartReplay): void {
    for (const need of replay.needs) {
      if (need.off.operations.length > 0 && need.state !== 'off')
        this.report(step, 'proof/through-another-part', { part: replay.id, needs: need.id });
    }
    if (!this.prepare.complete)
      this.report(step, 'proof/before-preparation', { before: this.prepare.next?.step.id ?? '' });
    if (this.unitSerialWanted && !this.bench.unitSerial) this.report(step, 'proof/serial-not-recorded');
    if (this.unit.sourcesOn > 0 && !replay.inSourcesWay) {
      this.report(step, 'proof/energy-source-still-in', { part: replay.id });
    }
  }

  putOn(step: PlanStep, source: string, replay: PartReplay): void {
    if (replay.state === 'off' || replay.state === 'coming-off' || replay.state === 'on') {
      if (replay.state !== 'off') this.report(step, 'proof/part-not-off', { part: replay.part.id });
      if (replay.state === 'on' || replay.off.operations.length === 0) this.unit.openParts += 1;
      replay.state = 'going-on';
      this.checkMayGoOn(step, replay);
    } else if (replay.state === 'back') this.report(step, 'proof/step-twice', { source });
    this.performance.perform(step, replay.on, source);
    if (replay.on.complete && replay.state === 'going-on') {
      replay.state = 'back';
      this.unit.openParts -= 1;
    }
  }

  private checkMayGoOn(step: PlanStep, replay: PartReplay): void {
    const { part, id } = replay;
    for (const covered of replay.neededBy ?? []) {
      if (!isBackOrStayed(covered))
        this.report(step, 'proof/covers-open-part', { part: id, covers: covered.id });
    }
    for (const after of part.install_after) {
      const other = this.unit.inScope(after);
      if (other !== undefined && !isBackOrStayed(other))
        this.report(step, 'proof/install-after', { part: id, after });
    }
    if (part.energy_source) {
      for (const other of this.unit.scope) {
        if (isOpen(other) && !other.part.energy_source && !other.waitsForSource) {
          this.report(step, 'proof/energy-too-early', { open: [other.id] });
        }
      }
    }
    if (replay.isReplaced) this.checkNewPartReady(step, part);
    for (const owner of this.unit.carriersOf(id)) {
      if (!this.bench.fetched.has(owner)) this.report(step, 'proof/on-old-part', { part: id, onto: owner });
    }
  }

  checkNewPartReady(step: PlanStep, part: Part): void {
    if (!this.bench.fetched.has(part.id)) this.report(step, 'proof/new-part-not-fetched', { part: part.id });
    for (const op of this.unit.newSteps.get(part.id)?.open ?? []) {
      this.report(step, 'proof/new-part-not-ready', { part: part.id, missing: op.step.id });
    }
    if (part.serial !== undefined && !this.bench.serials.has(part.id)) {
      this.report(step, 'proof/serial-not-recorded', { part: part.id });
    }
    for (const id of part.carries) {
      const carried = this.unit.inScope(id);
      if (carried === undefined) continue;
      const hasSteps = carried.off.operations.length > 0;
      const left = hasSteps ? carried.state === 'on' : !this.bench.moved.has(id) && !carried.isReplaced;
      if (left) this.report(step, 'proof/carried-part-left', { part: part.id, carried: id });
    }
  }
}
