/**
 * The table of log events: name, fields and their types. It is the list that `codec.ts` describes, in a form
 * the program checks lines with. A name once released is never reused; a field is never given another
 * meaning. Adding an event or a field is a new log format (`model.ts` LOG_FORMAT) with a migration.
 */
import type { Diagnostic } from '../base/diagnostic.ts';
import { err, ok, type Result } from '../base/result.ts';
import type { JobRecord } from '../job/model.ts';

/** `?` after a kind: null is allowed; `…-or-absent`: the field may be left out. Counts and times are whole numbers from 0; a text is at most 4,000 characters. */
type Kind =
  | 'text'
  | 'text?'
  | 'text-or-absent'
  | 'number'
  | 'number?'
  | 'whole'
  | 'whole?'
  | 'whole-or-absent'
  | 'signed'
  | 'flag'
  | readonly string[];
type FieldsOf<E extends JobRecord['event']> = Omit<Extract<JobRecord, { event: E }>, 'event' | 'at_ms'>;
type EventTable = {
  readonly [E in JobRecord['event']]: { readonly [F in keyof FieldsOf<E>]-?: Kind };
};

export const MAX_FIELD_LENGTH = 4000;

const SOURCE = ['voice', 'key', 'touch', 'script'] as const;
const REASON = ['too-quiet', 'too-noisy', 'not-sure', 'not-possible-now', 'unknown-words'] as const;
const VERBOSITY = ['full', 'short', 'trainee'] as const;

export const EVENT_FIELDS: EventTable = {
  'job.opened': {
    technician: 'text',
    unit_serial: 'text?',
    work_order: 'text?',
    reported_fault: 'text?',
    verbosity: VERBOSITY,
  },
  'job.reopened': { away_ms: 'whole' },
  'job.left': {},
  'step.shown': { step: 'text', visit: 'whole' },
  'step.confirmed': { step: 'text', source: SOURCE, confidence: 'number?', with_help: 'flag' },
  'step.skipped': { step: 'text', source: SOURCE },
  'step.undone': { step: 'text', source: SOURCE },
  'step.revisited': { step: 'text', from: 'text', source: SOURCE },
  'step.read': { step: 'text', outcome: ['completed', 'interrupted', 'no-voice'] },
  'caution.started': { step: 'text', caution: 'text' },
  'caution.read': { step: 'text', caution: 'text', by: ['voice', 'screen'] },
  'caution.interrupted': { step: 'text', caution: 'text' },
  'caution.acknowledged': { step: 'text', caution: 'text', source: SOURCE, confidence: 'number?' },
  'reading.proposed': { step: 'text', measure: 'text', value: 'number', unit: 'text', source: SOURCE },
  'reading.confirmed': {
    step: 'text',
    measure: 'text',
    value: 'number',
    unit: 'text',
    within: 'flag',
    source: SOURCE,
  },
  'serial.proposed': { step: 'text', record: 'text', value: 'text', source: SOURCE },
  'serial.confirmed': { step: 'text', record: 'text', value: 'text', source: SOURCE },
  'value.rejected': { step: 'text', source: SOURCE },
  'count.confirmed': {
    step: 'text',
    compartment: 'whole?',
    counted: 'number',
    expected: 'whole',
    source: SOURCE,
  },
  'fastener.found': { step: 'text', compartment: 'whole', difference: 'signed', source: SOURCE },
  'note.taken': {
    step: 'text',
    item: 'text?',
    text: 'text?',
    audio: 'text?',
    audio_sha256: 'text-or-absent',
    audio_ms: 'whole-or-absent',
    source: SOURCE,
  },
  'note.started': { step: 'text' },
  'note.dropped': {
    step: 'text',
    why: ['nothing-said', 'thrown-away', 'no-microphone', 'not-written', 'broken-off'],
  },
  'problem.reported': { step: 'text', kind: 'text', source: SOURCE },
  'problem.settled': { step: 'text', decision: ['go-on', 'stop'], source: SOURCE },
  'hold.signed': { step: 'text', person: 'text', source: SOURCE },
  'job.paused': { source: SOURCE },
  'job.resumed': { source: SOURCE },
  'pause.reminded': { paused_ms: 'whole' },
  'job.handed-over': { from: 'text', to: 'text', source: SOURCE },
  'question.asked': { question: 'text', about: 'text-or-absent' },
  'question.answered': { question: 'text', answer: 'text', source: SOURCE },
  'help.given': { step: 'text', what: 'text', source: SOURCE },
  'listening.stopped': { source: SOURCE },
  'listening.started': { source: SOURCE },
  'utterance.refused': { reason: REASON },
  'phrase.refused': { phrase: 'text', why: 'text', source: SOURCE },
  'trouble.began': { code: 'text' },
  'trouble.ended': { code: 'text' },
  'job.finished': { outcome: ['completed', 'given-up'], open_compartments: 'whole', source: SOURCE },
};

function fits(kind: Kind, value: unknown): boolean {
  if (typeof kind !== 'string') return typeof value === 'string' && kind.includes(value);
  if (value === null) return kind.endsWith('?');
  switch (kind) {
    case 'text':
    case 'text?':
    case 'text-or-absent':
      return typeof value === 'string' && value.length <= MAX_FIELD_LENGTH;
    case 'number':
    case 'number?':
      return typeof value === 'number' && Number.isFinite(value);
    case 'whole':
    case 'whole?':
    case 'whole-or-absent':
      return Number.isSafeInteger(value) && (value as number) >= 0;
    case 'signed':
      return Number.isSafeInteger(value);
    case 'flag':
      return typeof value === 'boolean';
  }
}

/** Whether a text names an event of this format. */
export function isEventName(name: string): name is JobRecord['event'] {
  return Object.hasOwn(EVENT_FIELDS, name);
}

/**
 * The record of an event name, its time and its fields. Exactly the fields of the table, no more and no less.
 * Error codes: `log/unknown-event`, `log/bad-field`.
 */
export function recordFromFields(
  event: string,
  atMs: number,
  fields: Readonly<Record<string, unknown>>,
): Result<JobRecord, Diagnostic> {
  if (!isEventName(event)) return err({ code: 'log/unknown-event', severity: 'error', facts: { event } });
  const table: Readonly<Record<string, Kind>> = EVENT_FIELDS[event];
  const bad = (field: string): Result<JobRecord, Diagnostic> =>
    err({ code: 'log/bad-field', severity: 'error', facts: { event, field } });
  for (const [field, kind] of Object.entries(table)) {
    if (typeof kind === 'string' && kind.endsWith('-or-absent') && !Object.hasOwn(fields, field)) continue;
    if (!Object.hasOwn(fields, field) || !fits(kind, fields[field])) return bad(field);
  }
  for (const field of Object.keys(fields)) if (!Object.hasOwn(table, field)) return bad(field);
  // The table is checked against the union by its type, so what fits the table is a record.
  return ok({ event, at_ms: atMs, ...fields } as unknown as JobRecord);
}
