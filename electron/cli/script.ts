/**
 * Scripts for `drive`: a technician's words with their times, one a line.
 *
 *     # comment
 *     +12 next                 12 seconds after the line before, but not before the voice has finished
 *     !+2 stop                 2 seconds after the line before, while the voice may still speak
 *     +5 the reading is 5.02   as it would be spoken; numbers in figures or words, serials in letters
 *     +9 serial is 42A7
 *     +3 note: seal was dry    typed text
 *     +3 sign-off: Technician E
 *     +3 hand-over: Technician B
 *     +1 unheard: not-sure     the ear did not understand
 */
import type { Language } from '../core/base/language.ts';
import type { Facts } from '../core/base/message.ts';
import { err, ok, type Result } from '../core/base/result.ts';
import { knownPhrase, understand } from '../core/job/grammar.ts';
import type { Allowed, RefusalReason } from '../core/job/model.ts';
import type { Fault } from '../disk/disk-fault.ts';
import type { PageInput } from '../ipc/contract.ts';

export interface ScriptEntry {
  readonly line: number;
  readonly afterMs: number;
  /** False: the voice may still be speaking. */
  readonly waitsForVoice: boolean;
  readonly words: string;
}

export const MAX_SCRIPT_LINES = 100_000;
const MAX_WORDS = 600;
const MAX_WAIT_S = 1_000_000;
const ENTRY = /^(!?)\+(\d+(?:\.\d+)?)\s+(\S.*)$/;
const REASONS: readonly RefusalReason[] = [
  'too-quiet',
  'too-noisy',
  'not-sure',
  'not-possible-now',
  'unknown-words',
];

function wrong(line: number, facts: Facts, { cli }: Language): Result<never, Fault> {
  const words = cli.faults['script-line'];
  const all = { ...facts, line };
  return err({ code: 'script/bad-line', message: words.message(all), mend: words.mend(all) });
}

/** The entries of a script. Errors name the line: `script/bad-line`, `script/too-long`. */
export function parseScript(text: string, language: Language): Result<readonly ScriptEntry[], Fault> {
  const lines = text.split(/\r?\n/);
  if (lines.length > MAX_SCRIPT_LINES) {
    const words = language.cli.faults['script-too-long'];
    const message = words.message({ lines: lines.length, limit: MAX_SCRIPT_LINES });
    return err({ code: 'script/too-long', message, mend: words.mend() });
  }
  const entries: ScriptEntry[] = [];
  for (const [index, raw] of lines.entries()) {
    const line = raw.trim();
    if (line === '' || line.startsWith('#')) continue;
    const match = line.length > MAX_WORDS ? null : ENTRY.exec(line);
    if (match === null) return wrong(index + 1, { what: 'no-entry', words: line.slice(0, 80) }, language);
    const seconds = Number(match[2]);
    if (seconds > MAX_WAIT_S) return wrong(index + 1, { what: 'too-long', seconds }, language);
    entries.push({
      line: index + 1,
      afterMs: Math.round(seconds * 1000),
      waitsForVoice: match[1] !== '!',
      words: match[3] ?? '',
    });
  }
  return ok(entries);
}

const TYPED = /^(note|sign-off|hand-over|unheard|serial|answer):\s*(.+)$/i;

function typedInput(what: string, value: string): PageInput | undefined {
  switch (what.toLowerCase()) {
    case 'note':
      return { type: 'text', value, source: 'key' };
    case 'sign-off':
      return { type: 'sign-off', person: value, source: 'script' };
    case 'hand-over':
      return { type: 'hand-over', person: value, source: 'script' };
    case 'serial':
      return { type: 'serial', value, source: 'script' };
    case 'answer':
      return { type: 'answer', value, source: 'script' };
    default:
      return REASONS.includes(value as RefusalReason)
        ? { type: 'unheard', reason: value as RefusalReason }
        : undefined;
  }
}

/** A number in figures, with the unit that follows it. */
const READING = /^the reading is\s+([+-]?\d+(?:\.\d+)?)\s*(\S.*)?$/i;
const SERIAL = /^serial is\s+([0-9A-Z][0-9A-Z ./-]*)$/;
const FIGURES = /^[+-]?\d+(?:\.\d+)?$/;

/**
 * What the words of an entry mean where the bench allows `allowed`. Words that are known but not possible now
 * go to the engine all the same: it refuses them and says why, as it does a person. Error: `script/bad-line`.
 */
export function inputFromWords(
  entry: ScriptEntry,
  allowed: Allowed,
  language: Language,
): Result<PageInput, Fault> {
  const { words, line } = entry;
  const typed = TYPED.exec(words);
  if (typed !== null) {
    const input = typedInput(typed[1] ?? '', typed[2] ?? '');
    return input === undefined
      ? wrong(line, { what: 'unclear', words: words.slice(0, 80) }, language)
      : ok(input);
  }
  const reading = READING.exec(words);
  if (reading !== null) {
    const unit = reading[2] === undefined ? {} : { unit: reading[2] };
    return ok({ type: 'reading', value: Number(reading[1]), ...unit, source: 'script' });
  }
  const serial = SERIAL.exec(words);
  if (serial !== null)
    return ok({ type: 'serial', value: (serial[1] ?? '').replace(/ /g, ''), source: 'script' });
  if (FIGURES.test(words)) return ok({ type: 'number', value: Number(words), source: 'script' });
  const understood = understand(allowed, words.toLowerCase());
  if (understood !== undefined) return ok({ ...understood, source: 'script' } as PageInput);
  const phrase = knownPhrase(words.toLowerCase());
  if (phrase !== undefined) return ok({ type: 'phrase', phrase, source: 'script' });
  return ok({ type: 'answer', value: words.toLowerCase(), source: 'script' });
}
