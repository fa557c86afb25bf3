/**
 * A quick order of many nodes: of the cheapest few that may come next, the one after which least is paid
 * and left to pay. Each is walked to and gone back from, so that the work does not grow with what is ready.
 */
import type { OrderingProblem } from './order.ts';
import { type Ground, Walk } from './walk.ts';

/** Of what may come next, the cheapest few are looked at. */
const BRANCHES_MAX = 8;
/** How much the guess of what is still to come and each node done by the way count, in cost; found by trying. */
const GUESS_WEIGHT = 0.7;
const DONE_WEIGHT = 0.5;

/** An order by looking one choice ahead. */
export function lookaheadOrder(problem: OrderingProblem, ground: Ground): readonly number[] {
  const { outlook } = problem;
  const walk = Walk.begin(ground);
  let state = problem.start;
  walk.settle(state);
  while (walk.count < ground.count) {
    const { nodes, costs, count } = walk.cheapest(state, BRANCHES_MAX);
    const done = walk.count;
    let best = -1;
    let least = Number.POSITIVE_INFINITY;
    for (let i = 0; i < count; i += 1) {
      const node = nodes[i] as number;
      const then = problem.next(state, node);
      walk.finish(node);
      walk.settle(then);
      const left = outlook.guess(then, walk.tally);
      const worth = (costs[i] as number) + GUESS_WEIGHT * left - DONE_WEIGHT * (walk.count - done);
      walk.undoTo(done);
      if (worth < least) {
        best = node;
        least = worth;
      }
    }
    state = problem.next(state, best);
    walk.finish(best);
    walk.settle(state);
  }
  return walk.doneSince(0);
}
