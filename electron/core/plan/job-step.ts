/**
 * The steps of a job's parts as the planner reads them: the product file's, without those that an answer
 * rules out. All have the same fields, in the same order, and what they name is looked up already: a plan
 * reads thousands of steps some thirty times each, and reading objects of many shapes took most of its time.
 */
import { assert } from '../base/result.ts';
import type { Action, ActionKind, Fastener, Item, Picture, Product, ProductStep } from '../product/model.ts';
import { compartmentKey } from './tray.ts';

/** A product step; what it does not say is null. */
export type JobStep = Readonly<NewJobStep>;

interface NewJobStep {
  id: string;
  action: Action;
  say: string | null;
  say_back: string | null;
  tool: string | null;
  supporting: string | null;
  hazards: readonly string[];
  hazards_back: readonly string[] | null;
  side: string | null;
  expected_s: number | null;
  expected_back_s: number | null;
  why: string | null;
  why_back: string | null;
  look_for: string | null;
  look_for_back: string | null;
  hold: string | null;
  picture: Picture | null;
  when: NonNullable<ProductStep['when']> | null;
  finds: string | null;
  optional: boolean;
  mirrors: string | null;
  side_word: string | null;
  way: ProductStep['way'];
  kind: ActionKind;
  /** True where what it depends on has no answer yet. */
  open: boolean;
  item: Item | null;
  fastener: Fastener | null;
  /** Compartment of its fasteners; empty where it has none. */
  bin: string;
}

const NONE: readonly string[] = [];
const NOTHING: Action = { kind: 'lift-out' };

/** The step over a blank one: reading each field of it by name would take three times as long. */
function filledIn(step: ProductStep): NewJobStep {
  const made: NewJobStep = {
    id: '',
    action: NOTHING,
    say: null,
    say_back: null,
    tool: null,
    supporting: null,
    hazards: NONE,
    hazards_back: null,
    side: null,
    expected_s: null,
    expected_back_s: null,
    why: null,
    why_back: null,
    look_for: null,
    look_for_back: null,
    hold: null,
    picture: null,
    when: null,
    finds: null,
    optional: false,
    mirrors: null,
    side_word: null,
    way: 'both',
    kind: 'do',
    open: false,
    item: null,
    fastener: null,
    bin: '',
  };
  Object.assign(made, step);
  return made;
}

/** Answers by variant id. */
export type Answers = Readonly<Record<string, string>>;

/** Product definitions by id, and the answers known before the job. */
export interface Definitions {
  readonly answers: Answers;
  readonly fasteners: ReadonlyMap<string, Fastener>;
  readonly items: ReadonlyMap<string, Item>;
}

/** Fasteners and items of a product by id, and the answers known before the job. */
export function definitionsOf(product: Product, answers: Answers): Definitions {
  const fasteners = new Map<string, Fastener>();
  for (const fastener of product.fasteners) fasteners.set(fastener.id, fastener);
  const items = new Map<string, Item>();
  for (const item of product.items) items.set(item.id, item);
  return { answers, fasteners, items };
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

function itemOf({ items }: Definitions, action: Action, step: string): Item | null {
  const id = itemIdOf(action);
  if (id === null) return null;
  const item = items.get(id);
  assert(item !== undefined, `item ${id} of step ${step} is defined`);
  return item;
}

/** Looks up what the step names. */
function complete(step: NewJobStep, definitions: Definitions): void {
  const { action, when, id } = step;
  step.kind = action.kind;
  step.open = when !== null && !Object.hasOwn(definitions.answers, when.variant);
  step.item = itemOf(definitions, action, id);
  if (action.kind !== 'remove-fasteners' && action.kind !== 'loosen-fasteners') return;
  const fastener = definitions.fasteners.get(action.fastener);
  assert(fastener !== undefined, `fastener ${action.fastener} of step ${id} is defined`);
  step.fastener = fastener;
  step.bin = compartmentKey(fastener.id, action.place);
}

/** Steps that hold for the answers given, or whose answer is missing: the job will ask. */
export function stepsFor(definitions: Definitions, steps: readonly ProductStep[]): readonly JobStep[] {
  const { answers } = definitions;
  // As long as it can be from the start: a list that grows takes room for seventeen at once.
  const held = new Array<JobStep>(steps.length);
  let count = 0;
  for (let i = 0; i < steps.length; i += 1) {
    const step = filledIn(steps[i] as ProductStep);
    const { when } = step;
    if (when !== null && (answers[when.variant] ?? when.is) !== when.is) continue;
    complete(step, definitions);
    held[count] = step;
    count += 1;
  }
  return count === held.length ? held : held.slice(0, count);
}
