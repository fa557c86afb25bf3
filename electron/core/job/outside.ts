/** What comes from the ear, the mouth, the clock and the host rather than from a person. */
import { whyNotNow, whyText } from './answers.ts';
import { type Draft, goOn, here, isReadingCaution, record, say, sayStepOrCaution } from './draft.ts';
import type { JobInput } from './model.ts';
import { durationInWords, fill, isWordKey } from './prompts.ts';
import { dropNote, dropOverdue, dropSilently, startRecording, takeRecorded } from './spoken-note.ts';
import { canRecordNote, isAtEnd, stepStateOf } from './state.ts';

/** A pause is announced each time this much of it has passed. */
export const PAUSE_REMINDER_MS = 10 * 60_000;
export const MAX_PAUSE_REMINDERS = 12;
/** The same refusal of the ear within this time is answered by the chime alone. */
export const REFUSAL_REPEAT_MS = 10_000;

/** Takes an input from outside; others change nothing. */
export function handleOutside(d: Draft, input: JobInput): void {
  switch (input.type) {
    case 'unheard':
      takeUnheard(d, input);
      return;
    case 'spoken':
      takeSpoken(d, input);
      return;
    case 'note-recorded':
      takeRecorded(d, input);
      return;
    case 'note-failed':
      dropNote(d, input.why);
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
      if (d.state.recording !== null) dropSilently(d, 'broken-off');
      record(d, { event: 'job.left' });
      d.effects.push({ type: 'hush' }, { type: 'closed' });
      return;
    default:
      return;
  }
}

function takeUnheard(d: Draft, input: Extract<JobInput, { type: 'unheard' }>): void {
  const key = input.reason === 'not-possible-now' ? null : `refusal.${input.reason}`;
  if (key !== null && !isWordKey(key)) return;
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
  if (startRecording(d, input.utterance)) return;
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
  dropOverdue(d);
  const since = d.state.paused_since_ms;
  if (since === null || d.state.pause_reminders >= MAX_PAUSE_REMINDERS) return;
  const paused_ms = d.atMs - since;
  if (paused_ms < PAUSE_REMINDER_MS * (d.state.pause_reminders + 1)) return;
  record(d, { event: 'pause.reminded', paused_ms });
  say(d, fill(d.words, 'job.pause-long', { time: durationInWords(d.words, paused_ms) }), 'answer');
}

function takeTrouble(d: Draft, input: Extract<JobInput, { type: 'trouble' }>): void {
  const key = `trouble.${input.code}`;
  if (!isWordKey(key)) return;
  if (d.state.troubles.includes(input.code) !== input.over) return;
  record(d, { event: input.over ? 'trouble.ended' : 'trouble.began', code: input.code });
  if (d.state.recording !== null && !canRecordNote(d.state)) dropNote(d, 'no-microphone');
  else say(d, fill(d.words, input.over ? 'trouble.over' : key), 'trouble');
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
