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
 *     touch, not even a reported problem does, and the step cannot be left out, optional or not.
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
 * S25 Sound is recorded only after "yes" to the question whether a note is to be spoken, and only until the note
 *     ends; meanwhile only "stop" and "undo" are commands.
 * S26 A key or touch that would confirm something does nothing within `PRESS_AGAIN_MS` of one that moved the job
 *     on: pedals bounce, and under a finger that taps twice stands another button the second time.
 * S27 A question about the unit is passed by one of its answers only. The steps that do not hold for the answer
 *     fall away; taking the question back brings them back. It cannot be left out.
 */
import type { Plan } from '../plan/model.ts';
import { closeDraft, type Draft, draftFor, type EngineOptions, record, refuse, showStep } from './draft.ts';
import { evolve, initialState } from './evolve.ts';
import type { Effect, JobInput, JobRecord, PhraseId, Verbosity } from './model.ts';
import { handleOutside } from './outside.ts';
import { askGoTo, handOver, personName, takeAnswerOrYesNo, takeNote, takeSignOff } from './people.ts';
import { sureOfValue, takePhrase } from './phrases.ts';
import type { JobState } from './state.ts';
import { takeNumber, takeReading, takeSerial } from './values.ts';

export type { EngineOptions } from './draft.ts';
export { evolve, initialState, stateFromRecords } from './evolve.ts';
export { MAX_PAUSE_REMINDERS, PAUSE_REMINDER_MS, REFUSAL_REPEAT_MS } from './outside.ts';
export { MAX_NAME_LENGTH, MAX_NOTE_LENGTH } from './people.ts';
export { PRESS_AGAIN_MS } from './phrases.ts';
export type { JobState } from './state.ts';

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
    technician: personName(opening.technician),
    unit_serial: opening.unitSerial ?? null,
    work_order: opening.workOrder ?? null,
    reported_fault: opening.reportedFault ?? null,
    verbosity: opening.verbosity ?? 'full',
  });
  showStep(d, 0);
  closeDraft(d);
  return { records: d.records, effects: d.effects, state: d.state };
}

/** The first records of a new job; `openJob` gives the effects with them. */
export function openingRecords(plan: Plan, opening: OpeningOptions): readonly JobRecord[] {
  return openJob(plan, opening).records;
}

function handle(d: Draft, input: JobInput): void {
  if (isDeaf(d, input)) return;
  if (d.state.recording !== null && 'source' in input && input.type !== 'phrase') {
    refuse(d, input.type, 'note-first', input.source);
    return;
  }
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

/** True for what the ear brings while it is told not to listen (S12), or while a note is spoken (S25). */
function isDeaf(d: Draft, input: JobInput): boolean {
  const { listening, recording } = d.state;
  if (listening && recording === null) return false;
  if (input.type === 'unheard') return true;
  if (!('source' in input) || input.source !== 'voice') return false;
  const heeded: readonly PhraseId[] = listening ? ['stop', 'undo'] : ['start listening'];
  return !(input.type === 'phrase' && heeded.includes(input.phrase));
}
