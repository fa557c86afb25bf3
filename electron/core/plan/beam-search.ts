/**
 * Beam search for an order of many nodes: of all states with the same number of nodes done, the most
 * promising few go on. Deterministic; the width says how much work it does, never the clock.
 */
import type { OrderingProblem } from './order.ts';
import { type Precedence, Progress } from './progress.ts';

/** How much the guess of what is still to come counts against what has been paid; found by trying. */
const GUESS_WEIGHT = 0.5;
/** Of each state the cheapest few nodes are tried next. */
const BRANCHES_MAX = 4;

interface BeamState {
  readonly parent: BeamState | null;
  /** Nodes done on the way from the parent. */
  readonly steps: readonly number[];
  readonly progress: Progress;
  readonly state: number;
  readonly paid: number;
  readonly worth: number;
}

/** The best order found with `width` states of each number of nodes done. */
export function beamOrder(
  problem: OrderingProblem,
  precedence: Precedence,
  width: number,
): readonly number[] {
  const { count } = precedence;
  const layers: BeamState[][] = Array.from({ length: count + 1 }, () => []);
  const settle = (parent: BeamState | null, node: number): void => {
    const progress = parent === null ? Progress.none(precedence) : parent.progress.copy();
    const steps: number[] = [];
    let state = problem.start;
    let paid = 0;
    if (parent !== null) {
      state = problem.next(parent.state, node);
      paid = parent.paid + problem.cost(parent.state, node);
      steps.push(node);
      progress.finishAt(progress.ready.indexOf(node));
    }
    progress.finishAll((v) => problem.isIdle(state, v), steps);
    const worth = paid + GUESS_WEIGHT * problem.guess(state, progress.ready);
    layers[progress.count]?.push({ parent, steps, progress, state, paid, worth });
  };
  settle(null, -1);
  for (let done = 0; done < count; done += 1) {
    const layer = layers[done] ?? [];
    layers[done] = [];
    for (const from of chosen(layer, width)) for (const node of choices(problem, from)) settle(from, node);
  }
  const ends = layers[count] ?? [];
  let best = ends[0];
  for (const end of ends) if (best === undefined || end.paid < best.paid) best = end;
  const pieces: (readonly number[])[] = [];
  for (let at: BeamState | null = best ?? null; at !== null; at = at.parent) pieces.push(at.steps);
  return pieces.reverse().flat();
}

/** The best states, each set of nodes done with each set-up once. */
function chosen(layer: BeamState[], width: number): readonly BeamState[] {
  if (layer.length < 2) return layer;
  layer.sort((a, b) => a.worth - b.worth);
  const kept: BeamState[] = [];
  for (const state of layer) {
    if (kept.some((k) => k.progress.mark === state.progress.mark && k.state === state.state)) continue;
    kept.push(state);
    if (kept.length === width) break;
  }
  return kept;
}

/** The cheapest of what may come next: one node of each settled group, every other ready node. */
function choices(problem: OrderingProblem, from: BeamState): readonly number[] {
  const nodes: number[] = [];
  const costs: number[] = [];
  const groups = new Set<number>();
  for (const node of from.progress.ready) {
    const cost = problem.cost(from.state, node);
    if (nodes.length === BRANCHES_MAX && cost >= (costs[BRANCHES_MAX - 1] ?? 0)) continue;
    const group = problem.groupOf(node);
    if (problem.isSettled(group)) {
      if (groups.has(group)) continue;
      groups.add(group);
    }
    let at = costs.length;
    while (at > 0 && (costs[at - 1] ?? 0) > cost) at -= 1;
    costs.splice(at, 0, cost);
    nodes.splice(at, 0, node);
    if (nodes.length > BRANCHES_MAX) {
      nodes.pop();
      costs.pop();
    }
  }
  return nodes;
}
