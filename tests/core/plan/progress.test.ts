/** How far an order has come: what is done, what is ready, and taking two ways together. */
import { expect, test } from 'vitest';
import { MinHeap } from '../../../electron/core/plan/min-heap.ts';
import { isAcyclic, Progress, precedenceOf, topological } from '../../../electron/core/plan/progress.ts';

/** 40 nodes, so that one number of 32 is not enough: 0 and 1 are free, the others wait for the one two before. */
const CHAINS = precedenceOf(Array.from({ length: 40 }, (_, v) => (v < 2 ? [] : [v - 2])));

function gone(nodes: readonly number[]): Progress {
  const progress = Progress.none(CHAINS);
  const wanted = new Set(nodes);
  progress.finishAll((v) => wanted.has(v));
  return progress;
}

const range = (from: number, to: number, by: number): readonly number[] =>
  Array.from({ length: Math.ceil((to - from) / by) }, (_, i) => from + i * by);
const doneIn = (progress: Progress): readonly number[] => range(0, 40, 1).filter((v) => progress.has(v));

test('precedence in both directions, and an order that keeps it', () => {
  expect(precedenceOf([[], [0], [0, 1]])).toEqual({
    count: 3,
    before: [[], [0], [0, 1]],
    after: [[1, 2], [2], []],
  });
  expect(topological(precedenceOf([[2], [0], []]))).toEqual([2, 0, 1]);
  // Nodes that wait for each other are left out.
  expect(topological(precedenceOf([[1], [0], []]))).toEqual([2]);
});

test.each<[string, readonly (readonly number[])[], boolean]>([
  ['nothing', [], true],
  ['a chain', [[1], [2], []], true],
  ['two ways to one node', [[1, 2], [3], [3], []], true],
  ['two in a circle', [[1], [0], []], false],
  ['a circle behind a chain', [[1], [2], [3], [1]], false],
  ['a node that waits for itself', [[], [1]], false],
  ['what is not there', [[-1], [0, -1]], true],
])('a circle is found: %s', (_, before, is) => {
  expect(isAcyclic(before)).toBe(is);
});

test('what is done, how many, and what is ready then', () => {
  const progress = gone(range(0, 36, 2));
  expect(doneIn(progress)).toEqual(range(0, 36, 2));
  expect(progress.count).toBe(18);
  expect([...progress.ready].sort((a, b) => a - b)).toEqual([1, 36]);
  const copy = progress.copy();
  copy.finishAt(copy.ready.indexOf(36));
  expect([copy.has(36), progress.has(36)]).toEqual([true, false]);
  expect([copy.count, progress.count]).toEqual([19, 18]);
});

test('one is within another where the other has done all of it', () => {
  const even = gone(range(0, 36, 2));
  const odd = gone(range(1, 9, 2));
  const all = gone(range(0, 40, 1));
  expect([even.isWithin(all), odd.isWithin(all), even.isWithin(even)]).toEqual([true, true, true]);
  expect([all.isWithin(even), even.isWithin(odd), odd.isWithin(even)]).toEqual([false, false, false]);
  // The first 32 agree; the difference is in the next number.
  expect([gone(range(0, 40, 2)).isWithin(even), even.isWithin(gone(range(0, 40, 2)))]).toEqual([false, true]);
});

test('taken together they have done what either has, and are ready for what that allows', () => {
  const both = gone(range(0, 36, 2));
  both.addAll(gone(range(1, 37, 2)));
  expect(doneIn(both)).toEqual(range(0, 37, 1).filter((v) => v < 36));
  expect(both.count).toBe(36);
  expect([...both.ready].sort((a, b) => a - b)).toEqual([36, 37]);
  both.addAll(gone([]));
  expect(both.count).toBe(36);
});

test('a heap gives the least first', () => {
  const heap = new MinHeap<number>((a, b) => a < b);
  expect([heap.peek(), heap.pop()]).toEqual([undefined, undefined]);
  const items = [5, 3, 9, 1, 7, 3, 8, 2, 6, 4];
  for (const item of items) heap.push(item);
  expect([heap.size, heap.peek()]).toEqual([10, 1]);
  expect(items.map(() => heap.pop())).toEqual([...items].sort((a, b) => a - b));
  expect(heap.size).toBe(0);
});
