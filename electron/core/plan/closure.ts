/**
 * What must be off before what: the closure of `needs`, what moves over to a new part, and the chain
 * of reasons when a part can never come off.
 */
import type { Part, Product } from '../product/model.ts';

/** A product's parts in the author's order, each known by its position. */
export interface PartIndex {
  /** Of two parts with one id the first. */
  readonly parts: readonly Part[];
  readonly positionOf: ReadonlyMap<string, number>;
  /** Positions of the parts that must be off before each part; −1 for an id that no part has. */
  readonly needs: readonly (readonly number[])[];
}

/** Looks parts up by id; of two parts with one id the first counts. */
export function indexParts(product: Product): PartIndex {
  const positionOf = new Map<string, number>();
  const parts: Part[] = [];
  for (const part of product.parts) {
    if (positionOf.has(part.id)) continue;
    positionOf.set(part.id, parts.length);
    parts.push(part);
  }
  const needs = parts.map((part) => part.needs.map((id) => positionOf.get(id) ?? -1));
  return { parts, positionOf, needs };
}

/** The part with this id. */
export function partWith({ parts, positionOf }: PartIndex, id: string): Part | undefined {
  return parts[positionOf.get(id) ?? -1];
}

/**
 * A mark for each part that must be off before any of `targets` is off, the targets included; positions below
 * 0 are left out. Works on cyclic input too.
 */
export function closureOf({ parts, needs }: PartIndex, targets: readonly number[]): Uint8Array {
  const off = new Uint8Array(parts.length);
  const open = [...targets];
  for (let at = open.pop(); at !== undefined; at = open.pop()) {
    if (at < 0 || off[at] === 1) continue;
    off[at] = 1;
    for (const need of needs[at] as readonly number[]) open.push(need);
  }
  return off;
}

/** Part ids (author's order) that also come off when `partId` does; empty for an unknown part. */
export function partsAlsoOff(product: Product, partId: string): readonly string[] {
  const index = indexParts(product);
  const at = index.positionOf.get(partId) ?? -1;
  const off = closureOf(index, [at]);
  return index.parts.filter((_, i) => off[i] === 1 && i !== at).map((part) => part.id);
}

/** A successor relation over part ids. */
export type Successors = (id: string) => readonly string[];

/**
 * A cycle reachable from `start`, as the ids from `start` to the first id that repeats
 * (`a → b → c → b`), or undefined. Depth-first with an explicit stack, so that long chains are fine.
 */
export function findCycle(
  start: string,
  successors: Successors,
  safe: Set<string>,
): readonly string[] | undefined {
  const path: string[] = [];
  const onPath = new Set<string>();
  const stack: { readonly id: string; readonly next: readonly string[]; at: number }[] = [];
  const enter = (id: string): void => {
    path.push(id);
    onPath.add(id);
    stack.push({ id, next: successors(id), at: 0 });
  };
  if (safe.has(start)) return undefined;
  enter(start);
  for (let top = stack.at(-1); top !== undefined; top = stack.at(-1)) {
    const next = top.next[top.at];
    top.at += 1;
    if (next === undefined) {
      safe.add(top.id);
      onPath.delete(top.id);
      path.pop();
      stack.pop();
    } else if (onPath.has(next)) {
      return [...path, next];
    } else if (!safe.has(next)) {
      enter(next);
    }
  }
  return undefined;
}

/** Which parts come off where; positions in the author's order. */
export interface Scope {
  /** Parts that come off in the removal. */
  readonly removed: readonly number[];
  /** Parts that leave an old part on the bench and go onto the new one, each once. */
  readonly moved: readonly number[];
}

/**
 * The scope of a job. A part carried by a replaced part moves over on the bench, unless it comes off in
 * the removal anyway. An energy source never moves over under power, and a part that must go back after
 * a removed one cannot go back on the bench: both join the removal.
 */
export function scopeOf(index: PartIndex, replaced: readonly Part[]): Scope {
  const { parts, positionOf } = index;
  const at = (id: string): number => positionOf.get(id) ?? -1;
  const off = closureOf(
    index,
    replaced.map((part) => at(part.id)),
  );
  const over = closureOf(
    index,
    replaced.flatMap((part) => part.carries.map(at)),
  );
  const moves = (i: number): boolean => over[i] === 1 && off[i] === 0;
  for (;;) {
    const joins = parts.flatMap(({ energy_source, install_after }, i) =>
      moves(i) && (energy_source || install_after.some((id) => off[at(id)] === 1)) ? [i] : [],
    );
    if (joins.length === 0) break;
    closureOf(index, joins).forEach((mark, i) => {
      if (mark === 1) off[i] = 1;
    });
  }
  const removed: number[] = [];
  const moved: number[] = [];
  for (let i = 0; i < parts.length; i += 1)
    if (off[i] === 1) removed.push(i);
    else if (over[i] === 1) moved.push(i);
  return { removed, moved };
}
