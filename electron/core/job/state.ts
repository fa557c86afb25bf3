/**
 * The state of a running job: plain JSON, rebuilt from records alone. This file owns its shape and the
 * questions that can be put to it; it never changes one (that is `evolve.ts`).
 */
import type { Plan, PlanCaution, PlanQuestion, PlanStep } from '../plan/model.ts';
import type { PhraseId, QuestionKind, RefusalReason, TroubleCode, Verbosity } from './model.ts';

/** What is known of one step. The list runs parallel to `plan.steps`. */
export interface StepState {
  readonly status: 'to-do' | 'done' | 'skipped';
  readonly visits: number;
  /** Ids of the cautions the present technician has acknowledged at this step, in this job. */
  readonly acknowledged: readonly string[];
  /** The last confirmed reading. */
  readonly reading: { readonly value: number; readonly unit: string; readonly within: boolean } | null;
  /** A problem was settled with "go on" after a reading out of limits. */
  readonly excused: boolean;
  readonly serial: string | null;
  /** The number counted in the tray agreed. */
  readonly counted: boolean;
  readonly signed: boolean;
  /** Something more was said about this step: why, count, tool, torque or caution. */
  readonly helped: boolean;
  /** Active milliseconds of all visits that have ended. */
  readonly active_ms: number;
  /** What confirming it changed in the tray, by index of `plan.tray`; taken back by undo. */
  readonly tray_change: readonly (readonly [index: number, change: number])[];
}

export interface OpenQuestion {
  readonly kind: QuestionKind;
  readonly about: string | null;
}

export interface Proposal {
  readonly kind: 'reading' | 'serial';
  /** The value as text: a number in JavaScript's shortest form, or the code. */
  readonly text: string;
  readonly value: number;
  readonly unit: string;
}

export interface JobState {
  /** Records so far; also the number of the newest utterance that can have been given out. */
  readonly seq: number;
  readonly at_ms: number;
  readonly opened: boolean;
  readonly left: boolean;
  readonly outcome: 'completed' | 'given-up' | null;
  readonly technician: string;
  /** Who was the technician when the last step was confirmed. */
  readonly last_worker: string | null;
  readonly verbosity: Verbosity;
  /** The step shown, from 0. Steps before `frontier` are done or skipped, the others are to do. */
  readonly index: number;
  readonly frontier: number;
  readonly steps: readonly StepState[];
  /** Cautions of this visit still to be acknowledged, most severe first. */
  readonly pending: readonly string[];
  /** The caution being read, or read and waiting for "understood". */
  readonly caution: {
    readonly id: string;
    readonly utterance: number;
    readonly status: 'reading' | 'interrupted' | 'read';
  } | null;
  /** Just reopened: showing the same step again keeps what was acknowledged. */
  readonly returning: boolean;
  /** Number of the utterance that reads the step's sentence, until it has ended. */
  readonly step_utterance: number | null;
  readonly proposal: Proposal | null;
  readonly question: OpenQuestion | null;
  /** A reported problem that waits for "go on" or "stop". */
  readonly problem: string | null;
  /** Answers given in this job to questions about the unit, by variant id. */
  readonly variants: Readonly<Record<string, string>>;
  /** A spoken note that was asked for: it is recorded once the utterance that invites it has ended. */
  readonly recording: { readonly utterance: number; readonly on: boolean; readonly since_ms: number } | null;
  /** The open problem has its note already. */
  readonly problem_noted: boolean;
  readonly spoken_notes: number;
  /** When a key or a touch last moved the job on; null where that was long ago or never. */
  readonly pressed_at_ms: number | null;
  readonly paused_since_ms: number | null;
  readonly pause_reminders: number;
  readonly paused_ms: number;
  /** Since when time counts as active; null while paused or away. */
  readonly active_since_ms: number | null;
  readonly active_ms: number;
  readonly listening: boolean;
  /** Fasteners out, by index of `plan.tray`. */
  readonly out: readonly number[];
  readonly notes: readonly { readonly item: string; readonly text: string }[];
  readonly troubles: readonly TroubleCode[];
  /** The last thing asked for on this step, for showing its answer again. */
  readonly last_help: PhraseId | null;
  readonly refusal: { readonly reason: RefusalReason; readonly why: string | null } | null;
  readonly refused_at_ms: number;
}

const SEVERITY: Readonly<Record<PlanCaution['word'], number>> = {
  danger: 0,
  warning: 1,
  caution: 2,
  notice: 3,
};

/** The step the technician is at. The index is held inside the plan by `evolve`. */
export function stepOf(plan: Plan, state: JobState): PlanStep {
  const step = plan.steps[state.index];
  if (step === undefined)
    throw new Error(`assertion failed: step index ${state.index} of ${plan.steps.length}`);
  return step;
}

/** What is known of the step the technician is at. */
export function stepStateOf(state: JobState): StepState {
  const step = state.steps[state.index];
  if (step === undefined)
    throw new Error(`assertion failed: step state ${state.index} of ${state.steps.length}`);
  return step;
}

/**
 * The cautions read before a step, most severe first; those of the whole job come with its first step.
 * A caution named twice is read once.
 */
export function cautionsOf(plan: Plan, index: number, withJob = index === 0): readonly PlanCaution[] {
  const own = plan.steps[index]?.cautions ?? [];
  const all = withJob ? [...plan.job_cautions, ...own] : [...own];
  const once = all.filter((caution, i) => all.findIndex((other) => other.id === caution.id) === i);
  return once.sort((a, b) => SEVERITY[a.word] - SEVERITY[b.word]);
}

/** The caution with this id among those of the current step and of the whole job. */
export function cautionById(plan: Plan, index: number, id: string): PlanCaution | undefined {
  return (
    plan.steps[index]?.cautions.find((caution) => caution.id === id) ??
    plan.job_cautions.find((caution) => caution.id === id)
  );
}

/**
 * Cautions that a visit puts before the step. At first all of them. Once acknowledged in this job, only
 * danger and warning are asked for again: they stand for death and serious injury, and a technician who
 * comes back has had his mind elsewhere. Asking for the lesser ones each time teaches people to say
 * "understood" without listening; they are read again with the step instead.
 */
export function cautionsToAcknowledge(plan: Plan, index: number, known: StepState): readonly string[] {
  return cautionsOf(plan, index)
    .filter(
      (caution) =>
        !known.acknowledged.includes(caution.id) || caution.word === 'danger' || caution.word === 'warning',
    )
    .map((caution) => caution.id);
}

/** True where every step is done or skipped and only the end of the job is left. */
export function isAtEnd(plan: Plan, state: JobState): boolean {
  return state.frontier >= plan.steps.length;
}

/** True where the shown step has not been done yet. */
export function isOpenStep(state: JobState): boolean {
  return state.index === state.frontier;
}

/** True where a count is asked before this step counts as done: only of trainees, after taking fasteners out. */
export function needsCount(plan: Plan, state: JobState): boolean {
  if (state.verbosity !== 'trainee' || !isOpenStep(state) || isAtEnd(plan, state)) return false;
  const step = stepOf(plan, state);
  if (stepStateOf(state).counted) return false;
  return step.action === 'count-tray' || trayChangeOf(plan, step).some(([, change]) => change > 0);
}

/** What "next" still waits for at this step, apart from cautions and the trainee's count. */
export function waitsFor(plan: Plan, state: JobState): 'reading' | 'serial' | 'sign-off' | 'answer' | null {
  if (!isOpenStep(state) || isAtEnd(plan, state)) return null;
  const step = stepOf(plan, state);
  const known = stepStateOf(state);
  if (step.measure !== null && !(known.reading?.within || (known.excused && !mustBeWithin(step))))
    return 'reading';
  if (step.record !== null && known.serial === null) return 'serial';
  if (step.hold !== null && !known.signed) return 'sign-off';
  if (step.asks !== undefined && !Object.hasOwn(state.variants, step.asks.variant)) return 'answer';
  return null;
}

/** The question about the unit that waits for its answer now, at a free step; undefined where none does. */
export function questionHere(plan: Plan, state: JobState): PlanQuestion | undefined {
  const busy =
    state.question !== null ||
    state.pending.length > 0 ||
    state.paused_since_ms !== null ||
    state.problem !== null ||
    state.recording !== null;
  return !busy && waitsFor(plan, state) === 'answer' ? stepOf(plan, state).asks : undefined;
}

/** A reading that shows the unit safe to touch is never excused: it must be within its limits. */
export function mustBeWithin(step: PlanStep): boolean {
  return step.action === 'verify-dead' || step.action === 'discharge' || step.action === 'isolate';
}

/** Whether the technician may leave a step out: only an optional one that neither protects, holds nor asks. */
export function maySkip(step: PlanStep): boolean {
  return step.optional && step.hold === null && step.asks === undefined && !mustBeWithin(step);
}

/**
 * How confirming a step changes the tray: by compartment, fasteners taken out (+) or put back (−).
 * Where a plan both installs and tightens the fasteners of a compartment, only installing counts.
 */
export function trayChangeOf(plan: Plan, step: PlanStep): readonly (readonly [number, number])[] {
  const sign = step.action === 'remove-fasteners' ? 1 : putsBack(step) ? -1 : 0;
  if (sign === 0) return [];
  const changes: [number, number][] = [];
  for (const group of step.fasteners) {
    const index = plan.tray.findIndex((place) => place.number === group.compartment);
    if (index < 0) continue;
    if (step.action === 'tighten-fasteners' && hasInstallStep(plan, group.compartment)) continue;
    changes.push([index, sign * group.count]);
  }
  return changes;
}

function putsBack(step: PlanStep): boolean {
  return step.action === 'install-fasteners' || step.action === 'tighten-fasteners';
}

function hasInstallStep(plan: Plan, compartment: number | null): boolean {
  return plan.steps.some(
    (step) =>
      step.action === 'install-fasteners' &&
      step.fasteners.some((group) => group.compartment === compartment),
  );
}

/** Spoken notes in one job; a minute each. */
export const MAX_SPOKEN_NOTES = 30;
const NO_RECORDING: ReadonlySet<TroubleCode> = new Set([
  'no-microphone',
  'microphone-refused',
  'microphone-lost',
  'model-missing',
  'model-damaged',
  'recogniser-stopped',
]);

/** Whether a note can be spoken now: there is an ear, and not too many notes are kept already. */
export function canRecordNote(state: JobState): boolean {
  return state.spoken_notes < MAX_SPOKEN_NOTES && !state.troubles.some((code) => NO_RECORDING.has(code));
}

/** Indexes of the tray's compartments that this step takes from or puts into. */
export function litCompartments(plan: Plan, step: PlanStep): readonly number[] {
  return step.fasteners
    .map((group) => plan.tray.findIndex((place) => place.number === group.compartment))
    .filter((index) => index >= 0);
}

/** How many fasteners the trainee should count after this step, and in which compartment (null: in several). */
export function expectedCount(plan: Plan, state: JobState): { index: number | null; count: number } {
  const step = stepOf(plan, state);
  const lit = litCompartments(plan, step);
  const places = lit.length > 0 ? [...new Set(lit)] : plan.tray.map((_, index) => index);
  const change = trayChangeOf(plan, step);
  let count = 0;
  for (const index of places) {
    count += state.out[index] ?? 0;
    for (const [at, by] of change) if (at === index && by > 0) count += by;
  }
  return { index: places.length === 1 ? (places[0] ?? null) : null, count: Math.max(0, count) };
}

/** Compartments that are not empty by the ledger. A negative count means one was lost: nothing is left there. */
export function openCompartments(state: JobState): number {
  return state.out.filter((count) => count > 0).length;
}
