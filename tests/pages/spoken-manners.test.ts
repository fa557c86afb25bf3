/**
 * Manners of the bench by words alone: what is said is understood by the grammar of the moment, and what the
 * engine says to it is what a person would expect to hear.
 */
import { describe, expect, it } from 'vitest';
import { planJob } from '../../electron/core/plan/plan-job.ts';
import { readProduct } from '../../electron/core/product/read-product.ts';
import { Bench } from '../core/job/bench.ts';
import { shipped } from './render-app.tsx';

const MINUTE_MS = 60_000;

/** The water tester at the step that takes its case screws out, cautions heard. */
function atTheScrews(): Bench {
  const { product } = readProduct(shipped('wt-3.yaml'), 'wt-3.yaml');
  const variants = Object.fromEntries(product?.variants.map((one) => [one.id, one.answers[0] ?? '']) ?? []);
  const plan = product === undefined ? undefined : planJob(product, { replace: ['battery-pack'], variants });
  if (plan?.ok !== true) throw new Error('no plan of the water tester');
  const bench = new Bench(plan.value);
  for (let turn = 0; turn < 60 && !bench.at.includes('case-screws'); turn += 1) {
    bench.passCautions();
    if (bench.allowed.spelling) bench.hear('serial is alfa bravo one two three four').hear('yes');
    bench.hear('next');
  }
  return bench.passCautions();
}

const outOf = (bench: Bench): readonly number[] => bench.state.out;

describe('by words alone', () => {
  it('a lost screw and an extra one are entered, and the tray’s count follows', () => {
    const bench = atTheScrews();
    bench.hear('next');
    const before = outOf(bench);
    bench.hear('problem').hear('lost screw');
    expect(bench.said).toContain('Which compartment');
    bench.hear('two').hear('go on');
    expect(outOf(bench)).toEqual(before.map((count, i) => (i === 1 ? count - 1 : count)));
    bench.hear('problem').hear('extra screw').hear('two').hear('go on');
    expect(outOf(bench)).toEqual(before);
    expect(bench.records.filter((one) => one.event === 'problem.reported').length).toBe(2);
  });

  it('a long pause says how long it has lasted, and what ends it', () => {
    const bench = atTheScrews().hear('pause');
    expect(bench.said).toBe('Paused. Say resume to go on.');
    const told: string[] = [];
    for (let minute = 0; minute < 40; minute += 1) {
      bench.give({ type: 'tick' }, MINUTE_MS);
      if (bench.said !== '') told.push(bench.said);
    }
    expect(told.length).toBeGreaterThan(0);
    expect(told.length).toBeLessThan(8);
    expect(told[0]).toMatch(/^The job has been paused for \d+ minutes\. Say resume to go on\.$/);
    bench.hear('resume');
    expect(bench.said).toContain('We go on.');
  });

  it('repeat says the step again, slower says it again more slowly', () => {
    const bench = atTheScrews().hear('repeat');
    const step = bench.said;
    expect(step).toContain('case screws');
    bench.hear('slower');
    expect(bench.said).toBe(step);
    expect(bench.effects).toContainEqual({ type: 'slower' });
  });

  it('undo and a jump ask first, and “no” leaves everything as it was', () => {
    const bench = atTheScrews();
    const at = bench.at;
    bench.hear('undo');
    expect(bench.said).toMatch(/^Take back the last step\?/);
    bench.hear('no');
    expect([bench.at, bench.said]).toEqual([at, 'Nothing is changed.']);
    bench.give({ type: 'go-to', step: bench.plan.steps[2]?.id ?? '', source: 'touch' });
    expect(bench.said).toBe('Go back to step 3?');
    bench.hear('no');
    expect(bench.at).toBe(at);
    bench.hear('undo').hear('yes');
    expect(bench.at).not.toBe(at);
  });

  it('a colleague who takes over hears where the job is and its cautions anew', () => {
    const bench = atTheScrews();
    bench.give({ type: 'hand-over', person: 'Technician B', source: 'touch' });
    expect(bench.said).toMatch(/Technician B goes on with this job\. This is step \d+ of \d+\./);
  });
});
