/**
 * The answer to one input while it is being made up: records with the state after each of them, and
 * effects. A local notebook of `decide`; it never leaves it.
 *
 * An utterance has the number of the record it follows from, so numbers grow for ever and are the same
 * after a replay. That is why each record carries one utterance at most.
 */
import { assert } from '../base/result.ts';
import type { Plan, PlanStep } from '../plan/model.ts';
import { planAsAnswered } from '../plan/questions.ts';
import { cautionText, questionText, stepText, whyText } from './answers.ts';
import { type ConfidenceTable, DEFAULT_CONFIDENCE } from './confidence.ts';
import { evolve } from './evolve.ts';
import type { Effect, JobInput, JobRecord, QuestionKind, Source } from './model.ts';
import { ENGLISH, type WhyNot, type Words } from './prompts.ts';
import { cautionById, type JobState, stepOf } from './state.ts';

export interface EngineOptions {
  /** How sure the ear must be; default `DEFAULT_CONFIDENCE`. */
  readonly confidence?: ConfidenceTable;
  /** The language; default English. */
  readonly words?: Words;
}

type SayKind = Extract<Effect, { type: 'say' }>['kind'];
/** A record without its time. */
export type RecordFields = JobRecord extends infer R
  ? R extends { at_ms: number }
    ? Omit<R, 'at_ms'>
    : never
  : never;

export interface Draft {
  /** The plan as answered so far; `whole` is that of the job. */
  plan: Plan;
  readonly whole: Plan;
  readonly before: JobState;
  state: JobState;
  readonly atMs: number;
  readonly records: JobRecord[];
  readonly effects: Effect[];
  readonly words: Words;
  readonly confidence: ConfidenceTable;
  lastSaid: number;
}

/** An empty draft. Time never runs backwards: an earlier or impossible moment counts as the last one. */
export function draftFor(plan: Plan, state: JobState, atMs: number, options: EngineOptions): Draft {
  return {
    plan: planAsAnswered(plan, state.variants),
    whole: plan,
    before: state,
    state,
    atMs: Number.isFinite(atMs) ? Math.max(state.at_ms, Math.round(atMs)) : state.at_ms,
    records: [],
    effects: [],
    words: options.words ?? ENGLISH,
    confidence: options.confidence ?? DEFAULT_CONFIDENCE,
    lastSaid: 0,
  };
}

/** Adds a record and moves the state on. */
export function record(d: Draft, fields: RecordFields): void {
  const made = { ...fields, at_ms: d.atMs } as JobRecord;
  d.records.push(made);
  d.state = evolve(d.whole, d.state, made);
  d.plan = planAsAnswered(d.whole, d.state.variants);
}

/** Says something because of the record made last. */
export function say(d: Draft, text: string, kind: SayKind): void {
  assert(d.records.length > 0 && d.state.seq > d.lastSaid, `an utterance "${text}" follows its own record`);
  d.lastSaid = d.state.seq;
  d.effects.push({ type: 'say', utterance: d.state.seq, text, kind, interruptible: kind !== 'caution' });
}

/** The step the draft is at. */
export function here(d: Draft): PlanStep {
  return stepOf(d.plan, d.state);
}

/** True while a caution is being read and has not been read before. */
export function isReadingCaution(state: JobState): boolean {
  return state.pending.length > 0 && state.caution?.status === 'reading';
}

/**
 * Refuses a phrase: it is counted in the log, changes nothing, and the reason is said. While a caution is
 * being read only the chime answers, so that the caution is not talked over.
 */
export function refuse(d: Draft, phrase: string, why: WhyNot, source: Source): void {
  record(d, { event: 'phrase.refused', phrase, why, source });
  d.effects.push({ type: 'chime', chime: 'refused' });
  if (!isReadingCaution(d.state)) say(d, whyText(d.plan, d.state, why, d.words), 'refusal');
}

/** Starts to read the first caution that is pending; with no voice the screen shows it at once. */
export function startCaution(d: Draft): void {
  const id = d.state.pending[0];
  if (id === undefined) return;
  const step = here(d).id;
  record(d, { event: 'caution.started', step, caution: id });
  d.effects.push({ type: 'chime', chime: 'caution' });
  if (cautionById(d.plan, d.state.index, id) !== undefined)
    say(d, cautionText(d.plan, d.state, d.words), 'caution');
  if (d.state.troubles.includes('no-voice')) {
    record(d, { event: 'caution.read', step, caution: id, by: 'screen' });
  }
}

/** Shows a step; its cautions come first. */
export function showStep(d: Draft, index: number): void {
  const step = d.plan.steps[index];
  assert(step !== undefined, `step ${index} of ${d.plan.steps.length}`);
  const visit = (d.state.steps[index]?.visits ?? 0) + 1;
  record(d, { event: 'step.shown', step: step.id, visit });
  sayStepOrCaution(d);
}

/** Reads the pending caution, or else the step. */
export function sayStepOrCaution(d: Draft): void {
  if (d.state.pending.length > 0) startCaution(d);
  else say(d, stepText(d.plan, d.state, d.words), 'step');
}

/** Asks a question. Only after this record does an answer count. */
export function ask(d: Draft, question: QuestionKind, about?: string): void {
  record(d, { event: 'question.asked', question, ...(about === undefined ? {} : { about }) });
  say(d, questionText(d.plan, d.state, d.words), 'question');
}

/** After a question was closed: an open problem is asked about, an unread caution is read again. */
export function goOn(d: Draft): void {
  if (d.state.outcome !== null || d.state.question !== null || d.state.paused_since_ms !== null) return;
  if (d.state.problem !== null) ask(d, 'problem-decision', d.state.problem);
  else if (d.state.pending.length > 0 && d.state.caution?.status !== 'read') startCaution(d);
}

/** Puts "hush" first where something new is said, and starts a caution again that was talked over. */
export function closeDraft(d: Draft): void {
  const said = d.effects.filter((effect) => effect.type === 'say' && effect.kind !== 'trouble');
  const same = d.state.caution !== null && d.state.caution.utterance === d.before.caution?.utterance;
  if (said.length > 0 && same && isReadingCaution(d.state)) goOn(d);
  if (said.length > 0) d.effects.unshift({ type: 'hush' });
}

export type PhraseInput = Extract<JobInput, { type: 'phrase' }>;
