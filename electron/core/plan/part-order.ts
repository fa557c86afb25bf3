/**
 * The order of parts on the way in and on the way back: precedence from the product, cost of handling
 * from the drafts, solved by `order.ts`.
 */

import type { Part } from '../product/model.ts';
import { closureOf, type PartIndex } from './closure.ts';
import type { Blocks, Draft } from './draft.ts';
import { isValidOrder, type Ordering, orderWithSetupCosts } from './order.ts';
import { precedenceOf } from './progress.ts';
import { type SetupKind, type SetupNodes, setupProblem } from './setup-problem.ts';
import { goesToTray } from './tray.ts';

/**
 * What a change costs, in seconds of handling. Common practice, no source; the planner minimises their
 * sum. `reach`: the hands go to another place of the unit.
 */
export const ORDER_COST = { turn: 8, tool_change: 5, reach: 2, tray_change: 1 } as const;

/** Compartment that a draft fills or empties, or null. */
function binOf({ use }: Draft): string | null {
  if (use === null) return null;
  const returns = use.reused && (use.what === 'in' || use.what === 'in-and-tight');
  return returns || goesToTray(use) ? use.bin : null;
}

/** What a draft needs set up, kind by kind: side, tool, place, compartment; null where it does not care. */
const NEEDS: readonly ((draft: Draft) => string | null)[] = [
  (draft) => draft.side,
  (draft) => draft.tool,
  (draft) => draft.use?.place ?? null,
  binOf,
];

const WEIGHTS = [ORDER_COST.turn, ORDER_COST.tool_change, ORDER_COST.reach, ORDER_COST.tray_change];

interface Setups {
  readonly kinds: readonly SetupKind[];
  readonly nodes: SetupNodes;
  /** Cost that is the same in every order: changes inside blocks and entries that nothing can save. */
  readonly fixed: number;
}

/** The values of one kind as numbers: `used[i]` for the i-th draft of all blocks, −1 where it does not care. */
interface Values {
  readonly used: Int32Array;
  /** Family from 1 of each value that more than one block uses; the others share 0. */
  readonly family: readonly number[];
  readonly families: number;
  readonly start: number;
}

function valuesOf(
  { drafts, begin }: Blocks,
  need: (draft: Draft) => string | null,
  start: string | null,
): Values {
  const numbers = new Map<string, number>();
  const owner: number[] = [];
  const family: number[] = [];
  const used = new Int32Array(drafts.length).fill(-1);
  let families = 0;
  // Most drafts need what the one before them needed.
  let before: string | null = null;
  let beforeNumber = -1;
  let beforeBlock = -1;
  if (start !== null) {
    numbers.set(start, 0);
    owner.push(-1);
    family.push(0);
  }
  for (let b = 0; b + 1 < begin.length; b += 1)
    for (let at = begin[b] as number; at < (begin[b + 1] as number); at += 1) {
      const value = need(drafts[at] as Draft);
      if (value === null) continue;
      if (value === before && b === beforeBlock) {
        used[at] = beforeNumber;
        continue;
      }
      let number = numbers.get(value);
      if (number === undefined) {
        number = owner.length;
        numbers.set(value, number);
        owner.push(b);
        family.push(0);
      } else if (family[number] === 0 && owner[number] !== b) {
        families += 1;
        family[number] = families;
      }
      used[at] = number;
      before = value;
      beforeNumber = number;
      beforeBlock = b;
    }
  return { used, family, families, start: start === null ? 0 : (family[0] as number) };
}

/** Set-ups of blocks. `starts`: what is set up before the first block (the side the unit lies on). */
function setupsOf(blocks: Blocks, starts: readonly (string | null)[]): Setups {
  const { begin } = blocks;
  const count = begin.length - 1;
  const first = new Int32Array(count * WEIGHTS.length);
  const last = new Int32Array(count * WEIGHTS.length);
  const kinds: SetupKind[] = [];
  let fixed = 0;
  for (let k = 0; k < WEIGHTS.length; k += 1) {
    const weight = WEIGHTS[k] as number;
    const values = valuesOf(blocks, NEEDS[k] as (draft: Draft) => string | null, starts[k] ?? null);
    kinds.push({ weight, start: values.start, families: values.families });
    for (let b = 0; b < count; b += 1) {
      let entered = -1;
      let entry = -1;
      let left = -1;
      for (let at = begin[b] as number; at < (begin[b + 1] as number); at += 1) {
        const value = values.used[at] as number;
        if (value === -1 || value === entered) continue;
        left = values.family[value] as number;
        if (entered === -1 && left > 0) entry = left;
        else fixed += weight;
        entered = value;
      }
      first[b * WEIGHTS.length + k] = entry;
      last[b * WEIGHTS.length + k] = left;
    }
  }
  return { kinds, nodes: { first, last }, fixed };
}

/** An order of blocks with its cost in the terms of `ORDER_COST`. */
export interface BlockOrder {
  /** The blocks in their order, by where they stood before. */
  readonly places: readonly number[];
  readonly cost: number;
  readonly lower_bound: number;
  readonly exact: boolean;
}

/** Orders blocks under precedence. `hint`: an order of positions to prefer at equal cost, where it is valid. */
export function orderBlocks(
  blocks: Blocks,
  before: readonly (readonly number[])[],
  starts: readonly (string | null)[],
  hint?: readonly number[],
): BlockOrder {
  const setups = setupsOf(blocks, starts);
  const problem = setupProblem(setups.kinds, setups.nodes, before);
  const usable = hint !== undefined && isValidOrder(problem, hint);
  const found: Ordering = orderWithSetupCosts(problem, usable ? { hint } : {});
  return {
    places: found.order,
    cost: found.cost + setups.fixed,
    lower_bound: found.lower_bound + setups.fixed,
    exact: found.exact,
  };
}

/** The place of each part of the index in a list of some of them, or −1. */
function placesIn(index: PartIndex, list: readonly number[]): Int32Array {
  const places = new Int32Array(index.parts.length).fill(-1);
  for (let i = 0; i < list.length; i += 1) places[list[i] as number] = i;
  return places;
}

/** Lists without what is below 0 and without what is named twice; the first naming counts. */
class Collector {
  private readonly namedFor: Int32Array;
  private readonly list: Int32Array;
  private owner = 0;
  private length = 0;
  constructor(count: number) {
    this.namedFor = new Int32Array(count).fill(-1);
    this.list = new Int32Array(count);
  }
  add(value: number): void {
    if (value < 0 || this.namedFor[value] === this.owner) return;
    this.namedFor[value] = this.owner;
    this.list[this.length] = value;
    this.length += 1;
  }
  /** The list, as long as it has to be; the next one begins. */
  take(): readonly number[] {
    const list = new Array<number>(this.length);
    for (let i = 0; i < list.length; i += 1) list[i] = this.list[i] as number;
    this.length = 0;
    this.owner += 1;
    return list;
  }
}

/**
 * Precedence of the removal of `list`, as places in it: `needs`, and every energy source before each part
 * that is in no energy source's way.
 */
export function removalPrecedence(index: PartIndex, list: readonly number[]): readonly (readonly number[])[] {
  const places = placesIn(index, list);
  const sources = list.filter((at) => index.parts[at]?.energy_source === true);
  const inTheWay = closureOf(index, sources);
  const collector = new Collector(list.length);
  return list.map((at) => {
    for (const need of index.needs[at] as readonly number[]) collector.add(places[need] ?? -1);
    if (inTheWay[at] === 0) for (const source of sources) collector.add(places[source] as number);
    return collector.take();
  });
}

/**
 * Hard precedence of the installation of `list`, as places in it: what must be back before each part, by the
 * inverse of `needs` and by `install_after`; one may be named twice.
 */
export function installReasons(index: PartIndex, list: readonly number[]): readonly (readonly number[])[] {
  const places = placesIn(index, list);
  const waiting: number[] = [];
  const reasons: number[] = [];
  const add = (place: number, reason: number): void => {
    if (place < 0 || reason < 0) return;
    waiting.push(place);
    reasons.push(reason);
  };
  for (let i = 0; i < list.length; i += 1) {
    const at = list[i] as number;
    for (const need of index.needs[at] as readonly number[]) add(places[need] ?? -1, i);
    for (const other of (index.parts[at] as Part).install_after)
      add(i, places[index.positionOf.get(other) ?? -1] ?? -1);
  }
  return listsOf(waiting, reasons, list.length);
}

/** Of each owner its values, in the order in which they come. */
function listsOf(
  owners: readonly number[],
  values: readonly number[],
  count: number,
): readonly (readonly number[])[] {
  const length = new Int32Array(count);
  for (let i = 0; i < owners.length; i += 1) {
    const owner = owners[i] as number;
    length[owner] = (length[owner] as number) + 1;
  }
  const lists = Array.from({ length: count }, (_, owner) => new Array<number>(length[owner] as number));
  for (let i = owners.length - 1; i >= 0; i -= 1) {
    const owner = owners[i] as number;
    length[owner] = (length[owner] as number) - 1;
    (lists[owner] as number[])[length[owner] as number] = values[i] as number;
  }
  return lists;
}

/**
 * Precedence of the installation: its hard `reasons`, and every energy source after each part that does not
 * itself have to wait for an energy source.
 */
export function installPrecedence(
  index: PartIndex,
  list: readonly number[],
  reasons: readonly (readonly number[])[],
): readonly (readonly number[])[] {
  const isSource = list.map((at) => index.parts[at]?.energy_source === true);
  const waits = new Uint8Array(list.length);
  if (isSource.includes(true)) {
    const { after } = precedenceOf(reasons);
    const open: number[] = [];
    for (let i = 0; i < list.length; i += 1) if (isSource[i] === true) open.push(i);
    for (let i = open.pop(); i !== undefined; i = open.pop()) {
      if (waits[i] === 1) continue;
      waits[i] = 1;
      for (const next of after[i] ?? []) open.push(next);
    }
  }
  const collector = new Collector(list.length);
  return reasons.map((named, owner) => {
    for (const i of named) collector.add(i);
    if (isSource[owner] === true)
      for (let i = 0; i < list.length; i += 1) if (waits[i] === 0) collector.add(i);
    return collector.take();
  });
}
