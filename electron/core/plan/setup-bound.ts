/**
 * How often one kind of set-up has to change at least, whatever the order. Two bounds, of which the larger
 * counts: `forcedChanges`, quick and with many nodes the better one, and `fewestChanges`, a search.
 *
 * A node that leaves another family than it needs gives a change for nothing. Both bounds count such gifts
 * and take them off at the end.
 */
import { type Precedence, Progress } from './progress.ts';

/** One kind of set-up over all nodes; families from 1, as in `setup-problem.ts`. */
export interface OneKind {
  readonly start: number;
  readonly families: number;
  /** Family each node needs first; −1 none. */
  readonly first: Int32Array;
  /** Family each node leaves: 0 = something nobody else uses, −1 = as it was. */
  readonly last: Int32Array;
}

/** True where the node leaves a family that it does not need. */
function isGift({ first, last }: OneKind, v: number): boolean {
  return (last[v] as number) > 0 && last[v] !== first[v];
}

/**
 * Changes that precedence forces, family by family. `sorted`: the nodes in an order that keeps precedence.
 *
 * Why it is a bound: take one family and any path of precedence. Where a node of the path leaves or needs
 * something else and a later one needs or leaves this family, the family has to be set up in between, in
 * every order; these times do not overlap. So the family is set up at least as often as the path goes over
 * to it, on the path where that is most. Each change sets up one family, so that the families add up; what
 * is set up at the start is not counted. A gift sets up one family without being paid, so as many as there
 * are gifts come off. Nodes that neither need nor leave anything are passed over. All in one pass: for each
 * node the most arrivals on any path to it, told apart by whether the family or something else came last.
 */
export function forcedChanges(
  { before, count }: Precedence,
  sorted: readonly number[],
  kind: OneKind,
): number {
  const { first, last, families, start } = kind;
  // Most arrivals by node and family, on a path that ends with the family and with something else; −1: none does.
  const having = new Int32Array(count * families);
  const lacking = new Int32Array(count * families);
  const most = new Int32Array(families);
  let gifts = 0;
  for (let i = 0; i < count; i += 1) {
    const v = sorted[i] as number;
    if (isGift(kind, v)) gifts += 1;
    const nodes = before[v] as readonly number[];
    const need = first[v] as number;
    const left = last[v] as number;
    const own = v * families;
    for (let f = 0; f < families; f += 1) {
      having[own + f] = f + 1 === start ? 0 : -1;
      lacking[own + f] = f + 1 === start ? -1 : 0;
    }
    for (let j = 0; j < nodes.length; j += 1)
      for (
        let f = 0, at = own, from = (nodes[j] as number) * families;
        f < families;
        f += 1, at += 1, from += 1
      ) {
        if ((having[from] as number) > (having[at] as number)) having[at] = having[from] as number;
        if ((lacking[from] as number) > (lacking[at] as number)) lacking[at] = lacking[from] as number;
      }
    for (let f = 0, at = own; f < families; f += 1, at += 1) {
      // What it needs, then what it leaves where that is something else.
      let family = need === -1 ? left : need;
      while (family !== -1) {
        const isOwn = family === f + 1;
        const arrivals = Math.max(having[at] as number, (lacking[at] as number) + (isOwn ? 1 : 0));
        having[at] = isOwn ? arrivals : -1;
        lacking[at] = isOwn ? -1 : arrivals;
        if (arrivals > (most[f] as number)) most[f] = arrivals;
        family = family === left ? -1 : left;
      }
    }
  }
  return Math.max(0, most.reduce((sum, arrivals) => sum + arrivals, 0) - gifts);
}

/** States that have everything done that another state of the list has done make that other one useless. */
function narrowed(states: Progress[], width: number): readonly Progress[] {
  if (states.length < 2) return states;
  states.sort((a, b) => b.count - a.count);
  const kept: Progress[] = [];
  for (const state of states) {
    if (kept.some((other) => state.isWithin(other))) continue;
    if (kept.length < width) kept.push(state);
    else kept[width - 1]?.addAll(state);
  }
  return kept;
}

/** With more gifts than this for each state kept, the states taken together have so much done that no change is left. */
const GIFTS_FOR_WIDTH = 8;

/**
 * Fewest paid changes of any order, by a search over what can be done with 0, 1, 2 … changes, level by level.
 * Where a level has more states than `width`, several are taken together as if all they have done were done;
 * that can only make the rest easier, so the answer stays a lower bound (a relaxed decision diagram). Where
 * nothing was taken together it is the exact number, but for gifts and nodes that spoil what they needed.
 * Doing less never needs more changes, gifts apart, which count one change each on the way. Work grows with
 * nodes × families × width.
 */
export function fewestChanges(precedence: Precedence, kind: OneKind, width: number): number {
  const { first, last, families } = kind;
  let gifts = 0;
  let spoils = false;
  for (let v = 0; v < precedence.count; v += 1) {
    if (isGift(kind, v)) gifts += 1;
    if (first[v] === -1 && last[v] === 0) spoils = true;
  }

  if (gifts > GIFTS_FOR_WIDTH * width) return 0;

  /** All that costs nothing while a family is set up. */
  const inFamily = (state: Progress, family: number): Progress => {
    state.finishAll((v) => (first[v] === family ? !isGift(kind, v) : first[v] === -1 && last[v] === -1));
    return state;
  };
  /** Nothing is set up any more: also what spoils a set-up costs nothing then. */
  const withNothing = (state: Progress): Progress => {
    state.finishAll((v) => first[v] === -1 && !isGift(kind, v));
    return state;
  };

  let entered: Progress[][] = Array.from({ length: families + 1 }, () => []);
  let later: Progress[][] = Array.from({ length: families + 1 }, () => []);
  entered[kind.start]?.push(inFamily(Progress.none(precedence), kind.start));
  for (let changes = 0; ; changes += 1) {
    const dropped: Progress[] = [];
    for (let family = 0; family <= families; family += 1)
      for (const state of narrowed(entered[family] as Progress[], width)) {
        inFamily(state, family);
        for (const v of state.ready)
          if (isGift(kind, v) && first[v] === family) take(state, v, later, last, inFamily);
        dropped.push(spoils ? withNothing(state.copy()) : state);
      }
    for (const state of narrowed(dropped, width)) {
      withNothing(state);
      if (state.count === precedence.count) return Math.max(0, changes - gifts);
      const wanted = new Set<number>();
      for (const v of state.ready) {
        const need = first[v] ?? -1;
        if (need > 0) wanted.add(need);
        else take(state, v, later, last, inFamily);
      }
      for (const family of wanted) later[family]?.push(inFamily(state.copy(), family));
    }
    for (const states of entered) states.length = 0;
    [entered, later] = [later, entered];
  }
}

/** Does a gift in a copy of the state and goes on in the family that it leaves. */
function take(
  state: Progress,
  gift: number,
  later: readonly Progress[][],
  last: Int32Array,
  inFamily: (state: Progress, family: number) => Progress,
): void {
  const copy = state.copy();
  copy.finishAt(copy.ready.indexOf(gift));
  const family = last[gift] ?? 0;
  later[family]?.push(inFamily(copy, family));
}
