/**
 * From the steps of a part to drafts in both directions. Every removing action has an inverse, and what
 * a plain reversal forgets is added here: start by hand before tightening, clean faces before bonding or
 * seating, hold a part before closing it, renew what is single use.
 */
import { assert } from '../base/result.ts';
import type { Action, ActionKind, Fastener, Item, Measure, Part } from '../product/model.ts';
import { type Draft, type FastenerUse, type NewDraft, newDraft } from './draft.ts';
import { defaultSeconds } from './expected-time.ts';
import type { JobStep } from './job-step.ts';
import type { PlanAction, Stage } from './model.ts';

/** Actions without an inverse: they happen on the way they are written for. */
const ONE_WAY: ReadonlySet<ActionKind> = new Set([
  'inspect',
  'clean',
  'measure',
  'record',
  'discharge',
  'verify-dead',
]);

const BACK: Readonly<Partial<Record<ActionKind, PlanAction>>> = {
  'remove-fasteners': 'install-fasteners',
  'loosen-fasteners': 'tighten-fasteners',
  disconnect: 'connect',
  'release-ribbon': 'insert-ribbon',
  'peel-tape': 'apply-tape',
  'pull-strips': 'bond-strips',
  'take-out-seal': 'fit-seal',
  unroute: 'route',
  'lift-off-pins': 'seat-on-pins',
  'open-arms': 'press-in',
  'slide-out': 'slide-in',
  unclip: 'clip',
  'part-edges': 'press-edges',
  'lift-out': 'put-in',
  'separate-heat-sink': 'fit-heat-sink',
  'open-to-angle': 'close',
  support: 'support',
  isolate: 'restore-energy',
};

const NOTHING: readonly string[] = [];

/** Where drafts are made for. */
export interface DraftPlace {
  readonly stage: Stage;
  /** In front of the id of each step in the ids of its drafts. */
  readonly head: string;
  readonly part: Part | null;
  /** Behind the id of each step in the ids of its drafts. */
  readonly tail: string;
}

/** True where the inverse of this step waits until the unit is closed and energy may return. */
export function restoresEnergy(step: JobStep): boolean {
  return step.kind === 'isolate' && step.way !== 'in';
}

function usesOf(action: Action): readonly string[] {
  return (action.kind === 'inspect' || action.kind === 'clean' ? action.uses : undefined) ?? NOTHING;
}

function measureOf(action: Action): Measure | null {
  switch (action.kind) {
    case 'measure':
    case 'isolate':
    case 'discharge':
    case 'verify-dead':
      return action.measure ?? null;
    default:
      return null;
  }
}

function fastenerUseOf(step: JobStep, fastener: Fastener, what: FastenerUse['what']): FastenerUse {
  const { action } = step;
  assert(action.kind === 'remove-fasteners' || action.kind === 'loosen-fasteners', 'it has fasteners');
  const { count, place, pattern, passes } = action;
  const reused = fastener.single_use !== true && step.way === 'both';
  return { fastener, count, place, bin: step.bin, pattern, passes, what, reused };
}

/** True where the fastener never leaves its part: captive, or only loosened. */
function staysIn(step: JobStep, fastener: Fastener): boolean {
  return step.kind === 'loosen-fasteners' || fastener.kind === 'captive-screw';
}

/** True where tightening is a step of its own: a torque, an order or passes to keep. */
function tightensApart(use: FastenerUse): boolean {
  return use.fastener.torque_nm !== undefined || (use.pattern !== 'any' && use.count > 1);
}

/** True where the item is replaced whenever it has been removed. */
export function isRenewed(item: Item): boolean {
  if (item.renew !== undefined && item.kind !== 'strip' && item.kind !== 'compound')
    return item.renew === 'always';
  return item.kind === 'strip' || item.kind === 'compound' || item.kind === 'seal';
}

/** The draft of a step, as far as it is the same for all of them. `suffix` comes behind the id. */
function draft(
  place: DraftPlace,
  step: JobStep,
  back: boolean,
  action: PlanAction,
  use: FastenerUse | null = null,
  suffix = '',
): NewDraft {
  const { stage, head, part, tail } = place;
  const seconds = (back ? step.expected_back_s : step.expected_s) ?? defaultSeconds(action, use?.count ?? 1);
  const made = newDraft(`${head}${step.id}${tail}${suffix}`, stage, part, action, step, back, use, seconds);
  made.item = step.item;
  made.tool = step.tool ?? use?.fastener.tool ?? null;
  made.side = step.side;
  made.hazards = (back ? step.hazards_back : null) ?? step.hazards;
  if (!back || step.way === 'out') {
    made.measure = measureOf(step.action);
    made.record = step.action.kind === 'record' ? step.action.record : null;
  }
  made.hold = step.hold;
  made.say = back ? step.say_back : step.say;
  made.when = step.open ? step.when : null;
  return made;
}

/** Adds the drafts of one step on the way in: one, or two where a route is noted first. */
export function addDraftsIn(drafts: Draft[], place: DraftPlace, step: JobStep): void {
  const { action, fastener } = step;
  if (fastener !== null) {
    const use = fastenerUseOf(step, fastener, staysIn(step, fastener) ? 'loosen' : 'out');
    drafts.push(draft(place, step, false, action.kind, use));
    return;
  }
  const main = draft(place, step, false, action.kind);
  if (action.kind === 'unroute' && action.note_route) {
    const note = draft(place, step, false, 'note-route', null, '.note');
    note.noteItem = action.item;
    note.say = null;
    note.tool = null;
    note.hold = null;
    note.expected_s = defaultSeconds('note-route', 1);
    drafts.push(note);
    main.hazards = NOTHING;
  }
  main.renew = usesOf(action);
  drafts.push(main);
}

function addFastenersBack(drafts: Draft[], place: DraftPlace, step: JobStep, fastener: Fastener): void {
  const use = fastenerUseOf(step, fastener, 'in');
  const tool = fastener.tighten_tool ?? step.tool ?? fastener.tool ?? null;
  if (staysIn(step, fastener)) {
    const tighten = draft(place, step, true, 'tighten-fasteners', { ...use, what: 'tighten' });
    tighten.tool = tool;
    drafts.push(tighten);
    return;
  }
  const isWasher = fastener.kind === 'washer';
  const apart = !isWasher && tightensApart(use) && step.say_back === null;
  const both: FastenerUse = apart || isWasher ? use : { ...use, what: 'in-and-tight' };
  const install = draft(place, step, true, 'install-fasteners', both);
  install.tool = apart || isWasher ? null : tool;
  if (!use.reused) install.renew = [fastener.id];
  drafts.push(install);
  if (!apart) return;
  const tighten = draft(place, step, true, 'tighten-fasteners', { ...use, what: 'tighten' }, '.tighten');
  tighten.tool = tool;
  tighten.hazards = NOTHING;
  drafts.push(tighten);
  install.hold = null;
  if (step.expected_back_s === null) return;
  install.expected_s = step.expected_back_s / 2;
  tighten.expected_s = step.expected_back_s / 2;
}

/** What is renewed or used up when an item goes back. */
function renewedWith(item: Item | null): readonly string[] {
  if (item === null) return NOTHING;
  const { uses } = item;
  if (!isRenewed(item)) return uses ?? NOTHING;
  return uses === undefined ? [item.id] : [item.id, ...uses];
}

function addItemBack(drafts: Draft[], place: DraftPlace, step: JobStep, action: PlanAction): void {
  const main = draft(place, step, true, action);
  main.renew = renewedWith(step.item);
  if (step.action.kind === 'unroute' && step.action.note_route) main.noteItem = step.action.item;
  if (step.kind === 'separate-heat-sink' || step.kind === 'pull-strips') {
    const clean = draft(place, step, true, 'clean', null, '.clean');
    clean.say = null;
    clean.hold = null;
    clean.expected_s = defaultSeconds('clean', 1);
    drafts.push(clean);
    main.hazards = NOTHING;
  }
  drafts.push(main);
}

/** The author's words for undoing what he put in his own words; null where it is not undone. */
function undoing({ action, say_back, say, way }: JobStep): string | null {
  if (action.kind !== 'do') return null;
  return say_back ?? action.back ?? (way === 'out' ? (say ?? action.what) : null);
}

/** True where something is done for the step on the way back; energy that returns comes later still. */
function comesBack(step: JobStep): boolean {
  if (step.way === 'in' || restoresEnergy(step)) return false;
  if (ONE_WAY.has(step.kind)) return step.way === 'out';
  return step.kind !== 'do' || undoing(step) !== null;
}

/**
 * Adds the drafts of one step on the way back, which has some. A step written for the way back only
 * (`way: out`) keeps its action where that has no inverse ("clean the sealing faces").
 */
function addDraftsBack(drafts: Draft[], place: DraftPlace, step: JobStep): void {
  const { action, kind, fastener } = step;
  if (fastener !== null) addFastenersBack(drafts, place, step, fastener);
  else if (ONE_WAY.has(kind)) {
    const made = draft(place, step, true, kind);
    made.renew = usesOf(action);
    drafts.push(made);
  } else if (kind === 'do') {
    const made = draft(place, step, true, 'do');
    made.say = undoing(step);
    drafts.push(made);
  } else {
    const back = BACK[kind];
    assert(back !== undefined, `action ${kind} has an inverse`);
    addItemBack(drafts, place, step, back);
  }
}

function mayStayAhead({ kind }: JobStep): boolean {
  return kind === 'support' || kind === 'pull-strips';
}

/** True where on the way back the step comes before the inverse of the step it came before. */
function staysAhead(step: JobStep, next: JobStep): boolean {
  if (step.kind === 'support') return next.kind !== 'support';
  // Strips are bonded to the part before it is put down on them.
  return step.kind === 'pull-strips' && next.kind === 'lift-out';
}

/** True where the other step is there whenever this one is. */
function holdsWith({ when }: JobStep, other: JobStep): boolean {
  if (other.when === null) return true;
  return when !== null && other.when.variant === when.variant && other.when.is === when.is;
}

/**
 * Steps in the order of the way back: reversed, except that a part is held before the inverse of what it
 * was held for, and strips are bonded before the part is put down. Steps without an inverse, steps for the
 * way back only, and steps that depend on an answer the step itself does not depend on do not count as the next
 * step: the order has to hold whatever is answered.
 */
function reversed(steps: readonly JobStep[]): readonly JobStep[] {
  const back: JobStep[] = [];
  for (let i = steps.length - 1; i >= 0; i -= 1) {
    const step = steps[i] as JobStep;
    if (!comesBack(step)) continue;
    const next = mayStayAhead(step) ? nextOf(steps, i) : undefined;
    if (next !== undefined && staysAhead(step, next)) back.splice(back.indexOf(next), 0, step);
    else back.push(step);
  }
  return back;
}

/** The next step that counts behind the one at this position. */
function nextOf(steps: readonly JobStep[], at: number): JobStep | undefined {
  const step = steps[at] as JobStep;
  for (let i = at + 1; i < steps.length; i += 1) {
    const other = steps[i] as JobStep;
    if (other.way === 'both' && comesBack(other) && holdsWith(step, other)) return other;
  }
  return undefined;
}

/** Adds all drafts of a list of steps on the way in. */
export function addWayIn(drafts: Draft[], place: DraftPlace, steps: readonly JobStep[]): void {
  for (let i = 0; i < steps.length; i += 1) {
    const step = steps[i] as JobStep;
    if (step.way !== 'out') addDraftsIn(drafts, place, step);
  }
}

/** Adds all drafts of a list of steps on the way back. */
export function addWayBack(drafts: Draft[], place: DraftPlace, steps: readonly JobStep[]): void {
  if (steps.some(mayStayAhead)) {
    for (const step of reversed(steps)) addDraftsBack(drafts, place, step);
    return;
  }
  for (let i = steps.length - 1; i >= 0; i -= 1) {
    const step = steps[i] as JobStep;
    if (comesBack(step)) addDraftsBack(drafts, place, step);
  }
}

/** The draft that brings energy back for a step that isolated it. */
export function restoreDraft(place: DraftPlace, step: JobStep): Draft {
  return draft(place, step, true, 'restore-energy');
}
