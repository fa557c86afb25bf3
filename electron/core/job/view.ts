/** Everything the bench screen shows, computed from plan, state and time. It owns no state of its own. */
import type { Plan } from '../plan/model.ts';
import { planAsAnswered } from '../plan/questions.ts';
import { allowedNow } from './allowed.ts';
import {
  answerText,
  cautionText,
  endText,
  ledgerOf,
  printedReading,
  questionText,
  stepText,
  timesOf,
  trayText,
  whyText,
} from './answers.ts';
import type { BenchView } from './model.ts';
import { ENGLISH, fill, isWordKey, type Words } from './prompts.ts';
import {
  cautionById,
  cautionsOf,
  isAtEnd,
  type JobState,
  litCompartments,
  questionHere,
  stepOf,
  waitsFor,
} from './state.ts';

export { isAllowed } from './allowed.ts';

/** The bench screen at a moment of the job's clock. `whole`: the plan of the job. */
export function viewOf(whole: Plan, state: JobState, nowMs: number, words: Words = ENGLISH): BenchView {
  const plan = planAsAnswered(whole, state.variants);
  const step = stepOf(plan, state);
  const waits = waitsFor(plan, state);
  const asked = state.outcome === null ? questionHere(plan, state) : undefined;
  const kind = asked === undefined ? state.question?.kind : 'variant';
  const allowed = allowedNow(plan, state);
  const times = timesOf(plan, state, nowMs);
  return {
    language: words.tag,
    product: plan.product,
    product_name: plan.product_name,
    step,
    step_number: state.index + 1,
    step_total: plan.steps.length,
    phase: asked === undefined ? phaseOf(state) : 'question',
    caution: cautionView(plan, state),
    question:
      kind === undefined
        ? null
        : {
            kind,
            // A step that finds something out is done and answered in one: its sentence goes with the question.
            text: asked === undefined ? questionText(plan, state, words) : step.say,
            answers: answersOf(allowed.answers, allowed.phrases),
          },
    prompt: promptOf(plan, state, words),
    allowed,
    listening: state.listening,
    ledger: ledgerOf(plan, state),
    lit_compartments: [...new Set(litCompartments(plan, step))].map((index) => plan.tray[index]?.number ?? 0),
    active_ms: times.active_ms,
    step_ms: times.step_ms,
    expected_step_s: step.expected_s,
    expected_left_s: times.expected_left_s,
    paused_ms: times.paused_ms,
    last_refusal: state.refusal?.reason ?? null,
    last_help: state.last_help,
    refusal_text: refusalText(plan, state, words),
    troubles: state.troubles,
    value_proposed: proposedText(state, words),
    recording: recordingView(state, nowMs),
    waits_for: waits === 'answer' ? null : waits,
    steps: plan.steps.map((one, index) => ({
      id: one.id,
      say: one.say,
      stage: one.stage,
      state: stateOfStep(state, index),
      reached: index <= state.frontier,
    })),
    technician: state.technician,
    verbosity: state.verbosity,
    outcome: state.outcome,
  };
}

function phaseOf(state: JobState): BenchView['phase'] {
  if (state.outcome !== null) return 'finished';
  if (state.recording !== null) return 'recording';
  if (state.question !== null) return 'question';
  if (state.paused_since_ms !== null) return 'paused';
  return state.pending.length > 0 ? 'caution' : 'step';
}

function recordingView(state: JobState, nowMs: number): BenchView['recording'] {
  if (state.recording === null) return null;
  const { on, since_ms } = state.recording;
  return { on, ms: on ? Math.max(0, nowMs - since_ms) : 0 };
}

function stateOfStep(state: JobState, index: number): BenchView['steps'][number]['state'] {
  if (index === state.index && state.outcome === null) return 'now';
  return state.steps[index]?.status ?? 'to-do';
}

function cautionView(plan: Plan, state: JobState): BenchView['caution'] {
  const id = state.pending[0];
  const caution = id === undefined ? undefined : cautionById(plan, state.index, id);
  if (caution === undefined) return null;
  const total = Math.max(cautionsOf(plan, state.index).length, state.pending.length);
  return {
    id: caution.id,
    word: caution.word,
    hazard: caution.hazard,
    consequence: caution.consequence,
    avoid: caution.avoid,
    symbol: caution.symbol,
    read: state.caution?.id === caution.id && state.caution.status === 'read',
    index: total - state.pending.length,
    total,
  };
}

function answersOf(answers: readonly string[], phrases: readonly string[]): readonly string[] {
  return [...answers, ...(['yes', 'no'] as const).filter((word) => phrases.includes(word))];
}

function promptOf(plan: Plan, state: JobState, words: Words): string {
  if (state.outcome !== null) {
    const out = trayText(plan, state, words);
    return fill(words, state.outcome === 'completed' ? 'job.completed' : 'job.given-up', { out });
  }
  if (state.recording !== null) return fill(words, 'note.speak');
  if (state.question !== null) return questionText(plan, state, words);
  if (state.paused_since_ms !== null) return fill(words, 'job.paused');
  if (state.pending.length > 0) return cautionText(plan, state, words);
  const answer = state.last_help === null ? '' : answerText(plan, state, state.last_help, words);
  if (answer !== '') return answer;
  const ended = isAtEnd(plan, state) && state.index === plan.steps.length - 1;
  return ended ? endText(plan, state, words) : stepText(plan, state, words);
}

function refusalText(plan: Plan, state: JobState, words: Words): string | null {
  const refusal = state.refusal;
  if (refusal === null) return null;
  if (refusal.why !== null) return whyText(plan, state, refusal.why, words);
  const key = `refusal.${refusal.reason}`;
  return isWordKey(key) ? fill(words, key) : fill(words, 'why.not-now');
}

function proposedText(state: JobState, words: Words): string | null {
  if (state.proposal === null) return null;
  return state.proposal.kind === 'reading'
    ? printedReading(words, state.proposal.value, state.proposal.unit)
    : state.proposal.text;
}
