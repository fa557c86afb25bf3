/**
 * One job as the job screen and the service report show it: what was replaced, read, found, used and
 * signed, with the times of `step-times.ts`.
 */
import { planOfLog } from '../log/answered-plan.ts';
import type { JobFile, LogLine, Verdict } from '../log/model.ts';
import type { Plan, PlanStep } from '../plan/model.ts';
import type { JobReview, JobSummary, JobTimes } from './model.ts';
import { jobTimeline } from './step-times.ts';

const text = (line: LogLine, name: string): string | null => {
  const value = line.fields[name];
  return typeof value === 'string' ? value : null;
};
const number = (line: LogLine, name: string): number => {
  const value = line.fields[name];
  return typeof value === 'number' ? value : 0;
};

function summaryOf(times: JobTimes, plan: Plan): JobSummary {
  const done = times.steps.filter((step) => step.index >= 0 && step.state !== 'open').length;
  const state =
    times.verdict === 'unknown' ? 'unknown' : times.outcome === null ? 'unfinished' : times.outcome;
  return {
    job: times.job,
    product: times.product,
    product_name: times.product_name,
    replace: times.replace,
    technician: times.technician,
    started: times.started,
    state,
    step_number: Math.min(plan.steps.length, done + (state === 'unfinished' ? 1 : 0)),
    step_total: plan.steps.length,
    trouble: state === 'unknown' ? 'The log of this job cannot be trusted to its end.' : null,
  };
}

/** What was used up in the confirmed steps, with the names the plan gives. */
function consumablesOf(plan: Plan, times: JobTimes): JobReview['consumables'] {
  const steps = new Map(plan.steps.map((step) => [step.id, step]));
  const counts = new Map<string, number>();
  for (const step of times.steps) {
    if (step.state !== 'confirmed') continue;
    for (const id of steps.get(step.step)?.renew ?? []) counts.set(id, (counts.get(id) ?? 0) + 1);
  }
  return [...counts].map(([id, count]) => {
    const known = plan.consumables.find((one) => one.id === id);
    return { id, name: known?.name ?? id, count, amount: known?.amount ?? null };
  });
}

/** Parts whose replacing was finished: every one of their steps in "replace" and "install" is confirmed. */
function replacedOf(plan: Plan, times: JobTimes): JobReview['replaced'] {
  const confirmed = new Set(times.steps.filter((s) => s.state === 'confirmed').map((s) => s.step));
  const isIn = (id: string): boolean => {
    const own = plan.steps.filter((s) => s.part === id && (s.stage === 'replace' || s.stage === 'install'));
    return own.every((step) => confirmed.has(step.id) || step.optional);
  };
  return plan.replace
    .filter(isIn)
    .map((id) => ({ id, name: plan.new_parts.find((part) => part.id === id)?.name ?? id }));
}

function problemsOf(lines: readonly LogLine[]): JobReview['problems'] {
  const problems: { step: string; kind: string; decision: string | null }[] = [];
  for (const line of lines) {
    if (line.event === 'problem.reported')
      problems.push({ step: text(line, 'step') ?? '', kind: text(line, 'kind') ?? '', decision: null });
    const open = problems[problems.length - 1];
    if (line.event === 'problem.settled' && open !== undefined && open.decision === null)
      open.decision = text(line, 'decision');
  }
  return problems;
}

function readingsOf(lines: readonly LogLine[], steps: ReadonlyMap<string, PlanStep>): JobReview['readings'] {
  return lines
    .filter((line) => line.event === 'reading.confirmed')
    .map((line) => {
      const step = text(line, 'step') ?? '';
      const measure = steps.get(step)?.measure ?? null;
      return {
        step,
        name: measure?.name ?? text(line, 'measure') ?? '',
        value: number(line, 'value'),
        unit: text(line, 'unit') ?? measure?.unit ?? '',
        within: line.fields.within === true,
        min: measure?.min ?? null,
        max: measure?.max ?? null,
      };
    });
}

function serialsOf(
  lines: readonly LogLine[],
  steps: ReadonlyMap<string, PlanStep>,
  plan: Plan,
): JobReview['serials'] {
  return lines
    .filter((line) => line.event === 'serial.confirmed')
    .map((line) => {
      const step = text(line, 'step') ?? '';
      const record = text(line, 'record') ?? '';
      const planned = steps.get(step)?.record ?? (plan.unit_serial?.id === record ? plan.unit_serial : null);
      return { step, name: planned?.name ?? record, value: text(line, 'value') ?? '' };
    });
}

/**
 * The review of one job. Give the job file, the trusted lines of its log and the verdict of its check.
 * Confirmed values only: proposed and rejected readings and serials are left out.
 */
export function jobReview(job: JobFile, lines: readonly LogLine[], verdict: Verdict): JobReview {
  const { times, spans, marks } = jobTimeline(job, lines, verdict);
  const plan = planOfLog(job.plan, lines);
  const steps = new Map(plan.steps.map((step) => [step.id, step]));
  const of = (event: LogLine['event']): LogLine[] => lines.filter((line) => line.event === event);
  const opened = lines.find((line) => line.event === 'job.opened');
  const finished = of('job.finished').pop();
  return {
    summary: summaryOf(times, plan),
    steps: times.steps,
    active_ms: times.active_ms,
    paused_ms: times.paused_ms,
    waiting_ms: times.waiting_ms,
    cautions: times.cautions,
    readings: readingsOf(lines, steps),
    serials: serialsOf(lines, steps, plan),
    problems: problemsOf(lines),
    verified: verdict !== 'unknown',
    times,
    spans,
    marks,
    unit_serial: opened === undefined ? null : text(opened, 'unit_serial'),
    work_order: opened === undefined ? null : text(opened, 'work_order'),
    reported_fault: opened === undefined ? null : text(opened, 'reported_fault'),
    replaced: replacedOf(plan, times),
    consumables: consumablesOf(plan, times),
    notes: of('note.taken')
      .filter((line) => (text(line, 'text') ?? text(line, 'audio') ?? '') !== '')
      .map((line) => ({
        step: text(line, 'step') ?? '',
        item: text(line, 'item'),
        text: text(line, 'text') ?? '',
        audio: text(line, 'audio'),
        audio_sha256: text(line, 'audio_sha256'),
        audio_ms: number(line, 'audio_ms'),
      })),
    holds: of('hold.signed').map((line) => ({
      step: text(line, 'step') ?? '',
      person: text(line, 'person') ?? '',
      at: line.wall,
    })),
    skipped: times.steps
      .filter((step) => step.state === 'skipped')
      .map((step) => ({ step: step.step, say: step.say })),
    counts: of('count.confirmed').map((line) => ({
      step: text(line, 'step') ?? '',
      compartment: typeof line.fields.compartment === 'number' ? line.fields.compartment : null,
      counted: number(line, 'counted'),
      expected: number(line, 'expected'),
    })),
    finished: finished?.wall ?? null,
  };
}
