/** The words of the log's findings: one table, so that tests assert codes and places and never prose. */
import type { Diagnostic, DiagnosticText } from '../base/diagnostic.ts';

type Words = (facts: Diagnostic['facts']) => DiagnosticText;

const READ_ONLY =
  'The job can be read but not continued. Keep the folder as it is and take it from a backup.';
const damaged =
  (what: string): Words =>
  (facts) => ({ message: `Line ${facts.line} of the log ${what}.`, mend: READ_ONLY });

const TABLE: Readonly<Record<string, Words>> = {
  'log/torn-tail': (facts) => ({
    message: `The last write to the log was cut off (${facts.bytes} bytes from line ${facts.line} on).`,
    mend: 'It had not been confirmed. It is kept in a file beside the log; do the last step again if it is asked for.',
  }),
  'log/newer-version': (facts) => ({
    message: `Line ${facts.line} of the log was written by a newer version of this program.`,
    mend: 'Open the job with that version, or update this one.',
  }),
  'log/too-large': (facts) => ({
    message: `The log has ${facts.bytes} bytes; at most ${facts.allowed} are read.`,
    mend: 'Check that the file is a log of this program.',
  }),
  'log/too-many-lines': (facts) => ({
    message: `The log has more than ${facts.allowed} lines.`,
    mend: 'Finish this job and start a new one.',
  }),
  'log/line-too-long': (facts) => ({
    message: `A line of the log is longer than allowed${facts.bytes === undefined ? '' : ` (${facts.bytes} bytes)`}.`,
    mend: 'Make the note shorter; a log with such a line was not written by this program.',
  }),
  'log/not-utf8': damaged('is not text'),
  'log/not-json': damaged('is damaged'),
  'log/not-ended': damaged('has no end'),
  'log/not-a-line': damaged('is not a line of this format'),
  'log/checksum': damaged('does not agree with its checksum'),
  'log/not-canonical': damaged('is not spelled as this program writes it'),
  'log/bad-record': damaged('holds an event that does not exist or has wrong fields'),
  'log/sequence': damaged('is not the next one: lines are missing, doubled or out of order'),
  'log/chain': damaged('does not continue the line before it'),
  'log/batch': damaged('does not belong to the write it says it belongs to'),
  'log/time-backwards': damaged('has an earlier time than the line before it'),
  'log/after-finish': damaged('comes after the end of the job'),
  'log/unknown-event': (facts) => ({
    message: `There is no event "${facts.event}".`,
    mend: 'This is a fault of the program; please report it.',
  }),
  'log/bad-field': (facts) => ({
    message: `The field "${facts.field}" of the event "${facts.event}" cannot be written.`,
    mend: 'Enter it again, shorter and without unusual characters.',
  }),
  'log/plan-hash': () => ({
    message: 'The plan in job.json is not the one the job was started with.',
    mend: READ_ONLY,
  }),
  'log/first-hash': () => ({
    message: 'The log does not belong to the job.json beside it.',
    mend: READ_ONLY,
  }),
  'log/not-opened': (facts) => ({
    message: `Line ${facts.line}: the log does not begin with the opening of the job.`,
    mend: READ_ONLY,
  }),
  'log/unknown-step': (facts) => ({
    message: `Line ${facts.line}: the plan has no step "${facts.step}".`,
    mend: 'Treat the record with care: it does not fit its plan.',
  }),
  'log/unknown-caution': (facts) => ({
    message: `Line ${facts.line}: step "${facts.step}" has no caution "${facts.caution}".`,
    mend: 'Treat the record with care: it does not fit its plan.',
  }),
  'log/step-not-shown': (facts) => ({
    message: `Line ${facts.line}: step "${facts.step}" was confirmed while another was shown.`,
    mend: 'Ask the technician about this step.',
  }),
  'log/step-order': (facts) => ({
    message: `Line ${facts.line}: step "${facts.step}" was shown before "${facts.before}" was done.`,
    mend: 'Ask the technician about these steps.',
  }),
  'log/caution-not-read': (facts) => ({
    message: `Line ${facts.line}: the caution "${facts.caution}" of step "${facts.step}" was acknowledged before it was read.`,
    mend: 'Read the caution with the technician.',
  }),
  'log/caution-not-acknowledged': (facts) => ({
    message: `Line ${facts.line}: step "${facts.step}" was confirmed without its caution "${facts.caution}".`,
    mend: 'Read the caution with the technician and inspect the step.',
  }),
  'log/reading-missing': (facts) => ({
    message: `Line ${facts.line}: step "${facts.step}" was confirmed without its reading "${facts.measure}".`,
    mend: 'Measure again.',
  }),
  'log/serial-missing': (facts) => ({
    message: `Line ${facts.line}: step "${facts.step}" was confirmed without its number "${facts.record}".`,
    mend: 'Read the number from the part.',
  }),
  'log/hold-not-signed': (facts) => ({
    message: `Line ${facts.line}: step "${facts.step}" went on without the second person's sign-off.`,
    mend: 'Have the step inspected.',
  }),
  'log/skipped-required': (facts) => ({
    message: `Line ${facts.line}: step "${facts.step}" was skipped, but it is not optional.`,
    mend: 'Do the step, or inspect whether it was done.',
  }),
  'log/steps-open': (facts) => ({
    message: `Line ${facts.line}: the job was called complete with ${facts.count} steps not done.`,
    mend: 'Inspect the unit before it is used.',
  }),
  'log/compartments-open': (facts) => ({
    message: `Line ${facts.line}: the job was called complete with fasteners in ${facts.count} compartments.`,
    mend: 'Open the unit again and look for the missing fasteners.',
  }),
  'log/note-missing': (facts) => ({
    message: `Line ${facts.line}: the spoken note ${facts.file} is not in the job's folder.`,
    mend: 'Take the file from a backup.',
  }),
  'log/note-changed': (facts) => ({
    message: `Line ${facts.line}: ${facts.file} is not the spoken note that was recorded.`,
    mend: 'Take the file from a backup; do not rely on this one.',
  }),
  'log/note-unknown': (facts) => ({
    message: `The log names no spoken note ${facts.file}.`,
    mend: 'It was broken off while it was written. Listen to it, then delete it or keep it elsewhere.',
  }),
  'log/wall-clock': (facts) => ({
    message: `Line ${facts.line}: the clock of the computer jumped by ${facts.jump_ms} milliseconds.`,
    mend: 'Nothing to do: measured times come from another clock.',
  }),
};

/** What a finding of the log means and what to do. Asserts nothing: an unknown code is shown as it is. */
export function logDiagnosticText(diagnostic: Diagnostic): DiagnosticText {
  const words = TABLE[diagnostic.code];
  return words?.(diagnostic.facts) ?? { message: diagnostic.code, mend: 'Please report this code.' };
}

/** Every code that has words, for the test that keeps the table complete. */
export const LOG_CODES: readonly string[] = Object.keys(TABLE);
