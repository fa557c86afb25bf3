/** The rows of the record store and how a job that was read becomes them. */
import type { PlanStep } from '../core/plan/model.ts';
import { stepTimes } from '../core/review/step-times.ts';
import { fastenerTurns } from '../core/review/time-walk.ts';
import type { ReadForImport } from './read-for-import.ts';

export type JobRow = Readonly<Record<(typeof JOB_COLUMNS)[number][0], string | number | null>>;
export const JOB_COLUMNS = [
  ['job', 'text'],
  ['job_sha256', 'text'],
  ['plan_sha256', 'text'],
  ['log_sha256', 'text'],
  ['product', 'text'],
  ['product_name', 'text'],
  ['product_revision', 'integer'],
  ['product_sha256', 'text'],
  ['replaced', 'jsonb'],
  ['job_type', 'text'],
  ['technician', 'text'],
  ['technicians', 'jsonb'],
  ['started', 'text'],
  ['started_s', 'double precision'],
  ['verdict', 'text'],
  ['outcome', 'text'],
  ['expected_s', 'double precision'],
  ['span_ms', 'bigint'],
  ['active_ms', 'bigint'],
  ['hands_ms', 'bigint'],
  ['reading_ms', 'bigint'],
  ['waiting_ms', 'bigint'],
  ['paused_ms', 'bigint'],
  ['away_ms', 'bigint'],
  ['unattributed_ms', 'bigint'],
  ['events', 'integer'],
  ['clock_jumps', 'integer'],
  ['fasteners_missing', 'integer'],
  ['readings_out', 'integer'],
  ['cautions', 'jsonb'],
] as const;

export type PlanRow = Readonly<Record<(typeof PLAN_COLUMNS)[number][0], string | number | null>>;
export const PLAN_COLUMNS = [
  ['plan_sha256', 'text'],
  ['step', 'text'],
  ['step_index', 'integer'],
  ['say', 'text'],
  ['stage', 'text'],
  ['part', 'text'],
  ['expected_s', 'double precision'],
  ['fastener_turns', 'integer'],
] as const;

export type EventRow = Readonly<Record<(typeof EVENT_COLUMNS)[number][0], string | number | null>>;
export const EVENT_COLUMNS = [
  ['job_id', 'bigint'],
  ['seq', 'integer'],
  ['mono_ms', 'bigint'],
  ['wall', 'timestamptz'],
  ['event', 'text'],
  ['step', 'text'],
  ['fields', 'text'],
] as const;

export type StepRow = Readonly<Record<(typeof STEP_COLUMNS)[number][0], string | number | boolean | null>>;
export const STEP_COLUMNS = [
  ['job_id', 'bigint'],
  ['kind', 'integer'],
  ['counts', 'boolean'],
  ['visits', 'integer'],
  ['active_ms', 'bigint'],
  ['repeats', 'integer'],
  ['say_agains', 'integer'],
  ['problems', 'integer'],
  ['helps', 'integer'],
  ['undone', 'integer'],
  ['hands_ms', 'bigint'],
  ['reading_ms', 'bigint'],
  ['waiting_ms', 'bigint'],
  ['first_pass_ms', 'bigint'],
  ['state', 'text'],
] as const;

/** A step of a type of job; the store numbers them. */
export type KindRow = Readonly<Record<(typeof KIND_COLUMNS)[number][0], string>>;
export const KIND_COLUMNS = [
  ['product', 'text'],
  ['job_type', 'text'],
  ['step', 'text'],
] as const;

/** A job made ready outside the transaction, so that this holds its locks for a short time only. */
export interface Prepared {
  readonly read: ReadForImport;
  readonly row: JobRow;
  readonly steps: readonly (Omit<StepRow, 'job_id' | 'kind'> & KindRow)[];
}

export function prepare(read: ReadForImport): Prepared {
  const { job, lines, verdict } = read;
  const times = stepTimes(job, lines, verdict);
  const row: JobRow = {
    ...times,
    job: times.job,
    job_sha256: read.job_sha256,
    plan_sha256: job.plan_sha256,
    log_sha256: read.log_sha256,
    product: clean(times.product),
    product_name: clean(times.product_name),
    replaced: JSON.stringify(times.replace),
    job_type: clean(times.job_type),
    technician: clean(times.technician),
    technicians: clean(JSON.stringify(times.technicians)).replaceAll('\\u0000', '\ufffd'),
    cautions: clean(JSON.stringify(times.cautions)).replaceAll('\\u0000', '\ufffd'),
  };
  const isDone = verdict === 'complete' && times.outcome === 'completed';
  const steps = times.steps.map((step) => ({
    ...step,
    product: clean(times.product),
    job_type: clean(times.job_type),
    step: clean(step.step),
    // Only these stand in the per-step table.
    counts: isDone && step.state === 'confirmed',
  }));
  return { read, row, steps };
}

export function planRows(read: ReadForImport): PlanRow[] {
  return read.job.plan.steps.map((step: PlanStep, index) => ({
    plan_sha256: read.job.plan_sha256,
    step: clean(step.id),
    step_index: index,
    say: clean(step.say),
    stage: step.stage,
    part: step.part === null ? null : clean(step.part),
    expected_s: step.expected_s,
    fastener_turns: fastenerTurns(step),
  }));
}

export function eventRows(jobId: string | number, { read }: Prepared): EventRow[] {
  return read.lines.map((line) => {
    const step = line.fields.step;
    return {
      job_id: jobId,
      seq: line.seq,
      mono_ms: line.mono_ms,
      wall: line.wall,
      event: line.event,
      step: typeof step === 'string' ? clean(step) : null,
      fields: clean(JSON.stringify(line.fields)),
    };
  });
}

/** PostgreSQL texts hold no NUL; it becomes the replacement character. */
export const clean = (text: string): string =>
  text.includes('\u0000') ? text.replaceAll('\u0000', '\ufffd') : text;
