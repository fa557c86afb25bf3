/**
 * From the steps of a part to drafts in both directions. Every removing action has an inverse, and what
 * a plain reversal forgets is added here: start by hand before tightening, clean faces before bonding or
 * seating, hold a part before closing it, renew what is single use.
 */
import { assert } from '../base/result.ts';
import type {
  Action,
  ActionKind,
  Fastener,
  Item,
  Measure,
  Part,
  Product,
  ProductStep,
} from '../product/model.ts';
import type { Draft, FastenerUse } from './draft.ts';
import { defaultSeconds } from './expected-time.ts';
import type { PlanAction, Stage } from './model.ts';
import { compartmentKey } from './tray.ts';

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

/** Product definitions by id, for looking things up while drafting. */
export interface Definitions {
  readonly product: Product;
  /** Answers known before the job, by variant id. */
  readonly answers: Readonly<Record<string, string>>;
  readonly fasteners: ReadonlyMap<string, Fastener>;
  readonly items: ReadonlyMap<string, Item>;
}

/** Fasteners and items of a product by id, and the answers known before the job. */
export function definitionsOf(product: Product, answers: Readonly<Record<string, string>>): Definitions {
  return {
    product,
    answers,
    fasteners: new Map(product.fasteners.map((f) => [f.id, f])),
    items: new Map(product.items.map((i) => [i.id, i])),
  };
}

/** Where drafts are made for. */
export interface DraftPlace {
  readonly stage: Stage;
  readonly part: Part | null;
  /** Makes the id of a draft from the product step's id and a suffix ("" for the main one). */
  readonly id: (stepId: string, suffix: string) => string;
}

/** True where the step depends on a question that has no answer yet. */
export function isLeftOpen(answers: Readonly<Record<string, string>>, step: ProductStep): boolean {
  return step.when !== undefined && !Object.hasOwn(answers, step.when.variant);
}

/** True where the inverse of this step waits until the unit is closed and energy may return. */
export function restoresEnergy(step: ProductStep): boolean {
  return step.action.kind === 'isolate' && step.way !== 'in';
}

// By kind rather than by `in`: a plan asks this for thousands of steps, whose actions have many shapes.
function itemIdOf(action: Action): string | null {
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
      return null;
  }
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

function itemOf(definitions: Definitions, step: ProductStep): Item | null {
  const id = itemIdOf(step.action);
  if (id === null) return null;
  const item = definitions.items.get(id);
  assert(item !== undefined, `item ${id} of step ${step.id} is defined`);
  return item;
}

function fastenerUseOf(
  definitions: Definitions,
  step: ProductStep,
  what: FastenerUse['what'],
): FastenerUse | null {
  const { action } = step;
  if (action.kind !== 'remove-fasteners' && action.kind !== 'loosen-fasteners') return null;
  const fastener = definitions.fasteners.get(action.fastener);
  assert(fastener !== undefined, `fastener ${action.fastener} of step ${step.id} is defined`);
  const { count, place, pattern, passes } = action;
  const reused = fastener.single_use !== true && step.way === 'both';
  const bin = compartmentKey(fastener.id, place);
  return { fastener, count, place, bin, pattern, passes, what, reused };
}

/** True where the fastener never leaves its part: captive, or only loosened. */
function staysIn(step: ProductStep, fastener: Fastener): boolean {
  return step.action.kind === 'loosen-fasteners' || fastener.kind === 'captive-screw';
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

interface Extra {
  readonly suffix?: string;
  readonly action: PlanAction;
  readonly use?: FastenerUse | null;
  readonly tool?: string | null;
  readonly renew?: readonly string[];
  readonly say?: string | null;
  readonly noteItem?: string | null;
  readonly first?: boolean;
  readonly last?: boolean;
  readonly seconds?: number;
}

function draft(
  definitions: Definitions,
  place: DraftPlace,
  step: ProductStep,
  back: boolean,
  extra: Extra,
): Draft {
  const use = extra.use ?? null;
  const first = extra.first ?? true;
  const last = extra.last ?? true;
  const own = back ? step.expected_back_s : step.expected_s;
  const hazards = back ? (step.hazards_back ?? step.hazards) : step.hazards;
  const measured = !back || step.way === 'out';
  const { action } = step;
  return {
    id: place.id(step.id, extra.suffix ?? ''),
    stage: place.stage,
    part: place.part,
    action: extra.action,
    step,
    back,
    use,
    item: itemOf(definitions, step),
    tool: extra.tool === undefined ? (step.tool ?? use?.fastener.tool ?? null) : extra.tool,
    side: step.side ?? null,
    hazards: first ? hazards : [],
    measure: measured ? measureOf(action) : null,
    record: measured && action.kind === 'record' ? action.record : null,
    renew: extra.renew ?? [],
    hold: last ? (step.hold ?? null) : null,
    noteItem: extra.noteItem ?? null,
    say: extra.say === undefined ? ((back ? step.say_back : step.say) ?? null) : extra.say,
    expected_s: extra.seconds ?? own ?? defaultSeconds(extra.action, use?.count ?? 1),
    when: isLeftOpen(definitions.answers, step) ? (step.when ?? null) : null,
    asks: null,
  };
}

/** The drafts of one step on the way in: one, or two where a route is noted first. */
export function draftsIn(definitions: Definitions, place: DraftPlace, step: ProductStep): readonly Draft[] {
  const { action } = step;
  if (action.kind === 'remove-fasteners' || action.kind === 'loosen-fasteners') {
    const fastener = definitions.fasteners.get(action.fastener);
    const stays = fastener !== undefined && staysIn(step, fastener);
    const use = fastenerUseOf(definitions, step, stays ? 'loosen' : 'out');
    return [draft(definitions, place, step, false, { action: action.kind, use })];
  }
  if (action.kind === 'unroute' && action.note_route) {
    return [
      draft(definitions, place, step, false, {
        action: 'note-route',
        suffix: '.note',
        noteItem: action.item,
        say: null,
        tool: null,
        last: false,
        seconds: defaultSeconds('note-route', 1),
      }),
      draft(definitions, place, step, false, { action: 'unroute', first: false }),
    ];
  }
  return [draft(definitions, place, step, false, { action: action.kind, renew: usesOf(action) })];
}

function fastenersBack(definitions: Definitions, place: DraftPlace, step: ProductStep): readonly Draft[] {
  const out = fastenerUseOf(definitions, step, 'in');
  assert(out !== null, `step ${step.id} has fasteners`);
  const { fastener } = out;
  const renew = !out.reused && !staysIn(step, fastener) ? [fastener.id] : [];
  const tool = fastener.tighten_tool ?? step.tool ?? fastener.tool ?? null;
  const suffix = step.say_back === undefined ? '.tighten' : '';
  if (staysIn(step, fastener)) {
    return [
      draft(definitions, place, step, true, {
        action: 'tighten-fasteners',
        use: { ...out, what: 'tighten' },
        tool,
      }),
    ];
  }
  if (fastener.kind === 'washer') {
    return [
      draft(definitions, place, step, true, { action: 'install-fasteners', use: out, tool: null, renew }),
    ];
  }
  if (!tightensApart(out) || suffix === '') {
    const use: FastenerUse = { ...out, what: 'in-and-tight' };
    return [draft(definitions, place, step, true, { action: 'install-fasteners', use, tool, renew })];
  }
  const total = step.expected_back_s;
  const half = total === undefined ? {} : { seconds: total / 2 };
  return [
    draft(definitions, place, step, true, {
      action: 'install-fasteners',
      use: out,
      tool: null,
      renew,
      last: false,
      ...half,
    }),
    draft(definitions, place, step, true, {
      action: 'tighten-fasteners',
      suffix,
      use: { ...out, what: 'tighten' },
      tool,
      first: false,
      ...half,
    }),
  ];
}

function itemBack(
  definitions: Definitions,
  place: DraftPlace,
  step: ProductStep,
  action: PlanAction,
): readonly Draft[] {
  const item = itemOf(definitions, step);
  const renew = item === null ? [] : [...(isRenewed(item) ? [item.id] : []), ...(item.uses ?? [])];
  const noteItem = step.action.kind === 'unroute' && step.action.note_route ? step.action.item : null;
  const main = { action, renew, noteItem } as const;
  const cleans = step.action.kind === 'separate-heat-sink' || step.action.kind === 'pull-strips';
  if (!cleans) return [draft(definitions, place, step, true, main)];
  return [
    draft(definitions, place, step, true, {
      action: 'clean',
      suffix: '.clean',
      say: null,
      last: false,
      seconds: defaultSeconds('clean', 1),
    }),
    draft(definitions, place, step, true, { ...main, first: false }),
  ];
}

/**
 * The drafts of one step on the way back; none where it has no inverse. A step written for the way back
 * only (`way: out`) keeps its action where that has no inverse ("clean the sealing faces").
 */
export function draftsBack(definitions: Definitions, place: DraftPlace, step: ProductStep): readonly Draft[] {
  const { action } = step;
  if (step.way === 'in' || restoresEnergy(step)) return [];
  if (ONE_WAY.has(action.kind)) {
    if (step.way !== 'out') return [];
    return [draft(definitions, place, step, true, { action: action.kind, renew: usesOf(action) })];
  }
  if (action.kind === 'do') {
    const say = step.say_back ?? action.back ?? (step.way === 'out' ? (step.say ?? action.what) : null);
    return say === null ? [] : [draft(definitions, place, step, true, { action: 'do', say })];
  }
  if (action.kind === 'remove-fasteners' || action.kind === 'loosen-fasteners') {
    return fastenersBack(definitions, place, step);
  }
  const back = BACK[action.kind];
  assert(back !== undefined, `action ${action.kind} has an inverse`);
  return itemBack(definitions, place, step, back);
}

function mayStayAhead({ action }: ProductStep): boolean {
  return action.kind === 'support' || action.kind === 'pull-strips';
}

/** True where on the way back the step comes before the inverse of the step it came before. */
function staysAhead(step: ProductStep, next: ProductStep): boolean {
  if (step.action.kind === 'support') return next.action.kind !== 'support';
  // Strips are bonded to the part before it is put down on them.
  return step.action.kind === 'pull-strips' && next.action.kind === 'lift-out';
}

/** True where the other step is there whenever this one is. */
function holdsWith({ when }: ProductStep, other: ProductStep): boolean {
  if (other.when === undefined) return true;
  return when !== undefined && other.when.variant === when.variant && other.when.is === when.is;
}

/**
 * Steps in the order of the way back: reversed, except that a part is held before the inverse of what it
 * was held for, and strips are bonded before the part is put down. Steps without an inverse, steps for the
 * way back only, and steps that depend on an answer the step itself does not depend on do not count as the next
 * step: the order has to hold whatever is answered. `steps` are those that have an inverse.
 */
export function reversed(steps: readonly ProductStep[]): readonly ProductStep[] {
  const back: ProductStep[] = [];
  const passed: ProductStep[] = [];
  for (let i = steps.length - 1; i >= 0; i -= 1) {
    const step = steps[i] as ProductStep;
    const next = mayStayAhead(step) ? passed.find((other) => holdsWith(step, other)) : undefined;
    if (next !== undefined && staysAhead(step, next)) back.splice(back.indexOf(next), 0, step);
    else back.push(step);
    if (step.way === 'both') passed.unshift(step);
  }
  return back;
}

/** All drafts of a list of steps on the way in. */
export function wayIn(
  definitions: Definitions,
  place: DraftPlace,
  steps: readonly ProductStep[],
): readonly Draft[] {
  const drafts: Draft[] = [];
  for (const step of steps) if (step.way !== 'out') drafts.push(...draftsIn(definitions, place, step));
  return drafts;
}

/** All drafts of a list of steps on the way back. */
export function wayBack(
  definitions: Definitions,
  place: DraftPlace,
  steps: readonly ProductStep[],
): readonly Draft[] {
  const backs: ProductStep[] = [];
  const drafts: (readonly Draft[])[] = [];
  for (let i = 0; i < steps.length; i += 1) {
    const step = steps[i] as ProductStep;
    const back = draftsBack(definitions, place, step);
    if (back.length === 0) continue;
    backs.push(step);
    drafts.push(back);
  }
  const all: Draft[] = [];
  for (const step of reversed(backs)) all.push(...(drafts[backs.indexOf(step)] as readonly Draft[]));
  return all;
}

/** The draft that brings energy back for a step that isolated it. */
export function restoreDraft(definitions: Definitions, place: DraftPlace, step: ProductStep): Draft {
  return draft(definitions, place, step, true, { action: 'restore-energy' });
}
