/** Readings, serials, counts and found fasteners: proposed, read back, and only then recorded. */

import { allowedNow } from './allowed.ts';
import { limitOf, printedReading, questionText, whyNotNow } from './answers.ts';
import { checkCharacterFits } from './check-digits.ts';
import { ask, type Draft, goOn, here, record, refuse, say } from './draft.ts';
import type { JobInput, Source } from './model.ts';
import { fill } from './prompts.ts';
import { convertReading } from './reading-units.ts';
import { normaliseCode } from './spelled-codes.ts';
import { expectedCount, litCompartments, mustBeWithin, waitsFor } from './state.ts';

/** Largest reading taken, in the unit of the measure. */
export const MAX_READING = 1e9;
/** Longest code taken, in characters. */
export const MAX_CODE_LENGTH = 64;
/** More fasteners than this are never in a tray. */
export const MAX_COUNT = 10_000;

/** A reading was said: it is read back and waits for "yes". */
export function takeReading(d: Draft, value: number, unit: string | undefined, source: Source): void {
  const measure = here(d).measure;
  if (allowedNow(d.plan, d.state).number !== 'reading' || measure === null) {
    refuse(d, 'reading', whyNotNow(d.plan, d.state, 'reading'), source);
    return;
  }
  if (!Number.isFinite(value)) {
    refuse(d, 'reading', 'bad-number', source);
    return;
  }
  const converted = convertReading(value, unit ?? measure.unit, measure.unit);
  if (converted === undefined) {
    refuse(d, 'reading', 'wrong-unit', source);
    return;
  }
  if (Math.abs(converted) > MAX_READING) {
    refuse(d, 'reading', 'bad-number', source);
    return;
  }
  const step = here(d).id;
  if (d.state.proposal !== null) record(d, { event: 'value.rejected', step, source });
  record(d, {
    event: 'reading.proposed',
    step,
    measure: measure.id,
    value: converted,
    unit: measure.unit,
    source,
  });
  say(d, questionText(d.plan, d.state, d.words), 'question');
}

/** "yes" to a reading: recorded with whether it is within its limits; outside it never lets the job go on. */
export function confirmReading(d: Draft, source: Source): void {
  const { measure, id: step } = here(d);
  const proposal = d.state.proposal;
  if (measure === null || proposal === null) return;
  const { value, unit } = proposal;
  const limit = limitOf(measure, value);
  record(d, {
    event: 'reading.confirmed',
    step,
    measure: measure.id,
    value,
    unit,
    within: limit === 'within',
    source,
  });
  if (limit === 'within') {
    sayRecorded(d);
    return;
  }
  const bound = limit === 'too-high' ? measure.max : measure.min;
  const facts = {
    value: printedReading(d.words, value, unit),
    limit: printedReading(d.words, bound ?? 0, unit),
  };
  say(d, fill(d.words, mustBeWithin(here(d)) ? 'reading.must' : `reading.${limit}`, facts), 'answer');
}

function sayRecorded(d: Draft): void {
  const waits = waitsFor(d.plan, d.state) !== null;
  say(d, fill(d.words, waits ? 'answer.recorded-more' : 'answer.recorded'), 'answer');
}

/** A serial was spelled: checked, read back letter by letter, and waits for "yes". */
export function takeSerial(d: Draft, text: string, source: Source): void {
  const field = here(d).record;
  if (!allowedNow(d.plan, d.state).spelling || field === null) {
    refuse(d, 'serial', whyNotNow(d.plan, d.state, 'serial'), source);
    return;
  }
  const value = normaliseCode(text);
  if (value === undefined || value.length > MAX_CODE_LENGTH) {
    refuse(d, 'serial', 'bad-code', source);
    return;
  }
  if (value.length < (field.min_length ?? 1)) {
    refuse(d, 'serial', 'too-short', source);
    return;
  }
  if (value.length > (field.max_length ?? MAX_CODE_LENGTH)) {
    refuse(d, 'serial', 'too-long', source);
    return;
  }
  if (!checkCharacterFits(field.check ?? 'none', value)) {
    refuse(d, 'serial', 'check-character', source);
    return;
  }
  const step = here(d).id;
  if (d.state.proposal !== null) record(d, { event: 'value.rejected', step, source });
  record(d, { event: 'serial.proposed', step, record: field.id, value, source });
  say(d, questionText(d.plan, d.state, d.words), 'question');
}

/** "yes" to a serial. */
export function confirmSerial(d: Draft, source: Source): void {
  const { record: field, id: step } = here(d);
  const proposal = d.state.proposal;
  if (field === null || proposal === null) return;
  record(d, { event: 'serial.confirmed', step, record: field.id, value: proposal.text, source });
  sayRecorded(d);
}

/** A bare number: the answer to "how many" or "which compartment", or a reading keyed in. */
export function takeNumber(d: Draft, input: Extract<JobInput, { type: 'number' }>): void {
  const kind = d.state.question?.kind;
  if (kind === 'count') takeCount(d, input.value, input.source);
  else if (kind === 'fastener-compartment') takeCompartment(d, input.value, input.source);
  else if (allowedNow(d.plan, d.state).number === 'reading' && input.source !== 'voice') {
    takeReading(d, input.value, undefined, input.source);
  } else {
    const why = whyNotNow(d.plan, d.state, null);
    refuse(d, 'number', why === 'not-now' ? 'no-number-here' : why, input.source);
  }
}

function takeCount(d: Draft, counted: number, source: Source): void {
  if (!Number.isInteger(counted) || counted < 0 || counted > MAX_COUNT) {
    refuse(d, 'number', 'bad-number', source);
    return;
  }
  const expected = expectedCount(d.plan, d.state);
  const compartment = expected.index === null ? null : (d.plan.tray[expected.index]?.number ?? null);
  record(d, {
    event: 'count.confirmed',
    step: here(d).id,
    compartment,
    counted,
    expected: expected.count,
    source,
  });
  if (counted === expected.count) say(d, fill(d.words, 'answer.count-right'), 'answer');
  else say(d, fill(d.words, 'question.count-again', { expected: expected.count, counted }), 'question');
}

function takeCompartment(d: Draft, number: number, source: Source): void {
  if (!d.plan.tray.some((place) => place.number === number)) {
    refuse(d, 'number', 'no-compartment', source);
    return;
  }
  const kind = d.state.question?.about ?? '';
  record(d, { event: 'question.answered', question: 'fastener-compartment', answer: String(number), source });
  recordFound(d, kind, number, source);
  goOn(d);
}

function recordFound(d: Draft, kind: string, compartment: number, source: Source): void {
  const difference = kind === 'extra screw' ? 1 : -1;
  record(d, { event: 'fastener.found', step: here(d).id, compartment, difference, source });
}

/**
 * A screw too many or too few was reported: the compartment is the step's own where it has just one,
 * otherwise it is asked for. Returns false where the tray has no compartments at all.
 */
export function askWhereFound(d: Draft, kind: string, source: Source): void {
  const lit = [...new Set(litCompartments(d.plan, here(d)))];
  const one = lit.length === 1 ? d.plan.tray[lit[0] ?? 0]?.number : undefined;
  if (one !== undefined) {
    recordFound(d, kind, one, source);
    goOn(d);
  } else if (d.plan.tray.length > 0) ask(d, 'fastener-compartment', kind);
  else goOn(d);
}
