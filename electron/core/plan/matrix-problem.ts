/** The sequential ordering problem as an ordering problem, to hold the solver against published instances. */
import type { OrderingProblem } from './order.ts';
import { precedenceOf } from './progress.ts';

/**
 * The sequential ordering problem: `matrix[i][j]` is the cost of j directly after i, −1 where j must come
 * before i (as in published instances). The first node starts the order.
 */
export function matrixProblem(matrix: readonly (readonly number[])[]): OrderingProblem {
  const count = matrix.length;
  const before = matrix.map((row) => row.flatMap((cost, j) => (cost === -1 ? [j] : [])));
  const floors = matrix.map((_, j) => {
    let floor = Number.POSITIVE_INFINITY;
    for (let i = 0; i < count; i += 1) {
      const cost = matrix[i]?.[j] ?? -1;
      if (i !== j && cost >= 0) floor = Math.min(floor, cost);
    }
    return Number.isFinite(floor) ? floor : 0;
  });
  // Node 0 comes first and nothing leads to it.
  floors[0] = 0;
  const precedence = precedenceOf(
    before.map((list, j) => (j === 0 || list.includes(0) ? list : [...list, 0])),
  );
  return {
    count,
    before: precedence.before,
    precedence,
    start: -1,
    cost: (state, node) => (state === -1 ? 0 : Math.max(0, matrix[state]?.[node] ?? 0)),
    next: (_state, node) => node,
    isIdle: () => false,
    markIdle: () => {},
    groupOf: (node) => node,
    outlook: { size: 0, begin: () => {}, take: () => {}, giveBack: () => {}, guess: () => 0 },
    improved: (order) => order,
    relaxedBound: (tally) => tally[0] ?? 0,
    isSettled: () => false,
    newTally: () => Float64Array.of(floors.reduce((sum, floor) => sum + floor, 0)),
    take: (tally, node) => {
      tally[0] = (tally[0] ?? 0) - (floors[node] ?? 0);
    },
    bound: (tally) => tally[0] ?? 0,
  };
}
