/**
 * The step engine: `decide` says what comes of an input, `evolve` changes the state, and nothing else
 * does. Pure, total, deterministic. The host appends and syncs the records first, then performs the
 * effects in their order.
 *
 * Rules (the tests carry the numbers):
 *
 * S1  State changes by records only: the state shown is the state rebuilt from all records so far.
 * S2  A caution is read to its end, or shown where there is no voice, before "understood" counts.
 * S3  "understood" acknowledges exactly one caution; several come most severe first.
 * S4  Nothing goes forward past a caution that is not acknowledged; cautions come before their step is read.
 * S5  "next" does not pass a missing reading, record, sign-off or count, nor an open question.
 * S6  A step visited again asks for danger and warning again; lesser cautions are read with the step.
 * S7  Below the confidence a phrase needs, the ear's word does not count and is asked for again.
 * S8  What loses something (give up, leave out, take back) asks first; "yes" counts only after that.
 * S9  A reading or serial is read back and counts only after "yes".
 * S10 A reading out of limits never lets the job go on by itself; where it shows that the unit is safe to
 *     touch, not even a reported problem does.
 * S11 A serial with a wrong check character, length or sign is refused.
 * S12 While not listening, only "start listening" counts by voice; keys and touch always count.
 * S13 While paused, only resume, where am I, finish, stop and listening count.
 * S14 What makes no sense now changes nothing; it is counted, and one short sentence says why.
 * S15 At most one step forward for each input.
 * S16 A hold point is signed by another person than the one who did the work.
 * S17 Injury stops the job at once.
 * S18 A job ends completed only with every step done and the tray empty by the ledger and by the eye;
 *     otherwise it is given up, with what was still out.
 * S19 After the program ended, the step is shown again and cautions not acknowledged are read again.
 * S20 A colleague who takes over hears and acknowledges all cautions of the step and of the job.
 * S21 Trainees count the fasteners after taking them out; a wrong count does not go on.
 * S22 Utterance numbers grow; only the newest reading of a caution can make it read.
 * S23 Only steps that were reached can be gone to, and only after asking.
 * S24 A long pause is announced, at most once each ten minutes and twelve times in all.
 */
import type { Plan } from '../plan/model.ts';
import { allowedNow } from './allowed.ts';
import { answerText, questionText, stepText, whyNotNow, whyText } from './answers.ts';
import { isSure, neededConfidence } from './confidence.ts';
import {
  ask,
  closeDraft,
  type Draft,
  draftFor,
  type EngineOptions,
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
import { evolve, initialState } from './evolve.ts';
import { isPhraseId, whatCanISay } from './grammar.ts';
import type { Effect, JobInput, JobRecord, PhraseId, Source, Verbosity } from './model.ts';
import { durationInWords, fill, type WordKey } from './prompts.ts';
import { answerNo, answerYes, confirmStep, revisit, takeAnswer } from './questions.ts';
import {
  isAtEnd,
  isOpenStep,
  type JobState,
  needsCount,
  openCompartments,
  stepStateOf,
  waitsFor,
} from './state.ts';
import { takeNumber, takeReading, takeSerial } from './values.ts';

export type { EngineOptions } from './draft.ts';
export { evolve, initialState, stateFromRecords } from './evolve.ts';
export type { JobState } from './state.ts';

/** A pause is announced each time this much of it has passed. */
export const PAUSE_REMINDER_MS = 10 * 60_000;
export const MAX_PAUSE_REMINDERS = 12;
/** The same refusal of the ear within this time is answered by the chime alone. */
export const REFUSAL_REPEAT_MS = 10_000;
export const MAX_NOTE_LENGTH = 500;
export const MAX_NAME_LENGTH = 100;

export interface Decision {
  readonly records: readonly JobRecord[];
  readonly effects: readonly Effect[];
}
export interface Step extends Decision {
  readonly state: JobState;
}

/** What comes of an input: records to be synced, then effects to be performed in this order. Never throws. */
export function decide(plan: Plan, state: JobState, input: JobInput, options: EngineOptions = {}): Decision {
  const d = draftFor(plan, state, input.atMs, options);
  if (!state.opened || state.outcome !== null) {
    const closes = state.outcome !== null && input.type === 'left';
    return { records: [], effects: closes ? [{ type: 'closed' }] : [] };
  }
  if (state.left && input.type !== 'reopened') return { records: [], effects: [] };
  handle(d, input);
  closeDraft(d);
  return { records: d.records, effects: d.effects };
}

/** `decide`, and the state after its records. */
export function step(plan: Plan, state: JobState, input: JobInput, options: EngineOptions = {}): Step {
  const decision = decide(plan, state, input, options);
  const after = decision.records.reduce((s, made) => evolve(plan, s, made), state);
  return { ...decision, state: after };
}

export interface OpeningOptions {
  readonly technician: string;
  readonly unitSerial?: string | null;
  readonly workOrder?: string | null;
  readonly reportedFault?: string | null;
  readonly verbosity?: Verbosity;
  readonly atMs?: number;
}

/** Opens a new job: its first records, the effects (the first caution or step is read) and the state. */
export function openJob(plan: Plan, opening: OpeningOptions, options: EngineOptions = {}): Step {
  const d = draftFor(plan, initialState(plan), opening.atMs ?? 0, options);
  record(d, {
    event: 'job.opened',
    technician: name(opening.technician),
    unit_serial: opening.unitSerial ?? null,
    work_order: opening.workOrder ?? null,
    reported_fault: opening.reportedFault ?? null,
    verbosity: opening.verbosity ?? 'full',
  });
  showStep(d, 0);
  closeDraft(d);
  return { records: d.records, effects: d.effects, state: d.state };
}

/**
 * What will probably be said next, likeliest first, so that its sound can be made ahead: what "understood"
 * and "next" would bring, and the present text again. At most eight texts, none twice.
 */
export function sayAhead(plan: Plan, state: JobState, options: EngineOptions = {}): readonly string[] {
  const texts: string[] = [];
  let after = state.caution === null ? state : withCautionRead(state, state.caution);
  for (const phrase of ['understood', 'next', 'understood', 'yes', 'repeat'] as const) {
    if (!allowedNow(plan, after).phrases.includes(phrase)) continue;
    const likely = step(plan, after, { type: 'phrase', phrase, atMs: after.at_ms, source: 'key' }, options);
    for (const effect of likely.effects) if (effect.type === 'say') texts.push(effect.text);
    after =
      likely.state.caution === null ? likely.state : withCautionRead(likely.state, likely.state.caution);
  }
  return [...new Set(texts)].slice(0, 8);
}

function withCautionRead(state: JobState, caution: NonNullable<JobState['caution']>): JobState {
  return { ...state, caution: { ...caution, status: 'read' } };
}

/** The first records of a new job; `openJob` gives the effects with them. */
export function openingRecords(plan: Plan, opening: OpeningOptions): readonly JobRecord[] {
  return openJob(plan, opening).records;
}

function handle(d: Draft, input: JobInput): void {
  if (isDeaf(d, input)) return;
  switch (input.type) {
    case 'phrase':
      takePhrase(d, input);
      return;
    case 'reading':
      if (sureOfValue(d, input)) takeReading(d, input.value, input.unit, input.source);
      return;
    case 'serial':
      if (sureOfValue(d, input)) takeSerial(d, input.value, input.source);
      return;
    case 'number':
      if (sureOfValue(d, input)) takeNumber(d, input);
      return;
    case 'answer':
      takeAnswerOrYesNo(d, input);
      return;
    case 'text':
      takeNote(d, input.value, input.source);
      return;
    case 'sign-off':
      takeSignOff(d, input.person, input.source);
      return;
    case 'hand-over':
      handOver(d, input.person, input.source);
      return;
    case 'go-to':
      askGoTo(d, input.step, input.source);
      return;
    default:
      handleOutside(d, input);
  }
}

/** What comes from the ear, the mouth, the clock and the host rather than from a person. */
function handleOutside(d: Draft, input: JobInput): void {
  switch (input.type) {
    case 'unheard':
      takeUnheard(d, input);
      return;
    case 'spoken':
      takeSpoken(d, input);
      return;
    case 'tick':
      takeTick(d);
      return;
    case 'trouble':
      takeTrouble(d, input);
      return;
    case 'reopened':
      reopen(d, input.awayMs);
      return;
    case 'left':
      record(d, { event: 'job.left' });
      d.effects.push({ type: 'hush' }, { type: 'closed' });
      return;
    default:
      return;
  }
}

/** True for what the ear brings while it is told not to listen (S12). */
function isDeaf(d: Draft, input: JobInput): boolean {
  if (d.state.listening) return false;
  if (input.type === 'unheard') return true;
  if (!('source' in input) || input.source !== 'voice') return false;
  return !(input.type === 'phrase' && input.phrase === 'start listening');
}

function refuseUnsure(d: Draft): void {
  record(d, { event: 'utterance.refused', reason: 'not-sure' });
  d.effects.push({ type: 'chime', chime: 'refused' });
  if (!isReadingCaution(d.state)) say(d, fill(d.words, 'refusal.not-sure'), 'refusal');
}

function sureOfValue(d: Draft, input: { readonly source: Source; readonly confidence?: number }): boolean {
  if (input.source !== 'voice' || isSure(input.confidence, d.confidence.values)) return true;
  refuseUnsure(d);
  return false;
}

// ---- phrases ---------------------------------------------------------------------------------------

function takePhrase(d: Draft, input: PhraseInput): void {
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
  const tooEarly = input.phrase === 'understood' && d.state.caution?.status !== 'read';
  if (input.phrase !== 'stop' && !tooEarly) d.effects.push({ type: 'chime', chime: 'heard' });
  moveOn(d, input) || explain(d, input.phrase, input.source);
}

/** Phrases that change where the job stands; false where the phrase is another one. */
function moveOn(d: Draft, input: PhraseInput): boolean {
  const { phrase, source, confidence } = input;
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
function explain(d: Draft, phrase: PhraseId, source: Source): void {
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
      say(d, whatCanISay(allowedNow(d.plan, d.state), d.words), 'answer');
      return;
    default:
      giveHelp(d, phrase, source);
      say(d, answerText(d.plan, d.state, phrase, d.words), 'answer');
  }
}

function giveHelp(d: Draft, what: PhraseId, source: Source): void {
  record(d, { event: 'help.given', step: here(d).id, what, source });
}

/** Says again what the job waits for: the question, the caution or the step. */
function sayCurrent(d: Draft): void {
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
  if (note_item === null) {
    ask(d, 'note');
    return;
  }
  record(d, { event: 'note.taken', step: id, item: note_item, text: null, audio: null, source });
  say(d, fill(d.words, 'answer.noted'), 'answer');
}

// ---- other inputs of people ------------------------------------------------------------------------

function takeAnswerOrYesNo(d: Draft, input: Extract<JobInput, { type: 'answer' }>): void {
  const word = String(input.value).trim().toLowerCase();
  if (word === 'yes' || word === 'no') takePhrase(d, { ...input, type: 'phrase', phrase: word });
  else if (sureOfValue(d, input)) takeAnswer(d, word, input.source);
}

function takeNote(d: Draft, value: string, source: Source): void {
  const text = cleaned(value, MAX_NOTE_LENGTH);
  if (text === '') {
    refuse(d, 'note', 'no-text-here', source);
    return;
  }
  const { id, note_item } = here(d);
  record(d, { event: 'note.taken', step: id, item: note_item, text, audio: null, source });
  d.effects.push({ type: 'chime', chime: 'heard' });
  if (!isReadingCaution(d.state)) say(d, fill(d.words, 'answer.noted'), 'answer');
}

/** Text without control characters, trimmed, at most `limit` characters. */
function cleaned(value: string, limit: number): string {
  return [...String(value)]
    .map((sign) => (sign < ' ' || sign === '\u007f' ? ' ' : sign))
    .join('')
    .trim()
    .slice(0, limit)
    .trim();
}

function name(value: string): string {
  return cleaned(value, MAX_NAME_LENGTH);
}

function takeSignOff(d: Draft, value: string, source: Source): void {
  const person = name(value);
  const free = d.state.pending.length === 0 && d.state.question === null && d.state.paused_since_ms === null;
  if (!free || person === '' || waitsFor(d.plan, d.state) !== 'sign-off') {
    refuse(d, 'sign-off', 'no-sign-off-here', source);
    return;
  }
  const workers = [d.state.technician, d.state.last_worker ?? ''];
  if (workers.some((worker) => worker.toLowerCase() === person.toLowerCase())) {
    refuse(d, 'sign-off', 'same-person', source);
    return;
  }
  record(d, { event: 'hold.signed', step: here(d).id, person, source });
  d.effects.push({ type: 'chime', chime: 'done' });
  say(d, fill(d.words, 'answer.signed', { name: person }), 'answer');
}

function handOver(d: Draft, value: string, source: Source): void {
  const person = name(value);
  if (person === '' || person === d.state.technician) {
    refuse(d, 'hand-over', 'not-now', source);
    return;
  }
  record(d, { event: 'job.handed-over', from: d.state.technician, to: person, source });
  const facts = { name: person, n: d.state.index + 1, m: d.plan.steps.length };
  say(d, fill(d.words, 'job.handed-over', facts), 'answer');
  goOn(d);
}

function askGoTo(d: Draft, id: string, source: Source): void {
  const index = d.plan.steps.findIndex((step) => step.id === id);
  const paused = d.state.paused_since_ms !== null;
  const forward = index > d.state.index;
  if (d.state.question !== null || paused || (forward && d.state.pending.length > 0)) {
    refuse(d, 'go-to', whyNotNow(d.plan, d.state, null), source);
  } else if (index < 0 || index > d.state.frontier) refuse(d, 'go-to', 'not-reached', source);
  else if (index === d.state.index) {
    giveHelp(d, 'repeat', source);
    sayCurrent(d);
  } else ask(d, 'go-back', id);
}

// ---- ear, mouth, clock, host -----------------------------------------------------------------------

function takeUnheard(d: Draft, input: Extract<JobInput, { type: 'unheard' }>): void {
  const key = input.reason === 'not-possible-now' ? null : (`refusal.${input.reason}` as WordKey);
  if (key !== null && !(key in d.words)) return;
  const before = d.state;
  const again = before.refusal?.reason === input.reason && d.atMs - before.refused_at_ms < REFUSAL_REPEAT_MS;
  record(d, { event: 'utterance.refused', reason: input.reason });
  // Other people's talk is counted and not answered: answering it would be a nuisance all day.
  if (input.reason === 'unknown-words') return;
  d.effects.push({ type: 'chime', chime: 'refused' });
  if (again || isReadingCaution(before) || before.step_utterance !== null) return;
  const text =
    key === null ? whyText(d.plan, d.state, whyNotNow(d.plan, d.state, null), d.words) : fill(d.words, key);
  say(d, text, 'refusal');
}

function takeSpoken(d: Draft, input: Extract<JobInput, { type: 'spoken' }>): void {
  const { caution, step_utterance } = d.state;
  const step = here(d).id;
  if (caution !== null && caution.utterance === input.utterance && caution.status !== 'read') {
    if (input.outcome === 'interrupted') {
      if (caution.status === 'reading')
        record(d, { event: 'caution.interrupted', step, caution: caution.id });
    } else {
      const by = input.outcome === 'completed' ? 'voice' : 'screen';
      record(d, { event: 'caution.read', step, caution: caution.id, by });
    }
  } else if (step_utterance !== null && step_utterance === input.utterance) {
    record(d, { event: 'step.read', step, outcome: input.outcome });
  }
}

function takeTick(d: Draft): void {
  const since = d.state.paused_since_ms;
  if (since === null || d.state.pause_reminders >= MAX_PAUSE_REMINDERS) return;
  const paused_ms = d.atMs - since;
  if (paused_ms < PAUSE_REMINDER_MS * (d.state.pause_reminders + 1)) return;
  record(d, { event: 'pause.reminded', paused_ms });
  say(d, fill(d.words, 'job.pause-long', { time: durationInWords(d.words, paused_ms) }), 'answer');
}

function takeTrouble(d: Draft, input: Extract<JobInput, { type: 'trouble' }>): void {
  const key = `trouble.${input.code}` as WordKey;
  if (!(key in d.words) || key === 'trouble.over') return;
  if (d.state.troubles.includes(input.code) !== input.over) return;
  record(d, { event: input.over ? 'trouble.ended' : 'trouble.began', code: input.code });
  say(d, fill(d.words, input.over ? 'trouble.over' : key), 'trouble');
  if (input.code === 'no-voice' && !input.over && isReadingCaution(d.state) && d.state.caution !== null) {
    const caution = d.state.caution.id;
    record(d, { event: 'caution.read', step: here(d).id, caution, by: 'screen' });
  }
}

function reopen(d: Draft, awayMs: number): void {
  const away_ms = Number.isFinite(awayMs) ? Math.max(0, Math.round(awayMs)) : 0;
  record(d, { event: 'job.reopened', away_ms });
  const facts = { n: d.state.index + 1, m: d.plan.steps.length };
  if (d.state.paused_since_ms !== null) {
    say(d, fill(d.words, 'job.reopened-paused', facts), 'answer');
    return;
  }
  const ended = isAtEnd(d.plan, d.state) && d.state.index === d.plan.steps.length - 1;
  say(d, fill(d.words, ended ? 'job.reopened-end' : 'job.reopened', facts), 'answer');
  if (ended) {
    goOn(d);
    return;
  }
  const visit = stepStateOf(d.state).visits + 1;
  record(d, { event: 'step.shown', step: here(d).id, visit });
  if (d.state.problem !== null) goOn(d);
  else sayStepOrCaution(d);
}
