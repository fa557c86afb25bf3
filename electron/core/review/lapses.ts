/**
 * What was not done as it should be: cautions answered before they can have been taken in, steps faster than
 * possible, readings outside their limits, skipped steps, missing fasteners, jobs given up.
 */
import type { CautionTimes, JobTimes, Lapse, StepStatistics } from './model.ts';
import type { Alias } from './people.ts';
import { lapseText } from './words.ts';

/** Shortest plausible answer to a caution heard to its end. Common practice, no source. */
export const LEAST_ANSWER_MS = 300;
/** Shortest plausible reading of a caution on the screen, per word. Common practice, no source. */
export const LEAST_READING_MS_PER_WORD = 150;

/** The least time between a caution's end (on screen: its appearance) and "understood". */
export function leastCautionMs(caution: Pick<CautionTimes, 'by' | 'words'>): number {
  return caution.by === 'screen' ? caution.words * LEAST_READING_MS_PER_WORD : LEAST_ANSWER_MS;
}

type Found = Pick<Lapse, 'step' | 'kind' | 'facts' | 'text'>;

function found(kind: Lapse['kind'], facts: Lapse['facts'], step: string | null): Found {
  return { step, kind, facts, text: lapseText(kind, facts) };
}

function ofCautions(job: JobTimes): Found[] {
  const confirmed = new Set(job.steps.filter((step) => step.state === 'confirmed').map((step) => step.step));
  return job.cautions.flatMap((caution): Found[] => {
    const { step, hazard } = caution;
    if (!caution.acknowledged) {
      if (!confirmed.has(step)) return [];
      return [found('caution-not-understood', { hazard }, step)];
    }
    const ms = caution.read_to_acknowledged_ms;
    const least_ms = leastCautionMs(caution);
    if (ms === null || ms >= least_ms) return [];
    return [found('caution-too-fast', { hazard, ms, least_ms }, step)];
  });
}

function ofJob(job: JobTimes): Found[] {
  const all: Found[] = [...ofCautions(job)];
  const add = (kind: Lapse['kind'], facts: Lapse['facts'] = {}, step: string | null = null): void => {
    all.push(found(kind, facts, step));
  };
  if (job.readings_out > 0) add('reading-out-of-limits', { count: job.readings_out });
  if (job.fasteners_missing > 0 && job.outcome !== null)
    add('fastener-missing', { count: job.fasteners_missing });
  if (job.outcome === 'given-up') add('given-up');
  if (job.clock_jumps > 0) add('clock-jumped', { count: job.clock_jumps });
  for (const step of job.steps) if (step.state === 'skipped') add('step-skipped', {}, step.step);
  return all;
}

/** Lapses of these jobs, latest job first. `steps` gives the limits below which an answer is too fast. */
export function lapsesOf(jobs: readonly JobTimes[], steps: readonly StepStatistics[], alias: Alias): Lapse[] {
  const fast = new Map<string, { step: string; limit_ms: number }[]>();
  for (const step of steps) {
    for (const job of step.too_fast.jobs) {
      const list = fast.get(job) ?? [];
      list.push({ step: step.step, limit_ms: step.too_fast.limit_ms ?? 0 });
      fast.set(job, list);
    }
  }
  const seconds = (ms: number): string => (ms / 1000).toFixed(1);
  return [...jobs].reverse().flatMap((job) => {
    const tooFast = (fast.get(job.job) ?? []).map(({ step, limit_ms }) => {
      const s = seconds(job.steps.find((one) => one.step === step)?.active_ms ?? 0);
      return found('step-too-fast', { s, least_s: seconds(limit_ms) }, step);
    });
    return [...ofJob(job), ...tooFast].map((lapse) => ({
      job: job.job,
      started: job.started,
      technician: alias(job.technician),
      ...lapse,
    }));
  });
}
