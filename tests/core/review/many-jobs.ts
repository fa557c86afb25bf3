/** Many job times from a seed, for the tests of the review over jobs. */
import { randomFromSeed } from '../../../electron/core/base/random.ts';
import { timestampFromEpochMs } from '../../../electron/core/log/timestamp.ts';
import type { JobTimes, StepTimes } from '../../../electron/core/review/model.ts';
import { stepTimes } from '../../../electron/core/review/step-times.ts';
import { linesOf, SAMPLE_PLAN, START_MS, sampleFile, sampleRecords } from './sample-job.ts';

const TEMPLATE = stepTimes(sampleFile('x'), linesOf(sampleRecords()), 'complete');

export interface MadeJob {
  /** Factor on every step's time. */
  readonly pace?: number;
  /** Factor on single steps. */
  readonly steps?: Readonly<Record<string, number>>;
  readonly technician?: string;
  readonly revision?: number;
  readonly over?: Partial<JobTimes>;
  readonly stepOver?: Readonly<Record<string, Partial<StepTimes>>>;
}

/** Jobs an hour apart; each step takes 10 s × its factors × log-normal noise of about `spread`. */
export function madeJobs(seed: number, jobs: readonly MadeJob[], spread = 0.1): JobTimes[] {
  const random = randomFromSeed(seed);
  return jobs.map((made, index) => {
    const steps = SAMPLE_PLAN.steps.map((step, at): StepTimes => {
      const active = Math.round(
        10_000 * (made.pace ?? 1) * (made.steps?.[step.id] ?? 1) * Math.exp(spread * random.normal()),
      );
      return {
        ...TEMPLATE.steps[at]!,
        active_ms: active,
        hands_ms: active,
        reading_ms: 0,
        waiting_ms: 0,
        first_pass_ms: active,
        visits: 1,
        repeats: 0,
        say_agains: 0,
        helps: 0,
        problems: 0,
        state: 'confirmed',
        fastener_turns: 0,
        ...made.stepOver?.[step.id],
      };
    });
    const active_ms = steps.reduce((sum, step) => sum + step.active_ms, 0);
    const startMs = START_MS + index * 3_600_000;
    return {
      ...TEMPLATE,
      job: `job-${String(index).padStart(4, '0')}`,
      product_revision: made.revision ?? 1,
      technician: made.technician ?? 'Technician A',
      technicians: [{ name: made.technician ?? 'Technician A', active_ms }],
      started: timestampFromEpochMs(startMs, 60),
      started_s: startMs / 1000,
      span_ms: active_ms,
      active_ms,
      hands_ms: active_ms,
      reading_ms: 0,
      waiting_ms: 0,
      paused_ms: 0,
      away_ms: 0,
      unattributed_ms: 0,
      steps,
      cautions: [],
      clock_jumps: 0,
      fasteners_missing: 0,
      readings_out: 0,
      ...made.over,
    };
  });
}

export const times = (count: number, made: MadeJob = {}): MadeJob[] =>
  Array.from({ length: count }, () => made);

/** A caution that was read and acknowledged so many ms later. */
export const cautionAnswered = (read_to_acknowledged_ms: number) =>
  ({
    step: 'b',
    caution: 'pins',
    word: 'warning',
    hazard: 'The pins are sharp',
    words: 9,
    by: 'voice',
    read_ms: 5000,
    read_to_acknowledged_ms,
    acknowledged: true,
  }) as const;
