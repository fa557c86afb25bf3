/**
 * Setup families as an ordering problem: each node works through one or more set-ups (a tool in the hand,
 * a side of the unit up, a place, a tray compartment) and each change of a set-up has a cost. Made for
 * `orderWithSetupCosts`.
 */
import type { OrderingProblem } from './order.ts';

/** One kind of set-up, e.g. the tool in the hand. */
export interface SetupKind {
  readonly weight: number;
  /** What is set up at the start: 0 = nothing of the families, or a family from 1. */
  readonly start: number;
  /** Families are 1…families. */
  readonly families: number;
}

/** What a node needs when it begins and leaves when it ends, for each kind of set-up. */
export interface SetupNode {
  /** Family needed first, or −1 where the node does not care. */
  readonly first: readonly number[];
  /** Family left set up; 0 = something nobody else uses; −1 = as it was. */
  readonly last: readonly number[];
}

interface Tables {
  readonly kinds: readonly SetupKind[];
  readonly nodes: readonly SetupNode[];
  readonly radix: readonly number[];
  readonly groups: Int32Array;
  readonly settled: readonly boolean[];
  readonly chain: readonly Float64Array[];
  readonly inner: readonly number[];
}

function groupsOf(nodes: readonly SetupNode[]): { groups: Int32Array; settled: boolean[] } {
  const numbers = new Map<string, number>();
  const settled: boolean[] = [];
  const groups = new Int32Array(nodes.length);
  for (const [v, node] of nodes.entries()) {
    const key = `${node.first.join(',')}|${node.last.join(',')}`;
    let group = numbers.get(key);
    if (group === undefined) {
      group = numbers.size;
      numbers.set(key, group);
      settled.push(node.first.every((first, k) => first === -1 || first === node.last[k]));
    }
    groups[v] = group;
  }
  return { groups, settled };
}

/** Nodes so that each comes after its predecessors. Acyclic input only. */
function topological(before: readonly (readonly number[])[]): {
  sorted: readonly number[];
  after: readonly number[][];
} {
  const count = before.length;
  const after: number[][] = Array.from({ length: count }, () => []);
  const degrees = new Int32Array(count);
  for (let v = 0; v < count; v += 1)
    for (const u of before[v] ?? []) {
      after[u]?.push(v);
      degrees[v] = (degrees[v] ?? 0) + 1;
    }
  const sorted: number[] = [];
  for (let v = 0; v < count; v += 1) if (degrees[v] === 0) sorted.push(v);
  for (let i = 0; i < sorted.length; i += 1)
    for (const w of after[sorted[i] ?? -1] ?? []) {
      degrees[w] = (degrees[w] ?? 0) - 1;
      if (degrees[w] === 0) sorted.push(w);
    }
  return { sorted, after };
}

/** The longest path below a node: family needed first on it with its changes, and the most on any path. */
interface Below {
  readonly family: number;
  readonly value: number;
  readonly any: number;
}

const NOTHING_BELOW: Below = { family: -1, value: 0, any: 0 };

/** Puts a node on top of what is below it. `any` never counts more than is certain. */
function onTop(below: Below, first: number, last: number): Below {
  if (first === -1) return below;
  const leaves = last === -1 ? first : last;
  const change = below.family !== -1 && below.family !== leaves ? 1 : 0;
  const inside = leaves === first ? 0 : 1;
  const value = Math.max(below.value + change, below.any) + inside;
  return { family: first, value, any: value };
}

/**
 * For each kind and node: changes forced on the longest path that begins with the node, and for each kind
 * the changes inside nodes, which are no changeovers and have to be taken off.
 */
function chains(
  nodes: readonly SetupNode[],
  before: readonly (readonly number[])[],
  kinds: number,
): { chain: Float64Array[]; inner: number[] } {
  const { sorted, after } = topological(before);
  const chain: Float64Array[] = [];
  const inner: number[] = [];
  for (let k = 0; k < kinds; k += 1) {
    const longest = new Float64Array(nodes.length);
    const below: Below[] = new Array<Below>(nodes.length).fill(NOTHING_BELOW);
    let changes = 0;
    for (let i = sorted.length - 1; i >= 0; i -= 1) {
      const v = sorted[i] ?? -1;
      let most = NOTHING_BELOW;
      for (const w of after[v] ?? []) {
        const path = below[w] ?? NOTHING_BELOW;
        const any = Math.max(most.any, path.any);
        most =
          path.family !== -1 && (most.family === -1 || path.value > most.value)
            ? { ...path, any }
            : { ...most, any };
      }
      const first = nodes[v]?.first[k] ?? -1;
      const last = nodes[v]?.last[k] ?? -1;
      if (first !== -1 && last !== -1 && last !== first) changes += 1;
      const here = onTop(most, first, last);
      below[v] = here;
      longest[v] = first === -1 ? here.any : here.value;
    }
    chain.push(longest);
    inner.push(changes);
  }
  return { chain, inner };
}

/** Builds the problem. `before[v]` are the nodes before v. Weights are ≥ 0. */
export function setupProblem(
  kinds: readonly SetupKind[],
  nodes: readonly SetupNode[],
  before: readonly (readonly number[])[],
): OrderingProblem {
  const radix: number[] = [];
  let place = 1;
  for (const kind of kinds) {
    radix.push(place);
    place *= kind.families + 1;
  }
  const tables: Tables = { kinds, nodes, radix, ...groupsOf(nodes), ...chains(nodes, before, kinds.length) };
  return {
    count: nodes.length,
    before,
    start: kinds.reduce((sum, kind, k) => sum + kind.start * (radix[k] ?? 0), 0),
    cost: (state, node) => setupCost(tables, state, node),
    next: (state, node) => nextState(tables, state, node),
    idleIsFree: true,
    groupOf: (node) => tables.groups[node] ?? 0,
    isSettled: (group) => tables.settled[group] ?? false,
    ...tallying(tables),
  };
}

function familyIn(tables: Tables, state: number, k: number): number {
  return Math.floor(state / (tables.radix[k] ?? 1)) % ((tables.kinds[k]?.families ?? 0) + 1);
}

function setupCost(tables: Tables, state: number, node: number): number {
  const { first } = tables.nodes[node] ?? { first: [] };
  let cost = 0;
  for (let k = 0; k < tables.kinds.length; k += 1) {
    const need = first[k] ?? -1;
    if (need !== -1 && need !== familyIn(tables, state, k)) cost += tables.kinds[k]?.weight ?? 0;
  }
  return cost;
}

function nextState(tables: Tables, state: number, node: number): number {
  const { last } = tables.nodes[node] ?? { last: [] };
  let next = state;
  for (let k = 0; k < tables.kinds.length; k += 1) {
    const left = last[k] ?? -1;
    if (left !== -1) next += (left - familyIn(tables, state, k)) * (tables.radix[k] ?? 0);
  }
  return next;
}

/** Families still to be entered, per kind: how many undone nodes need each first, or bring it about. */
function tallying(tables: Tables): Pick<OrderingProblem, 'newTally' | 'take' | 'bound'> {
  const offsets: number[] = [];
  let size = 0;
  for (const kind of tables.kinds) {
    offsets.push(size);
    size += 2 * (kind.families + 1);
  }
  const entry = (k: number, family: number): number => (offsets[k] ?? 0) + 2 * family;
  const start = new Float64Array(size);
  const count = (tally: Float64Array, node: number, by: number): void => {
    const { first, last } = tables.nodes[node] ?? { first: [], last: [] };
    for (let k = 0; k < tables.kinds.length; k += 1) {
      const need = first[k] ?? -1;
      const left = last[k] ?? -1;
      if (need > 0) tally[entry(k, need)] = (tally[entry(k, need)] ?? 0) + by;
      if (left > 0 && left !== need) tally[entry(k, left) + 1] = (tally[entry(k, left) + 1] ?? 0) + by;
    }
  };
  for (let v = 0; v < tables.nodes.length; v += 1) count(start, v, 1);
  return {
    newTally: () => start.slice(),
    take: (tally, node) => count(tally, node, -1),
    bound: (tally, state, ready) => {
      let bound = 0;
      for (let k = 0; k < tables.kinds.length; k += 1) {
        const kind = tables.kinds[k];
        if (kind === undefined) continue;
        const current = familyIn(tables, state, k);
        let distinct = 0;
        for (let family = 1; family <= kind.families; family += 1) {
          const at = entry(k, family);
          if (family !== current && (tally[at] ?? 0) > 0 && (tally[at + 1] ?? 0) === 0) distinct += 1;
        }
        bound += kind.weight * Math.max(distinct, pathChanges(tables, k, current, ready));
      }
      return bound;
    },
  };
}

function pathChanges(tables: Tables, k: number, current: number, ready: readonly number[]): number {
  const chain = tables.chain[k];
  let most = 0;
  for (const v of ready) {
    const first = tables.nodes[v]?.first[k] ?? -1;
    const enter = first > 0 && first !== current ? 1 : 0;
    most = Math.max(most, (chain?.[v] ?? 0) + enter);
  }
  return Math.max(0, most - (tables.inner[k] ?? 0));
}
