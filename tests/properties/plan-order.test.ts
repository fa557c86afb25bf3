/** The ordering solver against brute force over all orders of small random problems. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type RandomSource, randomFromSeed } from '../../electron/core/base/random.ts';
import { beamOrder } from '../../electron/core/plan/beam-search.ts';
import { matrixProblem } from '../../electron/core/plan/matrix-problem.ts';
import {
  costOfOrder,
  isValidOrder,
  type OrderingProblem,
  orderWithSetupCosts,
} from '../../electron/core/plan/order.ts';
import { setupProblem } from '../../electron/core/plan/setup-problem.ts';
import { Ground } from '../../electron/core/plan/walk.ts';

const RUNS = Number(process.env.STEPCALLER_PROPERTY_RUNS ?? 300);
const seeds = fc.integer({ min: 0, max: 2 ** 31 - 1 });

/** The least cost over every order that keeps precedence. */
function bruteForce(problem: OrderingProblem): number {
  let best = Number.POSITIVE_INFINITY;
  const done = new Set<number>();
  const visit = (state: number, cost: number): void => {
    if (cost >= best) return;
    if (done.size === problem.count) {
      best = cost;
      return;
    }
    for (let v = 0; v < problem.count; v += 1) {
      if (done.has(v) || (problem.before[v] ?? []).some((u) => !done.has(u))) continue;
      done.add(v);
      visit(problem.next(state, v), cost + problem.cost(state, v));
      done.delete(v);
    }
  };
  visit(problem.start, 0);
  return best;
}

function precedence(random: RandomSource, count: number): readonly (readonly number[])[] {
  return Array.from({ length: count }, (_, v) =>
    Array.from({ length: v }, (_, u) => u).filter(() => random.next() < 0.25),
  );
}

function randomSetups(random: RandomSource, count: number): OrderingProblem {
  const kinds = Array.from({ length: random.integer(1, 3) }, () => {
    const families = random.integer(1, 4);
    return { weight: random.integer(1, 8), families, start: random.integer(0, families) };
  });
  const nodes = Array.from({ length: count }, () => {
    const first = kinds.map((kind) => (random.next() < 0.25 ? -1 : random.integer(1, kind.families)));
    const last = kinds.map((kind, k) =>
      random.next() < 0.6 ? (first[k] ?? -1) : random.integer(0, kind.families),
    );
    return { first, last };
  });
  return setupProblem(kinds, nodes, precedence(random, count));
}

function check(problem: OrderingProblem): void {
  const best = bruteForce(problem);
  const exact = orderWithSetupCosts(problem, { work: 10_000_000 });
  expect(isValidOrder(problem, exact.order)).toBe(true);
  expect(costOfOrder(problem, exact.order)).toBe(exact.cost);
  expect(exact).toMatchObject({ cost: best, lower_bound: best, exact: true });
  const hurried = orderWithSetupCosts(problem, { work: 0 });
  expect(isValidOrder(problem, hurried.order)).toBe(true);
  expect(hurried.lower_bound).toBeLessThanOrEqual(best);
  expect(hurried.cost).toBeGreaterThanOrEqual(best);
}

test('setup families: optimal, and the bound holds when hurried', { timeout: 600_000 }, () => {
  fc.assert(
    fc.property(seeds, fc.integer({ min: 1, max: 7 }), (seed, count) =>
      check(randomSetups(randomFromSeed(seed), count)),
    ),
    { numRuns: RUNS },
  );
});

test('relaxed bound and beam: never above and never below the optimum, at any width', {
  timeout: 600_000,
}, () => {
  fc.assert(
    fc.property(seeds, fc.integer({ min: 1, max: 7 }), (seed, count) => {
      const problem = randomSetups(randomFromSeed(seed), count);
      const best = bruteForce(problem);
      const ready = problem.before.flatMap((nodes, v) => (nodes.length === 0 ? [v] : []));
      for (const width of [1, 2, 3, 32]) {
        expect(problem.relaxedBound(problem.newTally(), problem.start, ready, width)).toBeLessThanOrEqual(
          best,
        );
        const order = beamOrder(problem, new Ground(problem, problem.precedence), width);
        expect(isValidOrder(problem, order)).toBe(true);
        expect(costOfOrder(problem, order)).toBeGreaterThanOrEqual(best);
      }
    }),
    { numRuns: RUNS },
  );
});

test('cost after the node before: optimal, and the bound holds when hurried', { timeout: 600_000 }, () => {
  fc.assert(
    fc.property(seeds, fc.integer({ min: 2, max: 7 }), (seed, count) => {
      const random = randomFromSeed(seed);
      const before = precedence(random, count);
      const matrix = Array.from({ length: count }, (_, i) =>
        Array.from({ length: count }, (_, j) => {
          if (i === j) return 0;
          // −1: j before i. Node 0 comes first in every published instance.
          return (before[i] ?? []).includes(j) || j === 0 ? -1 : random.integer(0, 9);
        }),
      );
      check(matrixProblem(matrix));
    }),
    { numRuns: RUNS },
  );
});
