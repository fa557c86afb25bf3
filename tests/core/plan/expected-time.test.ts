import { describe, expect, test } from 'vitest';
import { randomFromSeed } from '../../../electron/core/base/random.ts';
import { defaultSeconds, expectedTime } from '../../../electron/core/plan/expected-time.ts';

describe('expected time', () => {
  test('defaults grow with the number of fasteners', () => {
    expect(defaultSeconds('remove-fasteners', 4)).toBe(36);
    expect(defaultSeconds('disconnect', 1)).toBe(8);
  });

  test('without past jobs: the estimates, with a wide interval', () => {
    const time = expectedTime(
      [
        { id: 'a', expected_s: 30 },
        { id: 'b', expected_s: 70 },
      ],
      {},
    );
    expect(time.expected_s).toBe(100);
    expect(time.low_s).toBeLessThan(100);
    expect(time.high_s).toBeGreaterThan(100);
    expect(time).toMatchObject({ level: 0.8, measured_steps: 0, estimated_steps: 2 });
  });

  test('past jobs take the place of the estimate', () => {
    const past = { a: [20, 22, 18, 20, 20, 21, 19, 20] };
    const time = expectedTime([{ id: 'a', expected_s: 300 }], past);
    expect(time.expected_s).toBe(20);
    expect(time.measured_steps).toBe(1);
  });

  test('more observations narrow the interval', () => {
    const few = expectedTime([{ id: 'a', expected_s: 20 }], { a: [20, 21] });
    const many = expectedTime([{ id: 'a', expected_s: 20 }], {
      a: Array.from({ length: 40 }, (_, i) => 20 + (i % 2)),
    });
    expect(many.high_s - many.low_s).toBeLessThan(few.high_s - few.low_s);
  });

  test('durations that cannot be are left out; an empty plan takes no time', () => {
    expect(expectedTime([{ id: 'a', expected_s: 12 }], { a: [Number.NaN, -4, 0] })).toMatchObject({
      expected_s: 12,
      measured_steps: 0,
    });
    expect(expectedTime([], {})).toMatchObject({ expected_s: 0, low_s: 0, high_s: 0 });
  });

  test('a step named like a property of every object has no past', () => {
    expect(expectedTime([{ id: 'constructor', expected_s: 5 }], {}).expected_s).toBe(5);
  });

  test('about 80 % of the next jobs fall inside the interval (seed 7)', () => {
    const random = randomFromSeed(7);
    const steps = Array.from({ length: 12 }, (_, i) => ({ id: `s${i}`, expected_s: 30 }));
    const duration = (i: number): number => (15 + 3 * i) * Math.exp(0.3 * random.normal());
    let inside = 0;
    const trials = 400;
    for (let t = 0; t < trials; t += 1) {
      const past = Object.fromEntries(
        steps.map((s, i) => [s.id, Array.from({ length: 15 }, () => duration(i))]),
      );
      const { low_s, high_s } = expectedTime(steps, past);
      const next = steps.reduce((sum, _, i) => sum + duration(i), 0);
      if (next >= low_s && next <= high_s) inside += 1;
    }
    expect(inside / trials).toBeGreaterThan(0.72);
    expect(inside / trials).toBeLessThan(0.9);
  });
});
