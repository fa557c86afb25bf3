/**
 * The plan proof's own picture of a unit: from the product alone, what has to happen to each part on the
 * way in and on the way back. Shares no code with the planner; only the types of the contracts.
 */
import type {
  Action,
  Fastener,
  Hazard,
  Item,
  Part,
  Pattern,
  Product,
  ProductStep,
} from '../product/model.ts';
import type { PlanAction } from './model.ts';

/** What an operation is to the fasteners or faces of its step. */
export type Role = 'main' | 'note' | 'clean' | 'start' | 'tighten';

/** One thing that must happen, exactly once. */
export interface Operation {
  readonly step: ProductStep;
  readonly role: Role;
  readonly action: PlanAction;
  readonly back: boolean;
  /** True for the first operation of its step in its direction: it carries the cautions. */
  readonly leads: boolean;
  /** True for the last one: it carries the hold point. */
  readonly ends: boolean;
}

/** Everything that has to happen to one part, or to the whole unit (prepare and its undoing). */
export interface Owner {
  readonly part: Part | null;
  readonly wayIn: readonly Operation[];
  readonly wayBack: readonly Operation[];
}

const INVERSE = new Map<string, PlanAction>([
  ['disconnect', 'connect'],
  ['release-ribbon', 'insert-ribbon'],
  ['peel-tape', 'apply-tape'],
  ['pull-strips', 'bond-strips'],
  ['take-out-seal', 'fit-seal'],
  ['unroute', 'route'],
  ['lift-off-pins', 'seat-on-pins'],
  ['open-arms', 'press-in'],
  ['slide-out', 'slide-in'],
  ['unclip', 'clip'],
  ['part-edges', 'press-edges'],
  ['lift-out', 'put-in'],
  ['separate-heat-sink', 'fit-heat-sink'],
  ['open-to-angle', 'close'],
  ['support', 'support'],
  ['isolate', 'restore-energy'],
]);
const NEVER_UNDONE = ['inspect', 'clean', 'measure', 'record', 'discharge', 'verify-dead'];

/** Id of the item that an action is about. */
export function itemIn(action: Action): string | undefined {
  switch (action.kind) {
    case 'disconnect':
    case 'release-ribbon':
    case 'peel-tape':
    case 'pull-strips':
    case 'take-out-seal':
    case 'unroute':
    case 'separate-heat-sink':
      return action.item;
    default:
      return undefined;
  }
}

/** True for steps that remove or loosen fasteners. */
export function isFastenerStep(step: ProductStep): boolean {
  return step.action.kind === 'remove-fasteners' || step.action.kind === 'loosen-fasteners';
}

/** True where the fasteners of the step stay in the part. */
export function staysInPart(step: ProductStep, fastener: Fastener): boolean {
  return step.action.kind === 'loosen-fasteners' || fastener.kind === 'captive-screw';
}

/** True where what comes out goes back in. */
export function goesBack(step: ProductStep, fastener: Fastener): boolean {
  return step.way === 'both' && fastener.single_use !== true;
}

/** True where how tight, or in which order, is said. */
export function hasTightening(pattern: Pattern, count: number, fastener: Fastener): boolean {
  if (fastener.kind === 'washer') return false;
  return fastener.torque_nm !== undefined || (pattern !== 'any' && count >= 2);
}

/** True where an item is replaced each time: always for strips and compound, for a seal unless it is said. */
export function mustRenew(item: Item): boolean {
  switch (item.kind) {
    case 'strip':
    case 'compound':
      return true;
    case 'seal':
      return item.renew === undefined || item.renew === 'always';
    default:
      return item.renew === 'always';
  }
}

interface Wanted {
  readonly role: Role;
  readonly action: PlanAction;
}

function operations(step: ProductStep, back: boolean, wanted: readonly Wanted[]): readonly Operation[] {
  return wanted.map(({ role, action }, i) => ({
    step,
    role,
    action,
    back,
    leads: i === 0,
    ends: i === wanted.length - 1,
  }));
}

const NOTHING: readonly Operation[] = [];

function single(step: ProductStep, back: boolean, role: Role, action: PlanAction): readonly Operation[] {
  return [{ step, role, action, back, leads: true, ends: true }];
}

/** What one step asks for on the way in. */
function operationsIn(step: ProductStep): readonly Operation[] {
  if (step.way === 'out') return NOTHING;
  const { action } = step;
  if (action.kind === 'unroute' && action.note_route) {
    return operations(step, false, [
      { role: 'note', action: 'note-route' },
      { role: 'main', action: 'unroute' },
    ]);
  }
  return single(step, false, 'main', action.kind);
}

/** What one step asks for on the way back. */
function operationsBack(step: ProductStep, fasteners: ReadonlyMap<string, Fastener>): readonly Operation[] {
  if (step.way === 'in') return NOTHING;
  const { action } = step;
  if (NEVER_UNDONE.includes(action.kind)) {
    return step.way === 'out' ? single(step, true, 'main', action.kind) : NOTHING;
  }
  if (action.kind === 'do') {
    const undone = step.way === 'out' || action.back !== undefined || step.say_back !== undefined;
    return undone ? single(step, true, 'main', 'do') : NOTHING;
  }
  if (action.kind === 'remove-fasteners' || action.kind === 'loosen-fasteners') {
    const fastener = fasteners.get(action.fastener);
    if (fastener === undefined) return NOTHING;
    if (staysInPart(step, fastener)) return single(step, true, 'tighten', 'tighten-fasteners');
    if (!hasTightening(action.pattern, action.count, fastener))
      return single(step, true, 'start', 'install-fasteners');
    return operations(step, true, [
      { role: 'start', action: 'install-fasteners' },
      { role: 'tighten', action: 'tighten-fasteners' },
    ]);
  }
  const inverse = INVERSE.get(action.kind);
  if (inverse === undefined) return NOTHING;
  const cleanFirst = action.kind === 'separate-heat-sink' || action.kind === 'pull-strips';
  if (!cleanFirst) return single(step, true, 'main', inverse);
  return operations(step, true, [
    { role: 'clean', action: 'clean' },
    { role: 'main', action: inverse },
  ]);
}

function mayLead({ action }: ProductStep): boolean {
  return action.kind === 'support' || action.kind === 'pull-strips';
}

/** True where a step's undoing goes before the undoing of what it prepared. */
function leadsTheWayBack(step: ProductStep, followed: ProductStep): boolean {
  const a = step.action.kind;
  const b = followed.action.kind;
  return (a === 'support' && b !== 'support') || (a === 'pull-strips' && b === 'lift-out');
}

/** The first of the later steps that happens whatever is answered, or for the same answer as this one. */
function followedBy(
  step: ProductStep,
  later: readonly (readonly Operation[])[],
): readonly Operation[] | undefined {
  for (let i = later.length - 1; i >= 0; i -= 1) {
    const other = later[i]?.[0]?.step;
    if (other === undefined || other.way !== 'both') continue;
    const certain = other.when === undefined;
    const alike = other.when?.variant === step.when?.variant && other.when?.is === step.when?.is;
    if (certain || alike) return later[i];
  }
  return undefined;
}

function backSequence(groups: readonly (readonly Operation[])[]): readonly Operation[] {
  const sequence: (readonly Operation[])[] = [];
  const later: (readonly Operation[])[] = [];
  for (let i = groups.length - 1; i >= 0; i -= 1) {
    const group = groups[i];
    const step = group?.[0]?.step;
    if (group === undefined || step === undefined) continue;
    const followed = mayLead(step) ? followedBy(step, later) : undefined;
    const after = followed?.[0]?.step;
    const at =
      followed !== undefined && after !== undefined && leadsTheWayBack(step, after)
        ? sequence.indexOf(followed)
        : -1;
    if (at >= 0) sequence.splice(at, 0, group);
    else sequence.push(group);
    later.push(group);
  }
  const operations: Operation[] = [];
  for (const group of sequence) for (const operation of group) operations.push(operation);
  return operations;
}

function isIsolation(step: ProductStep): boolean {
  return step.action.kind === 'isolate' && step.way !== 'in';
}

/** What a list of steps asks for on the way back, energy left out: it returns when all is closed. */
function wayBackOf(
  steps: readonly ProductStep[],
  fasteners: ReadonlyMap<string, Fastener>,
): readonly Operation[] {
  const groups: (readonly Operation[])[] = [];
  for (const step of steps) if (!isIsolation(step)) groups.push(operationsBack(step, fasteners));
  return backSequence(groups);
}

/** The unit as the proof sees it. */
export interface UnitModel {
  readonly fasteners: ReadonlyMap<string, Fastener>;
  readonly items: ReadonlyMap<string, Item>;
  readonly hazards: ReadonlyMap<string, Hazard>;
  readonly parts: ReadonlyMap<string, Part>;
  readonly owners: ReadonlyMap<string, Owner>;
  /** Prepare and its undoing, which comes after everything is closed. */
  readonly unit: Owner;
  /** Isolations inside parts: their undoing waits until everything is closed. */
  readonly isolations: ReadonlyMap<string, readonly Operation[]>;
  readonly unitIsolations: readonly Operation[];
  /** Final checks: those of the dead unit first, then those that need energy. */
  readonly checks: readonly Operation[];
  readonly newPartSteps: ReadonlyMap<string, readonly Operation[]>;
  /** `neededBy.get(p)`: the parts that need p off. */
  readonly neededBy: ReadonlyMap<string, readonly string[]>;
}

/** Builds the model for the variant answers of a plan. */
export function unitModel(product: Product, variants: Readonly<Record<string, string>>): UnitModel {
  const applies = (s: ProductStep): boolean => s.when === undefined || variants[s.when.variant] === s.when.is;
  const fasteners = new Map(product.fasteners.map((f) => [f.id, f]));
  const owners = new Map<string, Owner>();
  const isolations = new Map<string, readonly Operation[]>();
  const newPartSteps = new Map<string, readonly Operation[]>();
  const neededBy = new Map<string, string[]>();
  for (const part of product.parts) {
    const steps = part.steps.every(applies) ? part.steps : part.steps.filter(applies);
    owners.set(part.id, {
      part,
      wayIn: all(steps, operationsIn),
      wayBack: wayBackOf(steps, fasteners),
    });
    const isolated = steps.filter(isIsolation);
    if (isolated.length > 0)
      isolations.set(
        part.id,
        isolated.flatMap((s) => operationsBack(s, fasteners)),
      );
    if (part.new_part_steps.length > 0)
      newPartSteps.set(part.id, all(part.new_part_steps.filter(applies), asWritten));
    for (const need of part.needs) {
      const list = neededBy.get(need);
      if (list === undefined) neededBy.set(need, [part.id]);
      else list.push(part.id);
    }
  }
  const prepare = product.prepare.filter(applies);
  const checks = product.checks.filter(applies);
  return {
    fasteners,
    items: new Map(product.items.map((i) => [i.id, i])),
    hazards: new Map(product.hazards.map((h) => [h.id, h])),
    parts: new Map(product.parts.map((p) => [p.id, p])),
    owners,
    unit: {
      part: null,
      wayIn: prepare.flatMap(operationsIn),
      wayBack: wayBackOf(prepare, fasteners),
    },
    isolations,
    unitIsolations: prepare.filter(isIsolation).flatMap((s) => operationsBack(s, fasteners)),
    checks: [...checks.filter((s) => s.way === 'in'), ...checks.filter((s) => s.way !== 'in')].flatMap(
      asWritten,
    ),
    newPartSteps,
    neededBy,
  };
}

function asWritten(step: ProductStep): readonly Operation[] {
  return single(step, false, 'main', step.action.kind);
}

function all(
  steps: readonly ProductStep[],
  wanted: (step: ProductStep) => readonly Operation[],
): readonly Operation[] {
  const list: Operation[] = [];
  for (const step of steps) for (const operation of wanted(step)) list.push(operation);
  return list;
}
