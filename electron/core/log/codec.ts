/**
 * The log format, version 2. Stage 4 of the flow; this head is its whole description.
 *
 * A job is a folder. `job.json` holds the plan and is written and synced before the first log line.
 * `log.jsonl` is append-only UTF-8, one event a line, each line ended by one line feed (0x0A):
 *
 *     {"batch_first":4,"batch_last":5,"event":"step.confirmed","fields":{…},"mono_ms":81250,
 *      "prev":"9f…","seq":4,"sum":"c41d…","v":2,"wall":"2026-03-01T09:31:21.250+01:00"}
 *
 * - The line is canonical JSON (RFC 8785), byte for byte: one value has one spelling, so any changed bit shows.
 * - `v` format version. `seq` counts from 1 without gaps. `wall` is RFC 3339 with an offset, for people.
 *   `mono_ms` is the job's monotonic clock in whole milliseconds and never falls from line to line; the
 *   time the program did not run is not in it.
 * - `event` and `fields`: the table in `records.ts`. Fields are flat and carry their units in their names.
 * - `prev`: SHA-256 in hexadecimal of the line before (its bytes without the line feed, which are its canonical
 *   JSON); in the first line that of the canonical JSON of `job.json`. So a log belongs to one plan.
 * - `sum`: the first 16 hexadecimal digits of the SHA-256 of the canonical JSON of the line without `sum`. The
 *   chain alone would leave the last line unguarded.
 * - `batch_first`, `batch_last`: the lines of one write. A write is synced before the user hears of it and
 *   before the next one begins; it counts as a whole or not at all.
 *
 * Reading tells three things apart:
 * - a clean end: the last batch is whole;
 * - a torn tail: what a loss of power leaves of the one write that was never confirmed (a cut line, sectors of
 *   zeros, an incomplete batch). It may be kept aside, cut off and reported; `goodBytes` says where.
 * - anything else: the log cannot be trusted from that place on. Verdict `unknown`, read-only, never repaired.
 *
 * A line of a newer version is refused, not guessed at. Older versions: `migrations.ts`.
 */
import type { Diagnostic } from '../base/diagnostic.ts';
import { assert, err, ok, type Result } from '../base/result.ts';
import type { JobRecord } from '../job/model.ts';
import {
  bytesFromText,
  canonicalJson,
  hasLoneSurrogate,
  sha256Hex,
  textFromBytes,
} from './canonical-json.ts';
import { MAX_BATCH_LINES, MAX_LINE_BYTES, MAX_LINES, MAX_LOG_BYTES } from './limits.ts';
import { lineOfVersion } from './migrations.ts';
import { LOG_FORMAT, type LogLine, type StoredLine, type Verdict } from './model.ts';
import { recordFromFields } from './records.ts';
import { epochMsFromTimestamp } from './timestamp.ts';
import { isTornTail, type Piece } from './torn-tail.ts';

export { MAX_BATCH_LINES, MAX_LINE_BYTES, MAX_LINES, MAX_LOG_BYTES } from './limits.ts';

const SUM_DIGITS = 16;
const LINE_FEED = 0x0a;

/** Where a log ends: what the next line continues. `prev` of an empty log is the hash of `job.json`. */
export interface LogEnd {
  readonly seq: number;
  readonly prev: string;
  readonly mono_ms: number;
}

/** SHA-256 (hex) of a line as it stands, without its line feed: the `prev` of the next line. */
export function chainHash(line: string): string {
  return sha256Hex(line);
}

/** The text of a line with its checksum, without a line feed. Asserts that the line is plain JSON. */
export function encodeLine(line: Omit<StoredLine, 'sum'>): string {
  const { sum: _sum, ...bare } = line as StoredLine;
  const text = canonicalJson(bare);
  const sum = sha256Hex(text).slice(0, SUM_DIGITS);
  // Names are sorted, so the checksum's place is before the last `v`; no value can hold that text unescaped.
  const at = text.lastIndexOf(',"v":');
  return `${text.slice(0, at)},"sum":"${sum}"${text.slice(at)}`;
}

/** The fields of a record that go into a line's `fields`. */
export function fieldsFromRecord(record: JobRecord): LogLine['fields'] {
  const { event: _event, at_ms: _atMs, ...fields } = record;
  return fields;
}

/** The record that a line holds. Error codes: `log/unknown-event`, `log/bad-field`. */
export function recordFromLine(
  line: Pick<LogLine, 'event' | 'mono_ms' | 'fields'>,
): Result<JobRecord, Diagnostic> {
  return recordFromFields(line.event, line.mono_ms, line.fields);
}

/** The line of one record; the caller says where the log ends and what batch it belongs to. */
export function lineFromRecord(
  record: JobRecord,
  wall: string,
  end: LogEnd,
  batch: { readonly first: number; readonly last: number },
): Omit<StoredLine, 'sum'> {
  return {
    v: LOG_FORMAT,
    seq: end.seq + 1,
    wall,
    mono_ms: record.at_ms,
    event: record.event,
    fields: fieldsFromRecord(record),
    prev: end.prev,
    batch_first: batch.first,
    batch_last: batch.last,
  };
}

/** One write: its text, every line ended by a line feed, and where the log ends after it. */
export interface Batch {
  readonly text: string;
  readonly end: LogEnd;
}

/**
 * Encodes the records of one write. Refuses what could not be read back: `log/bad-field`,
 * `log/unknown-event`, `log/line-too-long`, `log/time-backwards`, `log/too-many-lines`. Asserts that there is
 * at least one record and that `wall` is RFC 3339.
 */
export function encodeBatch(
  records: readonly JobRecord[],
  wall: string,
  end: LogEnd,
): Result<Batch, Diagnostic> {
  assert(records.length > 0, 'a batch has a record');
  assert(epochMsFromTimestamp(wall) !== undefined, `wall time is RFC 3339, got ${wall}`);
  const refuse = (code: string, facts: Diagnostic['facts']): Result<Batch, Diagnostic> =>
    err({ code, severity: 'error', facts });
  const last = end.seq + records.length;
  if (last > MAX_LINES || records.length > MAX_BATCH_LINES) {
    return refuse('log/too-many-lines', { lines: last, allowed: MAX_LINES });
  }
  const batch = { first: end.seq + 1, last };
  let at = end;
  const lines: string[] = [];
  for (const record of records) {
    if (!Number.isSafeInteger(record.at_ms) || record.at_ms < at.mono_ms) {
      return refuse('log/time-backwards', { seq: at.seq + 1, mono_ms: record.at_ms, before_ms: at.mono_ms });
    }
    const line = lineFromRecord(record, wall, at, batch);
    const checked = recordFromLine(line);
    if (!checked.ok) return checked;
    if (Object.values(line.fields).some(isHalfPair)) {
      return refuse('log/bad-field', { event: record.event, field: 'text' });
    }
    const text = encodeLine(line);
    const bytes = bytesFromText(text).length;
    if (bytes > MAX_LINE_BYTES) return refuse('log/line-too-long', { bytes, allowed: MAX_LINE_BYTES });
    lines.push(text);
    at = { seq: at.seq + 1, prev: chainHash(text), mono_ms: record.at_ms };
  }
  return ok({ text: `${lines.join('\n')}\n`, end: at });
}

/** What was cut, or is to be cut, from the end of a log. */
export interface TornTail {
  readonly offset: number;
  readonly bytes: number;
  /** Sequence number of the first lost line. */
  readonly seq: number;
}

export interface ReadLog {
  /** The lines that can be trusted, in order; whole batches only. */
  readonly lines: readonly StoredLine[];
  /** `complete`: the job was finished. `unfinished`: it can go on. `unknown`: read-only. */
  readonly verdict: Verdict;
  readonly tornTail: TornTail | null;
  readonly diagnostics: readonly Diagnostic[];
  /** Length of the trusted part in bytes. */
  readonly goodBytes: number;
  /** Where the trusted part ends; `prev` is empty for an empty log, whose first line continues `job.json`. */
  readonly end: LogEnd;
}

type LineCheck =
  | { readonly ok: true; readonly line: StoredLine }
  | { readonly ok: false; readonly code: string };

const NAMES = ['batch_first', 'batch_last', 'event', 'fields', 'mono_ms', 'prev', 'seq', 'sum', 'v', 'wall'];
const isHex = (value: unknown, digits: number): boolean =>
  typeof value === 'string' && value.length === digits && /^[0-9a-f]*$/.test(value);
const isCount = (value: unknown, from: number): boolean =>
  Number.isSafeInteger(value) && (value as number) >= from && (value as number) <= 8_640_000_000_000;

function isStoredLine(value: Record<string, unknown>): boolean {
  const names = Object.keys(value);
  return (
    names.length === NAMES.length &&
    NAMES.every((name) => Object.hasOwn(value, name)) &&
    isCount(value.seq, 1) &&
    isCount(value.batch_first, 1) &&
    isCount(value.batch_last, 1) &&
    (value.batch_first as number) <= (value.seq as number) &&
    (value.batch_last as number) >= (value.seq as number) &&
    isCount(value.mono_ms, 0) &&
    typeof value.wall === 'string' &&
    epochMsFromTimestamp(value.wall) !== undefined &&
    typeof value.event === 'string' &&
    typeof value.fields === 'object' &&
    value.fields !== null &&
    !Array.isArray(value.fields) &&
    isHex(value.prev, 64) &&
    isHex(value.sum, SUM_DIGITS)
  );
}

const isHalfPair = (value: unknown): boolean => typeof value === 'string' && hasLoneSurrogate(value);

/** Checks one line by itself: UTF-8, JSON, version, shape, checksum, canonical spelling, event and fields. */
function checkLine(bytes: Uint8Array): LineCheck {
  const bad = (code: string): LineCheck => ({ ok: false, code });
  if (bytes.length > MAX_LINE_BYTES) return bad('log/line-too-long');
  const text = textFromBytes(bytes);
  if (text === undefined) return bad('log/not-utf8');
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return bad('log/not-json'); // the parser's words would name offsets inside one line; the code says enough
  }
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return bad('log/not-a-line');
  const found = value as Record<string, unknown>;
  const version = found.v;
  if (Number.isSafeInteger(version) && (version as number) > LOG_FORMAT) return bad('log/newer-version');
  const migrated = lineOfVersion(found);
  if (migrated === undefined || !isStoredLine(migrated)) return bad('log/not-a-line');
  const line = migrated as unknown as StoredLine;
  if (!recordFromLine(line).ok) return bad('log/bad-record');
  // Half a surrogate pair, possible only as an escape, is no canonical JSON; the encoder would assert.
  if (Object.values(line.fields).some(isHalfPair)) return bad('log/not-canonical');
  // The checksum is that of the line as it was written, whatever its version.
  if (encodeLine(found as unknown as StoredLine) !== text) return bad('log/checksum');
  return { ok: true, line };
}

function piecesOf(bytes: Uint8Array): Piece[] {
  const pieces: Piece[] = [];
  let from = 0;
  while (from < bytes.length && pieces.length <= MAX_LINES) {
    const feed = bytes.indexOf(LINE_FEED, from);
    const to = feed === -1 ? bytes.length : feed;
    pieces.push({ offset: from, bytes: bytes.subarray(from, to), ended: feed !== -1 });
    from = to + 1;
  }
  return pieces;
}

/** How a well-formed line can fail to continue the line before it. */
function breaksChain(line: StoredLine, end: LogEnd, before: StoredLine | undefined): string | undefined {
  if (line.seq !== end.seq + 1) return 'log/sequence';
  if (before !== undefined && line.prev !== end.prev) return 'log/chain';
  if (line.mono_ms < end.mono_ms) return 'log/time-backwards';
  const starts = before === undefined || before.seq === before.batch_last;
  if (starts ? line.batch_first !== line.seq : line.batch_first !== before.batch_first) return 'log/batch';
  if (!starts && line.batch_last !== before.batch_last) return 'log/batch';
  return undefined;
}

/** First line of the write that a whole line belongs to; undefined where the piece is no whole line. */
function batchOf(piece: Piece): number | undefined {
  const checked = checkLine(piece.bytes);
  return checked.ok ? checked.line.batch_first : undefined;
}

/**
 * Reads a log. Never throws; every fault is a diagnostic whose facts hold `line` (from 1) and `offset` (bytes).
 * Codes: `log/torn-tail` (warning), `log/newer-version`, `log/too-large`, `log/too-many-lines`, and for damage
 * `log/not-utf8`, `log/not-json`, `log/not-a-line`, `log/checksum`, `log/not-canonical`, `log/bad-record`,
 * `log/sequence`, `log/chain`, `log/time-backwards`, `log/batch`, `log/line-too-long`, `log/after-finish`.
 * The first line's `prev` is compared by `verifyLog`, which knows `job.json`. Cost: linear.
 */
export function readLog(log: string | Uint8Array): ReadLog {
  const bytes = typeof log === 'string' ? bytesFromText(log) : log;
  if (bytes.length > MAX_LOG_BYTES)
    return refused('log/too-large', { bytes: bytes.length, allowed: MAX_LOG_BYTES });
  const pieces = piecesOf(bytes);
  if (pieces.length > MAX_LINES) return refused('log/too-many-lines', { allowed: MAX_LINES });

  const lines: StoredLine[] = [];
  const ends: { readonly end: LogEnd; readonly bytes: number }[] = [
    { end: { seq: 0, prev: '', mono_ms: 0 }, bytes: 0 },
  ];
  let fault: { code: string; index: number } | undefined;
  for (const [index, piece] of pieces.entries()) {
    const { end } = ends[ends.length - 1]!;
    const checked: LineCheck = piece.ended ? checkLine(piece.bytes) : { ok: false, code: 'log/not-ended' };
    const code = checked.ok ? breaksChain(checked.line, end, lines.at(-1)) : checked.code;
    if (!checked.ok || code !== undefined) {
      fault = { code: code ?? 'log/not-a-line', index };
      break;
    }
    lines.push(checked.line);
    ends.push({
      end: { seq: checked.line.seq, prev: sha256Hex(piece.bytes), mono_ms: checked.line.mono_ms },
      bytes: piece.offset + piece.bytes.length + 1,
    });
  }
  return conclude({ pieces, lines, ends, fault, size: bytes.length });
}

function refused(code: string, facts: Diagnostic['facts']): ReadLog {
  return {
    lines: [],
    verdict: 'unknown',
    tornTail: null,
    diagnostics: [{ code, severity: 'error', facts }],
    goodBytes: 0,
    end: { seq: 0, prev: '', mono_ms: 0 },
  };
}

function conclude(found: {
  readonly pieces: readonly Piece[];
  readonly lines: StoredLine[];
  readonly ends: readonly { readonly end: LogEnd; readonly bytes: number }[];
  readonly fault: { readonly code: string; readonly index: number } | undefined;
  readonly size: number;
}): ReadLog {
  const { pieces, lines, ends, fault } = found;
  const lastLine = lines.at(-1);
  const open = lastLine !== undefined && lastLine.seq !== lastLine.batch_last ? lastLine : undefined;
  // An incomplete batch was never confirmed, so its surviving lines do not count either.
  const kept = open === undefined ? lines.length : open.batch_first - 1;
  const { end, bytes: goodBytes } = ends[kept]!;
  const trusted = lines.slice(0, kept);
  const diagnostics: Diagnostic[] = [];
  let tornTail: TornTail | null = null;
  let damaged = false;
  if (fault !== undefined || open !== undefined) {
    const rest = fault === undefined ? [] : pieces.slice(fault.index);
    // A loss of power leaves no whole line that does not fit: that is somebody's hand, or a fault.
    if (!NEVER_TORN.has(fault?.code ?? '') && isTornTail(rest, open?.batch_first ?? end.seq + 1, batchOf)) {
      tornTail = { offset: goodBytes, bytes: found.size - goodBytes, seq: end.seq + 1 };
      diagnostics.push({
        code: 'log/torn-tail',
        severity: 'warning',
        facts: { line: kept + 1, offset: goodBytes, bytes: tornTail.bytes },
      });
    } else {
      damaged = true;
      const index = fault?.index ?? kept;
      const offset = pieces[index]?.offset ?? goodBytes;
      diagnostics.push({
        code: fault?.code ?? 'log/batch',
        severity: 'error',
        facts: { line: index + 1, offset },
      });
    }
  }
  const finish = trusted.findIndex((line) => line.event === 'job.finished');
  if (finish !== -1 && trusted.slice(finish + 1).some((line) => !AFTER_FINISH.has(line.event))) {
    damaged = true;
    diagnostics.push({ code: 'log/after-finish', severity: 'error', facts: { line: finish + 2, offset: 0 } });
  }
  const verdict: Verdict = damaged ? 'unknown' : finish === -1 ? 'unfinished' : 'complete';
  return { lines: trusted, verdict, tornTail, diagnostics, goodBytes, end };
}

const NEVER_TORN: ReadonlySet<string> = new Set([
  'log/newer-version',
  'log/sequence',
  'log/chain',
  'log/batch',
  'log/time-backwards',
]);

/** What may still be recorded once the job is finished: that it was looked at and left, and refused words. */
const AFTER_FINISH: ReadonlySet<string> = new Set([
  'job.finished',
  'job.left',
  'job.reopened',
  'utterance.refused',
  'phrase.refused',
  'trouble.began',
  'trouble.ended',
  'note.taken',
  'listening.stopped',
  'listening.started',
  'help.given',
]);
