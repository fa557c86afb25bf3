/** The phrases: what each does, and what is told when it asks for something. */
import { allowedNow } from './allowed.ts';
import { answerText, questionText, stepText, whyNotNow } from './answers.ts';
import { isSure, neededConfidence } from './confidence.ts';
import {
  ask,
  type Draft,
  goOn,
  here,
  isReadingCaution,
  type PhraseInput,
  record,
  refuse,
  say,
  sayStepOrCaution,
  showStep,
  startCaution,
} from './draft.ts';
import { isPhraseId, whatCanISay } from './grammar.ts';
import type { PhraseId, Source } from './model.ts';
import { fill } from './prompts.ts';
import { answerNo, answerYes, confirmStep, revisit } from './questions.ts';
import { endRecording } from './spoken-note.ts';
import { isAtEnd, isOpenStep, needsCount, openCompartments, waitsFor } from './state.ts';

function refuseUnsure(d: Draft): void {
  record(d, { event: 'utterance.refused', reason: 'not-sure' });
  d.effects.push({ type: 'chime', chime: 'refused' });
  if (!isReadingCaution(d.state)) say(d, fill(d.words, 'refusal.not-sure'), 'refusal');
}

/** Whether a spoken value is sure enough; where it is not, that is counted and said (S7). */
export function sureOfValue(
  d: Draft,
  input: { readonly source: Source; readonly confidence?: number },
): boolean {
  if (input.source !== 'voice' || isSure(input.confidence, d.confidence.values)) return true;
  refuseUnsure(d);
  return false;
}

/**
 * A second press within this time is the first one's echo. A pedal's contact bounces for some 20 ms and people
 * tap twice within 100 to 300 ms (common practice, no source); nobody reads and does a step in less.
 */
export const PRESS_AGAIN_MS = 400;
const CONFIRMS: ReadonlySet<PhraseId> = new Set(['next', 'understood', 'yes']);

function isEcho(d: Draft, { phrase, source }: PhraseInput): boolean {
  const { pressed_at_ms } = d.state;
  if (source !== 'key' && source !== 'touch') return false;
  return CONFIRMS.has(phrase) && pressed_at_ms !== null && d.atMs - pressed_at_ms < PRESS_AGAIN_MS;
}

/** A phrase of the list: refused where it is not sure or not possible now, else acted on. */
export function takePhrase(d: Draft, input: PhraseInput): void {
  if (!isPhraseId(input.phrase)) {
    refuse(d, 'unknown', 'not-now', input.source);
    return;
  }
  const needed = neededConfidence(d.confidence, input.phrase);
  if (input.source === 'voice' && !isSure(input.confidence, needed)) {
    refuseUnsure(d);
    return;
  }
  if (!allowedNow(d.plan, d.state).phrases.includes(input.phrase)) {
    refuse(d, input.phrase, whyNotNow(d.plan, d.state, input.phrase), input.source);
    return;
  }
  if (isEcho(d, input)) {
    record(d, { event: 'phrase.refused', phrase: input.phrase, why: 'too-soon', source: input.source });
    return;
  }
  const tooEarly = input.phrase === 'understood' && d.state.caution?.status !== 'read';
  if (input.phrase !== 'stop' && !tooEarly) d.effects.push({ type: 'chime', chime: 'heard' });
  moveOn(d, input) || explain(d, input);
}

/** Phrases that change where the job stands; false where the phrase is another one. */
function moveOn(d: Draft, input: PhraseInput): boolean {
  const { phrase, source, confidence } = input;
  if (d.state.recording !== null) {
    endRecording(d, phrase);
    return true;
  }
  switch (phrase) {
    case 'next':
      next(d, source, confidence);
      return true;
    case 'back':
      revisit(d, d.plan.steps[d.state.index - 1]?.id ?? '', source);
      return true;
    case 'understood':
      understood(d, source, confidence);
      return true;
    case 'yes':
      answerYes(d, source, confidence);
      return true;
    case 'no':
      answerNo(d, source);
      return true;
    case 'pause':
      record(d, { event: 'job.paused', source });
      say(d, fill(d.words, 'job.paused'), 'answer');
      return true;
    case 'resume':
      resume(d, source);
      return true;
    case 'finish':
      askFinish(d);
      return true;
    case 'undo':
    case 'skip':
      ask(d, phrase);
      return true;
    case 'problem':
      ask(d, 'problem-kind');
      return true;
    default:
      return false;
  }
}

/** Phrases that only make something be told, or turn the ear and the mouth. */
function explain(d: Draft, { phrase, source, marks }: PhraseInput): void {
  switch (phrase) {
    case 'stop':
      d.effects.push({ type: 'hush' });
      return;
    case 'stop listening':
    case 'start listening': {
      const on = phrase === 'start listening';
      record(d, { event: on ? 'listening.started' : 'listening.stopped', source });
      d.effects.push({ type: 'listen', on });
      say(d, fill(d.words, on ? 'listening.started' : 'listening.stopped'), 'answer');
      return;
    }
    case 'note':
      noteRoute(d, source);
      return;
    case 'slower':
      d.effects.push({ type: 'slower' });
      giveHelp(d, phrase, source);
      sayCurrent(d);
      return;
    case 'repeat':
      giveHelp(d, phrase, source);
      sayCurrent(d);
      return;
    case 'caution':
      giveHelp(d, phrase, source);
      if (d.state.pending.length > 0) startCaution(d);
      else say(d, answerText(d.plan, d.state, phrase, d.words), 'answer');
      return;
    case 'what can i say':
      giveHelp(d, phrase, source);
      say(d, whatCanISay(allowedNow(d.plan, d.state), d.words, marks), 'answer');
      return;
    default:
      giveHelp(d, phrase, source);
      say(d, answerText(d.plan, d.state, phrase, d.words), 'answer');
  }
}

/** Records that something was told. */
export function giveHelp(d: Draft, what: PhraseId, source: Source): void {
  record(d, { event: 'help.given', step: here(d).id, what, source });
}

/** Says again what the job waits for: the question, the caution or the step. */
export function sayCurrent(d: Draft): void {
  if (d.state.question !== null) say(d, questionText(d.plan, d.state, d.words), 'question');
  else if (d.state.pending.length > 0) startCaution(d);
  else say(d, stepText(d.plan, d.state, d.words), 'step');
}

function next(d: Draft, source: Source, confidence: number | undefined): void {
  if (!isOpenStep(d.state) || isAtEnd(d.plan, d.state)) showStep(d, d.state.index + 1);
  else if (needsCount(d.plan, d.state)) ask(d, 'count');
  else confirmStep(d, source, confidence);
}

function understood(d: Draft, source: Source, confidence: number | undefined): void {
  const caution = d.state.caution;
  if (caution === null || caution.status !== 'read') {
    refuse(d, 'understood', 'not-read', source);
    if (caution?.status !== 'reading') startCaution(d);
    return;
  }
  record(d, {
    event: 'caution.acknowledged',
    step: here(d).id,
    caution: caution.id,
    source,
    confidence: confidence ?? null,
  });
  sayStepOrCaution(d);
}

function resume(d: Draft, source: Source): void {
  record(d, { event: 'job.resumed', source });
  if (d.state.problem !== null) goOn(d);
  else if (d.state.pending.length > 0) startCaution(d);
  else say(d, fill(d.words, 'job.resumed', { say: stepText(d.plan, d.state, d.words) }), 'step');
}

/** "finish": at the end whether the tray is empty; on a last step ready to go whether it is done; else giving up. */
function askFinish(d: Draft): void {
  const last = d.state.frontier === d.plan.steps.length - 1;
  const free = d.state.pending.length === 0 && d.state.paused_since_ms === null;
  if (isAtEnd(d.plan, d.state) && openCompartments(d.state) === 0 && free) ask(d, 'tray-empty');
  else if (
    last &&
    free &&
    isOpenStep(d.state) &&
    waitsFor(d.plan, d.state) === null &&
    !needsCount(d.plan, d.state)
  ) {
    ask(d, 'finish');
  } else ask(d, 'give-up');
}

function noteRoute(d: Draft, source: Source): void {
  const { id, note_item } = here(d);
  if (note_item === null || d.state.problem !== null) {
    ask(d, 'note');
    return;
  }
  record(d, { event: 'note.taken', step: id, item: note_item, text: null, audio: null, source });
  say(d, fill(d.words, 'answer.noted'), 'answer');
}
