/**
 * What must be off before what: the closure of `needs`, what moves over to a new part, and the chain
 * of reasons when a part can never come off.
 */
import type { Part, Product } from '../product/model.ts';

/** A product's parts by id, in the author's order. */
export interface PartIndex {
  readonly parts: readonly Part[];
  readonly byId: ReadonlyMap<string, Part>;
  readonly rank: ReadonlyMap<string, number>;
}

/** Looks parts up by id; of two parts with one id the first counts. */
export function indexParts(product: Product): PartIndex {
  const byId = new Map<string, Part>();
  const rank = new Map<string, number>();
  for (const [i, part] of product.parts.entries()) {
    if (byId.has(part.id)) continue;
    byId.set(part.id, part);
    rank.set(part.id, i);
  }
  return { parts: product.parts, byId, rank };
}

/**
 * All parts that must be off before any of `targets` is off, the targets included. Ids that do not
 * exist are left out. Works on cyclic input too.
 */
export function closureOf(index: PartIndex, targets: Iterable<string>): Set<string> {
  const off = new Set<string>();
  const open = [...targets];
  for (let id = open.pop(); id !== undefined; id = open.pop()) {
    const part = index.byId.get(id);
    if (part === undefined || off.has(id)) continue;
    off.add(id);
    open.push(...part.needs);
  }
  return off;
}

/** Part ids (author's order) that also come off when `partId` does; empty for an unknown part. */
export function partsAlsoOff(product: Product, partId: string): readonly string[] {
  const index = indexParts(product);
  const off = closureOf(index, [partId]);
  off.delete(partId);
  return product.parts.filter((part) => off.has(part.id)).map((part) => part.id);
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

/** Which parts come off where. */
export interface Scope {
  /** Parts that come off in the removal, author's order. */
  readonly removed: readonly Part[];
  readonly removedIds: ReadonlySet<string>;
  /** Parts that leave an old part on the bench and go onto the new one, each once, author's order. */
  readonly moved: readonly Part[];
}

/**
 * The scope of a job. A part carried by a replaced part moves over on the bench, unless it comes off in
 * the removal anyway. An energy source never moves over under power, and a part that must go back after
 * a removed one cannot go back on the bench: both join the removal.
 */
export function scopeOf(index: PartIndex, replace: readonly string[]): Scope {
  const removedIds = closureOf(index, replace);
  const carried = replace.flatMap((id) => index.byId.get(id)?.carries ?? []);
  const movedIds = closureOf(index, carried);
  for (;;) {
    const joins = [...movedIds].filter((id) => {
      const part = index.byId.get(id);
      if (part === undefined || removedIds.has(id)) return false;
      return part.energy_source || part.install_after.some((q) => removedIds.has(q));
    });
    if (joins.length === 0) break;
    for (const id of closureOf(index, joins)) removedIds.add(id);
  }
  const unique = index.parts.filter((p) => index.byId.get(p.id) === p);
  return {
    removed: unique.filter((p) => removedIds.has(p.id)),
    removedIds,
    moved: unique.filter((p) => movedIds.has(p.id) && !removedIds.has(p.id)),
  };
}
