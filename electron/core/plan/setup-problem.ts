/**
 * Setup families as an ordering problem: each node works through one or more set-ups (a tool in the hand,
 * a side of the unit up, a place, a tray compartment) and each change of a set-up has a cost. Made for
 * `orderWithSetupCosts`.
 */
import { type FlatSetups, improvedOrder } from './local-search.ts';
import type { OrderingProblem, Outlook } from './order.ts';
import { type Precedence, precedenceOf, topological } from './progress.ts';
import { fewestChanges, forcedChanges } from './setup-bound.ts';

/** One kind of set-up, e.g. the tool in the hand. */
export interface SetupKind {
  readonly weight: number;
  /** What is set up at the start: 0 = nothing of the families, or a family from 1. */
  readonly start: number;
  /** Families are 1…families. */
  readonly families: number;
}

/** What nodes need when they begin and leave when they end, for each kind of set-up: at `node × kinds + kind`. */
export interface SetupNodes {
  /** Family needed first, or −1 where the node does not care. */
  readonly first: Int32Array;
  /** Family left set up; 0 = something nobody else uses; −1 = as it was. */
  readonly last: Int32Array;
}

/** Kinds with more families than this are left out of the bound: what they add is small, what they cost is not. */
const FAMILIES_MAX = 40;

interface Tables {
  readonly kinds: readonly SetupKind[];
  readonly count: number;
  readonly nodes: SetupNodes;
  readonly radix: readonly number[];
  readonly machine: Machine;
  readonly groups: Int32Array;
  readonly settled: readonly boolean[];
  /** Nodes that need nothing of a kind and leave a family of it: worth keeping for when it helps. */
  readonly giving: Uint8Array;
  readonly chain: readonly Int32Array[];
  /** Family needed first on that path. */
  readonly below: readonly Int32Array[];
  readonly inner: readonly number[];
}

/** 1 for each node that needs nothing of a kind and leaves a family of it. */
function givingNodes({ first, last }: SetupNodes, count: number, kinds: number): Uint8Array {
  const giving = new Uint8Array(count);
  for (let v = 0, at = 0; v < count; v += 1)
    for (let k = 0; k < kinds; k += 1, at += 1)
      if (first[at] === -1 && (last[at] as number) > 0) giving[v] = 1;
  return giving;
}

/** Nodes that need and leave the same have one group; groups are numbered as they come. */
function groupsOf(
  { first, last }: SetupNodes,
  count: number,
  kinds: readonly SetupKind[],
  giving: Uint8Array,
): { groups: Int32Array; settled: boolean[] } {
  const groups = new Int32Array(count);
  // Kind by kind: what was one group falls apart.
  for (let k = 0; k < kinds.length; k += 1) {
    const width = (kinds[k]?.families ?? 0) + 2;
    const numbers = new Map<number, number>();
    for (let v = 0, at = k; v < count; v += 1, at += kinds.length) {
      const key =
        ((groups[v] as number) * width + (first[at] as number) + 1) * width + (last[at] as number) + 1;
      let group = numbers.get(key);
      if (group === undefined) {
        group = numbers.size;
        numbers.set(key, group);
      }
      groups[v] = group;
    }
  }
  const settled: boolean[] = [];
  for (let v = 0; v < count; v += 1) {
    if (groups[v] !== settled.length) continue;
    let isSettled = giving[v] === 0;
    for (let k = 0, at = v * kinds.length; k < kinds.length; k += 1, at += 1)
      if (first[at] !== -1 && first[at] !== last[at]) isSettled = false;
    settled.push(isSettled);
  }
  return { groups, settled };
}

/**
 * For each kind and node: changes forced on the longest path that begins with the node, and for each kind
 * the changes inside nodes, which are no changeovers and have to be taken off. Per node this keeps the
 * family needed first on the longest path below it, the changes there, and the most changes on any path
 * below; the last never counts more than is certain.
 */
function chains(
  nodes: SetupNodes,
  { count, after }: Precedence,
  sorted: readonly number[],
  kinds: number,
): { chain: Int32Array[]; below: Int32Array[]; inner: number[] } {
  const chain: Int32Array[] = [];
  const below: Int32Array[] = [];
  const inner: number[] = [];
  const value = new Int32Array(count);
  for (let k = 0; k < kinds; k += 1) {
    const any = new Int32Array(count);
    const family = new Int32Array(count);
    let changes = 0;
    for (let i = sorted.length - 1; i >= 0; i -= 1) {
      const v = sorted[i] as number;
      let belowFamily = -1;
      let belowValue = 0;
      let belowAny = 0;
      const later = after[v] as readonly number[];
      for (let j = 0; j < later.length; j += 1) {
        const w = later[j] as number;
        if ((any[w] as number) > belowAny) belowAny = any[w] as number;
        if (family[w] !== -1 && (belowFamily === -1 || (value[w] as number) > belowValue)) {
          belowFamily = family[w] as number;
          belowValue = value[w] as number;
        }
      }
      const first = nodes.first[v * kinds + k] as number;
      const last = nodes.last[v * kinds + k] as number;
      if (first === -1 ? last > 0 : last !== -1 && last !== first) changes += 1;
      if (first !== -1) {
        const leaves = last === -1 ? first : last;
        const change = belowFamily !== -1 && belowFamily !== leaves ? 1 : 0;
        belowValue = Math.max(belowValue + change, belowAny) + (leaves === first ? 0 : 1);
        belowFamily = first;
        belowAny = belowValue;
      }
      family[v] = belowFamily;
      value[v] = belowValue;
      any[v] = belowAny;
    }
    chain.push(any);
    below.push(family);
    inner.push(changes);
  }
  return { chain, below, inner };
}

/** Builds the problem. `before[v]` are the nodes before v. Weights are ≥ 0. */
export function setupProblem(
  kinds: readonly SetupKind[],
  nodes: SetupNodes,
  before: readonly (readonly number[])[],
): OrderingProblem {
  const radix: number[] = [];
  let place = 1;
  for (const kind of kinds) {
    radix.push(place);
    place *= kind.families + 1;
  }
  const machine = new Machine(kinds, nodes, radix);
  const precedence = precedenceOf(before);
  const sorted = topological(precedence);
  const { count } = precedence;
  const giving = givingNodes(nodes, count, kinds.length);
  const tables: Tables = {
    machine,
    giving,
    kinds,
    count,
    nodes,
    radix,
    ...groupsOf(nodes, count, kinds, giving),
    ...chains(nodes, precedence, sorted, kinds.length),
  };
  const idle = new IdleGroups(tables);
  return {
    count,
    before,
    precedence,
    start: kinds.reduce((sum, kind, k) => sum + kind.start * (radix[k] ?? 0), 0),
    cost: (state, node) => machine.cost(state, node),
    next: (state, node) => machine.next(state, node),
    isIdle: (state, node) => tables.giving[node] === 0 && machine.isUntouched(state, node),
    markIdle: (state, groups) => idle.mark(state, groups),
    groupOf: (node) => tables.groups[node] ?? 0,
    isSettled: (group) => tables.settled[group] ?? false,
    outlook: new LongestPaths(tables),
    improved: (order) => improvedOrder(machine.flat(kinds), precedence, order),
    ...tallying(tables, precedence, sorted),
  };
}

/** Which groups are idle in a state: those that every single kind leaves alone. */
class IdleGroups {
  private readonly machine: Machine;
  /** By kind and family set up: a bit for each group that needs and leaves just that, or neither. */
  private readonly untouched: readonly (readonly Int32Array[])[];

  constructor({ machine, kinds, count, nodes, groups, settled, giving }: Tables) {
    this.machine = machine;
    const words = Math.ceil(settled.length / 32);
    this.untouched = kinds.map(({ families }) =>
      Array.from({ length: families + 1 }, () => new Int32Array(words)),
    );
    const seen = new Uint8Array(settled.length);
    for (let v = 0; v < count; v += 1) {
      const group = groups[v] as number;
      if (seen[group] === 1 || giving[v] === 1) continue;
      seen[group] = 1;
      for (let k = 0, at = v * kinds.length; k < kinds.length; k += 1, at += 1) {
        const first = nodes.first[at] as number;
        const last = nodes.last[at] as number;
        const families = this.untouched[k] as readonly Int32Array[];
        for (let family = 0; family < families.length; family += 1) {
          if ((first !== -1 && first !== family) || (last !== -1 && last !== family)) continue;
          const marks = families[family] as Int32Array;
          marks[group >> 5] = (marks[group >> 5] as number) | (1 << (group & 31));
        }
      }
    }
  }

  mark(state: number, groups: Int32Array): void {
    groups.fill(-1);
    for (let k = 0; k < this.untouched.length; k += 1) {
      const marks = this.untouched[k]?.[this.machine.familyIn(state, k)];
      for (let i = 0; i < groups.length; i += 1) groups[i] = (groups[i] as number) & (marks?.[i] ?? 0);
    }
  }
}

/**
 * The changes on the longest path that is still to come, kind by kind: what is left costs about this much.
 * The figures say for each kind how many undone nodes begin a path of how many changes, and with which
 * family; the longest is looked for downward from the longest known.
 */
class LongestPaths implements Outlook {
  readonly size: number;
  private readonly tables: Tables;
  /** For each kind: where its figures are, how many a number of changes has. */
  private readonly at: readonly number[];
  private readonly row: readonly number[];
  /** Figures that count a node, from `begin[node]` to before `begin[node + 1]`. */
  private readonly begins: Int32Array;
  private readonly places: Int32Array;
  /** Changes on the longest path from each node, kind by kind. */
  private readonly changes: Int32Array;

  constructor(tables: Tables) {
    this.tables = tables;
    const { kinds, count, chain, below } = tables;
    const most = chain.map((changes) => changes.reduce((most, own) => Math.max(most, own), 0));
    // Families are told apart where that takes little room: a walk is copied with all of its figures.
    this.row = most.map((most, k) => {
      const detailed = (kinds[k]?.families ?? 0) + 2;
      return (most + 1) * detailed <= 4 * count + 64 ? detailed : 1;
    });
    let size = kinds.length;
    this.at = most.map((most, k) => {
      const at = size;
      size += (most + 1) * (this.row[k] as number);
      return at;
    });
    this.size = size;
    this.begins = new Int32Array(count + 1);
    this.changes = new Int32Array(count * kinds.length);
    const places = new Int32Array(2 * count * kinds.length);
    let end = 0;
    for (let v = 0; v < count; v += 1) {
      for (let k = 0; k < kinds.length; k += 1) {
        const own = (chain[k] as Int32Array)[v] as number;
        const family = (below[k] as Int32Array)[v] as number;
        this.changes[v * kinds.length + k] = own;
        if (family === -1 && own === 0) continue;
        const at = (this.at[k] as number) + own * (this.row[k] as number);
        places[end] = at;
        end += 1;
        if (family === -1 || this.row[k] === 1) continue;
        places[end] = at + 1 + family;
        end += 1;
      }
      this.begins[v + 1] = end;
    }
    this.places = places.slice(0, end);
  }

  begin(figures: Int32Array): void {
    for (let v = 0; v < this.tables.count; v += 1) this.giveBack(figures, v);
  }

  take(figures: Int32Array, node: number): void {
    const { begins, places } = this;
    for (let i = begins[node] as number, end = begins[node + 1] as number; i < end; i += 1) {
      const at = places[i] as number;
      figures[at] = (figures[at] as number) - 1;
    }
  }

  giveBack(figures: Int32Array, node: number): void {
    const { begins, places, changes } = this;
    const kinds = this.row.length;
    for (let k = 0, i = node * kinds; k < kinds; k += 1, i += 1)
      if ((changes[i] as number) > (figures[k] as number)) figures[k] = changes[i] as number;
    for (let i = begins[node] as number, end = begins[node + 1] as number; i < end; i += 1) {
      const at = places[i] as number;
      figures[at] = (figures[at] as number) + 1;
    }
  }

  guess(state: number, figures: Int32Array): number {
    const { kinds, machine } = this.tables;
    let sum = 0;
    for (let k = 0; k < kinds.length; k += 1) {
      const { weight, families } = kinds[k] as SetupKind;
      if (families === 0) continue;
      const row = this.row[k] as number;
      let most = figures[k] as number;
      let at = (this.at[k] as number) + most * row;
      while (most > 0 && figures[at] === 0) {
        most -= 1;
        at -= row;
      }
      figures[k] = most;
      if (row > 1) {
        const current = machine.familyIn(state, k);
        let entering = 0;
        for (let family = 1; family <= families; family += 1)
          if (family !== current) entering += figures[at + 1 + family] as number;
        if (entering > 0) most += 1;
      }
      sum += weight * most;
    }
    return sum;
  }
}

/** Reads states and nodes from flat tables; remembers the digits of the state it saw last. */
class Machine {
  private readonly kinds: number;
  private readonly weights: readonly number[];
  private readonly radix: readonly number[];
  private readonly sizes: readonly number[];
  private readonly first: Int32Array;
  private readonly last: Int32Array;
  private readonly digits: Int32Array;
  private state = Number.NaN;

  constructor(kinds: readonly SetupKind[], { first, last }: SetupNodes, radix: readonly number[]) {
    this.kinds = kinds.length;
    this.weights = kinds.map((k) => k.weight);
    this.sizes = kinds.map((k) => k.families + 1);
    this.radix = radix;
    this.first = first;
    this.last = last;
    this.digits = new Int32Array(kinds.length);
  }

  /** The tables as they are. */
  flat(kinds: readonly SetupKind[]): FlatSetups {
    const { weights, first, last } = this;
    return { weights, first, last, start: kinds.map((kind) => kind.start) };
  }

  /** Families needed and left of one kind, by node. */
  kindOnly(k: number): { first: Int32Array; last: Int32Array } {
    const of = (all: Int32Array): Int32Array => {
      const one = new Int32Array(all.length / this.kinds);
      for (let v = 0; v < one.length; v += 1) one[v] = all[v * this.kinds + k] as number;
      return one;
    };
    return { first: of(this.first), last: of(this.last) };
  }

  /** The family set up of kind k. */
  familyIn(state: number, k: number): number {
    this.read(state);
    return this.digits[k] ?? 0;
  }

  private read(state: number): void {
    if (state === this.state) return;
    this.state = state;
    for (let k = 0; k < this.kinds; k += 1)
      this.digits[k] = Math.floor(state / (this.radix[k] as number)) % (this.sizes[k] as number);
  }

  cost(state: number, node: number): number {
    this.read(state);
    let cost = 0;
    for (let k = 0, at = node * this.kinds; k < this.kinds; k += 1, at += 1) {
      const need = this.first[at] as number;
      if (need !== -1 && need !== this.digits[k]) cost += this.weights[k] as number;
    }
    return cost;
  }

  /** True where the node finds every set-up that it needs and leaves every one as it is. */
  isUntouched(state: number, node: number): boolean {
    this.read(state);
    for (let k = 0, at = node * this.kinds; k < this.kinds; k += 1, at += 1) {
      const digit = this.digits[k];
      const need = this.first[at];
      const left = this.last[at];
      if ((need !== -1 && need !== digit) || (left !== -1 && left !== digit)) return false;
    }
    return true;
  }

  next(state: number, node: number): number {
    this.read(state);
    const { digits } = this;
    let next = state;
    for (let k = 0, at = node * this.kinds; k < this.kinds; k += 1, at += 1) {
      const left = this.last[at] as number;
      if (left === -1) continue;
      next += (left - (digits[k] as number)) * (this.radix[k] as number);
      // Mostly it is the next state that is asked about then.
      digits[k] = left;
    }
    this.state = next;
    return next;
  }
}

/**
 * What is left, per kind: how many undone nodes lead from family to family. Nodes are arcs from the family
 * they need to the family they leave; an order without changeovers is one trail through all arcs. So the
 * fewest changeovers are the fewest trails that cover the arcs, less one: for each connected component
 * the sum of max(0, out − in), at least one (Euler). Precedence is left out, which keeps it a bound; the
 * longest forced path of `chains` is another, and before the first node those of `setup-bound.ts`. A node that needs nothing but leaves a family can save
 * one changeover; those are counted apart and taken off.
 */
function tallying(
  tables: Tables,
  precedence: Precedence,
  sorted: readonly number[],
): Pick<OrderingProblem, 'newTally' | 'take' | 'bound' | 'relaxedBound'> {
  const offsets: number[] = [];
  let size = 0;
  for (const kind of tables.kinds) {
    offsets.push(size);
    if (kind.families <= FAMILIES_MAX) size += (kind.families + 1) ** 2 + 1;
  }
  const count = (tally: Float64Array, node: number, by: number): void => {
    const { first, last } = tables.nodes;
    for (let k = 0, place = node * tables.kinds.length; k < tables.kinds.length; k += 1, place += 1) {
      const need = first[place] as number;
      const left = last[place] as number;
      if ((need <= 0 && left <= 0) || (tables.kinds[k]?.families ?? 0) > FAMILIES_MAX) continue;
      const width = (tables.kinds[k]?.families ?? 0) + 1;
      const arc = need <= 0 ? width * width : need * width + (left === -1 ? need : left);
      const at = (offsets[k] ?? 0) + arc;
      tally[at] = (tally[at] ?? 0) + by;
    }
  };
  const start = new Float64Array(size);
  for (let v = 0; v < tables.count; v += 1) count(start, v, 1);
  const changesLeft = (k: number, tally: Float64Array, state: number, ready: readonly number[]): number => {
    const families = tables.kinds[k]?.families ?? 0;
    if (families === 0 || families > FAMILIES_MAX) return 0;
    const current = tables.machine.familyIn(state, k);
    const offset = offsets[k] ?? 0;
    const width = families + 1;
    const gifts = tally[offset + width * width] ?? 0;
    const trails = fewestTrails(tally, offset, width, current);
    return Math.max(trails - 1 - gifts, pathChanges(tables, k, current, ready));
  };
  return {
    newTally: () => start.slice(),
    take: (tally, node) => count(tally, node, -1),
    bound: (tally, state, ready) =>
      tables.kinds.reduce((sum, { weight }, k) => sum + weight * changesLeft(k, tally, state, ready), 0),
    relaxedBound: (tally, state, ready, width) =>
      tables.kinds.reduce((sum, { weight, start: first, families }, k) => {
        const known = changesLeft(k, tally, state, ready);
        if (families === 0 || families > FAMILIES_MAX) return sum + weight * known;
        const kind = { start: first, families, ...tables.machine.kindOnly(k) };
        const searched = width > 0 ? fewestChanges(precedence, kind, width) : 0;
        return sum + weight * Math.max(known, searched, forcedChanges(precedence, sorted, kind));
      }, 0),
  };
}

/** Fewest trails that cover all arcs, the first of them beginning in `current`. */
function fewestTrails(tally: Float64Array, offset: number, width: number, current: number): number {
  const group = new Int32Array(width);
  const balance = new Int32Array(width);
  group.fill(-1);
  // The start is an arc into `current` from nowhere: it opens one trail and lengthens it.
  group[current] = current;
  balance[current] = -1;
  let trails = 1;
  const root = (f: number): number => {
    let r = f;
    while (group[r] !== r && group[r] !== -1) r = group[r] ?? r;
    return r;
  };
  for (let f = 0; f < width; f += 1)
    for (let g = 0; g < width; g += 1) {
      const arcs = tally[offset + f * width + g] ?? 0;
      if (arcs === 0) continue;
      balance[f] = (balance[f] ?? 0) + arcs;
      balance[g] = (balance[g] ?? 0) - arcs;
      if (group[f] === -1) group[f] = f;
      if (group[g] === -1) group[g] = g;
      group[root(f)] = root(g);
    }
  const home = root(current);
  for (let r = 0; r < width; r += 1) {
    if (group[r] !== r) continue;
    let open = 0;
    for (let f = 0; f < width; f += 1) {
      const b = balance[f] ?? 0;
      if (b > 0 && group[f] !== -1 && root(f) === r) open += b;
    }
    trails += r === home ? open : Math.max(1, open);
  }
  return trails;
}

function pathChanges(tables: Tables, k: number, current: number, ready: readonly number[]): number {
  const chain = tables.chain[k];
  let most = 0;
  for (const v of ready) {
    const first = tables.nodes.first[v * tables.kinds.length + k] as number;
    const enter = first > 0 && first !== current ? 1 : 0;
    most = Math.max(most, (chain?.[v] ?? 0) + enter);
  }
  return Math.max(0, most - (tables.inner[k] ?? 0));
}
