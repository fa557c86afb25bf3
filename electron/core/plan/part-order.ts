/**
 * The order of parts on the way in and on the way back: precedence from the product, cost of handling
 * from the drafts, solved by `order.ts`.
 */

import type { Part } from '../product/model.ts';
import { closureOf, type PartIndex } from './closure.ts';
import type { Block, Draft } from './draft.ts';
import { isValidOrder, type Ordering, orderWithSetupCosts } from './order.ts';
import { type SetupKind, type SetupNode, setupProblem } from './setup-problem.ts';
import { compartmentKey, goesToTray } from './tray.ts';

/**
 * What a change costs, in seconds of handling. Common practice, no source; the planner minimises their
 * sum. `reach`: the hands go to another place of the unit.
 */
export const ORDER_COST = { turn: 8, tool_change: 5, reach: 2, tray_change: 1 } as const;

/** What a draft needs set up: side, tool, place, compartment; null where it does not care. */
type Needs = readonly (string | null)[];

const NO_NEEDS: Needs = [null, null, null, null];

function needsOf({ use, side, tool }: Draft): Needs {
  if (use === null) return side === null && tool === null ? NO_NEEDS : [side, tool, null, null];
  const returns = use.reused && (use.what === 'in' || use.what === 'in-and-tight');
  const bin = returns || goesToTray(use) ? compartmentKey(use.fastener.id, use.place) : null;
  return [side, tool, use.place, bin];
}

const WEIGHTS = [ORDER_COST.turn, ORDER_COST.tool_change, ORDER_COST.reach, ORDER_COST.tray_change];

/** Values that more than one block uses get a family number from 1; others share 0. */
function familiesOf(
  blocks: readonly (readonly Needs[])[],
  k: number,
  start: string | null,
): ReadonlyMap<string, number> {
  const seen = new Map<string, number>();
  const families = new Map<string, number>();
  if (start !== null) seen.set(start, -1);
  for (const [owner, needs] of blocks.entries())
    for (const need of needs) {
      const value = need[k] ?? null;
      if (value === null) continue;
      const first = seen.get(value);
      if (first === undefined) seen.set(value, owner);
      else if (first !== owner && !families.has(value)) families.set(value, families.size + 1);
    }
  return families;
}

interface Setups {
  readonly kinds: readonly SetupKind[];
  readonly nodes: readonly SetupNode[];
  /** Cost that is the same in every order: changes inside blocks and entries that nothing can save. */
  readonly fixed: number;
}

/** Set-ups of blocks. `starts`: what is set up before the first block (the side the unit lies on). */
function setupsOf(parts: readonly Block[], starts: readonly (string | null)[]): Setups {
  const blocks = parts.map(({ drafts }) => drafts.map(needsOf).filter((needs) => needs !== NO_NEEDS));
  const first: number[][] = blocks.map(() => []);
  const last: number[][] = blocks.map(() => []);
  const kinds: SetupKind[] = [];
  let fixed = 0;
  for (const [k, weight] of WEIGHTS.entries()) {
    const start = starts[k] ?? null;
    const families = familiesOf(blocks, k, start);
    const startFamily = start === null ? 0 : (families.get(start) ?? 0);
    kinds.push({ weight, start: startFamily, families: families.size });
    for (const [b, needs] of blocks.entries()) {
      let entered: string | null = null;
      let entry = -1;
      let left = -1;
      for (const need of needs) {
        const value: string | null = need[k] ?? null;
        if (value === null || value === entered) continue;
        const family: number = families.get(value) ?? 0;
        if (entered === null && family > 0) entry = family;
        else fixed += weight;
        [entered, left] = [value, family];
      }
      first[b]?.push(entry);
      last[b]?.push(left);
    }
  }
  return { kinds, nodes: blocks.map((_, b) => ({ first: first[b] ?? [], last: last[b] ?? [] })), fixed };
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
    blocks: found.order.flatMap((b) => blocks[b] ?? []),
    cost: found.cost + setups.fixed,
    lower_bound: found.lower_bound + setups.fixed,
    exact: found.exact,
  };
}

/** Cost of blocks in the order given. */
export function blocksCost(blocks: readonly Block[], starts: readonly (string | null)[]): number {
  let cost = 0;
  const now = [...starts];
  for (const block of blocks)
    for (const draft of block.drafts)
      for (const [k, need] of needsOf(draft).entries())
        if (need !== null && need !== now[k]) {
          cost += WEIGHTS[k] ?? 0;
          now[k] = need;
        }
  return cost;
}

/**
 * Precedence of the removal as predecessor positions: `needs`, and every energy source before each part
 * that is in no energy source's way.
 */
export function removalPrecedence(index: PartIndex, parts: readonly Part[]): readonly (readonly number[])[] {
  const at = new Map(parts.map((part, i) => [part.id, i]));
  const sources = parts.filter((p) => p.energy_source).map((p) => p.id);
  const inTheWay = closureOf(index, sources);
  return parts.map((part) => {
    const before = new Set<number>();
    for (const need of part.needs) {
      const i = at.get(need);
      if (i !== undefined) before.add(i);
    }
    if (!inTheWay.has(part.id)) for (const id of sources) before.add(at.get(id) ?? -1);
    return [...before];
  });
}

/** Hard precedence of the installation by part id: what must be back before each part, reasons apart. */
export function installReasons(parts: readonly Part[]): ReadonlyMap<string, ReadonlySet<string>> {
  const before = new Map<string, Set<string>>(parts.map((p) => [p.id, new Set<string>()]));
  for (const part of parts) {
    for (const need of part.needs) before.get(need)?.add(part.id);
    for (const other of part.install_after) if (before.has(other)) before.get(part.id)?.add(other);
  }
  return before;
}

/**
 * Precedence of the installation: the inverse of `needs`, `install_after`, and every energy source after
 * each part that does not itself have to wait for an energy source.
 */
export function installPrecedence(parts: readonly Part[]): readonly (readonly number[])[] {
  const reasons = installReasons(parts);
  const at = new Map(parts.map((part, i) => [part.id, i]));
  const after = new Map<string, string[]>();
  for (const [id, before] of reasons)
    for (const b of before) {
      const list = after.get(b);
      if (list === undefined) after.set(b, [id]);
      else list.push(id);
    }
  const waits = new Set<string>();
  const open = parts.filter((p) => p.energy_source).map((p) => p.id);
  for (let id = open.pop(); id !== undefined; id = open.pop()) {
    if (waits.has(id)) continue;
    waits.add(id);
    open.push(...(after.get(id) ?? []));
  }
  const free = parts.filter((p) => !waits.has(p.id)).map((p) => at.get(p.id) ?? -1);
  return parts.map((part) => {
    const before = new Set([...(reasons.get(part.id) ?? [])].map((id) => at.get(id) ?? -1));
    if (part.energy_source) for (const i of free) before.add(i);
    return [...before];
  });
}
