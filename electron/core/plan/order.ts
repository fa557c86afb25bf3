/**
 * Ordering under precedence with setup costs: which node next, so that the sum of changeovers is least.
 * The general solver; it knows nothing of parts. Two kinds of problem are made with it: the sequential
 * ordering problem (cost depends on the node before, `matrix-problem.ts`) and setup families (cost depends
 * on what is set up: tool, side …, `setup-problem.ts`).
 *
 * Method: an order by looking one choice ahead, another by a beam search where that is wide enough, the
 * better one improved by moving pieces of it. Where its cost meets the lower bound it is optimal. Else, with
 * few nodes, a best-first search (A*) over pairs (set done, state) until it is proven or the budget is
 * spent; then the best order is returned, with the proven bound. The budget counts work, never time, so that
 * the result is the same on every machine.
 */
import { beamOrder } from './beam-search.ts';
import { lookaheadOrder } from './lookahead-order.ts';
import { MinHeap } from './min-heap.ts';
import type { Precedence } from './progress.ts';
import { Ground, tidiedOrder } from './walk.ts';

/** Running figures from which one guesses what is still to come; the guess need not be a bound. */
export interface Outlook {
  /** Length of the array of figures. */
  readonly size: number;
  begin(figures: Int32Array): void;
  /** A node is done. */
  take(figures: Int32Array, node: number): void;
  /** A node that was done is not done any more. */
  giveBack(figures: Int32Array, node: number): void;
  guess(state: number, figures: Int32Array): number;
}

/** A problem: `count` nodes, each done once, after its predecessors. All costs are ≥ 0. */
export interface OrderingProblem {
  readonly count: number;
  /** `before[v]`: the nodes that must come before v. Must be acyclic. */
  readonly before: readonly (readonly number[])[];
  readonly precedence: Precedence;
  /** State before the first node; states are whole numbers. */
  readonly start: number;
  cost(state: number, node: number): number;
  next(state: number, node: number): number;
  /**
   * True where a ready node may be done at once without loss: it costs nothing, leaves the state, and
   * leaving it out of an order never makes the order dearer.
   */
  isIdle(state: number, node: number): boolean;
  /** Sets a bit for each group whose nodes are idle, 32 groups to a number; all bits are clear before. */
  markIdle(state: number, groups: Int32Array): void;
  /** Nodes of one group have the same costs and transitions. */
  groupOf(node: number): number;
  /** The order or a cheaper one, quickly; a valid order stays valid. */
  improved(order: readonly number[]): readonly number[];
  /** True where after one node of the group the others are idle, so that one branch stands for all. */
  isSettled(group: number): boolean;
  /** Running figures for the bound, and how doing a node changes them. */
  newTally(): Float64Array;
  take(tally: Float64Array, node: number): void;
  /** About what is still to come, for choosing among states. */
  readonly outlook: Outlook;
  /** As `bound`, before the first node; better and dearer with the width, and with a little work at 0. */
  relaxedBound(tally: Float64Array, state: number, ready: readonly number[], width: number): number;
  /** Never more than the cheapest way to do all that is left. `ready` are nodes that could be next. */
  bound(tally: Float64Array, state: number, ready: readonly number[]): number;
}

/** An order with its cost. `exact`: proven that none is cheaper; `lower_bound` ≤ best possible cost. */
export interface Ordering {
  readonly order: readonly number[];
  readonly cost: number;
  readonly lower_bound: number;
  readonly exact: boolean;
  /** Search states generated, for the bench. */
  readonly generated: number;
}

/**
 * Work allowed to the exact search: generated states times nodes. A state of n nodes costs about
 * 1 µs + n × 0.1 µs, so that this stays below 50 ms on a small machine.
 */
export const SEARCH_WORK = 60_000;
/** With more nodes than this the exact search does not get to the end; the work goes to the beam. */
const EXACT_NODES_MAX = 64;
/** Width of the relaxed diagrams and of the beam, times nodes; and the widest of either. */
const BOUND_WORK = 3_000;
const BEAM_WORK = 2_000;
/** A narrower beam than this finds no better orders than looking ahead and improving does. */
const BEAM_WIDTH_MIN = 4;
/** A narrower diagram than this tells nothing that adding up families does not tell at once. */
const BOUND_WIDTH_MIN = 8;
const WIDTH_MAX = 32;

/** Predecessors left of each node before the first is done. */
function degreesOf({ before }: Precedence): Int32Array {
  const degrees = new Int32Array(before.length);
  for (let v = 0; v < before.length; v += 1) degrees[v] = (before[v] as readonly number[]).length;
  return degrees;
}

/** Cost of a given order; the order is taken as it is. */
export function costOfOrder(problem: OrderingProblem, order: readonly number[]): number {
  let state = problem.start;
  let cost = 0;
  for (let i = 0; i < order.length; i += 1) {
    const node = order[i] as number;
    cost += problem.cost(state, node);
    state = problem.next(state, node);
  }
  return cost;
}

/** True where `order` holds every node once and none before its predecessors. */
export function isValidOrder(problem: OrderingProblem, order: readonly number[]): boolean {
  const at = new Int32Array(problem.count).fill(-1);
  for (let i = 0; i < order.length; i += 1) at[order[i] as number] = i;
  if (order.length !== problem.count || at.includes(-1)) return false;
  return order.every((node, i) => (problem.before[node] ?? []).every((u) => (at[u] ?? -1) < i));
}

interface SearchNode {
  readonly parent: SearchNode | null;
  readonly done: readonly number[];
  readonly doneCount: number;
  readonly state: number;
  readonly g: number;
  readonly f: number;
  readonly serial: number;
  readonly degrees: Int32Array;
  readonly ready: readonly number[];
  readonly tally: Float64Array;
  readonly bits: Uint16Array;
}

/** Carries the exact search from node to node. */
class Search {
  generated = 0;
  private readonly problem: OrderingProblem;
  constructor(problem: OrderingProblem) {
    this.problem = problem;
  }

  root(): SearchNode {
    const { problem } = this;
    const degrees = degreesOf(problem.precedence);
    const ready: number[] = [];
    for (let v = 0; v < problem.count; v += 1) if (degrees[v] === 0) ready.push(v);
    const bits = new Uint16Array(Math.ceil(problem.count / 16));
    return this.settle(null, problem.start, 0, [], ready, degrees, problem.newTally(), bits);
  }

  /** The children of a node: one for each settled group, one for each other ready node. */
  *children(parent: SearchNode): Generator<SearchNode> {
    const seen = new Set<number>();
    for (const node of parent.ready) {
      const group = this.problem.groupOf(node);
      if (this.problem.isSettled(group)) {
        if (seen.has(group)) continue;
        seen.add(group);
      }
      yield this.child(parent, node);
    }
  }

  private child(parent: SearchNode, node: number): SearchNode {
    const degrees = parent.degrees.slice();
    const tally = parent.tally.slice();
    const bits = parent.bits.slice();
    const ready = parent.ready.filter((v) => v !== node);
    this.finish(node, ready, degrees, tally, bits);
    const g = parent.g + this.problem.cost(parent.state, node);
    const state = this.problem.next(parent.state, node);
    return this.settle(parent, state, g, [node], ready, degrees, tally, bits);
  }

  private finish(
    node: number,
    ready: number[],
    degrees: Int32Array,
    tally: Float64Array,
    bits: Uint16Array,
  ): void {
    this.problem.take(tally, node);
    bits[node >> 4] = (bits[node >> 4] ?? 0) | (1 << (node & 15));
    for (const w of this.problem.precedence.after[node] ?? []) {
      const left = (degrees[w] ?? 0) - 1;
      degrees[w] = left;
      if (left === 0) ready.push(w);
    }
  }

  /** Does every idle node that is ready (where that is free), then closes the node. */
  private settle(
    parent: SearchNode | null,
    state: number,
    g: number,
    done: number[],
    ready: number[],
    degrees: Int32Array,
    tally: Float64Array,
    bits: Uint16Array,
  ): SearchNode {
    this.generated += 1;
    const open: number[] = [];
    for (let i = 0; i < ready.length; i += 1) {
      const v = ready[i] ?? -1;
      if (this.problem.isIdle(state, v)) {
        done.push(v);
        this.finish(v, ready, degrees, tally, bits);
      } else open.push(v);
    }
    open.sort((a, b) => a - b);
    const doneCount = (parent?.doneCount ?? 0) + done.length;
    const f = Math.max(g + this.problem.bound(tally, state, open), parent?.f ?? 0);
    return {
      parent,
      done,
      doneCount,
      state,
      g,
      f,
      serial: this.generated,
      degrees,
      ready: open,
      tally,
      bits,
    };
  }
}

function orderOf(leaf: SearchNode): readonly number[] {
  const pieces: (readonly number[])[] = [];
  for (let node: SearchNode | null = leaf; node !== null; node = node.parent) pieces.push(node.done);
  return pieces.reverse().flat();
}

function keyOf(node: SearchNode): string {
  return `${String.fromCharCode(...node.bits)}|${node.state}`;
}

const better = (a: SearchNode, b: SearchNode): boolean =>
  a.f !== b.f ? a.f < b.f : a.doneCount !== b.doneCount ? a.doneCount > b.doneCount : a.serial < b.serial;

/** A* from the root. Returns the optimum, or the bound reached when the work was spent. */
function bestFirst(
  search: Search,
  root: SearchNode,
  count: number,
  incumbent: number,
  work: number,
): { readonly leaf: SearchNode | null; readonly bound: number } {
  const open = new MinHeap<SearchNode>(better);
  const best = new Map<string, number>([[keyOf(root), root.g]]);
  open.push(root);
  const limit = search.generated + Math.max(16, Math.floor(work / Math.max(1, count)));
  for (let node = open.pop(); node !== undefined; node = open.pop()) {
    if (node.doneCount === count) return { leaf: node, bound: node.g };
    if (search.generated >= limit) return { leaf: null, bound: node.f };
    if ((best.get(keyOf(node)) ?? node.g) < node.g) continue;
    for (const child of search.children(node)) {
      if (child.f >= incumbent) continue;
      const key = keyOf(child);
      if ((best.get(key) ?? Number.POSITIVE_INFINITY) <= child.g) continue;
      best.set(key, child.g);
      open.push(child);
    }
  }
  return { leaf: null, bound: incumbent };
}

/**
 * The cheapest order found. `hint`: an order to prefer where none is cheaper (must be valid). `work`:
 * generated states times nodes for the exact search. Deterministic; precedence must be acyclic.
 */
export function orderWithSetupCosts(
  problem: OrderingProblem,
  options: { readonly work?: number; readonly hint?: readonly number[] } = {},
): Ordering {
  let order: readonly number[] = [];
  let cost = Number.POSITIVE_INFINITY;
  const offer = (candidate: readonly number[]): void => {
    const candidateCost = costOfOrder(problem, candidate);
    if (candidateCost < cost) [order, cost] = [candidate, candidateCost];
  };
  if (options.hint !== undefined) offer(options.hint);
  const ground = new Ground(problem, problem.precedence);
  const width = (total: number): number => Math.min(WIDTH_MAX, Math.floor(total / problem.count));
  offer(lookaheadOrder(problem, ground));
  if (width(BEAM_WORK) >= BEAM_WIDTH_MIN) offer(beamOrder(problem, ground, width(BEAM_WORK)));
  offer(problem.improved(order));
  const search = new Search(problem);
  const root = search.root();
  const finish = (bound: number): Ordering => {
    const lower_bound = Math.min(bound, cost);
    const tidy = order === options.hint ? order : tidiedOrder(ground, order);
    return {
      order: tidy,
      cost: costOfOrder(problem, tidy),
      lower_bound,
      exact: lower_bound >= cost,
      generated: search.generated,
    };
  };
  if (cost <= root.f) return finish(root.f);
  const work = options.work ?? SEARCH_WORK;
  const diagram = width(BOUND_WORK) >= BOUND_WIDTH_MIN ? width(BOUND_WORK) : 0;
  const relaxed = problem.relaxedBound(root.tally, root.state, root.ready, diagram);
  if (cost <= relaxed || problem.count > EXACT_NODES_MAX) return finish(relaxed);
  const found = bestFirst(search, root, problem.count, cost, work);
  if (found.leaf !== null) offer(orderOf(found.leaf));
  return finish(Math.max(relaxed, found.bound));
}
