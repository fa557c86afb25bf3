/**
 * A way through the nodes of an ordering problem that can be gone back: what is done, what is ready (by
 * group), and the running figures of what is still to come. One flat array holds it all, so that a copy is
 * one move of memory. Made for `lookahead-order.ts` and `beam-search.ts`.
 */
import { MinHeap } from './min-heap.ts';
import type { OrderingProblem } from './order.ts';
import type { Precedence } from './progress.ts';

/** Lists in one array: `items` from `begin[v]` to before `begin[v + 1]`. */
function flat(lists: readonly (readonly number[])[]): {
  readonly begin: Int32Array;
  readonly items: Int32Array;
} {
  const begin = new Int32Array(lists.length + 1);
  for (let v = 0; v < lists.length; v += 1) begin[v + 1] = (begin[v] as number) + (lists[v]?.length ?? 0);
  const items = new Int32Array(begin[lists.length] as number);
  for (let v = 0, at = 0; v < lists.length; v += 1) {
    const list = lists[v] as readonly number[];
    for (let i = 0; i < list.length; i += 1, at += 1) items[at] = list[i] as number;
  }
  return { begin, items };
}

/** Spreads the bits of a number; a mark of a set is the exclusive or over its nodes. */
function scattered(node: number): number {
  let x = Math.imul(node + 1, 0x9e3779b1);
  x = Math.imul(x ^ (x >>> 15), 0x85ebca6b);
  return x ^ (x >>> 13);
}

/** What all walks of a problem share. */
export class Ground {
  readonly problem: OrderingProblem;
  readonly count: number;
  readonly groupOf: Int32Array;
  /** A node of each group, which stands for all of them in costs and transitions. */
  readonly sampleOf: readonly number[];
  readonly isSettled: readonly boolean[];
  readonly begin: Int32Array;
  readonly after: Int32Array;
  readonly marks: Int32Array;
  /** Places in a walk's array: predecessors left, neighbours in the ring of a group, a bit for each group with ready nodes, tally. */
  readonly nextAt: number;
  readonly prevAt: number;
  readonly openAt: number;
  readonly tallyAt: number;
  readonly size: number;
  /** Numbers of 32 bits that hold a bit for each group. */
  readonly words: number;
  readonly root: Int32Array;
  private readonly idle = new Map<number, Int32Array>();

  constructor(problem: OrderingProblem, precedence: Precedence) {
    this.problem = problem;
    const { count } = precedence;
    this.count = count;
    const samples: number[] = [];
    this.groupOf = new Int32Array(count);
    for (let v = 0; v < count; v += 1) {
      const group = problem.groupOf(v);
      this.groupOf[v] = group;
      samples[group] ??= v;
    }
    this.sampleOf = samples;
    this.isSettled = samples.map((_, group) => problem.isSettled(group));
    const { begin, items } = flat(precedence.after);
    this.begin = begin;
    this.after = items;
    this.marks = new Int32Array(count);
    for (let v = 0; v < count; v += 1) this.marks[v] = scattered(v);
    // The ready nodes of a group stand in a ring with a head.
    const links = count + samples.length;
    this.nextAt = count;
    this.prevAt = count + links;
    this.openAt = count + 2 * links;
    this.words = Math.ceil(samples.length / 32);
    this.tallyAt = this.openAt + this.words;
    this.size = this.tallyAt + problem.outlook.size;
    this.root = this.beginning(precedence, links);
  }

  private beginning(precedence: Precedence, links: number): Int32Array {
    const root = new Int32Array(this.size);
    for (let i = 0; i < links; i += 1) {
      root[this.nextAt + i] = i;
      root[this.prevAt + i] = i;
    }
    const walk = new Walk(this, root);
    for (let v = 0; v < this.count; v += 1) root[v] = precedence.before[v]?.length ?? 0;
    this.problem.outlook.begin(root.subarray(this.tallyAt));
    for (let v = 0; v < this.count; v += 1) if (root[v] === 0) walk.open(v);
    return root;
  }

  /** A bit for each group whose nodes may be done at once while this is set up. */
  idleGroups(state: number): Int32Array {
    const known = this.idle.get(state);
    if (known !== undefined) return known;
    const groups = new Int32Array(this.words);
    this.problem.markIdle(state, groups);
    this.idle.set(state, groups);
    return groups;
  }
}

/** Nodes that may come next, the first `count` of the lists, with what each costs. */
export interface Choice {
  readonly nodes: Int32Array;
  readonly costs: Float64Array;
  readonly count: number;
}

/** So many nodes are looked at for what comes next at most. */
const CHOICES_MAX = 8;

/** How far one order has come. */
export class Walk {
  readonly ground: Ground;
  readonly array: Int32Array;
  readonly tally: Int32Array;
  /** Nodes done, in their order; of a copy only those that it did itself. */
  private readonly trail: Int32Array;
  count = 0;
  /** Equal for equal sets of nodes done; different sets seldom share one. */
  mark = 0;
  private readonly choice = {
    nodes: new Int32Array(CHOICES_MAX),
    costs: new Float64Array(CHOICES_MAX),
    count: 0,
  };

  constructor(ground: Ground, array: Int32Array) {
    this.ground = ground;
    this.array = array;
    this.tally = array.subarray(ground.tallyAt);
    this.trail = new Int32Array(ground.count);
  }

  static begin(ground: Ground): Walk {
    return new Walk(ground, ground.root.slice());
  }

  copyFrom(other: Walk): void {
    this.array.set(other.array);
    this.count = other.count;
    this.mark = other.mark;
  }

  /** The node is ready: behind the others of its group. */
  open(v: number): void {
    const { array } = this;
    const { nextAt, prevAt, count, groupOf } = this.ground;
    const head = count + (groupOf[v] as number);
    const last = array[prevAt + head] as number;
    array[nextAt + last] = v;
    array[prevAt + v] = last;
    array[nextAt + v] = head;
    array[prevAt + head] = v;
    if (last === head) this.flip(head);
  }

  /** The group with this head has a first ready node now, or no ready node any more. */
  private flip(head: number): void {
    const { openAt, count } = this.ground;
    const group = head - count;
    const at = openAt + (group >> 5);
    this.array[at] = (this.array[at] as number) ^ (1 << (group & 31));
  }

  private unlink(at: number): void {
    const { array } = this;
    const { nextAt, prevAt } = this.ground;
    const next = array[nextAt + at] as number;
    const prev = array[prevAt + at] as number;
    array[nextAt + prev] = next;
    array[prevAt + next] = prev;
    // Only a head is its own neighbour on both sides.
    if (next === prev) this.flip(next);
  }

  /** Puts back what was taken out last of all that is not back yet. */
  private relink(at: number): void {
    const { array } = this;
    const { nextAt, prevAt } = this.ground;
    const next = array[nextAt + at] as number;
    const prev = array[prevAt + at] as number;
    array[nextAt + prev] = at;
    array[prevAt + next] = at;
    if (next === prev) this.flip(next);
  }

  /** The first ready node of a group, or −1. */
  firstOf(group: number): number {
    const head = this.ground.count + group;
    const first = this.array[this.ground.nextAt + head] as number;
    return first === head ? -1 : first;
  }

  /** The ready node behind this one in its group, or −1. */
  nextOf(v: number): number {
    const next = this.array[this.ground.nextAt + v] as number;
    return next < this.ground.count ? next : -1;
  }

  /**
   * The cheapest of what may come next, at most `most` (≤ CHOICES_MAX): one node of each settled group, every
   * other ready node. The next call overwrites them.
   */
  cheapest(state: number, most: number): Choice {
    const { array, ground, choice } = this;
    const { problem } = ground;
    const { nodes, costs } = choice;
    let count = 0;
    for (let word = 0; word < ground.words; word += 1)
      for (let bits = array[ground.openAt + word] as number; bits !== 0; bits &= bits - 1) {
        const group = word * 32 + 31 - Math.clz32(bits & -bits);
        const cost = problem.cost(state, ground.sampleOf[group] as number);
        let node = this.firstOf(group);
        for (; node !== -1; node = ground.isSettled[group] === true ? -1 : this.nextOf(node)) {
          if (count === most && cost >= (costs[most - 1] as number)) break;
          let at = Math.min(count, most - 1);
          if (count < most) count += 1;
          for (; at > 0 && (costs[at - 1] as number) > cost; at -= 1) {
            costs[at] = costs[at - 1] as number;
            nodes[at] = nodes[at - 1] as number;
          }
          costs[at] = cost;
          nodes[at] = node;
        }
      }
    choice.count = count;
    return choice;
  }

  /** Does a ready node. */
  finish(v: number): void {
    const { array, ground } = this;
    const { begin, after } = ground;
    this.unlink(v);
    this.trail[this.count] = v;
    this.count += 1;
    this.mark ^= ground.marks[v] as number;
    ground.problem.outlook.take(this.tally, v);
    for (let i = begin[v] as number, end = begin[v + 1] as number; i < end; i += 1) {
      const w = after[i] as number;
      const left = (array[w] as number) - 1;
      array[w] = left;
      if (left === 0) this.open(w);
    }
  }

  /** Takes back the node that was done last. */
  undo(v: number): void {
    const { array, ground } = this;
    const { begin, after } = ground;
    for (let i = (begin[v + 1] as number) - 1, end = begin[v] as number; i >= end; i -= 1) {
      const w = after[i] as number;
      const left = (array[w] as number) + 1;
      array[w] = left;
      if (left === 1) this.unlink(w);
    }
    ground.problem.outlook.giveBack(this.tally, v);
    this.mark ^= ground.marks[v] as number;
    this.count -= 1;
    this.relink(v);
  }

  /** Takes back what was done last, until only this many nodes are done. */
  undoTo(count: number): void {
    while (this.count > count) this.undo(this.trail[this.count - 1] as number);
  }

  /** What was done after this many nodes had been done. */
  doneSince(count: number): readonly number[] {
    const nodes: number[] = [];
    for (let i = count; i < this.count; i += 1) nodes.push(this.trail[i] as number);
    return nodes;
  }

  /** Does every ready node that is idle while this is set up, and those that become ready by it. */
  settle(state: number): void {
    const { array, ground } = this;
    const idle = ground.idleGroups(state);
    for (let more = true; more; ) {
      more = false;
      for (let word = 0; word < ground.words; word += 1) {
        const here = idle[word] as number;
        for (let bits = (array[ground.openAt + word] as number) & here; bits !== 0; ) {
          const group = word * 32 + 31 - Math.clz32(bits & -bits);
          for (let v = this.firstOf(group); v !== -1; v = this.firstOf(group)) this.finish(v);
          more = true;
          // Those before it wait for the next round.
          bits = (array[ground.openAt + word] as number) & here & (-2 << (group & 31));
        }
      }
    }
  }
}

/**
 * The order with each node that is idle when it becomes ready done at once, those with small numbers first:
 * where nothing is to be gained, nodes stay as they are numbered. Never dearer.
 */
export function tidiedOrder(ground: Ground, order: readonly number[]): readonly number[] {
  const { problem, count, groupOf, begin, after } = ground;
  const left = ground.root.slice(0, count);
  const ready = ground.sampleOf.map(() => new MinHeap<number>((a, b) => a < b));
  /** A bit for each group with something in its heap. */
  const open = new Int32Array(ground.words);
  const tidied: number[] = [];
  let state = problem.start;
  const offer = (v: number): void => {
    const group = groupOf[v] as number;
    ready[group]?.push(v);
    open[group >> 5] = (open[group >> 5] as number) | (1 << (group & 31));
  };
  const finish = (v: number): void => {
    tidied.push(v);
    left[v] = -1;
    for (let i = begin[v] as number; i < (begin[v + 1] as number); i += 1) {
      const w = after[i] as number;
      left[w] = (left[w] as number) - 1;
      if (left[w] === 0) offer(w);
    }
  };
  const smallestIdle = (): MinHeap<number> | undefined => {
    let least: MinHeap<number> | undefined;
    const idle = ground.idleGroups(state);
    for (let word = 0; word < open.length; word += 1)
      for (let bits = (open[word] as number) & (idle[word] as number); bits !== 0; bits &= bits - 1) {
        const heap = ready[word * 32 + 31 - Math.clz32(bits & -bits)] as MinHeap<number>;
        // What the order brought is still in its heap.
        while (heap.size > 0 && left[heap.peek() as number] === -1) heap.pop();
        if (heap.size === 0) open[word] = (open[word] as number) & ~(bits & -bits);
        else if (least === undefined || (heap.peek() as number) < (least.peek() as number)) least = heap;
      }
    return least;
  };
  const idleFirst = (): void => {
    for (let heap = smallestIdle(); heap !== undefined; heap = smallestIdle()) finish(heap.pop() as number);
  };
  for (let v = 0; v < count; v += 1) if (left[v] === 0) offer(v);
  idleFirst();
  for (let i = 0; i < order.length; i += 1) {
    const v = order[i] as number;
    if (left[v] === -1) continue;
    state = problem.next(state, v);
    finish(v);
    idleFirst();
  }
  return tidied;
}
