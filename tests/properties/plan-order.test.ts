/** The ordering solver against brute force over all orders of small random problems. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type RandomSource, randomFromSeed } from '../../electron/core/base/random.ts';
import { beamOrder } from '../../electron/core/plan/beam-search.ts';
import { lookaheadOrder } from '../../electron/core/plan/lookahead-order.ts';
import { matrixProblem } from '../../electron/core/plan/matrix-problem.ts';
import {
  costOfOrder,
  isValidOrder,
  type OrderingProblem,
  orderWithSetupCosts,
} from '../../electron/core/plan/order.ts';
import { precedenceOf, topological } from '../../electron/core/plan/progress.ts';
import { fewestChanges, forcedChanges } from '../../electron/core/plan/setup-bound.ts';
import { setupProblem } from '../../electron/core/plan/setup-problem.ts';
import { Ground, tidiedOrder, Walk } from '../../electron/core/plan/walk.ts';

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
  const first = Int32Array.from(nodes.flatMap((node) => node.first));
  const last = Int32Array.from(nodes.flatMap((node) => node.last));
  return setupProblem(kinds, { first, last }, precedence(random, count));
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
      for (const width of [0, 1, 2, 3, 32]) {
        expect(problem.relaxedBound(problem.newTally(), problem.start, ready, width)).toBeLessThanOrEqual(
          best,
        );
        if (width === 0) continue;
        const order = beamOrder(problem, new Ground(problem, problem.precedence), width);
        expect(isValidOrder(problem, order)).toBe(true);
        expect(costOfOrder(problem, order)).toBeGreaterThanOrEqual(best);
      }
    }),
    { numRuns: RUNS },
  );
});

test('bounds of one kind: never above the fewest changes; without gifts a wide search is exact', {
  timeout: 600_000,
}, () => {
  let met = 0;
  fc.assert(
    fc.property(seeds, fc.integer({ min: 1, max: 7 }), (seed, count) => {
      const random = randomFromSeed(seed);
      const families = random.integer(1, 4);
      const start = random.integer(0, families);
      const gifts = random.next() < 0.5;
      const first = Array.from({ length: count }, () =>
        random.next() < 0.25 ? -1 : random.integer(1, families),
      );
      const last = first.map((need) => {
        if (random.next() < 0.6) return need;
        return gifts ? random.integer(0, families) : need === -1 ? 0 : need;
      });
      const before = precedence(random, count);
      const kind = { start, families, first: Int32Array.from(first), last: Int32Array.from(last) };
      const best = bruteForce(setupProblem([{ weight: 1, families, start }], kind, before));
      const order = precedenceOf(before);
      const forced = forcedChanges(order, topological(order), kind);
      expect(forced).toBeLessThanOrEqual(best);
      if (forced === best && best > 1) met += 1;
      for (const width of [1, 2, 64]) expect(fewestChanges(order, kind, width)).toBeLessThanOrEqual(best);
      if (!gifts) expect(fewestChanges(order, kind, 64)).toBe(best);
    }),
    { numRuns: RUNS },
  );
  // A bound of nothing would pass the rest.
  expect(met).toBeGreaterThan(RUNS / 20);
});

test('forced changes are told apart by family and added up', () => {
  const chain = precedenceOf([[], [0], [1], [2], [3]]);
  const changes = (first: number[], last: number[], start: number): number =>
    forcedChanges(chain, [0, 1, 2, 3, 4], {
      start,
      families: 2,
      first: Int32Array.from(first),
      last: Int32Array.from(last),
    });
  const turns = [1, 2, -1, 1, 2];
  expect(changes(turns, turns, 0)).toBe(4);
  // It lies on the first family already.
  expect(changes(turns, turns, 1)).toBe(3);
  // The second node leaves what the fourth needs: one change is given.
  expect(changes(turns, [1, 1, -1, 1, 2], 0)).toBe(3);
  // The third leaves something else behind, which has to be changed back.
  expect(changes([1, 1, -1, 1, 1], [1, 1, 0, 1, 1], 0)).toBe(2);
  // Two families on two paths that do not meet: neither path needs both.
  const apart = precedenceOf([[], [], [0], [1]]);
  const kind = { start: 0, families: 2, first: Int32Array.of(1, 2, 1, 2), last: Int32Array.of(1, 2, 1, 2) };
  expect(forcedChanges(apart, [0, 1, 2, 3], kind)).toBe(2);
});

test('looking ahead, improving and tidying: valid, never below the optimum, never dearer than before', {
  timeout: 600_000,
}, () => {
  fc.assert(
    fc.property(seeds, fc.integer({ min: 1, max: 40 }), (seed, count) => {
      const random = randomFromSeed(seed);
      const problem = randomSetups(random, count);
      const ground = new Ground(problem, problem.precedence);
      const first = lookaheadOrder(problem, ground);
      const improved = problem.improved(first);
      const tidied = tidiedOrder(ground, improved);
      // The author's own order, too, which is far from good.
      const plain = Array.from({ length: count }, (_, v) => v);
      const better = problem.improved(plain);
      for (const order of [first, improved, tidied, better]) expect(isValidOrder(problem, order)).toBe(true);
      const cost = (order: readonly number[]) => costOfOrder(problem, order);
      expect(cost(improved)).toBeLessThanOrEqual(cost(first));
      expect(cost(tidied)).toBeLessThanOrEqual(cost(improved));
      expect(cost(better)).toBeLessThanOrEqual(cost(plain));
      if (count <= 7) expect(cost(tidied)).toBeGreaterThanOrEqual(bruteForce(problem));
    }),
    { numRuns: RUNS },
  );
});

test('a walk that goes back is where it was, and knows as much as one that never went', {
  timeout: 600_000,
}, () => {
  fc.assert(
    fc.property(seeds, fc.integer({ min: 1, max: 30 }), (seed, count) => {
      const random = randomFromSeed(seed);
      const problem = randomSetups(random, count);
      const ground = new Ground(problem, problem.precedence);
      const walk = Walk.begin(ground);
      const straight = Walk.begin(ground);
      const order = lookaheadOrder(problem, ground);
      const state = random.integer(0, 3);
      for (const node of order) {
        const there = problem.outlook.guess(state, walk.tally);
        const before = [walk.count, walk.mark, ...ready(walk)];
        // A few nodes forth and all of them back.
        const done: number[] = [];
        for (let n = random.integer(0, 4); n > 0; n -= 1) {
          const [next] = ready(walk);
          if (next === undefined) break;
          walk.finish(next);
          done.push(next);
        }
        for (const back of done.reverse()) walk.undo(back);
        expect([walk.count, walk.mark, ...ready(walk)]).toEqual(before);
        expect(problem.outlook.guess(state, walk.tally)).toBe(there);
        walk.finish(node);
        straight.finish(node);
        expect([walk.count, walk.mark, ...ready(walk)]).toEqual([
          straight.count,
          straight.mark,
          ...ready(straight),
        ]);
        expect(problem.outlook.guess(state, walk.tally)).toBe(problem.outlook.guess(state, straight.tally));
      }
      expect(walk.count).toBe(count);
    }),
    { numRuns: RUNS },
  );
});

/** Ready nodes, group by group. */
function ready(walk: Walk): readonly number[] {
  const nodes: number[] = [];
  for (let group = 0; group < walk.ground.sampleOf.length; group += 1)
    for (let v = walk.firstOf(group); v !== -1; v = walk.nextOf(v)) nodes.push(v);
  return nodes;
}

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
