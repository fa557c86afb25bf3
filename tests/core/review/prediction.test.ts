/** Expected times of plans from past jobs, tried on the demo jobs: each is predicted from those before it only. */
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { randomFromSeed } from '../../../electron/core/base/random.ts';
import { readLog } from '../../../electron/core/log/codec.ts';
import type { JobFile } from '../../../electron/core/log/model.ts';
import type { Plan } from '../../../electron/core/plan/model.ts';
import { clopperPearsonInterval } from '../../../electron/core/review/intervals.ts';
import { expectedOfPlan, type StepSeconds } from '../../../electron/core/review/prediction.ts';
import { stepTimes } from '../../../electron/core/review/step-times.ts';
import { writeDemoData } from '../../../electron/demo-data.ts';

const PLAN = ['a', 'b', 'c'].map((id) => ({ id, expected_s: 10 }));

describe('the expected time of a plan', () => {
  it('is nothing without jobs', () => {
    expect(expectedOfPlan(PLAN, [])).toBe(null);
    expect(expectedOfPlan([], [{ a: 1 }])).toBe(null);
    expect(expectedOfPlan(PLAN, [{ a: 0, b: 0, c: 0 }])).toBe(null);
  });

  it('is the middle of the latest jobs, not of old ones', () => {
    const job = (s: number): StepSeconds => ({ a: s, b: s, c: s });
    const found = expectedOfPlan(PLAN, [
      ...Array.from({ length: 50 }, () => job(99)),
      ...Array(20).fill(job(4)),
    ])!;
    expect(found.jobs).toBe(20);
    for (const value of [found.expected_s, found.low_s, found.high_s]) expect(value).toBeCloseTo(12, 9);
  });

  it('takes a step that a job did not have from the others, else from the plan', () => {
    const found = expectedOfPlan(PLAN, [{ a: 20 }, { a: 20, b: 30 }])!;
    expect(found.expected_s).toBeCloseTo(20 + 30 + 10, 9);
    // Not a property of the object: no step is called so.
    expect(expectedOfPlan([{ id: 'toString', expected_s: 5 }], [{ a: 1 }])!.expected_s).toBeCloseTo(5, 9);
  });

  it('is unsure with one job: about a factor of two either way', () => {
    const one = expectedOfPlan(PLAN, [{ a: 20, b: 20, c: 20 }])!;
    expect(one.expected_s).toBeCloseTo(60, 9);
    // t of 4 degrees of freedom at 0.9 is 1.5332 (printed tables): e^(1.5332 × 0.35 × √2) = 2.136.
    expect(one.high_s / 60).toBeCloseTo(2.136, 3);
    expect(60 / one.low_s).toBeCloseTo(2.136, 3);
  });

  it('covers 80 % of jobs whose steps go up and down together', () => {
    const random = randomFromSeed(5);
    const jobs = Array.from({ length: 600 }, (): StepSeconds => {
      const day = Math.exp(0.2 * random.normal());
      return { a: 10 * day, b: 20 * day * Math.exp(0.1 * random.normal()), c: 5 * day };
    });
    let inside = 0;
    for (let index = 20; index < jobs.length; index += 1) {
      const found = expectedOfPlan(PLAN, jobs.slice(0, index))!;
      const { a = 0, b = 0, c = 0 } = jobs[index]!;
      if (a + b + c >= found.low_s && a + b + c <= found.high_s) inside += 1;
    }
    const sure = clopperPearsonInterval(inside, 580, 0.99);
    expect(sure.low).toBeLessThan(0.8);
    expect(sure.high).toBeGreaterThan(0.8);
  });
});

describe('on held-out demo jobs', () => {
  const folder = mkdtempSync(join(tmpdir(), 'stepcaller-prediction-'));
  interface Done {
    readonly type: string;
    readonly plan: Plan;
    readonly total_s: number;
    readonly steps: StepSeconds;
    readonly started_s: number;
  }
  let done: Done[] = [];
  beforeAll(async () => {
    const procedures = join(import.meta.dirname, '../../../procedures');
    const written = await writeDemoData({ out: folder, procedures, seed: 8, jobs: 90 });
    if (!written.ok) throw new Error(written.error.message);
    done = readdirSync(folder)
      .flatMap((name): Done[] => {
        const file = JSON.parse(readFileSync(join(folder, name, 'job.json'), 'utf8')) as JobFile;
        const log = readLog(readFileSync(join(folder, name, 'log.jsonl')));
        const times = stepTimes(file, log.lines, log.verdict);
        if (times.outcome !== 'completed') return [];
        const confirmed = times.steps.filter((step) => step.state === 'confirmed');
        const steps = Object.fromEntries(confirmed.map((step) => [step.step, step.active_ms / 1000]));
        const total_s = confirmed.reduce((sum, step) => sum + step.active_ms, 0) / 1000;
        return [{ type: times.job_type, plan: file.plan, total_s, steps, started_s: times.started_s }];
      })
      .sort((a, b) => a.started_s - b.started_s);
  }, 240_000);
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  it('the interval covers what it says, within chance', () => {
    let [inside, tried] = [0, 0];
    const errors: number[] = [];
    for (const [index, job] of done.entries()) {
      const before = done.slice(0, index).filter((one) => one.type === job.type);
      if (before.length < 5) continue;
      const found = expectedOfPlan(
        job.plan.steps,
        before.map((one) => one.steps),
      )!;
      tried += 1;
      if (job.total_s >= found.low_s && job.total_s <= found.high_s) inside += 1;
      errors.push(Math.abs(Math.log(found.expected_s / job.total_s)));
    }
    const sure = clopperPearsonInterval(inside, tried, 0.99);
    console.log(
      `held-out demo jobs inside their 80 % interval: ${inside} of ${tried}, 99 % interval ${sure.low.toFixed(2)} to ${sure.high.toFixed(2)}; mean error ${(100 * (errors.reduce((a, b) => a + b, 0) / tried)).toFixed(1)} %`,
    );
    expect(tried).toBeGreaterThan(50);
    expect(sure.low).toBeLessThan(0.8);
    expect(sure.high).toBeGreaterThan(0.8);
  });
});
