/**
 * One step of a plan in the plan proof: ticked off what must happen, after looking at what came before it
 * and at what the step says, takes out and puts back. Shares no code with the planner.
 */
import type { Plan, PlanStep } from './model.ts';
import { checkContents, renewalsOf, tightensToo, type Violation } from './proof-contents.ts';
import type { Operation, UnitModel } from './proof-model.ts';
import type { Sequence } from './proof-sequence.ts';
import type { TrayReplay } from './proof-tray.ts';

/** Takes a violation at a step, or at none. */
export type ReportAt = (step: PlanStep | null, code: string, facts?: Violation['facts']) => void;

/** Performs the steps of a plan one after the other. */
export class Performance {
  private readonly model: UnitModel;
  private readonly tray: TrayReplay;
  private readonly report: ReportAt;
  private readonly listedTools: ReadonlySet<string>;
  private readonly listedConsumables: ReadonlySet<string>;
  /** Energy in the order it went: the last one isolated returns first. */
  private readonly isolated: string[] = [];
  /** The step being looked at, for `reportHere`: one function for all steps, not one for each. */
  private shown: PlanStep | null = null;
  private readonly reportHere = (code: string, facts: Violation['facts'] = {}): void =>
    this.report(this.shown, code, facts);

  constructor(plan: Plan, model: UnitModel, tray: TrayReplay, report: ReportAt) {
    this.model = model;
    this.tray = tray;
    this.report = report;
    this.listedTools = new Set(plan.tools.map((t) => t.id));
    this.listedConsumables = new Set(plan.consumables.map((c) => c.id));
  }

  /** Ticks an operation off, after looking at what came before it and at what the step says. */
  perform(step: PlanStep, sequence: Sequence, source: string): Operation | undefined {
    const at = sequence.find(source, step.action);
    const operation = sequence.operations[at];
    if (operation === undefined) {
      this.report(step, 'proof/step-not-expected', { source, action: step.action });
      return undefined;
    }
    if (sequence.isDone(at)) this.report(step, 'proof/step-twice', { source });
    else if (operation.action === 'restore-energy') {
      if (operation.step.way === 'both') this.restoreInOrder(step, source);
    } else if (sequence.next !== operation) {
      this.report(step, 'proof/out-of-order', { before: sequence.next?.step.id ?? '', found: source });
    }
    sequence.tick(at);
    if (operation.action === 'isolate' && !operation.back && operation.step.way === 'both')
      this.isolated.push(source);
    if (operation.role === 'start' && tightensToo(step)) {
      const tightening = sequence.find(source, 'tighten-fasteners');
      if (tightening >= 0) sequence.tick(tightening);
    }
    this.shown = step;
    const renewals = renewalsOf(operation);
    checkContents(this.model, operation, step, renewals, this.reportHere);
    this.tray.move(operation, step, this.reportHere);
    this.checkListed(renewals, step);
    return operation;
  }

  private checkListed(renewals: readonly string[], step: PlanStep): void {
    if (step.tool !== null && !this.listedTools.has(step.tool))
      this.report(step, 'proof/tool-not-listed', { tool: step.tool });
    for (const id of renewals) {
      if (!this.listedConsumables.has(id) && this.model.items.get(id)?.kind !== 'compound')
        this.report(step, 'proof/consumable-not-listed', { item: id });
    }
  }

  private restoreInOrder(step: PlanStep, source: string): void {
    const last = this.isolated.pop();
    if (last !== source)
      this.report(step, 'proof/out-of-order', { before: last ?? 'isolation', found: source });
  }
}
