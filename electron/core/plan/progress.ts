/**
 * How far an order has come: which nodes are done and which could be next. Small enough to be copied for
 * every state of a search; made for `setup-bound.ts`.
 */

/** Precedence in both directions. */
export interface Precedence {
  readonly count: number;
  readonly before: readonly (readonly number[])[];
  readonly after: readonly (readonly number[])[];
}

/** Precedence from the nodes before each node; must be acyclic. */
export function precedenceOf(before: readonly (readonly number[])[]): Precedence {
  const count = before.length;
  const left = new Int32Array(count);
  for (let v = 0; v < count; v += 1) {
    const list = before[v] as readonly number[];
    for (let i = 0; i < list.length; i += 1) {
      const u = list[i] as number;
      left[u] = (left[u] as number) + 1;
    }
  }
  // Each list as long as it has to be from the start: growing ones take ten times the room.
  const after = before.map((_, u) => new Array<number>(left[u] as number));
  for (let v = count - 1; v >= 0; v -= 1) {
    const list = before[v] as readonly number[];
    for (let i = list.length - 1; i >= 0; i -= 1) {
      const u = list[i] as number;
      left[u] = (left[u] as number) - 1;
      (after[u] as number[])[left[u] as number] = v;
    }
  }
  return { count: before.length, before, after };
}

/** Nodes so that each comes after its predecessors. */
export function topological({ count, before, after }: Precedence): readonly number[] {
  const waiting = before.map((nodes) => nodes.length);
  const sorted: number[] = [];
  for (let v = 0; v < count; v += 1) if (waiting[v] === 0) sorted.push(v);
  for (let i = 0; i < sorted.length; i += 1)
    for (const w of after[sorted[i] ?? -1] ?? []) {
      waiting[w] = (waiting[w] ?? 0) - 1;
      if (waiting[w] === 0) sorted.push(w);
    }
  return sorted;
}

/** True where no node has to wait for itself; nodes below 0 count as none. */
export function isAcyclic(before: readonly (readonly number[])[]): boolean {
  const NEW = 0;
  const BEGUN = 1;
  const DONE = 2;
  const state = new Uint8Array(before.length);
  // The path from the root to the node in hand, and which of its predecessors each node of it looks at.
  const path = new Int32Array(before.length);
  const at = new Int32Array(before.length);
  for (let root = 0; root < before.length; root += 1) {
    if (state[root] !== NEW) continue;
    let depth = 0;
    path[0] = root;
    state[root] = BEGUN;
    while (depth >= 0) {
      const v = path[depth] as number;
      const u = before[v]?.[at[v] as number];
      at[v] = (at[v] as number) + 1;
      if (u === undefined) {
        state[v] = DONE;
        depth -= 1;
      } else if (u >= 0 && state[u] !== DONE) {
        if (state[u] === BEGUN) return false;
        state[u] = BEGUN;
        depth += 1;
        path[depth] = u;
      }
    }
  }
  return true;
}

export class Progress {
  readonly precedence: Precedence;
  /** Nodes that are not done and whose predecessors all are, in no order. */
  ready: number[];
  /** Nodes done. */
  count: number;
  /** 32 nodes to a number; plain numbers, because small typed arrays are dear to make and to clear away. */
  private readonly done: number[];

  private constructor(precedence: Precedence, ready: number[], count: number, done: number[]) {
    this.precedence = precedence;
    this.ready = ready;
    this.count = count;
    this.done = done;
  }

  /** Nothing is done yet. */
  static none(precedence: Precedence): Progress {
    const ready: number[] = [];
    for (let v = 0; v < precedence.count; v += 1) if (precedence.before[v]?.length === 0) ready.push(v);
    return new Progress(precedence, ready, 0, new Array<number>(Math.ceil(precedence.count / 32)).fill(0));
  }

  copy(): Progress {
    return new Progress(this.precedence, this.ready.slice(), this.count, this.done.slice());
  }

  has(node: number): boolean {
    return (((this.done[node >> 5] ?? 0) >>> (node & 31)) & 1) === 1;
  }

  private mayBegin(node: number): boolean {
    for (const u of this.precedence.before[node] ?? []) if (!this.has(u)) return false;
    return true;
  }

  /** Does the ready node at this place of `ready`; the last one takes its place, new ones come behind. */
  finishAt(at: number): void {
    const { ready, done, precedence } = this;
    const node = ready[at] ?? -1;
    const last = ready.pop() ?? -1;
    if (at < ready.length) ready[at] = last;
    done[node >> 5] = (done[node >> 5] ?? 0) | (1 << (node & 31));
    this.count += 1;
    for (const w of precedence.after[node] ?? []) if (this.mayBegin(w)) ready.push(w);
  }

  /** Does every ready node that fits, and those that become ready by it. */
  finishAll(fits: (node: number) => boolean): void {
    const { ready } = this;
    // A node that did not fit stays so: only new ones have to be looked at again.
    for (let at = 0; at < ready.length; ) {
      const node = ready[at] ?? -1;
      if (fits(node)) this.finishAt(at);
      else at += 1;
    }
  }

  /** True where everything done here is done there too. */
  isWithin(other: Progress): boolean {
    if (this.count > other.count) return false;
    for (let i = 0; i < this.done.length; i += 1)
      if (((this.done[i] ?? 0) & ~(other.done[i] ?? 0)) !== 0) return false;
    return true;
  }

  /** Adds everything that is done there. */
  addAll(other: Progress): void {
    const { done } = this;
    const news: number[] = [];
    for (let i = 0; i < done.length; i += 1) {
      let more = (other.done[i] ?? 0) & ~(done[i] ?? 0);
      done[i] = (done[i] ?? 0) | more;
      while (more !== 0) {
        const bit = 31 - Math.clz32(more & -more);
        news.push(i * 32 + bit);
        more &= more - 1;
      }
    }
    if (news.length === 0) return;
    this.count += news.length;
    const ready = new Set(this.ready);
    for (const v of news) for (const w of this.precedence.after[v] ?? []) if (this.mayBegin(w)) ready.add(w);
    this.ready = [...ready].filter((v) => !this.has(v));
  }
}
