/**
 * Makes an order of set-up families cheaper by moving pieces of it: a run of nodes between two changeovers,
 * or a few such runs in a row, goes to the place near by where the order gets cheapest, as far as precedence
 * lets it. Deterministic; what it looks at is limited by numbers, never by the clock.
 */
import type { Precedence } from './progress.ts';

/** What nodes need first and leave, kind by kind: `first[node × kinds + kind]`, as in `SetupNodes`. */
export interface FlatSetups {
  readonly weights: readonly number[];
  readonly start: readonly number[];
  readonly first: Int32Array;
  readonly last: Int32Array;
}

/** Runs between changeovers that are moved together at most. */
const RUNS_MAX = 4;
/** Nodes that a piece has at most, and that it is moved past at most. */
const PIECE_MAX = 200;
const REACH_MAX = 200;
/** How often the whole order is gone through at most. */
const PASSES_MAX = 2;

class LocalSearch {
  readonly order: Int32Array;
  private readonly setups: FlatSetups;
  private readonly precedence: Precedence;
  private readonly kinds: number;
  private readonly at: Int32Array;
  /** What is set up before each position, and what is needed next from there on (−1: nothing, or given). */
  private readonly state: Int32Array;
  private readonly need: Int32Array;
  /** 1 where the node at this position pays for a changeover. */
  private readonly pays: Uint8Array;
  /** Of the piece in hand: what it needs first and leaves, and a bit for each kind that it touches. */
  private readonly enters: Int32Array;
  private readonly leaves: Int32Array;
  private touches = 0;
  private readonly passed: Int32Array;
  /** By node a bit for each kind that it sets up, and for each that it needs or sets up. */
  private readonly sets: Int32Array;
  private readonly uses: Int32Array;
  private bestChange = 0;
  private bestGap = -1;

  constructor(setups: FlatSetups, precedence: Precedence, order: readonly number[]) {
    const kinds = setups.weights.length;
    this.setups = setups;
    this.precedence = precedence;
    this.kinds = kinds;
    this.order = Int32Array.from(order);
    this.at = new Int32Array(order.length);
    this.state = new Int32Array((order.length + 1) * kinds);
    this.need = new Int32Array((order.length + 1) * kinds).fill(-1);
    this.pays = new Uint8Array(order.length);
    this.enters = new Int32Array(kinds);
    this.leaves = new Int32Array(kinds);
    this.passed = new Int32Array(kinds);
    this.sets = marks(setups.last, setups.last, kinds);
    this.uses = marks(setups.first, setups.last, kinds);
    this.state.set(setups.start);
    this.refresh(0, order.length - 1);
  }

  run(): void {
    for (let pass = 0; pass < PASSES_MAX; pass += 1) {
      let moved = false;
      for (let i = 0; i < this.order.length; i += 1)
        if ((i === 0 || this.pays[i] === 1) && this.improveFrom(i)) moved = true;
      if (!moved) return;
    }
  }

  /** Works out again what follows from the nodes at these positions, which are new. */
  private refresh(from: number, to: number): void {
    const { order, at, state, need, pays, kinds } = this;
    const { first, last } = this.setups;
    let same = false;
    for (let i = from; i < order.length && !(i > to && same); i += 1) {
      const v = order[i] as number;
      at[v] = i;
      same = true;
      let paid = 0;
      for (let k = 0, a = i * kinds, b = v * kinds; k < kinds; k += 1, a += 1, b += 1) {
        const wanted = first[b] as number;
        if (wanted !== -1 && wanted !== state[a]) paid = 1;
        const left = last[b] as number;
        const now = left === -1 ? (state[a] as number) : left;
        if (state[a + kinds] !== now) same = false;
        state[a + kinds] = now;
      }
      pays[i] = paid;
    }
    same = false;
    for (let i = to; i >= 0 && !(i < from && same); i -= 1) {
      same = true;
      for (let k = 0, a = i * kinds, b = (order[i] as number) * kinds; k < kinds; k += 1, a += 1, b += 1) {
        const wanted = first[b] as number;
        const now = wanted !== -1 ? wanted : last[b] === -1 ? (need[a + kinds] as number) : -1;
        if (need[a] !== now) same = false;
        need[a] = now;
      }
    }
  }

  /** Moves the shortest piece beginning here that gets cheaper by it. */
  private improveFrom(from: number): boolean {
    const { order, kinds, enters, leaves, pays, uses } = this;
    const { first, last } = this.setups;
    enters.fill(-1);
    leaves.fill(-1);
    this.touches = 0;
    let runs = 0;
    for (let to = from; to < order.length && to - from < PIECE_MAX; to += 1) {
      const v = order[to] as number;
      const used = uses[v] as number;
      for (let k = 0, b = v * kinds; used >> k !== 0; k += 1, b += 1) {
        if (((used >> k) & 1) === 0) continue;
        if (((this.touches >> k) & 1) === 0) enters[k] = first[b] as number;
        if (last[b] !== -1) leaves[k] = last[b] as number;
      }
      this.touches |= used;
      if (to + 1 < order.length && pays[to + 1] === 0) continue;
      if (this.findGap(from, to)) {
        this.move(from, to, this.bestGap);
        return true;
      }
      runs += 1;
      if (runs === RUNS_MAX) return false;
    }
    return false;
  }

  /** Cost of the piece between what is set up and what is needed next, less what it costs without the piece. */
  private costBetween(state: Int32Array, stateAt: number, need: Int32Array, needAt: number): number {
    const { enters, leaves, touches } = this;
    const { weights } = this.setups;
    let cost = 0;
    for (let k = 0; touches >> k !== 0; k += 1) {
      if (((touches >> k) & 1) === 0) continue;
      const now = state[stateAt + k] as number;
      const next = need[needAt + k] as number;
      let changes = enters[k] !== -1 && enters[k] !== now ? 1 : 0;
      if (next !== -1) changes += (next === leaves[k] ? 0 : 1) - (next === now ? 0 : 1);
      cost += changes * (weights[k] as number);
    }
    return cost;
  }

  /** Looks for the gap where the piece saves most; false where it saves nothing anywhere. */
  private findGap(from: number, to: number): boolean {
    const { kinds, state, need } = this;
    const here = this.costBetween(state, from * kinds, need, (to + 1) * kinds);
    if (here <= 0) return false;
    this.bestChange = here;
    this.bestGap = -1;
    this.lookAhead(from, to);
    this.lookBack(from, to);
    return this.bestGap !== -1;
  }

  private offer(cost: number, gap: number): void {
    if (cost >= this.bestChange) return;
    this.bestChange = cost;
    this.bestGap = gap;
  }

  // Between two changeovers one gap is as good as another: those before a changeover count, and the last one
  // that can be reached.
  private lookAhead(from: number, to: number): void {
    const { order, pays, sets } = this;
    const end = Math.min(order.length, to + 1 + REACH_MAX);
    let i = to + 1;
    let offered = i;
    let set = 0;
    for (; i < end; i += 1) {
      const v = order[i] as number;
      if (this.isAmong(this.precedence.before[v] as readonly number[], from, to)) break;
      set |= sets[v] as number;
      if (pays[i + 1] !== 1) continue;
      offered = i + 1;
      this.offerAhead(from, offered, set);
    }
    if (offered !== i) this.offerAhead(from, i, set);
  }

  /** Without the piece, what is set up at the gap is as it is now where a node between `set` it. */
  private offerAhead(from: number, gap: number, set: number): void {
    const { kinds, state, need, passed } = this;
    for (let k = 0; k < kinds; k += 1)
      passed[k] = state[(((set >> k) & 1) === 1 ? gap : from) * kinds + k] as number;
    this.offer(this.costBetween(passed, 0, need, gap * kinds), gap);
  }

  private lookBack(from: number, to: number): void {
    const { order, pays, uses } = this;
    const end = Math.max(0, from - REACH_MAX);
    let i = from;
    let offered = i;
    let used = 0;
    for (; i > end; i -= 1) {
      const v = order[i - 1] as number;
      if (this.isAmong(this.precedence.after[v] as readonly number[], from, to)) break;
      used |= uses[v] as number;
      if (pays[i - 1] !== 1) continue;
      offered = i - 1;
      this.offerBack(to, offered, used);
    }
    if (offered !== i) this.offerBack(to, i, used);
  }

  /** Without the piece, what is needed next from the gap on is as it is now where a node between `used` it. */
  private offerBack(to: number, gap: number, used: number): void {
    const { kinds, state, need, passed } = this;
    for (let k = 0; k < kinds; k += 1)
      passed[k] = need[(((used >> k) & 1) === 1 ? gap : to + 1) * kinds + k] as number;
    this.offer(this.costBetween(state, gap * kinds, passed, 0), gap);
  }

  /** True where one of the nodes stands in the piece. */
  private isAmong(nodes: readonly number[], from: number, to: number): boolean {
    for (let j = 0; j < nodes.length; j += 1) {
      const p = this.at[nodes[j] as number] as number;
      if (p >= from && p <= to) return true;
    }
    return false;
  }

  /** The piece goes before the node that stands at `gap` now. */
  private move(from: number, to: number, gap: number): void {
    const { order } = this;
    const piece = order.slice(from, to + 1);
    if (gap < from) {
      order.copyWithin(gap + piece.length, gap, from);
      order.set(piece, gap);
      this.refresh(gap, to);
    } else {
      order.copyWithin(from, to + 1, gap);
      order.set(piece, gap - piece.length);
      this.refresh(from, gap - 1);
    }
  }
}

/** By node a bit for each kind of which one of the two tables says something; there are few kinds. */
function marks(one: Int32Array, other: Int32Array, kinds: number): Int32Array {
  const bits = new Int32Array(one.length / kinds);
  for (let v = 0, at = 0; v < bits.length; v += 1)
    for (let k = 0; k < kinds; k += 1, at += 1)
      if (one[at] !== -1 || other[at] !== -1) bits[v] = (bits[v] as number) | (1 << k);
  return bits;
}

/** The order, made cheaper where it can be. It must be valid, and stays so. */
export function improvedOrder(
  setups: FlatSetups,
  precedence: Precedence,
  order: readonly number[],
): readonly number[] {
  const search = new LocalSearch(setups, precedence, order);
  search.run();
  const better = order.slice();
  for (let i = 0; i < better.length; i += 1) better[i] = search.order[i] as number;
  return better;
}
