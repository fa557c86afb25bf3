/** How records of the job as a whole change the state: opening, pausing, leaving, handing over, the clocks. */
import type { Plan } from '../plan/model.ts';
import type { JobRecord } from './model.ts';
import { cautionsOf, type JobState, type StepState } from './state.ts';

/** The state after a record of the job as a whole; undefined for any other record. */
export function evolveJob(
  plan: Plan,
  before: JobState,
  s: JobState,
  record: JobRecord,
): JobState | undefined {
  switch (record.event) {
    case 'job.opened':
      return {
        ...s,
        opened: true,
        technician: record.technician,
        verbosity: record.verbosity,
        active_since_ms: s.at_ms,
      };
    case 'job.reopened':
      return reopened(before, s);
    case 'job.left':
      return { ...pauseEnded(stopClock(s, s.at_ms), s.at_ms), left: true, recording: null };
    case 'job.paused':
      return {
        ...stopClock(s, s.at_ms),
        paused_since_ms: s.paused_since_ms ?? s.at_ms,
        pause_reminders: 0,
        question: null,
        proposal: null,
      };
    case 'job.resumed':
      return { ...pauseEnded(s, s.at_ms), paused_since_ms: null, active_since_ms: s.at_ms };
    case 'pause.reminded':
      return { ...s, pause_reminders: s.pause_reminders + 1 };
    case 'job.handed-over':
      return handedOver(plan, s, record.to);
    case 'job.finished':
      return {
        ...pauseEnded(stopClock(s, s.at_ms), s.at_ms),
        paused_since_ms: null,
        outcome: record.outcome,
        question: null,
        proposal: null,
        caution: null,
      };
    case 'listening.stopped':
    case 'listening.started':
      return { ...s, listening: record.event === 'listening.started' };
    case 'trouble.began':
      return { ...s, troubles: [...s.troubles.filter((code) => code !== record.code), record.code] };
    case 'trouble.ended':
      return { ...s, troubles: s.troubles.filter((code) => code !== record.code) };
    default:
      return undefined;
  }
}

/** The time between the last record and the end of the program cannot be known and is not counted. */
function reopened(before: JobState, s: JobState): JobState {
  const stopped = pauseEnded(stopClock(s, before.at_ms), before.at_ms);
  const paused = before.paused_since_ms !== null;
  return {
    ...stopped,
    left: false,
    returning: true,
    caution: null,
    step_utterance: null,
    question: null,
    proposal: null,
    recording: null,
    troubles: [],
    paused_since_ms: paused ? s.at_ms : null,
    active_since_ms: paused || s.outcome !== null ? null : s.at_ms,
  };
}

/** The new technician has heard none of the cautions: all of this step and of the whole job come again. */
function handedOver(plan: Plan, s: JobState, to: string): JobState {
  const ids = cautionsOf(plan, s.index, true).map((caution) => caution.id);
  const nothingLeft = s.frontier >= plan.steps.length && s.index === plan.steps.length - 1;
  return {
    ...s,
    technician: to,
    steps: s.steps.map((step) => (step.acknowledged.length === 0 ? step : { ...step, acknowledged: [] })),
    pending: nothingLeft ? [] : ids,
    caution: null,
    question: null,
    proposal: null,
  };
}

// ---- clocks ----------------------------------------------------------------------------------------

/** Ends the active time at a moment and adds it to the job and to the shown step. */
export function stopClock(s: JobState, at_ms: number): JobState {
  if (s.active_since_ms === null) return s;
  const passed = Math.max(0, at_ms - s.active_since_ms);
  return {
    ...withStep(s, s.index, (step) => ({ ...step, active_ms: step.active_ms + passed })),
    active_ms: s.active_ms + passed,
    active_since_ms: null,
  };
}

/** Adds the pause up to now; the pause itself may go on (a job left while paused stays paused). */
function pauseEnded(s: JobState, at_ms: number): JobState {
  if (s.paused_since_ms === null) return s;
  const passed = Math.max(0, at_ms - s.paused_since_ms);
  return { ...s, paused_ms: s.paused_ms + passed, paused_since_ms: Math.max(at_ms, s.paused_since_ms) };
}

/** The state with one step's knowledge changed; unchanged where there is no such step. */
export function withStep(s: JobState, index: number, change: (step: StepState) => StepState): JobState {
  const step = s.steps[index];
  if (step === undefined) return s;
  const steps = s.steps.slice();
  steps[index] = change(step);
  return { ...s, steps };
}
