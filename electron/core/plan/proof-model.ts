/**
 * The plan proof's own picture of a unit: from the product alone, what has to happen to each part on the
 * way in and on the way back. Shares no code with the planner; only the types of the contracts.
 */
import type {
  Action,
  ActionKind,
  Fastener,
  Hazard,
  Item,
  Measure,
  Pattern,
  Product,
  ProductStep,
  RecordField,
} from '../product/model.ts';
import type { PlanAction } from './model.ts';

/** What an operation is to the fasteners or faces of its step. */
export type Role = 'main' | 'note' | 'clean' | 'start' | 'tighten';

/**
 * A product step as the proof reads it: every field there, what it names looked up. A proof reads thousands
 * of steps many times each, and reading objects of many shapes took most of its time.
 */
export type WantedStep = Readonly<Unfinished>;

interface Unfinished {
  id: string;
  action: Action;
  say: string | null;
  say_back: string | null;
  tool: string | null;
  toolBack: string | null;
  supporting: string | null;
  hazards: readonly string[];
  hazards_back: readonly string[] | null;
  side: string | null;
  expected_s: number | null;
  expected_back_s: number | null;
  why: string | null;
  look_for: string | null;
  hold: string | null;
  picture: unknown;
  when: NonNullable<ProductStep['when']> | null;
  optional: boolean;
  way: ProductStep['way'];
  kind: ActionKind;
  item: Item | null;
  fastener: Fastener | null;
  /** What is used up where something is looked at or cleaned; null elsewhere. */
  uses: readonly string[] | null;
  /** The measurement where one may be asked for, and the record where one is; undefined elsewhere. */
  reading: Measure | null | undefined;
  record: RecordField | undefined;
  /** The cable whose route is noted, or null. */
  noted: string | null;
}

/** One thing that must happen, exactly once. */
export interface Operation {
  readonly step: WantedStep;
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
  readonly wayIn: readonly Operation[];
  readonly wayBack: readonly Operation[];
  /** Energy that was isolated: it returns when all is closed. */
  readonly restores: readonly Operation[];
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
function itemIn(action: Action): string | undefined {
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

/** True where the fasteners of the step stay in the part. */
export function staysInPart(step: WantedStep, fastener: Fastener): boolean {
  return step.kind === 'loosen-fasteners' || fastener.kind === 'captive-screw';
}

/** True where what comes out goes back in. */
export function goesBack(step: WantedStep, fastener: Fastener): boolean {
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

const NOTHING: readonly Operation[] = [];

function single(step: WantedStep, back: boolean, role: Role, action: PlanAction): Operation {
  return { step, role, action, back, leads: true, ends: true };
}

/** A list of operations in the making; used again, because one that grows takes room for many more than it gets. */
class OperationList {
  private readonly operations: Operation[] = [];
  private count = 0;

  add(operation: Operation): void {
    this.operations[this.count] = operation;
    this.count += 1;
  }

  /** Where the first operation of the step stands, or −1. */
  placeOf(step: WantedStep): number {
    for (let i = 0; i < this.count; i += 1) if (this.operations[i]?.step === step) return i;
    return -1;
  }

  /** Moves all that stand behind the first `kept` to `place`; those from there on come after them. */
  moveUp(kept: number, place: number): void {
    const { operations, count } = this;
    const later = operations.slice(place, kept);
    operations.copyWithin(place, kept, count);
    for (let i = 0; i < later.length; i += 1) operations[count - later.length + i] = later[i] as Operation;
  }

  get length(): number {
    return this.count;
  }

  /** The list, as long as it has to be; the next one begins. */
  take(): readonly Operation[] {
    const { count } = this;
    this.count = 0;
    return count === 0 ? NOTHING : this.operations.slice(0, count);
  }
}

/** Adds two operations of one step. */
function addTwo(list: OperationList, step: WantedStep, back: boolean, first: Wanted, second: Wanted): void {
  list.add({ step, role: first.role, action: first.action, back, leads: true, ends: false });
  list.add({ step, role: second.role, action: second.action, back, leads: false, ends: true });
}

/** Adds what one step asks for on the way in. */
function addIn(list: OperationList, step: WantedStep): void {
  if (step.way === 'out') return;
  if (step.noted === null) list.add(single(step, false, 'main', step.kind));
  else addTwo(list, step, false, { role: 'note', action: 'note-route' }, { role: 'main', action: 'unroute' });
}

/** Adds what one step asks for on the way back. */
function addBack(list: OperationList, step: WantedStep): void {
  if (step.way === 'in') return;
  const { action, kind, fastener } = step;
  if (NEVER_UNDONE.includes(kind)) {
    if (step.way === 'out') list.add(single(step, true, 'main', kind));
  } else if (action.kind === 'do') {
    const undone = step.way === 'out' || action.back !== undefined || step.say_back !== null;
    if (undone) list.add(single(step, true, 'main', 'do'));
  } else if (action.kind === 'remove-fasteners' || action.kind === 'loosen-fasteners') {
    if (fastener === null) return;
    if (staysInPart(step, fastener)) list.add(single(step, true, 'tighten', 'tighten-fasteners'));
    else if (!hasTightening(action.pattern, action.count, fastener))
      list.add(single(step, true, 'start', 'install-fasteners'));
    else
      addTwo(
        list,
        step,
        true,
        { role: 'start', action: 'install-fasteners' },
        { role: 'tighten', action: 'tighten-fasteners' },
      );
  } else {
    const inverse = INVERSE.get(kind);
    if (inverse === undefined) return;
    const cleanFirst = kind === 'separate-heat-sink' || kind === 'pull-strips';
    if (cleanFirst)
      addTwo(list, step, true, { role: 'clean', action: 'clean' }, { role: 'main', action: inverse });
    else list.add(single(step, true, 'main', inverse));
  }
}

function mayLead({ kind }: WantedStep): boolean {
  return kind === 'support' || kind === 'pull-strips';
}

/** True where a step's undoing goes before the undoing of what it prepared. */
function leadsTheWayBack(step: WantedStep, followed: WantedStep): boolean {
  const a = step.kind;
  const b = followed.kind;
  return (a === 'support' && b !== 'support') || (a === 'pull-strips' && b === 'lift-out');
}

/**
 * Where in the sequence the first operation stands of the first step behind this one that is undone and happens
 * whatever is answered, or for the same answer as this one; −1 where there is none, or this one does not lead it.
 */
function placeOfNext(steps: readonly WantedStep[], at: number, sequence: OperationList): number {
  const step = steps[at] as WantedStep;
  const { when } = step;
  for (let i = at + 1; i < steps.length; i += 1) {
    const other = steps[i] as WantedStep;
    if (other.way !== 'both') continue;
    const alike = other.when?.variant === when?.variant && other.when?.is === when?.is;
    if (other.when !== null && !alike) continue;
    const place = sequence.placeOf(other);
    if (place >= 0) return leadsTheWayBack(step, other) ? place : -1;
  }
  return -1;
}

/** What a list of steps asks for on the way back, energy left out: it returns when all is closed. */
function wayBackOf(steps: readonly WantedStep[], sequence: OperationList): readonly Operation[] {
  for (let i = steps.length - 1; i >= 0; i -= 1) {
    const step = steps[i] as WantedStep;
    if (isIsolation(step)) continue;
    const place = mayLead(step) ? placeOfNext(steps, i, sequence) : -1;
    const before = sequence.length;
    addBack(sequence, step);
    if (place >= 0) sequence.moveUp(before, place);
  }
  return sequence.take();
}

function isIsolation({ kind, way }: WantedStep): boolean {
  return kind === 'isolate' && way !== 'in';
}

/** Definitions by id; of two with one id the last. */
function byId<T extends { readonly id: string }>(list: readonly T[]): ReadonlyMap<string, T> {
  const map = new Map<string, T>();
  for (let i = 0; i < list.length; i += 1) map.set((list[i] as T).id, list[i] as T);
  return map;
}

/** The unit as the proof sees it, for the variant answers of a plan. */
export class UnitModel {
  readonly fasteners: ReadonlyMap<string, Fastener>;
  readonly items: ReadonlyMap<string, Item>;
  readonly hazards: ReadonlyMap<string, Hazard>;
  /** Prepare and its undoing, which comes after everything is closed. */
  readonly unit: Owner;
  /** Final checks: those of the dead unit first, then those that need energy. */
  readonly checks: readonly Operation[];
  private readonly variants: Readonly<Record<string, string>>;
  private readonly list = new OperationList();

  constructor(product: Product, variants: Readonly<Record<string, string>>) {
    this.variants = variants;
    this.fasteners = byId(product.fasteners);
    this.items = byId(product.items);
    this.hazards = byId(product.hazards);
    this.unit = this.ownerOf(product.prepare);
    const checks = this.wantedIn(product.checks);
    this.checks = [...checks.filter((s) => s.way === 'in'), ...checks.filter((s) => s.way !== 'in')].map(
      asWritten,
    );
  }

  /** What has to happen to the part with these steps. */
  ownerOf(steps: readonly ProductStep[]): Owner {
    const wanted = this.wantedIn(steps);
    let restores = NOTHING;
    for (let i = 0; i < wanted.length; i += 1) {
      const step = wanted[i] as WantedStep;
      addIn(this.list, step);
      if (isIsolation(step)) restores = [...restores, single(step, true, 'main', 'restore-energy')];
    }
    const wayIn = this.list.take();
    return { wayIn, wayBack: wayBackOf(wanted, this.list), restores };
  }

  /** What has to be done to a new part with these steps. */
  newPartSteps(steps: readonly ProductStep[]): readonly Operation[] {
    return this.wantedIn(steps).map(asWritten);
  }

  /** The steps that apply. */
  private wantedIn(steps: readonly ProductStep[]): readonly WantedStep[] {
    const wanted = new Array<WantedStep>(steps.length);
    let count = 0;
    for (let i = 0; i < steps.length; i += 1) {
      const step = unfinished(steps[i] as ProductStep);
      const { when } = step;
      if (when !== null && this.variants[when.variant] !== when.is) continue;
      wanted[count] = this.finished(step);
      count += 1;
    }
    return count === wanted.length ? wanted : wanted.slice(0, count);
  }

  private finished(step: Unfinished): WantedStep {
    const { action } = step;
    step.kind = action.kind;
    step.toolBack = step.tool;
    switch (action.kind) {
      case 'remove-fasteners':
      case 'loosen-fasteners': {
        const fastener = this.fasteners.get(action.fastener);
        step.fastener = fastener ?? null;
        step.tool ??= fastener?.tool ?? null;
        step.toolBack = fastener?.tighten_tool ?? step.tool;
        break;
      }
      case 'measure':
      case 'isolate':
      case 'discharge':
      case 'verify-dead':
        step.reading = action.measure ?? null;
        break;
      case 'record':
        step.record = action.record;
        break;
      case 'inspect':
      case 'clean':
        step.uses = action.uses ?? NO_IDS;
        break;
      case 'unroute':
        if (action.note_route) step.noted = action.item;
    }
    const item = itemIn(action);
    if (item !== undefined) step.item = this.items.get(item) ?? null;
    return step;
  }
}

/** The step laid over one that says nothing. */
function unfinished(step: ProductStep): Unfinished {
  const blank: Unfinished = {
    id: '',
    action: NO_ACTION,
    say: null,
    say_back: null,
    tool: null,
    toolBack: null,
    supporting: null,
    hazards: NO_IDS,
    hazards_back: null,
    side: null,
    expected_s: null,
    expected_back_s: null,
    why: null,
    look_for: null,
    hold: null,
    picture: null,
    when: null,
    optional: false,
    way: 'both',
    kind: 'do',
    item: null,
    fastener: null,
    uses: null,
    reading: undefined,
    record: undefined,
    noted: null,
  };
  Object.assign(blank, step);
  return blank;
}

const NO_IDS: readonly string[] = [];
const NO_ACTION: Action = { kind: 'support' };

function asWritten(step: WantedStep): Operation {
  return single(step, false, 'main', step.kind);
}
