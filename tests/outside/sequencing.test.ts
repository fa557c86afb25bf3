/**
 * The ordering solver and the closures against published instances. Sources are named beside each group;
 * line-balancing instances: Scholl 1993, read as .IN2 files from github juanseck/GAMmALB at 2b6c275.
 */
import { describe, expect, test } from 'vitest';
import { matrixProblem } from '../../electron/core/plan/matrix-problem.ts';
import { costOfOrder, isValidOrder, orderWithSetupCosts } from '../../electron/core/plan/order.ts';
import { partsAlsoOff, planJob } from '../../electron/core/plan/plan-job.ts';
import { provePlan } from '../../electron/core/plan/proof.ts';
import type { Part, Product } from '../../electron/core/product/model.ts';
import { part, product, step } from '../core/plan/sample-unit.ts';
import { SEQUENCING_INSTANCES } from './sequencing-instances.ts';

/** Enough work for the exact search to end on every instance of this file. */
const EXACT = { work: 1_000_000_000 };

describe('sequential ordering (TSPLIB)', () => {
  for (const { name, optimum, path, matrix } of SEQUENCING_INSTANCES) {
    test(`${name}: the exact search finds and proves ${optimum}`, () => {
      const problem = matrixProblem(matrix);
      expect(isValidOrder(problem, path)).toBe(true);
      expect(costOfOrder(problem, path)).toBe(optimum);
      const found = orderWithSetupCosts(problem, EXACT);
      expect(found).toMatchObject({ cost: optimum, lower_bound: optimum, exact: true });
      expect(isValidOrder(problem, found.order)).toBe(true);
      expect(costOfOrder(problem, found.order)).toBe(optimum);
    });
    test(`${name}: with hardly any work the bound still holds and the order is valid`, () => {
      const problem = matrixProblem(matrix);
      const found = orderWithSetupCosts(problem, { work: 0 });
      expect(found.lower_bound).toBeLessThanOrEqual(optimum);
      expect(found.cost).toBeGreaterThanOrEqual(optimum);
      expect(isValidOrder(problem, found.order)).toBe(true);
    });
  }
});

/** Tasks as parts: `i-j` means i before j, so part j needs part i. */
function unitOf(count: number, arcs: string): Product {
  const pairs = arcs.split(' ').map((arc) => arc.split('-').map(Number));
  const parts: Part[] = Array.from({ length: count }, (_, i) =>
    part(`t${i + 1}`, `task ${i + 1}`, {
      needs: pairs.filter(([, j]) => j === i + 1).map(([before]) => `t${before}`),
      steps: [step(`s${i + 1}`, { kind: 'lift-out' })],
    }),
  );
  return product({ parts });
}

function closure(unit: Product, task: number): readonly number[] {
  return partsAlsoOff(unit, `t${task}`).map((id) => Number(id.slice(1)));
}

/** Tasks of a stage in plan order. */
function orderIn(unit: Product, task: number, stage: 'remove' | 'install'): readonly number[] {
  const planned = planJob(unit, { replace: [`t${task}`], variants: {} });
  if (!planned.ok) throw new Error(JSON.stringify(planned.error));
  expect(provePlan(unit, planned.value)).toEqual([]);
  return planned.value.steps.filter((s) => s.stage === stage).map((s) => Number(s.part?.slice(1)));
}

const JACKSON = '1-2 1-3 1-4 1-5 2-6 3-7 4-7 5-7 6-8 7-9 8-10 9-11 10-11';
const JAESCHKE = '1-2 1-3 2-4 3-4 4-5 4-6 4-7 5-8 6-9 7-9 8-9';
const BOWMAN = '1-2 2-3 2-4 3-5 3-6 4-6 5-7 6-8';
const MERTENS = '1-2 1-4 2-3 2-5 4-7 5-6';
/** Amplifier assembly: Guéret, Prins, Sevaux, Applications of Optimization. */
const AMPLIFIER = '1-2 1-3 2-4 2-5 2-6 3-6 3-7 6-8 4-9 5-9 8-9 8-10 11-10 7-11 9-12 10-12';

describe('prerequisite closures (line-balancing instances)', () => {
  test.each([
    ['Jackson', 11, JACKSON, 11, [1, 2, 3, 4, 5, 6, 7, 8, 9, 10]],
    ['Jaeschke', 9, JAESCHKE, 9, [1, 2, 3, 4, 5, 6, 7, 8]],
    ['Bowman', 8, BOWMAN, 8, [1, 2, 3, 4, 6]],
    ['Mertens', 7, MERTENS, 7, [1, 4]],
    ['amplifier', 12, AMPLIFIER, 10, [1, 2, 3, 6, 7, 8, 11]],
  ] as const)('%s', (_name, count, arcs, task, expected) => {
    expect(closure(unitOf(count, arcs), task)).toEqual(expected);
  });

  test('dependants of the amplifier’s task 3 are 6 to 12', () => {
    const unit = unitOf(12, AMPLIFIER);
    const dependants = unit.parts.filter((p) => closure(unit, Number(p.id.slice(1))).includes(3));
    expect(dependants.map((p) => Number(p.id.slice(1)))).toEqual([6, 7, 8, 9, 10, 11, 12]);
  });
});

describe('orders without any setup cost are the smallest-first topological orders', () => {
  test('amplifier: task 11 before task 10', () => {
    expect(orderIn(unitOf(12, AMPLIFIER), 12, 'remove')).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9, 11, 10, 12]);
  });
  test('Jackson: 1 to 11, and a reassembly that is an order of the reversed graph', () => {
    const unit = unitOf(11, JACKSON);
    expect(orderIn(unit, 11, 'remove')).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11]);
    const back = orderIn(unit, 11, 'install');
    for (const p of unit.parts) {
      for (const need of p.needs) {
        expect(back.indexOf(Number(p.id.slice(1)))).toBeLessThan(back.indexOf(Number(need.slice(1))));
      }
    }
  });
});
