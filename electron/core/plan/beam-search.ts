/**
 * Beam search for an order of many nodes: of all states with the same number of nodes done, the most
 * promising few go on. Deterministic; the width says how much work it does, never the clock.
 *
 * A state that is only a candidate is a line of figures: it was walked to and gone back from. Only those
 * that are chosen get a walk of their own, so that the work does not grow with what is ready.
 */
import type { OrderingProblem } from './order.ts';
import { type Ground, Walk } from './walk.ts';

/** How much the guess of what is still to come counts against what has been paid; found by trying. */
const GUESS_WEIGHT = 0.5;
/** Of each state the cheapest few nodes are tried next. */
const BRANCHES_MAX = 4;

/** A state that was chosen. */
interface BeamState {
  readonly parent: BeamState | null;
  /** Nodes done on the way from the parent. */
  readonly steps: readonly number[];
  readonly state: number;
  readonly paid: number;
  walk: Walk | null;
  /** Candidates that may still be walked to from here. */
  pending: number;
}

interface Candidate {
  readonly from: BeamState;
  readonly node: number;
  readonly state: number;
  readonly paid: number;
  readonly worth: number;
  readonly mark: number;
}

class Beam {
  private readonly problem: OrderingProblem;
  private readonly ground: Ground;
  private readonly width: number;
  private readonly layers: Candidate[][];
  private readonly spare: Walk[] = [];

  constructor(problem: OrderingProblem, ground: Ground, width: number) {
    this.problem = problem;
    this.ground = ground;
    this.width = width;
    this.layers = Array.from({ length: ground.count + 1 }, () => []);
  }

  run(): readonly number[] {
    const { problem, layers } = this;
    const walk = Walk.begin(this.ground);
    walk.settle(problem.start);
    const steps = walk.doneSince(0);
    const start: BeamState = { parent: null, steps, state: problem.start, paid: 0, walk, pending: 0 };
    let last = start;
    if (walk.count < this.ground.count) this.expand(start, walk);
    for (let done = 0; done < layers.length; done += 1) {
      const layer = layers[done] as Candidate[];
      layers[done] = [];
      for (const candidate of layer) {
        const state = this.chosen(candidate);
        if (done === this.ground.count) return orderOf(state);
        this.expand(state, state.walk as Walk);
        last = state;
      }
    }
    return orderOf(last);
  }

  /** Tries what may come next, and goes back each time. */
  private expand(from: BeamState, walk: Walk): void {
    const { problem } = this;
    const done = walk.count;
    const { nodes, costs, count } = walk.cheapest(from.state, BRANCHES_MAX);
    from.pending = 1;
    for (let i = 0; i < count; i += 1) {
      const node = nodes[i] as number;
      const state = problem.next(from.state, node);
      const paid = from.paid + (costs[i] as number);
      walk.finish(node);
      walk.settle(state);
      const worth = paid + GUESS_WEIGHT * problem.outlook.guess(state, walk.tally);
      this.offer(walk.count, { from, node, state, paid, worth, mark: walk.mark });
      walk.undoTo(done);
    }
    this.release(from, 1);
  }

  /** Keeps the candidate where it is among the best of its layer; of equal states the one that costs less stays. */
  private offer(done: number, candidate: Candidate): void {
    const layer = this.layers[done] as Candidate[];
    candidate.from.pending += 1;
    let at = layer.length;
    for (let i = 0; i < layer.length; i += 1) {
      const other = layer[i] as Candidate;
      if (at === layer.length && candidate.worth < other.worth) at = i;
      if (other.mark !== candidate.mark || other.state !== candidate.state) continue;
      if (other.paid <= candidate.paid) {
        this.release(candidate.from, 1);
        return;
      }
      layer.splice(i, 1);
      this.release(other.from, 1);
      break;
    }
    layer.splice(Math.min(at, layer.length), 0, candidate);
    if (layer.length > this.width) this.release((layer.pop() as Candidate).from, 1);
  }

  /** Some candidates are settled; where none is left the walk can be used again. */
  private release(state: BeamState, settled: number): void {
    state.pending -= settled;
    if (state.pending > 0 || state.walk === null) return;
    this.spare.push(state.walk);
    state.walk = null;
  }

  /** Walks to a candidate: with the parent's own walk where no other needs it. */
  private chosen({ from, node, state, paid }: Candidate): BeamState {
    const parents = from.walk as Walk;
    let walk = parents;
    if (from.pending > 1) {
      walk = this.spare.pop() ?? Walk.begin(this.ground);
      walk.copyFrom(parents);
    } else from.walk = null;
    from.pending -= 1;
    const done = walk.count;
    walk.finish(node);
    walk.settle(state);
    const steps = walk.doneSince(done);
    return { parent: from, steps, state, paid, walk, pending: 0 };
  }
}

function orderOf(end: BeamState): readonly number[] {
  const pieces: (readonly number[])[] = [];
  for (let at: BeamState | null = end; at !== null; at = at.parent) pieces.push(at.steps);
  return pieces.reverse().flat();
}

/** The best order found with `width` states of each number of nodes done. */
export function beamOrder(problem: OrderingProblem, ground: Ground, width: number): readonly number[] {
  return new Beam(problem, ground, width).run();
}
