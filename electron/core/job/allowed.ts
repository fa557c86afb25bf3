/**
 * What may be said now. The grammar of the ear, the buttons of the page and the engine's own refusals
 * all follow this one list: what is in it is acted on, what is not in it is refused.
 *
 * One exception is on purpose: "understood" is in the list while its caution is still being read, so that
 * the ear does not change its grammar just when people say it; the engine refuses it until the end.
 */
import type { Plan } from '../plan/model.ts';
import { planAsAnswered } from '../plan/questions.ts';
import type { Allowed, PhraseId } from './model.ts';
import { PROBLEM_DECISIONS, PROBLEM_KINDS } from './prompts.ts';
import {
  canRecordNote,
  isAtEnd,
  isOpenStep,
  type JobState,
  maySkip,
  questionHere,
  stepOf,
  waitsFor,
} from './state.ts';

const NOTHING: Allowed = { phrases: [], number: 'none', spelling: false, answers: [] };

/** What may be said, keyed or touched now. Deterministic; empty before the job is open and after its end. */
export function allowedNow(whole: Plan, state: JobState): Allowed {
  const plan = planAsAnswered(whole, state.variants);
  if (!state.opened || state.left || state.outcome !== null) return NOTHING;
  const ear: PhraseId = state.listening ? 'stop listening' : 'start listening';
  // While a note is spoken hardly anything is a command: what is said belongs to the note.
  if (state.recording !== null) return only(['stop', 'undo']);
  if (state.question !== null) return inQuestion(state, ear);
  if (state.paused_since_ms !== null) {
    return only(['resume', 'where am i', 'finish', 'stop', 'what can i say', ear]);
  }
  const back: PhraseId[] = state.index > 0 ? ['back'] : [];
  if (state.pending.length > 0) {
    return only([
      'understood',
      'repeat',
      'slower',
      'caution',
      ...back,
      'where am i',
      'how long',
      'pause',
      'problem',
      'finish',
      'stop',
      'what can i say',
      ear,
    ]);
  }
  return atStep(plan, state, back, ear);
}

function atStep(plan: Plan, state: JobState, back: readonly PhraseId[], ear: PhraseId): Allowed {
  const step = stepOf(plan, state);
  const atEnd = isAtEnd(plan, state);
  const isOpen = isOpenStep(state) && !atEnd;
  const lastShown = atEnd && state.index === plan.steps.length - 1;
  const measures = isOpen && step.measure !== null;
  const spells = isOpen && step.record !== null;
  const phrases: PhraseId[] = [];
  if (!lastShown && waitsFor(plan, state) === null) phrases.push('next');
  phrases.push(...back, 'repeat', 'slower', 'screw count', 'which tool', 'torque', 'caution', 'why');
  phrases.push('where am i', 'how long', 'pause', 'problem', 'note');
  if (measures) phrases.push('reading');
  if (spells) phrases.push('serial');
  if (state.frontier > 0) phrases.push('undo');
  if (isOpen && maySkip(step)) phrases.push('skip');
  phrases.push('finish', 'stop', 'what can i say', ear);
  const offered = questionHere(plan, state)?.answers ?? [];
  // "Yes" and "no" are phrases wherever they are answers.
  for (const word of ['yes', 'no'] as const) if (offered.includes(word)) phrases.push(word);
  const answers = offered.filter((answer) => answer !== 'yes' && answer !== 'no');
  return { phrases, number: measures ? 'reading' : 'none', spelling: spells, answers };
}

function inQuestion(state: JobState, ear: PhraseId): Allowed {
  const kind = state.question?.kind;
  const isProblem = kind === 'problem-kind' || kind === 'problem-decision' || kind === 'fastener-compartment';
  const paused = state.paused_since_ms !== null;
  const common: PhraseId[] = ['repeat', 'slower', 'where am i', 'stop', 'what can i say', ear];
  if (!paused) common.push('pause');
  if (!paused && !isProblem) common.push('problem');
  switch (kind) {
    case 'problem-kind':
      return { ...only(['no', ...common]), answers: PROBLEM_KINDS };
    case 'problem-decision':
      return {
        ...only(state.problem_noted ? common : ['note', ...common]),
        answers: PROBLEM_DECISIONS,
      };
    case 'fastener-compartment':
    case 'count':
      return { ...only(['no', ...common]), number: 'bare' };
    case 'note':
      return only(canRecordNote(state) ? ['yes', 'no', ...common] : ['no', ...common]);
    case 'reading': {
      const allowed: Allowed = { ...only(['yes', 'no', ...common]), number: 'reading' };
      return state.proposal === null ? allowed : { ...allowed, proposed: state.proposal.text };
    }
    case 'serial': {
      const allowed: Allowed = { ...only(['yes', 'no', ...common]), spelling: true };
      return state.proposal === null ? allowed : { ...allowed, proposed: state.proposal.text };
    }
    default:
      return only(['yes', 'no', ...common]);
  }
}

function only(phrases: readonly PhraseId[]): Allowed {
  return { ...NOTHING, phrases };
}

/** What the ear may act on: everything allowed, but only "start listening" while it is told not to listen. */
export function allowedByVoice(allowed: Allowed, listening: boolean): Allowed {
  if (listening) return allowed;
  return only(allowed.phrases.filter((phrase) => phrase === 'start listening'));
}

/** Whether a phrase is acted on now. */
export function isAllowed(plan: Plan, state: JobState, phrase: PhraseId): boolean {
  return allowedNow(plan, state).phrases.includes(phrase);
}
