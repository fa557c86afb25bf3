/**
 * The tray in the plan proof: what each compartment holds as the plan is replayed. Shares no code with
 * the planner's ledger.
 */
import type { Compartment, Plan, PlanStep } from './model.ts';
import type { Report, Violation } from './proof-contents.ts';
import { goesBack, type Operation, staysInPart } from './proof-model.ts';

/** Compartments while a plan is replayed. */
export class TrayReplay {
  private readonly compartments = new Map<number, Compartment>();
  private readonly held = new Map<number, number>();
  private readonly filled = new Map<number, number>();
  /** Compartments that hold something. */
  private inUse = 0;
  private readonly plan: Plan;
  private readonly laidOutForMost: boolean;

  constructor(plan: Plan) {
    this.plan = plan;
    this.laidOutForMost = plan.steps.some((step) => step.asks !== undefined);
    for (const compartment of plan.tray) this.compartments.set(compartment.number, compartment);
  }

  /** Puts the fasteners of a step into the tray, or takes them out of it. */
  move(operation: Operation, step: PlanStep, report: Report): void {
    const { action, fastener } = operation.step;
    if (fastener === null || staysInPart(operation.step, fastener) || !goesBack(operation.step, fastener))
      return;
    if (action.kind !== 'remove-fasteners' && action.kind !== 'loosen-fasteners') return;
    if (operation.role === 'tighten') return;
    const entry = step.fasteners[0];
    if (entry === undefined || entry.compartment === null) return;
    const compartment = this.compartments.get(entry.compartment);
    if (
      compartment === undefined ||
      compartment.fastener !== action.fastener ||
      compartment.place !== action.place
    ) {
      report('proof/wrong-compartment', {
        compartment: entry.compartment,
        fastener: action.fastener,
        place: action.place,
      });
    }
    const change = operation.back ? -entry.count : entry.count;
    const before = this.held.get(entry.compartment) ?? 0;
    const now = before + change;
    this.held.set(entry.compartment, now);
    if (before > 0 !== now > 0) this.inUse += change > 0 ? 1 : -1;
    if (change > 0) this.filled.set(entry.compartment, (this.filled.get(entry.compartment) ?? 0) + change);
    if (now < 0) report('proof/compartment-short', { compartment: entry.compartment, short: -now });
  }

  /** All that was put into a compartment. */
  filledIn(compartment: number): number {
    return this.filled.get(compartment) ?? 0;
  }

  /** Reports every compartment that still holds something. */
  expectEmpty(report: Report): void {
    if (this.inUse === 0) return;
    for (const [compartment, left] of this.held) {
      if (left > 0) report('proof/tray-not-empty', { compartment, left });
    }
  }

  /** What the tray's own list must say. */
  checkEnd(report: Report): void {
    this.expectEmpty(report);
    const seen = new Set<string>();
    for (const c of this.plan.tray) {
      const key = JSON.stringify([c.fastener, c.place]);
      if (seen.has(key)) report('proof/compartment-twice', { compartment: c.number });
      seen.add(key);
      const filled = this.filled.get(c.number) ?? 0;
      // With a question left open the tray is laid out for the answer that needs most.
      const wrong = this.laidOutForMost ? filled > c.count : filled !== c.count;
      if (wrong)
        report('proof/compartment-count', { compartment: c.number, expected: filled, found: c.count });
    }
    if (this.compartments.size !== this.plan.tray.length)
      report('proof/compartment-twice', { compartment: 0 });
  }
}

/** A compartment that is laid out for another number than it has to hold. */
export function countViolation(compartment: number, expected: number, found: number): Violation {
  return { code: 'proof/compartment-count', step: null, facts: { compartment, expected, found } };
}
