/** What people give besides phrases: answers, notes, sign-off, hand-over, a step picked from the list. */
import { whyNotNow } from './answers.ts';
import { ask, type Draft, goOn, here, isReadingCaution, record, refuse, say } from './draft.ts';
import type { JobInput, Source } from './model.ts';
import { giveHelp, sayCurrent, sureOfValue, takePhrase } from './phrases.ts';
import { fill } from './prompts.ts';
import { takeAnswer } from './questions.ts';
import { waitsFor } from './state.ts';

export const MAX_NOTE_LENGTH = 500;
export const MAX_NAME_LENGTH = 100;

/** An answer touched or spoken; "yes" and "no" are phrases. */
export function takeAnswerOrYesNo(d: Draft, input: Extract<JobInput, { type: 'answer' }>): void {
  const word = String(input.value).trim().toLowerCase();
  if (word === 'yes' || word === 'no') takePhrase(d, { ...input, type: 'phrase', phrase: word });
  else if (sureOfValue(d, input)) takeAnswer(d, word, input.source);
}

/** Text typed in: a note about the step, or the route of its cable. */
export function takeNote(d: Draft, value: string, source: Source): void {
  const text = cleaned(value, MAX_NOTE_LENGTH);
  if (text === '') {
    refuse(d, 'note', 'no-text-here', source);
    return;
  }
  const { id, note_item } = here(d);
  record(d, { event: 'note.taken', step: id, item: note_item, text, audio: null, source });
  d.effects.push({ type: 'chime', chime: 'heard' });
  if (!isReadingCaution(d.state)) say(d, fill(d.words, 'answer.noted'), 'answer');
  goOn(d);
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

/** A person's name without control characters, at most `MAX_NAME_LENGTH` long. */
export function personName(value: string): string {
  return cleaned(value, MAX_NAME_LENGTH);
}

/** The second person signs a hold point (S16). The host has checked the code already. */
export function takeSignOff(d: Draft, value: string, source: Source): void {
  const person = personName(value);
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

/** A colleague takes over (S20). */
export function handOver(d: Draft, value: string, source: Source): void {
  const person = personName(value);
  if (person === '' || person.toLowerCase() === d.state.technician.toLowerCase()) {
    refuse(d, 'hand-over', 'not-now', source);
    return;
  }
  record(d, { event: 'job.handed-over', from: d.state.technician, to: person, source });
  const facts = { name: person, n: d.state.index + 1, m: d.plan.steps.length };
  say(d, fill(d.words, 'job.handed-over', facts), 'answer');
  goOn(d);
}

/** A step picked from the list (S23). */
export function askGoTo(d: Draft, id: string, source: Source): void {
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
