/**
 * Lines with a right checksum and a wrong shape, logs beyond their limits, and what is or is not the remains of a
 * cut write. Written against changes of the reader that no other test noticed.
 */
import { describe, expect, it } from 'vitest';
import type { JobRecord } from '../../../electron/core/job/model.ts';
import { bytesFromText, hashOfJson, hasLoneSurrogate } from '../../../electron/core/log/canonical-json.ts';
import { encodeBatch, encodeLine, type LogEnd, readLog } from '../../../electron/core/log/codec.ts';
import { MAX_LINE_BYTES, MAX_LINES, MAX_LOG_BYTES } from '../../../electron/core/log/limits.ts';
import { MAX_FIELD_LENGTH } from '../../../electron/core/log/records.ts';
import { epochMsFromTimestamp, timestampFromEpochMs } from '../../../electron/core/log/timestamp.ts';
import { isTornTail, type Piece } from '../../../electron/core/log/torn-tail.ts';

const WALL = '2026-03-01T09:30:00.000+01:00';
const GENESIS: LogEnd = { seq: 0, prev: hashOfJson({ job: 'demo' }), mono_ms: 0 };
const OPENED: JobRecord = {
  event: 'job.opened',
  at_ms: 0,
  technician: 'Technician A',
  unit_serial: null,
  work_order: null,
  reported_fault: null,
  verbosity: 'full',
};
const shown = (at_ms: number): JobRecord => ({ event: 'step.shown', at_ms, step: 'lid', visit: 1 });

function batch(records: JobRecord[], end: LogEnd): { text: string; end: LogEnd } {
  const made = encodeBatch(records, WALL, end);
  if (!made.ok) throw new Error(made.error.code);
  return made.value;
}

type Line = Record<string, unknown>;
const FIRST = batch([OPENED, shown(5)], GENESIS);
const LINES = FIRST.text
  .trimEnd()
  .split('\n')
  .map((text) => JSON.parse(text) as Line);

/** The log with one line changed and its checksum made right again. */
function withLine(index: number, change: (line: Line) => unknown): string {
  const texts = LINES.map((line, i) => {
    if (i !== index) return JSON.stringify(line);
    const changed = change({ ...line });
    return typeof changed === 'string' ? changed : encodeLine(changed as Parameters<typeof encodeLine>[0]);
  });
  return `${texts.join('\n')}\n`;
}
const verdict = (text: string | Uint8Array): readonly unknown[] => {
  const { diagnostics, verdict: found } = readLog(text);
  return [found, diagnostics[0]?.code, diagnostics[0]?.facts.line];
};

describe('a line with a right checksum', () => {
  it('is read where nothing else is wrong', () => {
    expect(verdict(withLine(1, (line) => line))[0]).toBe('unfinished');
  });

  it.each<[string, string, (line: Line) => unknown]>([
    ['more names than the format', 'log/not-a-line', (line) => ({ ...line, more: 1 })],
    ['another name for one', 'log/not-a-line', ({ wall, ...line }) => ({ ...line, wail: wall })],
    ['no event', 'log/not-a-line', ({ event: _event, ...line }) => line],
    ['an event that is no text', 'log/not-a-line', (line) => ({ ...line, event: 7 })],
    ['an event that nobody knows', 'log/bad-record', (line) => ({ ...line, event: 'step.shows' })],
    ['fields that are a list', 'log/not-a-line', (line) => ({ ...line, fields: [] })],
    ['fields that are nothing', 'log/not-a-line', (line) => ({ ...line, fields: null })],
    ['fields that are a text', 'log/not-a-line', (line) => ({ ...line, fields: 'lid' })],
    ['a field too few', 'log/bad-record', (line) => ({ ...line, fields: { step: 'lid' } })],
    ['a field too many', 'log/bad-record', (line) => ({ ...line, fields: { step: 'lid', visit: 1, x: 1 } })],
    ['a sequence number of zero', 'log/not-a-line', (line) => ({ ...line, seq: 0, batch_first: 0 })],
    ['half a sequence number', 'log/not-a-line', (line) => ({ ...line, seq: 1.5 })],
    ['a sequence number as a text', 'log/not-a-line', (line) => ({ ...line, seq: '2' })],
    ['a write that begins after the line', 'log/not-a-line', (line) => ({ ...line, batch_first: 3 })],
    ['a write that ends before the line', 'log/not-a-line', (line) => ({ ...line, batch_last: 1 })],
    ['a time before the job', 'log/not-a-line', (line) => ({ ...line, mono_ms: -1 })],
    ['a time after all time', 'log/not-a-line', (line) => ({ ...line, mono_ms: 8_640_000_000_001 })],
    ['a day that is none', 'log/not-a-line', (line) => ({ ...line, wall: '2026-02-30T09:30:00.000+01:00' })],
    ['a wall time that is a number', 'log/not-a-line', (line) => ({ ...line, wall: 0 })],
    ['a hash that is too short', 'log/not-a-line', (line) => ({ ...line, prev: String(line.prev).slice(1) })],
    ['a hash in capitals', 'log/not-a-line', (line) => ({ ...line, prev: String(line.prev).toUpperCase() })],
    ['a hash that is a number', 'log/not-a-line', (line) => ({ ...line, prev: 12 })],
    ['no version', 'log/not-a-line', ({ v: _v, ...line }) => line],
    ['version zero', 'log/not-a-line', (line) => ({ ...line, v: 0 })],
    ['a version that is a text', 'log/not-a-line', (line) => ({ ...line, v: '2' })],
    ['a newer version', 'log/newer-version', (line) => ({ ...line, v: 99 })],
    ['another sequence number', 'log/sequence', (line) => ({ ...line, seq: 3, batch_last: 3 })],
    ['the hash of another line', 'log/chain', (line) => ({ ...line, prev: '0'.repeat(64) })],
    ['the beginning of another write', 'log/batch', (line) => ({ ...line, batch_first: 2 })],
    ['the end of another write', 'log/batch', (line) => ({ ...line, batch_last: 3 })],
    ['nothing but a list', 'log/not-a-line', () => '[]'],
    ['nothing but null', 'log/not-a-line', () => 'null'],
    ['nothing but a number', 'log/not-a-line', () => '7'],
  ])('and %s is damage', (_what, code, change) => {
    expect(verdict(withLine(1, change))).toEqual(['unknown', code, 2]);
  });

  it('that goes back in time, or begins a write in the middle of one, is damage', () => {
    const later = batch([OPENED, shown(50)], GENESIS);
    const back = batch([shown(90)], later.end);
    const early = JSON.parse(back.text) as Line;
    const text = `${later.text}${encodeLine({ ...early, mono_ms: 49 } as never)}\n`;
    expect(verdict(text)).toEqual(['unknown', 'log/time-backwards', 3]);
    const inside = `${later.text}${encodeLine({ ...early, batch_first: 2, batch_last: 3 } as never)}\n`;
    expect(verdict(inside)).toEqual(['unknown', 'log/batch', 3]);
  });

  it('that is not UTF-8 is damage', () => {
    const bytes = bytesFromText(FIRST.text);
    const at = FIRST.text.indexOf('Technician');
    const broken = bytes.slice();
    broken[at] = 0xff;
    expect(verdict(broken)).toEqual(['unknown', 'log/not-utf8', 1]);
  });
});

describe('limits of a log', () => {
  it('are told with the figures', () => {
    const lines = readLog('\n'.repeat(MAX_LINES + 1));
    expect(lines.diagnostics).toEqual([
      { code: 'log/too-many-lines', severity: 'error', facts: { allowed: MAX_LINES } },
    ]);
    const bytes = readLog(new Uint8Array(MAX_LOG_BYTES + 1));
    expect(bytes.diagnostics[0]).toMatchObject({
      code: 'log/too-large',
      facts: { bytes: MAX_LOG_BYTES + 1, allowed: MAX_LOG_BYTES },
    });
    expect(readLog(`${'x'.repeat(MAX_LINE_BYTES + 1)}\n`).diagnostics[0]?.code).toBe('log/line-too-long');
  });

  it('refuse a batch that would go beyond them, and one without a record', () => {
    const last = encodeBatch([shown(1)], WALL, { ...GENESIS, seq: MAX_LINES });
    expect(last).toMatchObject({
      ok: false,
      error: { code: 'log/too-many-lines', facts: { lines: MAX_LINES + 1, allowed: MAX_LINES } },
    });
    expect(encodeBatch([shown(1)], WALL, { ...GENESIS, seq: MAX_LINES - 1 }).ok).toBe(true);
    expect(() => encodeBatch([], WALL, GENESIS)).toThrow('a batch has a record');
  });
});

describe('a record that may not be written', () => {
  const refusal = (record: JobRecord, end = GENESIS): unknown => {
    const made = encodeBatch([record], WALL, end);
    return made.ok ? undefined : made.error;
  };

  it('is told with its figures', () => {
    expect(refusal(shown(3), { ...GENESIS, seq: 4, mono_ms: 5 })).toEqual({
      code: 'log/time-backwards',
      severity: 'error',
      facts: { seq: 5, mono_ms: 3, before_ms: 5 },
    });
    expect(refusal({ ...OPENED, event: 'job.opens' } as never)).toEqual({
      code: 'log/unknown-event',
      severity: 'error',
      facts: { event: 'job.opens' },
    });
    expect(refusal({ ...OPENED, technician: null } as never)).toMatchObject({
      code: 'log/bad-field',
      facts: { event: 'job.opened', field: 'technician' },
    });
  });

  it('by its longest line: texts of many signs that are written as escapes', () => {
    const text = '\u0001'.repeat(MAX_FIELD_LENGTH);
    const note = { event: 'note.taken', at_ms: 0, step: text, item: text, text, audio: null, source: 'key' };
    expect(refusal(note as never)).toMatchObject({
      code: 'log/line-too-long',
      facts: { allowed: MAX_LINE_BYTES },
    });
  });

  it.each<[string, object]>([
    [
      'a confidence that is a text',
      { event: 'step.confirmed', step: 'lid', source: 'key', confidence: '1', with_help: false },
    ],
    [
      'a confidence that is no number',
      { event: 'step.confirmed', step: 'lid', source: 'key', confidence: Number.NaN, with_help: false },
    ],
    [
      'a value that is endless',
      { event: 'reading.proposed', step: 'lid', measure: 'v', value: Infinity, unit: 'V', source: 'key' },
    ],
    [
      'a difference of a half',
      { event: 'fastener.found', step: 'lid', compartment: 1, difference: 0.5, source: 'key' },
    ],
    [
      'a compartment below nought',
      { event: 'fastener.found', step: 'lid', compartment: -1, difference: 1, source: 'key' },
    ],
    ['a text beyond its length', { event: 'step.shown', step: 'x'.repeat(MAX_FIELD_LENGTH + 1), visit: 1 }],
    [
      'a flag that is a number',
      { event: 'step.confirmed', step: 'lid', source: 'key', confidence: null, with_help: 0 },
    ],
    ['a source that nobody knows', { event: 'job.paused', source: 'mouse' }],
    ['an optional text that is null', { event: 'question.asked', question: 'note', about: null }],
  ])('for %s', (_what, record) => {
    expect(refusal({ at_ms: 0, ...record } as never)).toMatchObject({ code: 'log/bad-field' });
  });

  it('but with what is optional left out, and negative where it may be', () => {
    expect(refusal({ event: 'question.asked', at_ms: 0, question: 'note' })).toBeUndefined();
    const found = { event: 'fastener.found', step: 'lid', compartment: 0, difference: -3, source: 'key' };
    expect(refusal({ at_ms: 0, ...found } as never)).toBeUndefined();
    expect(
      refusal({ event: 'step.shown', at_ms: 0, step: 'x'.repeat(MAX_FIELD_LENGTH), visit: 0 }),
    ).toBeUndefined();
  });
});

describe('a cut write', () => {
  const piece = (text: string, given: Partial<Piece> = {}): Piece => ({
    offset: 1000,
    bytes: Uint8Array.from(text, (one) => one.charCodeAt(0)),
    ended: false,
    ...given,
  });
  const LINE = '{"batch_first":7,"fields":{"step":"a \\" { b"},"seq":7}';
  const torn = (...rest: Piece[]): boolean => isTornTail(rest, 7, () => undefined);

  it('is every beginning of a line, but not the whole line with something changed', () => {
    for (let length = 0; length < LINE.length; length += 1)
      expect(torn(piece(LINE.slice(0, length)))).toBe(true);
    expect(torn(piece(LINE))).toBe(false);
    expect(torn(piece(`${LINE}x`))).toBe(false);
    // A backslash before a quote keeps the text open, so the brace behind it is no brace.
    expect(torn(piece('{"batch_first":7,"fields":{"step":"a \\\\"}}'))).toBe(false);
    expect(torn(piece('{"batch_first":7,"fields":{"step":"a \\"}}'))).toBe(true);
  });

  it('begins as a line begins and holds printable characters only', () => {
    for (const text of [
      'x',
      '{"batch_last":7',
      ' {"batch_first":7',
      '{}',
      '{"batch_first":7\u0001',
      '{"batch_first":7\u007f',
      '{"batch_first":7\u001f',
    ])
      expect([text, torn(piece(text))]).toEqual([text, false]);
    expect(torn(piece('{"batch_first":7 '))).toBe(true);
    expect(torn(piece(`{"batch_first":${'7'.repeat(MAX_LINE_BYTES)}`))).toBe(false);
  });

  it('is the last piece, and has no end', () => {
    expect(torn(piece('{"batch_first":7', { ended: true }))).toBe(false);
    expect(torn(piece('{"batch_first":7'), piece('{"batch_first":7'))).toBe(false);
    expect(torn(piece('a\0\0b', { ended: true }), piece('{"batch_first":7'))).toBe(true);
  });

  it('may hold lost sectors: zeros in a row, or a lone one at the edge of a sector', () => {
    expect(torn(piece('ab\0\0cd', { ended: true }))).toBe(true);
    expect(torn(piece('\0\0'))).toBe(true);
    expect(torn(piece('ab\0cd', { ended: true }))).toBe(false);
    // Its opening brace was the last byte of a sector that was lost.
    expect(torn(piece('\0abc', { offset: 511, ended: true }))).toBe(true);
    expect(torn(piece('\0abc', { offset: 512, ended: true }))).toBe(false);
    expect(torn(piece('a\0bc', { offset: 510, ended: true }))).toBe(false);
    // Its last line feed was the first byte of a sector that was lost.
    expect(torn(piece('abc\0', { offset: 509 }))).toBe(true);
    expect(torn(piece('abc\0', { offset: 509, ended: true }))).toBe(false);
    expect(torn(piece('abc\0', { offset: 510 }))).toBe(false);
    expect(torn(piece('abcd', { offset: 509 }))).toBe(false);
    expect(torn(piece('\0', { offset: 512 }))).toBe(true);
  });

  it('may leave whole lines of its own, and of no other write', () => {
    const whole = piece(LINE, { ended: true });
    expect(isTornTail([whole], 7, () => 7)).toBe(true);
    expect(isTornTail([whole], 7, () => 8)).toBe(false);
    expect(isTornTail([], 7, () => 7)).toBe(true);
  });

  it('is told with its line, its place and its length', () => {
    const log = readLog(`${FIRST.text}{"batch_first":3`);
    const offset = bytesFromText(FIRST.text).length;
    expect(log.tornTail).toEqual({ offset, bytes: 16, seq: 3 });
    expect(log.diagnostics).toEqual([
      { code: 'log/torn-tail', severity: 'warning', facts: { line: 3, offset, bytes: 16 } },
    ]);
    const damaged = readLog(`${FIRST.text}nothing\n`);
    expect(damaged.diagnostics[0]?.facts).toEqual({ line: 3, offset });
  });
});

describe('the edges of texts and times', () => {
  it('half a surrogate pair is one at any place, a whole one is none', () => {
    for (const text of ['\ud800', '\udbff', '\udc00', '\udfff', 'a\ud800b', '\ud800\ue000', '\ud800\ud800'])
      expect([JSON.stringify(text), hasLoneSurrogate(text)]).toEqual([JSON.stringify(text), true]);
    for (const text of ['', 'a', '\ud800\udc00', '\udbff\udfff', '\ud7ff\ue000', '\u{1f600}'])
      expect([JSON.stringify(text), hasLoneSurrogate(text)]).toEqual([JSON.stringify(text), false]);
  });

  it('times beyond the clock are none', () => {
    const ms = (text: string): number | undefined => epochMsFromTimestamp(text);
    expect(ms('2026-03-01T23:59:59Z')).toBe(Date.UTC(2026, 2, 1, 23, 59, 59));
    for (const text of [
      '2026-03-01T24:00:00Z',
      '2026-03-01T23:60:00Z',
      '2026-03-01T23:59:61Z',
      '2026-03-01T22:59:60Z',
      '2026-03-01T23:58:60Z',
      '2026-03-00T00:00:00Z',
      '2026-00-01T00:00:00Z',
      '2026-13-01T00:00:00Z',
      '2026-04-31T00:00:00Z',
      '2026-06-31T00:00:00Z',
      '2026-09-31T00:00:00Z',
      '2026-11-31T00:00:00Z',
      '2026-02-29T00:00:00Z',
      '2100-02-29T00:00:00Z',
      '2026-03-01T00:00:00+24:00',
      '2026-03-01T00:00:00+01:60',
    ])
      expect([text, ms(text)]).toEqual([text, undefined]);
    expect(ms('2000-02-29T00:00:00Z')).toBe(Date.UTC(2000, 1, 29));
    expect(ms('2028-02-29T00:00:00Z')).toBe(Date.UTC(2028, 1, 29));
    expect(ms('2016-12-31T23:59:60Z')).toBe(Date.UTC(2017, 0, 1));
    expect(ms('2016-12-31T18:59:60-05:00')).toBe(Date.UTC(2017, 0, 1));
    expect(timestampFromEpochMs(0, 0)).toBe('1970-01-01T00:00:00.000+00:00');
    expect(timestampFromEpochMs(0, -90)).toBe('1969-12-31T22:30:00.000-01:30');
  });
});
