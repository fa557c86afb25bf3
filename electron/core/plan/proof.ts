/**
 * The plan proof: replays a plan step by step on a model of the unit and lists everything that is wrong.
 * An empty list shows that nothing is taken off twice or through another part, every fastener is back in
 * its own place with its torque, every single-use item is renewed, every caution is read before its step,
 * energy returns last, parts that move over are on the new part, and the unit ends as it began, with the
 * new parts in.
 *
 * Independent of the planner: only the types of the contracts are shared.
 */
import type { Product, Variant } from '../product/model.ts';
import type { Plan, PlanStep } from './model.ts';
import { checkCautions, isBlank, type Violation } from './proof-contents.ts';
import { UnitModel } from './proof-model.ts';
import { type Bench, PartsReplay } from './proof-parts.ts';
import { Performance, type ReportAt } from './proof-performance.ts';
import { answeredPlan, checkQuestions, everyAnswer } from './proof-questions.ts';
import { Sequence } from './proof-sequence.ts';
import { countViolation, TrayReplay } from './proof-tray.ts';
import { type PartReplay, UnitReplay } from './proof-unit.ts';

export type { Violation } from './proof-contents.ts';
export { proofText } from './proof-text.ts';

const STAGES = ['prepare', 'remove', 'replace', 'install', 'check'] as const;

/** What a product step belongs to; the id of the part, or empty. */
interface StepOwner {
  readonly kind: 'part' | 'new' | 'prepare' | 'checks';
  readonly id: string;
}

/** Steps of the whole unit, by id. */
function unitOwnersOf({ prepare, checks }: Product): ReadonlyMap<string, StepOwner> {
  const owners = new Map<string, StepOwner>();
  for (const s of prepare) owners.set(s.id, { kind: 'prepare', id: '' });
  for (const s of checks) owners.set(s.id, { kind: 'checks', id: '' });
  return owners;
}

/** The owner of every step of a product by the step's id. */
function ownersOf(product: Product, unit: ReadonlyMap<string, StepOwner>): ReadonlyMap<string, StepOwner> {
  const owners = new Map<string, StepOwner>();
  for (const part of product.parts) {
    const own: StepOwner = { kind: 'part', id: part.id };
    const fresh: StepOwner = { kind: 'new', id: part.id };
    for (const s of part.steps) owners.set(s.id, own);
    for (const s of part.new_part_steps) owners.set(s.id, fresh);
  }
  for (const [id, owner] of unit) owners.set(id, owner);
  return owners;
}

class Replay {
  readonly violations: Violation[] = [];
  private readonly product: Product;
  private readonly plan: Plan;
  private readonly model: UnitModel;
  private readonly unit: UnitReplay;
  private readonly prepare: Sequence;
  private readonly undo: Sequence;
  /** Energy that must return. */
  private readonly restores: Sequence;
  private readonly checks: Sequence;
  private readonly unitOwners: ReadonlyMap<string, StepOwner>;
  /** Owners of all steps; few plans are so far from what they should be that it is needed. */
  private owners: ReadonlyMap<string, StepOwner> | undefined;
  private readonly bench: Bench = {
    fetched: new Set(),
    moved: new Set(),
    serials: new Set(),
    unitSerial: false,
  };
  readonly tray: TrayReplay;
  private readonly performance: Performance;
  private readonly parts: PartsReplay;
  private counted = false;
  private stage = 0;

  constructor(product: Product, plan: Plan) {
    this.product = product;
    this.plan = plan;
    this.model = new UnitModel(product, plan.variants);
    this.unitOwners = unitOwnersOf(product);
    this.tray = new TrayReplay(plan);
    this.prepare = new Sequence(this.model.unit.wayIn);
    this.undo = new Sequence(this.model.unit.wayBack);
    this.checks = new Sequence(this.model.checks);
    this.unit = new UnitReplay(product, this.model, plan.replace);
    this.restores = new Sequence([
      ...this.model.unit.restores,
      ...this.unit.scope.flatMap((replay) => replay.owner.restores),
    ]);
    const report: ReportAt = (step, code, facts) => this.report(step, code, facts);
    this.performance = new Performance(plan, this.model, this.tray, report);
    const { unit, bench, prepare, performance } = this;
    const serialWanted = product.unit_serial !== undefined;
    this.parts = new PartsReplay(unit, bench, prepare, serialWanted, performance, report);
  }

  private report(step: PlanStep | null, code: string, facts: Violation['facts'] = {}): void {
    this.violations.push({ code, step: step?.id ?? null, facts });
  }

  run(): readonly Violation[] {
    this.checkHead();
    const ids = new Set<string>();
    let different = 0;
    for (const step of this.plan.steps) {
      ids.add(step.id);
      if (ids.size === different) this.report(step, 'proof/duplicate-step-id');
      different = ids.size;
      const stage = STAGES.indexOf(step.stage);
      if (stage < this.stage) this.report(step, 'proof/stage-order', { stage: step.stage });
      this.stage = Math.max(this.stage, stage);
      if (step.source === undefined) this.addedStep(step);
      else this.productStep(step, step.source);
    }
    this.checkEnd();
    return this.violations;
  }

  private checkHead(): void {
    const { product, plan } = this;
    if (plan.product !== product.id || plan.product_revision !== product.revision) {
      this.report(null, 'proof/other-product', { expected: product.id, found: plan.product });
    }
    for (const id of plan.replace) {
      if (this.unit.partOf(id) === undefined) this.report(null, 'proof/unknown-part', { part: id });
    }
    if (plan.replace.length === 0) this.report(null, 'proof/nothing-replaced');
    const first = plan.steps[0] ?? null;
    const report = (code: string, facts: Violation['facts'] = {}): void => this.report(first, code, facts);
    checkCautions(this.model, product.job_hazards, first?.cautions ?? [], report);
    for (const id of product.job_hazards) {
      if (!plan.job_cautions.some((c) => c.id === id))
        this.report(null, 'proof/caution-missing', { hazard: id });
    }
  }

  /** A step that no product step stands behind. */
  private addedStep(step: PlanStep): void {
    if (step.fasteners.length > 0) this.report(step, 'proof/fasteners-unexpected', { found: [] });
    if (isBlank(step.say)) this.report(step, 'proof/nothing-to-say');
    switch (step.action) {
      case 'fetch-new-part':
        this.fetchNew(step);
        break;
      case 'move-over':
        if (step.part !== null) this.bench.moved.add(step.part);
        break;
      case 'record':
        this.recordAdded(step);
        break;
      case 'count-tray':
        this.counted = true;
        this.tray.expectEmpty((code, facts) => this.report(step, code, facts));
        if (this.unit.openParts > 0)
          this.report(step, 'proof/unit-still-open', { open: this.unit.openNames() });
        break;
      case 'do':
        break;
      case 'ask-variant':
        if (step.asks === undefined) this.report(step, 'proof/unknown-step', { action: step.action });
        break;
      default:
        this.report(step, 'proof/unknown-step', { action: step.action });
    }
  }

  private fetchNew(step: PlanStep): void {
    const replay = step.part === null ? undefined : this.unit.inScope(step.part);
    if (replay === undefined || !replay.isReplaced) {
      this.report(step, 'proof/unknown-part', { part: step.part ?? 'none' });
      return;
    }
    if (!replay.off.complete) this.report(step, 'proof/new-part-before-old-off', { part: replay.part.id });
    this.bench.fetched.add(replay.part.id);
  }

  private recordAdded(step: PlanStep): void {
    const wanted = step.part === null ? this.product.unit_serial : this.unit.partOf(step.part)?.serial;
    if (
      wanted === undefined ||
      step.record === null ||
      JSON.stringify(wanted) !== JSON.stringify(step.record)
    ) {
      this.report(step, 'proof/record-changed', { step: step.id });
      return;
    }
    if (step.part === null) {
      if (this.unit.openParts > 0) this.report(step, 'proof/record-too-late', { step: step.id });
      this.bench.unitSerial = true;
    } else {
      if (!this.bench.fetched.has(step.part))
        this.report(step, 'proof/new-part-not-fetched', { part: step.part });
      this.bench.serials.add(step.part);
    }
  }

  private productStep(step: PlanStep, source: string): void {
    const replay = step.part === null ? undefined : this.unit.inScope(step.part);
    // Mostly it is what comes next for the part that the plan names.
    if (replay !== undefined && (isNext(replay.off, source) || isNext(replay.on, source))) {
      this.partStep(step, source, replay);
      return;
    }
    const owner = this.ownerOf(step, source, replay);
    if (owner === undefined) {
      this.report(step, 'proof/unknown-step', { source });
      return;
    }
    const { kind, id } = owner;
    if (kind === 'prepare') this.unitStep(step, source);
    else if (kind === 'checks') this.checkStep(step, source);
    else if (kind === 'new') this.newPartStep(step, source, id);
    else {
      const own = this.unit.inScope(id);
      if (own === undefined) this.report(step, 'proof/part-off-needlessly', { part: id });
      else this.partStep(step, source, own);
    }
  }

  /** Whose step it is; whatever the plan says, where that is not what it seems. */
  private ownerOf(step: PlanStep, source: string, replay: PartReplay | undefined): StepOwner | undefined {
    const id = step.part;
    if (id === null) {
      const own = this.unitOwners.get(source);
      if (own !== undefined) return own;
    } else if (replay?.owner.restores.some((operation) => operation.step.id === source) === true)
      return { kind: 'part', id };
    else if (this.unit.newSteps.get(id)?.next?.step.id === source) return { kind: 'new', id };
    this.owners ??= ownersOf(this.product, this.unitOwners);
    return this.owners.get(source);
  }

  private unitStep(step: PlanStep, source: string): void {
    if (step.stage === 'prepare') this.performance.perform(step, this.prepare, source);
    else if (step.action === 'restore-energy') this.restoreStep(step, source);
    else {
      if (this.unit.openParts > 0)
        this.report(step, 'proof/unit-still-open', { open: this.unit.openNames() });
      this.performance.perform(step, this.undo, source);
    }
  }

  /** Energy may not return while a part is off, the tray holds a fastener or a step of closing is left. */
  private restoreStep(step: PlanStep, source: string): void {
    const closing = step.stage === 'check' && this.undo.complete;
    if (this.unit.openParts > 0 || !closing)
      this.report(step, 'proof/energy-too-early', { open: this.unit.openNames() });
    this.tray.expectEmpty((code, facts) => this.report(step, code, facts));
    if (this.plan.tray.length > 0 && !this.counted) this.report(step, 'proof/tray-not-counted');
    this.performance.perform(step, this.restores, source);
  }

  private checkStep(step: PlanStep, source: string): void {
    const operation = this.performance.perform(step, this.checks, source);
    const dead = operation?.step.way === 'in';
    const restored = this.restores.complete && this.undo.complete;
    if (!dead && !restored) this.report(step, 'proof/check-too-early', { source });
    if (dead && this.restores.operations.length > 0 && this.restores.begun) {
      this.report(step, 'proof/check-too-late', { source });
    }
    if (this.unit.openParts > 0) this.report(step, 'proof/unit-still-open', { open: this.unit.openNames() });
  }

  private newPartStep(step: PlanStep, source: string, id: string): void {
    const sequence = this.unit.newSteps.get(id);
    if (sequence === undefined) {
      this.report(step, 'proof/step-not-expected', { source, action: step.action });
      return;
    }
    if (!this.bench.fetched.has(id)) this.report(step, 'proof/new-part-not-fetched', { part: id });
    this.performance.perform(step, sequence, source);
  }

  private partStep(step: PlanStep, source: string, replay: PartReplay): void {
    const { id } = replay;
    if (step.part !== id) this.report(step, 'proof/wrong-part', { expected: id, found: step.part ?? 'none' });
    if (step.action === 'restore-energy') {
      this.restoreStep(step, source);
      return;
    }
    const back = step.stage === 'install' || (step.stage === 'replace' && replay.off.complete);
    if (back) this.parts.putOn(step, source, replay);
    else this.parts.takeOff(step, source, replay);
  }

  private missing(sequence: Sequence, code: string): void {
    for (const op of sequence.open) {
      this.violations.push({ code, step: null, facts: { missing: op.step.id, action: op.action } });
    }
  }

  private checkEnd(): void {
    this.missing(this.prepare, 'proof/step-missing');
    for (const replay of this.unit.scope) this.checkPartEnd(replay);
    for (const sequence of this.unit.newSteps.values()) this.missing(sequence, 'proof/step-missing');
    this.missing(this.restores, 'proof/energy-not-restored');
    this.missing(this.undo, 'proof/step-missing');
    this.missing(this.checks, 'proof/check-missing');
    this.tray.checkEnd((code, facts = {}) => this.report(null, code, facts));
    if (this.plan.tray.length > 0 && !this.counted) this.report(null, 'proof/tray-not-counted');
    if (this.product.unit_serial !== undefined && !this.bench.unitSerial)
      this.report(null, 'proof/serial-not-recorded');
  }

  private checkPartEnd(replay: PartReplay): void {
    const { part } = replay;
    this.missing(replay.off, 'proof/step-missing');
    this.missing(replay.on, 'proof/step-missing');
    if (replay.state !== 'back' && replay.on.operations.length > 0)
      this.report(null, 'proof/part-not-back', { part: part.id });
    if (!replay.isReplaced) return;
    if (!this.bench.fetched.has(part.id)) this.report(null, 'proof/old-part-still-in', { part: part.id });
    if (replay.on.operations.length === 0)
      this.parts.checkNewPartReady(this.plan.steps[this.plan.steps.length - 1] as PlanStep, part);
  }
}

function isNext(sequence: Sequence, source: string): boolean {
  return sequence.next?.step.id === source;
}

/** Everything that is wrong with a plan for this product; empty where it is proven. Pure, total. */
export function provePlan(product: Product, plan: Plan): readonly Violation[] {
  const questions = checkQuestions(product, plan);
  if (questions.asked.length === 0) return [...questions.violations, ...new Replay(product, plan).run()];
  return [...questions.violations, ...proveEachAnswer(product, plan, questions.asked)];
}

/** Replays the plan for every way to answer its questions: each has to be a whole job. */
function proveEachAnswer(product: Product, plan: Plan, asked: readonly Variant[]): readonly Violation[] {
  const most = new Map<number, number>();
  for (const answers of everyAnswer(asked)) {
    const replay = new Replay(product, answeredPlan(plan, answers));
    const violations = replay.run();
    if (violations.length > 0) {
      const given = Object.entries(answers).map(([id, answer]) => `${id}=${answer}`);
      return violations.map((v) => ({ ...v, facts: { ...v.facts, answered: given } }));
    }
    for (const { number } of plan.tray)
      most.set(number, Math.max(most.get(number) ?? 0, replay.tray.filledIn(number)));
  }
  return plan.tray.flatMap((c) =>
    c.count === most.get(c.number) ? [] : [countViolation(c.number, most.get(c.number) ?? 0, c.count)],
  );
}
