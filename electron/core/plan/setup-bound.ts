/**
 * How often one kind of set-up has to change at least, whatever the order: a search over what can be done
 * with 0, 1, 2 … changes, level by level. Where a level has more states than `width`, several are taken
 * together as if all they have done were done; that can only make the rest easier, so the answer stays a
 * lower bound (a relaxed decision diagram). Where nothing was taken together it is the exact number.
 *
 * Doing less never needs more changes, with one exception: a node that leaves another family than it needs
 * gives a change for nothing. Such gifts count one change each on the way and are taken off at the end.
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

/** Fewest paid changes of any order. Work grows with nodes × families × width. */
export function fewestChanges(precedence: Precedence, kind: OneKind, width: number): number {
  const { first, last, families } = kind;
  const isGift = (v: number): boolean => (last[v] ?? -1) > 0 && last[v] !== first[v];
  let gifts = 0;
  let spoils = false;
  for (let v = 0; v < precedence.count; v += 1) {
    if (isGift(v)) gifts += 1;
    if (first[v] === -1 && last[v] === 0) spoils = true;
  }

  if (gifts > GIFTS_FOR_WIDTH * width) return 0;

  /** All that costs nothing while a family is set up. */
  const inFamily = (state: Progress, family: number): Progress => {
    state.finishAll((v) => (first[v] === family ? !isGift(v) : first[v] === -1 && last[v] === -1));
    return state;
  };
  /** Nothing is set up any more: also what spoils a set-up costs nothing then. */
  const withNothing = (state: Progress): Progress => {
    state.finishAll((v) => first[v] === -1 && !isGift(v));
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
          if (isGift(v) && first[v] === family) take(state, v, later, last, inFamily);
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
