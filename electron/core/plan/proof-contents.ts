/**
 * What a single step of a plan must say, checked against the product step it stands for: cautions,
 * fasteners, torque, order, passes, renewal, tool, measurement. Part of the plan proof; shares no code
 * with the planner.
 */
import type { Fastener, Hazard, Pattern } from '../product/model.ts';
import type { PlanCaution, PlanFastener, PlanStep } from './model.ts';
import {
  goesBack,
  mustRenew,
  type Operation,
  staysInPart,
  type UnitModel,
  type WantedStep,
} from './proof-model.ts';

/** One way in which a plan is wrong: a code, the plan step it shows at, and the facts. */
export interface Violation {
  readonly code: string;
  readonly step: string | null;
  readonly facts: Readonly<Record<string, string | number | readonly string[] | readonly number[]>>;
}

/** Takes a violation at the step being looked at. */
export type Report = (code: string, facts?: Violation['facts']) => void;

const RANK = { danger: 0, warning: 1, caution: 2, notice: 3 } as const;
/** Torques are compared to the figure that a display shows. */
const TORQUE_TOLERANCE_NM = 0.0006;

function same(a: unknown, b: unknown): boolean {
  if (a === b) return true;
  return JSON.stringify(a ?? null) === JSON.stringify(b ?? null);
}

/** The cautions of a step: all of the hazards named, in the product's words, most severe first. */
export function checkCautions(
  model: UnitModel,
  hazards: readonly string[],
  shown: readonly PlanCaution[],
  report: Report,
): void {
  if (hazards.length === 0 && shown.length < 2) return;
  for (let i = 0; i < hazards.length; i += 1) {
    const id = hazards[i] as string;
    const hazard = model.hazards.get(id);
    if (hazard === undefined || hazards.indexOf(id) < i) continue;
    const caution = shown.find((c) => c.id === id);
    if (caution === undefined) report('proof/caution-missing', { hazard: id });
    else if (!keeps(caution, hazard)) report('proof/caution-changed', { hazard: id });
  }
  for (let i = 1; i < shown.length; i += 1) {
    const caution = shown[i - 1] as PlanCaution;
    const next = shown[i] as PlanCaution;
    if (RANK[next.word] < RANK[caution.word]) {
      report('proof/caution-order', { first: caution.id, later: next.id });
    }
  }
}

/** True where the caution has the words of the hazard and is said with its signal word first. */
function keeps(caution: PlanCaution, hazard: Hazard): boolean {
  return (
    caution.word === hazard.word &&
    caution.hazard === hazard.hazard &&
    caution.consequence === hazard.consequence &&
    caution.avoid === hazard.avoid &&
    caution.say.slice(0, hazard.word.length).toLowerCase() === hazard.word
  );
}

function isPermutation(order: readonly number[], count: number): boolean {
  return (
    order.length === count &&
    order.every((n, i) => n >= 1 && n <= count && Number.isInteger(n) && order.indexOf(n) === i)
  );
}

/** Crossing order by its properties: each bolt is followed by the one opposite, the next pair at right angles. */
function isCrossing(order: readonly number[]): boolean {
  const n = order.length;
  const gap = (i: number, j: number): number => ((((order[j] ?? 0) - (order[i] ?? 0)) % n) + n) % n;
  if (n < 4) return true;
  if (n % 2 === 0) {
    for (let i = 0; i + 1 < n; i += 2) if (gap(i, i + 1) !== n / 2) return false;
    if (n % 4 === 0) for (let i = 0; i + 3 < n; i += 4) if (gap(i, i + 2) !== n / 4) return false;
    return true;
  }
  for (let i = 0; i + 1 < n; i += 1) if (gap(i, i + 1) === 1 || gap(i, i + 1) === n - 1) return false;
  return true;
}

function isOutward(order: readonly number[]): boolean {
  const middle = (order.length + 1) / 2;
  return order.every((n, i) => i === 0 || Math.abs(n - middle) >= Math.abs((order[i - 1] ?? 0) - middle));
}

/** True where an order of bolts fits the pattern of the joint. */
export function fitsPattern(
  order: readonly number[],
  pattern: Pattern,
  count: number,
  loosening: boolean,
): boolean {
  if (pattern === 'any' || count < 2) return order.length === 0 || isPermutation(order, count);
  if (!isPermutation(order, count)) return false;
  if (pattern === 'cross') return isCrossing(order);
  if (pattern === 'centre-out') return isOutward(loosening ? [...order].reverse() : order);
  return order.every((n, i) => n === i + 1);
}

function fastenerEntry(
  step: PlanStep,
  wanted: Fastener,
  source: WantedStep,
  report: Report,
): PlanFastener | undefined {
  const { action } = source;
  if (action.kind !== 'remove-fasteners' && action.kind !== 'loosen-fasteners') return undefined;
  const entry = step.fasteners[0];
  if (step.fasteners.length !== 1 || entry === undefined) {
    report('proof/fasteners-missing', { fastener: wanted.id, count: action.count });
    return undefined;
  }
  const right =
    entry.fastener === wanted.id &&
    entry.count === action.count &&
    entry.thread === wanted.thread &&
    entry.length_mm === wanted.length_mm &&
    same(entry.drive, wanted.drive);
  if (!right) {
    report('proof/fastener-wrong', {
      expected: `${action.count} × ${wanted.id}`,
      found: `${entry.count} × ${entry.fastener}`,
    });
  }
  if (entry.place !== action.place)
    report('proof/fastener-wrong-place', { expected: action.place, found: entry.place });
  return entry;
}

function checkTightening(entry: PlanFastener, fastener: Fastener, source: WantedStep, report: Report): void {
  const { action } = source;
  if (action.kind !== 'remove-fasteners' && action.kind !== 'loosen-fasteners') return;
  const torque = fastener.torque_nm ?? null;
  if (entry.torque_nm !== torque) {
    report('proof/torque-wrong', { expected: torque ?? 'none', found: entry.torque_nm ?? 'none' });
  }
  const percent = action.passes ?? [];
  const expected =
    torque === null ? [] : percent.length === 0 ? [torque] : percent.map((p) => (torque * p) / 100);
  const close =
    entry.passes_nm.length === expected.length &&
    expected.every((nm, i) => Math.abs(nm - (entry.passes_nm[i] ?? 0)) <= TORQUE_TOLERANCE_NM);
  if (!close) report('proof/passes-wrong', { expected, found: entry.passes_nm });
  const round = action.pattern === 'cross' && expected.length > 1 ? torque : null;
  if ((entry.round_pass_nm ?? null) !== round) {
    report('proof/round-pass-wrong', { expected: round ?? 'none', found: entry.round_pass_nm ?? 'none' });
  }
  if (!fitsPattern(entry.order, action.pattern, action.count, false)) {
    report('proof/tightening-order-wrong', { pattern: action.pattern, found: entry.order });
  }
}

/** True where an installing step also says how to tighten, so that no step of its own is needed. */
export function tightensToo(step: PlanStep): boolean {
  const entry = step.fasteners[0];
  return (
    step.action === 'install-fasteners' &&
    entry !== undefined &&
    (entry.passes_nm.length > 0 || entry.order.length > 0)
  );
}

/** Fasteners of a step: kind, count, place, order, torque. Compartments are the ledger's business. */
function checkFasteners(operation: Operation, step: PlanStep, report: Report): void {
  const { action, kind, fastener } = operation.step;
  if (kind !== 'remove-fasteners' && kind !== 'loosen-fasteners') {
    if (step.fasteners.length > 0)
      report('proof/fasteners-unexpected', { found: step.fasteners.map((f) => f.fastener) });
    return;
  }
  if (fastener === null || action.kind !== kind) return;
  const entry = fastenerEntry(step, fastener, operation.step, report);
  if (entry === undefined) return;
  const stays = staysInPart(operation.step, fastener) || operation.role === 'tighten';
  const noCompartment = stays || !goesBack(operation.step, fastener);
  if (noCompartment !== (entry.compartment === null)) {
    report('proof/compartment-wrong', {
      expected: noCompartment ? 'none' : 'one',
      found: entry.compartment ?? 'none',
    });
  }
  if (!operation.back) {
    if (!fitsPattern(entry.order, action.pattern, action.count, true)) {
      report('proof/loosening-order-wrong', { pattern: action.pattern, found: entry.order });
    }
  } else if (operation.role === 'tighten' || tightensToo(step)) {
    checkTightening(entry, fastener, operation.step, report);
  } else if (entry.torque_nm !== (fastener.torque_nm ?? null)) {
    report('proof/torque-wrong', {
      expected: fastener.torque_nm ?? 'none',
      found: entry.torque_nm ?? 'none',
    });
  }
}

const NOTHING: readonly string[] = [];

/** What must be renewed or used up in this operation. */
export function renewalsOf(operation: Operation): readonly string[] {
  const { uses: used, fastener, item } = operation.step;
  if (used !== null) return operation.role === 'main' ? used : NOTHING;
  if (!operation.back) return NOTHING;
  if (fastener !== null) {
    if (operation.role !== 'start') return NOTHING;
    return goesBack(operation.step, fastener) ? NOTHING : [fastener.id];
  }
  if (item === null || operation.role !== 'main') return NOTHING;
  const { uses } = item;
  if (!mustRenew(item)) return uses ?? NOTHING;
  return uses === undefined ? [item.id] : [item.id, ...uses];
}

function checkTool(operation: Operation, step: PlanStep, report: Report): void {
  if (operation.role === 'note' || operation.role === 'clean') return;
  const expected = operation.back ? operation.step.toolBack : operation.step.tool;
  const byHand = operation.role === 'start' && step.tool === null;
  if (!byHand && step.tool !== expected)
    report('proof/tool-wrong', { expected: expected ?? 'none', found: step.tool ?? 'none' });
}

/** Everything a plan step must carry over from its product step. `renewals`: what `renewalsOf` says. */
export function checkContents(
  model: UnitModel,
  operation: Operation,
  step: PlanStep,
  renewals: readonly string[],
  report: Report,
): void {
  const source = operation.step;
  const { noted } = source;
  if (operation.leads) {
    const hazards = (operation.back ? source.hazards_back : null) ?? source.hazards;
    checkCautions(model, hazards, step.cautions, report);
  }
  checkFasteners(operation, step, report);
  for (const id of renewals) {
    if (!step.renew.includes(id)) report('proof/not-renewed', { item: id });
  }
  checkTool(operation, step, report);
  if (!operation.back || source.way === 'out') {
    const { reading, record } = source;
    if (reading !== undefined && !same(step.measure, reading))
      report('proof/measure-changed', { step: source.id });
    if (record !== undefined && !same(step.record, record))
      report('proof/record-changed', { step: source.id });
  }
  const ends = operation.ends || (operation.role === 'start' && tightensToo(step));
  if (ends && (step.hold ?? null) !== source.hold) report('proof/hold-lost', { hold: source.hold ?? 'none' });
  if (step.optional !== source.optional) report('proof/optional-changed', { step: source.id });
  if (noted !== null && step.note_item !== noted) {
    if (operation.role !== 'main') report('proof/route-not-noted', { item: noted });
    if (operation.back) report('proof/route-not-read-back', { item: noted });
  }
  if (isBlank(step.say)) report('proof/nothing-to-say', {});
  if (hasTighteningText(operation) && source.say_back === null && !/\d/.test(step.say)) {
    report('proof/torque-not-said', {});
  }
}

/** True where there is nothing but blanks. */
export function isBlank(text: string): boolean {
  return !(text.charCodeAt(0) > 32) && text.trim() === '';
}

function hasTighteningText({ role, step }: Operation): boolean {
  return role === 'tighten' && step.fastener?.torque_nm !== undefined && step.fastener.kind !== 'washer';
}
