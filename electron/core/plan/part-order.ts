/**
 * The order of parts on the way in and on the way back: precedence from the product, cost of handling
 * from the drafts, solved by `order.ts`.
 */

import type { Part } from '../product/model.ts';
import { closureOf, type PartIndex } from './closure.ts';
import type { Block, Draft } from './draft.ts';
import { isValidOrder, type Ordering, orderWithSetupCosts } from './order.ts';
import { precedenceOf } from './progress.ts';
import { type SetupKind, type SetupNode, setupProblem } from './setup-problem.ts';
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
  readonly nodes: readonly SetupNode[];
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
  blocks: readonly Block[],
  total: number,
  need: (draft: Draft) => string | null,
  start: string | null,
): Values {
  const numbers = new Map<string, number>();
  const owner: number[] = [];
  const family: number[] = [];
  const used = new Int32Array(total).fill(-1);
  let families = 0;
  let at = -1;
  // Most drafts need what the one before them needed.
  let before: string | null = null;
  let beforeNumber = -1;
  let beforeBlock = -1;
  if (start !== null) {
    numbers.set(start, 0);
    owner.push(-1);
    family.push(0);
  }
  for (let b = 0; b < blocks.length; b += 1)
    for (const draft of (blocks[b] as Block).drafts) {
      at += 1;
      const value = need(draft);
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
function setupsOf(blocks: readonly Block[], starts: readonly (string | null)[]): Setups {
  const total = blocks.reduce((sum, { drafts }) => sum + drafts.length, 0);
  const nodes = blocks.map(() => ({ first: [] as number[], last: [] as number[] }));
  const kinds: SetupKind[] = [];
  let fixed = 0;
  for (let k = 0; k < WEIGHTS.length; k += 1) {
    const weight = WEIGHTS[k] as number;
    const values = valuesOf(blocks, total, NEEDS[k] as (draft: Draft) => string | null, starts[k] ?? null);
    kinds.push({ weight, start: values.start, families: values.families });
    let at = 0;
    for (let b = 0; b < blocks.length; b += 1) {
      let entered = -1;
      let entry = -1;
      let left = -1;
      for (const end = at + (blocks[b] as Block).drafts.length; at < end; at += 1) {
        const value = values.used[at] as number;
        if (value === -1 || value === entered) continue;
        left = values.family[value] as number;
        if (entered === -1 && left > 0) entry = left;
        else fixed += weight;
        entered = value;
      }
      nodes[b]?.first.push(entry);
      nodes[b]?.last.push(left);
    }
  }
  return { kinds, nodes, fixed };
}

/** An order of blocks with its cost in the terms of `ORDER_COST`. */
export interface BlockOrder {
  readonly blocks: readonly Block[];
  readonly cost: number;
  readonly lower_bound: number;
  readonly exact: boolean;
}

/** Orders blocks under precedence. `hint`: an order of positions to prefer at equal cost, where it is valid. */
export function orderBlocks(
  blocks: readonly Block[],
  before: readonly (readonly number[])[],
  starts: readonly (string | null)[],
  hint?: readonly number[],
): BlockOrder {
  const setups = setupsOf(blocks, starts);
  const problem = setupProblem(setups.kinds, setups.nodes, before);
  const usable = hint !== undefined && isValidOrder(problem, hint);
  const found: Ordering = orderWithSetupCosts(problem, usable ? { hint } : {});
  return {
    blocks: found.order.map((b) => blocks[b] as Block),
    cost: found.cost + setups.fixed,
    lower_bound: found.lower_bound + setups.fixed,
    exact: found.exact,
  };
}

/** Position of each part by its id. */
export function positionsOf(parts: readonly Part[]): ReadonlyMap<string, number> {
  const at = new Map<string, number>();
  for (let i = 0; i < parts.length; i += 1) at.set((parts[i] as Part).id, i);
  return at;
}

/**
 * Precedence of the removal as predecessor positions: `needs`, and every energy source before each part
 * that is in no energy source's way.
 */
export function removalPrecedence(index: PartIndex, parts: readonly Part[]): readonly (readonly number[])[] {
  const at = positionsOf(parts);
  const sources = parts.filter((p) => p.energy_source).map((p) => p.id);
  const inTheWay = closureOf(index, sources);
  const namedFor = new Int32Array(parts.length).fill(-1);
  return parts.map((part, owner) => {
    const before: number[] = [];
    const add = (id: string): void => {
      const i = at.get(id);
      if (i === undefined || namedFor[i] === owner) return;
      namedFor[i] = owner;
      before.push(i);
    };
    for (const need of part.needs) add(need);
    if (!inTheWay.has(part.id)) for (const id of sources) add(id);
    return before;
  });
}

/**
 * Hard precedence of the installation: positions of what must be back before each part, by the inverse of
 * `needs` and by `install_after`; one may be named twice.
 */
export function installReasons(parts: readonly Part[]): readonly (readonly number[])[] {
  const at = positionsOf(parts);
  const before: number[][] = parts.map(() => []);
  for (let i = 0; i < parts.length; i += 1) {
    const { needs, install_after } = parts[i] as Part;
    for (const need of needs) before[at.get(need) ?? -1]?.push(i);
    for (const other of install_after) {
      const j = at.get(other);
      if (j !== undefined) before[i]?.push(j);
    }
  }
  return before;
}

/**
 * Precedence of the installation: the inverse of `needs`, `install_after`, and every energy source after
 * each part that does not itself have to wait for an energy source.
 */
export function installPrecedence(parts: readonly Part[]): readonly (readonly number[])[] {
  const reasons = installReasons(parts);
  const { after } = precedenceOf(reasons);
  const waits = new Uint8Array(parts.length);
  const open: number[] = [];
  for (let i = 0; i < parts.length; i += 1) if (parts[i]?.energy_source === true) open.push(i);
  for (let i = open.pop(); i !== undefined; i = open.pop()) {
    if (waits[i] === 1) continue;
    waits[i] = 1;
    for (const next of after[i] ?? []) open.push(next);
  }
  const namedFor = new Int32Array(parts.length).fill(-1);
  return parts.map((part, owner) => {
    const before: number[] = [];
    const add = (i: number): void => {
      if (namedFor[i] === owner) return;
      namedFor[i] = owner;
      before.push(i);
    };
    for (const i of reasons[owner] ?? []) add(i);
    if (part.energy_source) for (let i = 0; i < parts.length; i += 1) if (waits[i] === 0) add(i);
    return before;
  });
}
