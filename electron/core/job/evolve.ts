/**
 * How records change the state: the only place where state changes. Pure and total: a record that does
 * not fit (a step the plan does not have) changes nothing but the count, so any log can be replayed.
 */
import type { Plan } from '../plan/model.ts';
import { planAsAnswered } from '../plan/questions.ts';
import { evolveJob, stopClock, withStep } from './evolve-job.ts';
import type { JobRecord } from './model.ts';
import { cautionsToAcknowledge, type JobState, type StepState, trayChangeOf } from './state.ts';

/** Notes kept for reading out on the way back; older ones beyond this are only in the log. */
export const MAX_NOTES = 200;

const FRESH_STEP: StepState = {
  status: 'to-do',
  visits: 0,
  acknowledged: [],
  reading: null,
  excused: false,
  serial: null,
  counted: false,
  signed: false,
  helped: false,
  active_ms: 0,
  tray_change: [],
};

/** The state before the first record. The plan must have at least one step. */
export function initialState(plan: Plan): JobState {
  if (plan.steps.length === 0) throw new Error('assertion failed: a plan has at least one step');
  return {
    seq: 0,
    at_ms: 0,
    opened: false,
    left: false,
    outcome: null,
    technician: '',
    last_worker: null,
    verbosity: 'full',
    index: 0,
    frontier: 0,
    steps: plan.steps.map(() => FRESH_STEP),
    pending: [],
    caution: null,
    returning: false,
    step_utterance: null,
    proposal: null,
    question: null,
    problem: null,
    variants: {},
    recording: null,
    problem_noted: false,
    spoken_notes: 0,
    pressed_at_ms: null,
    paused_since_ms: null,
    pause_reminders: 0,
    paused_ms: 0,
    active_since_ms: null,
    active_ms: 0,
    listening: true,
    out: plan.tray.map(() => 0),
    notes: [],
    troubles: [],
    last_help: null,
    refusal: null,
    refused_at_ms: 0,
  };
}

/** The state after one more record. `whole`: the plan of the job, whatever has been answered in it. */
export function evolve(whole: Plan, state: JobState, record: JobRecord): JobState {
  const plan = planAsAnswered(whole, state.variants);
  const at_ms = Math.max(state.at_ms, record.at_ms);
  const keepsRefusal =
    record.event === 'utterance.refused' || record.event === 'phrase.refused' || record.event === 'step.read';
  const next = {
    ...state,
    seq: state.seq + 1,
    at_ms,
    pressed_at_ms: isPressOnward(record) ? at_ms : state.pressed_at_ms,
    refusal: keepsRefusal ? state.refusal : null,
    returning: record.event === 'step.shown' && state.returning,
  };
  const after =
    evolveJob(plan, state, next, record) ??
    evolveStep(plan, next, record) ??
    evolveCaution(next, record) ??
    evolveValue(plan, next, record) ??
    evolveQuestion(next, record) ??
    next;
  return after.variants === state.variants
    ? after
    : withStepsOf(planAsAnswered(whole, after.variants), after);
}

/**
 * Fits the state to the steps of the plan as answered. Only steps behind the question come or go, and they
 * have not been reached.
 */
function withStepsOf(plan: Plan, s: JobState): JobState {
  return {
    ...s,
    steps: plan.steps.map((_, i) => (i <= s.frontier ? (s.steps[i] ?? FRESH_STEP) : FRESH_STEP)),
  };
}

/** A key or a touch that moved the job on. */
function isPressOnward(record: JobRecord): boolean {
  const onward =
    record.event === 'step.confirmed' ||
    record.event === 'step.revisited' ||
    record.event === 'caution.acknowledged' ||
    record.event === 'question.answered';
  return onward && (record.source === 'key' || record.source === 'touch');
}

/** The state that a whole list of records leads to. Linear in the number of records. */
export function stateFromRecords(plan: Plan, records: readonly JobRecord[]): JobState {
  return records.reduce((state, record) => evolve(plan, state, record), initialState(plan));
}

/** Index of a step id, looked for near the present one first, so that long jobs stay linear. */
function indexOf(plan: Plan, s: JobState, id: string): number {
  for (const near of [s.index, s.index + 1, s.index - 1, s.frontier, s.frontier - 1]) {
    if (plan.steps[near]?.id === id) return near;
  }
  return plan.steps.findIndex((step) => step.id === id);
}

// ---- steps -----------------------------------------------------------------------------------------

function evolveStep(plan: Plan, s: JobState, record: JobRecord): JobState | undefined {
  switch (record.event) {
    case 'step.shown':
      return shown(plan, s, record.step, record.visit);
    case 'step.confirmed':
    case 'step.skipped':
      return settled(plan, s, record.step, record.event === 'step.confirmed');
    case 'step.undone':
      return undone(plan, s, record.step);
    case 'step.revisited':
      return { ...s, question: null, proposal: null };
    case 'step.read':
      return { ...s, step_utterance: null };
    case 'help.given':
      return {
        ...withStep(s, s.index, (step) => (IS_HELP.has(record.what) ? { ...step, helped: true } : step)),
        last_help: record.what,
      };
    case 'note.taken':
      return noteTaken(s, record);
    case 'note.started':
      return s.recording === null
        ? s
        : { ...s, recording: { ...s.recording, on: true, since_ms: record.at_ms } };
    case 'note.dropped':
      return { ...s, recording: null };
    case 'hold.signed':
      return withStep(s, indexOf(plan, s, record.step), (step) => ({ ...step, signed: true }));
    default:
      return undefined;
  }
}

/** Asking for these means that the technician needed to be told more. */
const IS_HELP = new Set<string>(['why', 'screw count', 'which tool', 'torque', 'caution']);

function shown(plan: Plan, s: JobState, id: string, visit: number): JobState {
  const index = indexOf(plan, s, id);
  const known = s.steps[index];
  if (known === undefined) return s;
  const stays = s.returning && index === s.index;
  const pending = stays ? s.pending : cautionsToAcknowledge(plan, index, known);
  const ticking = s.active_since_ms !== null;
  return {
    ...withStep(stopClock(s, s.at_ms), index, (step) => ({ ...step, visits: visit })),
    index,
    pending,
    caution: null,
    returning: false,
    step_utterance: pending.length === 0 ? s.seq : null,
    question: null,
    proposal: null,
    last_help: null,
    active_since_ms: ticking ? s.at_ms : null,
  };
}

function settled(plan: Plan, s: JobState, id: string, done: boolean): JobState {
  const index = indexOf(plan, s, id);
  const step = plan.steps[index];
  if (step === undefined || index !== s.frontier) return s;
  const tray_change = done ? possibleChange(s, trayChangeOf(plan, step)) : [];
  return {
    ...withStep(s, index, (known) => ({ ...known, status: done ? 'done' : 'skipped', tray_change })),
    out: applied(s.out, tray_change, 1),
    frontier: index + 1,
    last_worker: s.technician,
    question: null,
    proposal: null,
  };
}

/** More cannot go back than is out: a screw that was lost is replaced by a new one from the shelf. */
function possibleChange(
  s: JobState,
  change: readonly (readonly [number, number])[],
): readonly (readonly [number, number])[] {
  const out = s.out.slice();
  return change.map(([index, by]) => {
    const before = out[index] ?? 0;
    const after = by < 0 ? Math.max(Math.min(before, 0), before + by) : before + by;
    out[index] = after;
    return [index, after - before] as const;
  });
}

function applied(
  out: readonly number[],
  change: readonly (readonly [number, number])[],
  sign: 1 | -1,
): readonly number[] {
  if (change.length === 0) return out;
  const next = out.slice();
  for (const [index, by] of change) next[index] = (next[index] ?? 0) + sign * by;
  return next;
}

function undone(plan: Plan, s: JobState, id: string): JobState {
  const index = indexOf(plan, s, id);
  const known = s.steps[index];
  if (known === undefined || index !== s.frontier - 1) return s;
  return {
    ...withStep(s, index, (step) => ({
      ...FRESH_STEP,
      visits: step.visits,
      acknowledged: step.acknowledged,
      active_ms: step.active_ms,
      helped: step.helped,
    })),
    out: applied(s.out, known.tray_change, -1),
    variants: without(s.variants, plan.steps[index]?.asks?.variant),
    frontier: index,
    question: null,
    proposal: null,
  };
}

function without(
  answers: Readonly<Record<string, string>>,
  variant: string | undefined,
): Readonly<Record<string, string>> {
  if (variant === undefined || !Object.hasOwn(answers, variant)) return answers;
  return Object.fromEntries(Object.entries(answers).filter(([id]) => id !== variant));
}

function noteTaken(s: JobState, record: Extract<JobRecord, { event: 'note.taken' }>): JobState {
  const { item, text, audio } = record;
  const closed = {
    ...s,
    question: s.question?.kind === 'note' ? null : s.question,
    recording: null,
    problem_noted: s.problem !== null || s.problem_noted,
    spoken_notes: s.spoken_notes + (audio === null ? 0 : 1),
  };
  if (item === null || text === null) return closed;
  const others = closed.notes.filter((note) => note.item !== item);
  return { ...closed, notes: [...others, { item, text }].slice(-MAX_NOTES) };
}

// ---- cautions --------------------------------------------------------------------------------------

function evolveCaution(s: JobState, record: JobRecord): JobState | undefined {
  switch (record.event) {
    case 'caution.started': {
      const wasRead = s.caution?.id === record.caution && s.caution.status === 'read';
      return {
        ...s,
        caution: { id: record.caution, utterance: s.seq, status: wasRead ? 'read' : 'reading' },
      };
    }
    case 'caution.read':
      return s.caution?.id === record.caution ? { ...s, caution: { ...s.caution, status: 'read' } } : s;
    case 'caution.interrupted':
      return s.caution?.id === record.caution && s.caution.status === 'reading'
        ? { ...s, caution: { ...s.caution, status: 'interrupted' } }
        : s;
    case 'caution.acknowledged': {
      const pending = s.pending.filter((id) => id !== record.caution);
      return {
        ...withStep(s, s.index, (step) =>
          step.acknowledged.includes(record.caution)
            ? step
            : { ...step, acknowledged: [...step.acknowledged, record.caution] },
        ),
        pending,
        caution: null,
        step_utterance: pending.length === 0 ? s.seq : null,
      };
    }
    default:
      return undefined;
  }
}

// ---- values ----------------------------------------------------------------------------------------

function evolveValue(plan: Plan, s: JobState, record: JobRecord): JobState | undefined {
  switch (record.event) {
    case 'reading.proposed':
      return {
        ...s,
        proposal: { kind: 'reading', text: String(record.value), value: record.value, unit: record.unit },
        question: { kind: 'reading', about: null },
      };
    case 'serial.proposed':
      return {
        ...s,
        proposal: { kind: 'serial', text: record.value, value: 0, unit: '' },
        question: { kind: 'serial', about: null },
      };
    case 'reading.confirmed': {
      const reading = { value: record.value, unit: record.unit, within: record.within };
      return {
        ...withStep(s, indexOf(plan, s, record.step), (step) => ({ ...step, reading, excused: false })),
        proposal: null,
        question: null,
      };
    }
    case 'serial.confirmed':
      return {
        ...withStep(s, indexOf(plan, s, record.step), (step) => ({ ...step, serial: record.value })),
        proposal: null,
        question: null,
      };
    case 'value.rejected':
      return { ...s, proposal: null, question: null };
    case 'count.confirmed':
      return record.counted === record.expected
        ? {
            ...withStep(s, indexOf(plan, s, record.step), (step) => ({ ...step, counted: true })),
            question: null,
          }
        : s;
    case 'fastener.found': {
      const index = plan.tray.findIndex((place) => place.number === record.compartment);
      return index < 0 ? s : { ...s, out: applied(s.out, [[index, record.difference]], 1) };
    }
    default:
      return undefined;
  }
}

// ---- questions, problems, refusals -----------------------------------------------------------------

function evolveQuestion(s: JobState, record: JobRecord): JobState | undefined {
  switch (record.event) {
    case 'question.asked':
      return { ...s, question: { kind: record.question, about: record.about ?? null }, proposal: null };
    case 'question.answered':
      if (record.question === 'variant' && s.question?.about)
        return { ...s, question: null, variants: { ...s.variants, [s.question.about]: record.answer } };
      return record.question === 'note' && record.answer === 'yes'
        ? { ...s, question: null, recording: { utterance: s.seq, on: false, since_ms: s.at_ms } }
        : { ...s, question: null };
    case 'problem.reported':
      return { ...s, problem: record.kind, problem_noted: false, question: null, proposal: null };
    case 'problem.settled': {
      const cleared = { ...s, problem: null, question: null };
      if (record.decision !== 'go-on') return cleared;
      return withStep(cleared, s.index, (step) =>
        step.reading !== null && !step.reading.within ? { ...step, excused: true } : step,
      );
    }
    case 'utterance.refused':
      return { ...s, refusal: { reason: record.reason, why: null }, refused_at_ms: s.at_ms };
    case 'phrase.refused':
      return { ...s, refusal: { reason: 'not-possible-now', why: record.why }, refused_at_ms: s.at_ms };
    default:
      return undefined;
  }
}
