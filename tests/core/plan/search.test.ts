/** The parts of the search for an order, each by itself on examples small enough to work out by hand. */
import { describe, expect, test } from 'vitest';
import { lookaheadOrder } from '../../../electron/core/plan/lookahead-order.ts';
import { costOfOrder, isValidOrder, type OrderingProblem } from '../../../electron/core/plan/order.ts';
import { setupProblem } from '../../../electron/core/plan/setup-problem.ts';
import { type Choice, Ground, tidiedOrder, Walk } from '../../../electron/core/plan/walk.ts';

/** One kind of set-up, weight 5: what each node needs and leaves; −1 nothing. */
function oneKind(
  needs: readonly number[],
  before: readonly (readonly number[])[] = needs.map(() => []),
  leaves: readonly number[] = needs,
  start = 0,
): OrderingProblem {
  const families = Math.max(...needs, ...leaves, start);
  const nodes = { first: Int32Array.from(needs), last: Int32Array.from(leaves) };
  return setupProblem([{ weight: 5, families, start }], nodes, before);
}

const listed = ({ nodes, costs, count }: Choice) => ({
  nodes: [...nodes.subarray(0, count)],
  costs: [...costs.subarray(0, count)],
});
const groundOf = (problem: OrderingProblem): Ground => new Ground(problem, problem.precedence);

describe('moving pieces', () => {
  test('a run goes ahead to others of its kind, or back to them', () => {
    const problem = oneKind([1, 2, 1, 2, 1]);
    const better = problem.improved([0, 1, 2, 3, 4]);
    expect(costOfOrder(problem, [0, 1, 2, 3, 4])).toBe(25);
    expect(costOfOrder(problem, better)).toBe(10);
    expect(isValidOrder(problem, better)).toBe(true);
  });

  test('as far as precedence lets it', () => {
    // 2 waits for 1: the two of the first family cannot meet.
    const problem = oneKind([1, 2, 1], [[], [0], [1]]);
    expect(problem.improved([0, 1, 2])).toEqual([0, 1, 2]);
    // The last may go before the second, and the first not behind the last.
    const other = oneKind([1, 2, 1], [[], [0], [0]]);
    expect(other.improved([0, 1, 2])).toEqual([0, 2, 1]);
    // Here the first may go behind.
    const third = oneKind([1, 2, 1], [[], [], [1]]);
    expect(third.improved([0, 1, 2])).toEqual([1, 0, 2]);
  });

  test('what leaves something else goes where that is needed', () => {
    // 0 needs and leaves the second family, 1 turns the first into the second, 2 needs the first.
    const problem = oneKind([2, 1, 1], [[], [], []], [2, 2, 1]);
    expect(costOfOrder(problem, [0, 1, 2])).toBe(15);
    expect(costOfOrder(problem, problem.improved([0, 1, 2]))).toBe(5);
  });

  test('nodes that need nothing may stand between', () => {
    const problem = oneKind([1, -1, 2, -1, 1]);
    expect(costOfOrder(problem, problem.improved([0, 1, 2, 3, 4]))).toBe(10);
  });

  test('a good order stays', () => {
    const problem = oneKind([1, 1, 2, 2]);
    expect(problem.improved([0, 1, 2, 3])).toEqual([0, 1, 2, 3]);
  });
});

describe('what is still to come', () => {
  const guess = (problem: OrderingProblem, state: number, done: readonly number[] = []): number => {
    const walk = Walk.begin(groundOf(problem));
    for (const v of done) walk.finish(v);
    return problem.outlook.guess(state, walk.tally);
  };

  test('the changes on the longest path, and one more where it is not begun', () => {
    const chain = oneKind([1, 2, 1, 2], [[], [0], [1], [2]]);
    expect(guess(chain, 0)).toBe(20);
    expect(guess(chain, 1)).toBe(15);
    expect(guess(chain, 1, [0])).toBe(15);
    expect(guess(chain, 2, [0, 1])).toBe(10);
    expect(guess(chain, 1, [0, 1, 2])).toBe(5);
    expect(guess(chain, 2, [0, 1, 2, 3])).toBe(0);
  });

  test('of two paths the longer; nodes that need nothing are passed over', () => {
    const two = oneKind([1, -1, 2, 1, 1], [[], [0], [1], [], [3]]);
    expect(guess(two, 1)).toBe(5);
    expect(guess(two, 0)).toBe(10);
    expect(guess(two, 2, [0, 1, 2])).toBe(5);
  });
});

describe('walking', () => {
  test('the cheapest few come first, one of each settled group', () => {
    const problem = oneKind([2, 1, 2, 3, 1]);
    const walk = Walk.begin(groundOf(problem));
    expect(listed(walk.cheapest(3, 8))).toEqual({ nodes: [3, 0, 1], costs: [0, 5, 5] });
    expect(listed(walk.cheapest(1, 2))).toEqual({ nodes: [1, 0], costs: [0, 5] });
    // Nodes that leave something else are looked at one by one.
    const gifts = oneKind([1, 1, 1], undefined, [2, 2, 1]);
    expect(listed(Walk.begin(groundOf(gifts)).cheapest(0, 8)).nodes).toEqual([0, 1, 2]);
  });

  test('everything idle is done at once, with what becomes ready by it', () => {
    const problem = oneKind([1, 1, 2, -1], [[], [0], [1], [2]]);
    const walk = Walk.begin(groundOf(problem));
    walk.settle(1);
    expect(walk.doneSince(0)).toEqual([0, 1]);
    walk.finish(2);
    walk.settle(2);
    expect(walk.doneSince(1)).toEqual([1, 2, 3]);
    expect(walk.count).toBe(4);
    walk.undoTo(1);
    expect(walk.doneSince(0)).toEqual([0]);
    expect(walk.firstOf(problem.groupOf(1))).toBe(1);
  });

  test('looking ahead stays with what is set up', () => {
    expect(lookaheadOrder(oneKind([1, 2, 1, 2]), groundOf(oneKind([1, 2, 1, 2])))).toEqual([0, 2, 1, 3]);
    const held = oneKind([1, 2, 1, 2], undefined, undefined, 2);
    expect(lookaheadOrder(held, groundOf(held))).toEqual([1, 3, 0, 2]);
  });

  test('tidying does what is idle at once, small numbers first', () => {
    const problem = oneKind([1, -1, 1, 2, -1], [[], [], [], [], [3]]);
    expect(tidiedOrder(groundOf(problem), [2, 0, 3, 4, 1])).toEqual([1, 2, 0, 3, 4]);
    expect(tidiedOrder(groundOf(problem), [3, 4, 2, 0, 1])).toEqual([1, 3, 4, 2, 0]);
  });
});
