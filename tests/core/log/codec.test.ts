import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { JobRecord } from '../../../electron/core/job/model.ts';
import { bytesFromText, canonicalJson, hashOfJson } from '../../../electron/core/log/canonical-json.ts';
import {
  chainHash,
  encodeBatch,
  encodeLine,
  type LogEnd,
  MAX_BATCH_LINES,
  readLog,
  recordFromLine,
} from '../../../electron/core/log/codec.ts';
import { LOG_CODES, logDiagnosticText } from '../../../electron/core/log/words.ts';

const WALL = '2026-03-01T09:30:00.000+01:00';
const GENESIS: LogEnd = { seq: 0, prev: hashOfJson({ job: 'demo' }), mono_ms: 0 };

const opened: JobRecord = {
  event: 'job.opened',
  at_ms: 0,
  technician: 'Technician A',
  unit_serial: null,
  work_order: 'W-17',
  reported_fault: 'does not switch on – “battery”',
  verbosity: 'full',
};
const shown = (at_ms: number): JobRecord => ({ event: 'step.shown', at_ms, step: 'remove.screws', visit: 1 });
const confirmed = (at_ms: number): JobRecord => ({
  event: 'step.confirmed',
  at_ms,
  step: 'remove.screws',
  source: 'voice',
  confidence: 0.93,
  with_help: false,
});
const finished = (at_ms: number): JobRecord => ({
  event: 'job.finished',
  at_ms,
  outcome: 'completed',
  open_compartments: 0,
  source: 'key',
});

/** The text of a log, one batch of records after the other. */
function logOf(...batches: JobRecord[][]): string {
  let end = GENESIS;
  let text = '';
  for (const records of batches) {
    const batch = encodeBatch(records, WALL, end);
    if (!batch.ok) throw new Error(batch.error.code);
    text += batch.value.text;
    end = batch.value.end;
  }
  return text;
}

const codesOf = (text: string | Uint8Array): string[] => readLog(text).diagnostics.map((found) => found.code);

describe('writing and reading a log', () => {
  test('what is written is read, and continues the chain', () => {
    const text = logOf([opened, shown(10)], [confirmed(5000), shown(5000)]);
    const log = readLog(text);
    expect(log.diagnostics).toEqual([]);
    expect(log.verdict).toBe('unfinished');
    expect(log.goodBytes).toBe(bytesFromText(text).length);
    expect(log.lines.map((line) => line.seq)).toEqual([1, 2, 3, 4]);
    expect(log.lines.map((line) => [line.batch_first, line.batch_last])).toEqual([
      [1, 2],
      [1, 2],
      [3, 4],
      [3, 4],
    ]);
    expect(log.lines[0]?.prev).toBe(GENESIS.prev);
    const raw = text.split('\n');
    expect(log.lines[1]?.prev).toBe(chainHash(raw[0] ?? ''));
    expect(log.end.prev).toBe(chainHash(raw[3] ?? ''));
    const records = log.lines.map((line) => recordFromLine(line));
    expect(records.map((record) => record.ok && record.value)).toEqual([
      opened,
      shown(10),
      confirmed(5000),
      shown(5000),
    ]);
  });

  test('every line is its own canonical JSON', () => {
    for (const line of logOf([opened], [confirmed(10)])
      .trimEnd()
      .split('\n')) {
      expect(canonicalJson(JSON.parse(line))).toBe(line);
    }
  });

  test('an empty log is unfinished, a finished one complete', () => {
    expect(readLog('')).toMatchObject({ verdict: 'unfinished', lines: [], goodBytes: 0, diagnostics: [] });
    expect(readLog(logOf([opened], [finished(9)])).verdict).toBe('complete');
  });

  test('records of any text survive, in whole batches', () => {
    const text = fc.string({ unit: 'grapheme', maxLength: 200 });
    const record = fc.record({
      technician: text,
      reported_fault: fc.option(text),
      work_order: fc.option(text),
    });
    fc.assert(
      fc.property(fc.array(fc.array(record, { minLength: 1, maxLength: 4 }), { maxLength: 6 }), (batches) => {
        const records = batches.map((batch, index) =>
          batch.map((fields): JobRecord => ({ ...opened, ...fields, at_ms: index })),
        );
        const log = readLog(logOf(...records));
        expect(log.diagnostics).toEqual([]);
        expect(log.lines.map((line) => recordFromLine(line)).map((read) => read.ok && read.value)).toEqual(
          records.flat(),
        );
      }),
      { seed: 20260301, numRuns: 60 },
    );
  });
});

test('a text that only looks like an escape is an ordinary text, there and back', () => {
  const text = 'C:\\udata \\ud83d \\\\ud800 "quoted" \u2028 ,"v":1,"wall":"x"';
  const log = readLog(logOf([{ ...opened, reported_fault: text }]));
  expect(log.diagnostics).toEqual([]);
  expect(log.lines[0]?.fields.reported_fault).toBe(text);
});

test('half a surrogate pair, as an escape in a line with a right checksum, is damage and no exception', () => {
  const line = logOf([opened]).replace('"W-17"', '"\\ud800"');
  expect(codesOf(line)).toEqual(['log/not-canonical']);
});

describe('what may not be written', () => {
  const refuse = (records: object[], end: LogEnd = GENESIS): string => {
    const batch = encodeBatch(records as JobRecord[], WALL, end);
    return batch.ok ? 'written' : batch.error.code;
  };
  test('time that runs backwards, or is no whole number', () => {
    expect(refuse([shown(5)], { ...GENESIS, mono_ms: 6 })).toBe('log/time-backwards');
    expect(refuse([shown(5), shown(4)])).toBe('log/time-backwards');
    expect(refuse([shown(5.5)])).toBe('log/time-backwards');
  });
  test('fields that the table does not know, or of another type', () => {
    expect(refuse([{ ...shown(5), extra: 1 }])).toBe('log/bad-field');
    expect(refuse([{ ...shown(5), visit: -1 }])).toBe('log/bad-field');
    expect(refuse([{ ...shown(5), step: 'x'.repeat(4001) }])).toBe('log/bad-field');
    expect(refuse([{ ...opened, technician: 'A\ud800' }])).toBe('log/bad-field');
    expect(refuse([{ ...confirmed(1), confidence: Number.NaN }])).toBe('log/bad-field');
    expect(refuse([{ event: 'step.shone', at_ms: 1 }])).toBe('log/unknown-event');
    expect(refuse([{ event: '__proto__', at_ms: 1 }])).toBe('log/unknown-event');
  });
  test('more lines than allowed', () => {
    expect(refuse(Array.from({ length: MAX_BATCH_LINES + 1 }, () => shown(1)))).toBe('log/too-many-lines');
    expect(refuse([shown(1)], { ...GENESIS, seq: 500_000 })).toBe('log/too-many-lines');
  });
  test('a note of 4,000 characters of any script fits into a line', () => {
    expect(refuse([{ ...opened, reported_fault: '\u0001'.repeat(4000) }])).toBe('written');
    expect(refuse([{ ...opened, reported_fault: '雪'.repeat(4000) }])).toBe('written');
  });
});

describe('a torn tail and damage', () => {
  const whole = logOf([opened, shown(10)], [confirmed(5000), shown(5000)]);
  const first = logOf([opened, shown(10)]);

  test('a cut line is cut off together with its whole batch', () => {
    const cut = whole.slice(0, -20);
    const log = readLog(cut);
    expect(log.verdict).toBe('unfinished');
    expect(log.lines).toHaveLength(2);
    expect(log.goodBytes).toBe(bytesFromText(first).length);
    expect(log.tornTail).toMatchObject({ offset: log.goodBytes, seq: 3 });
    expect(codesOf(cut)).toEqual(['log/torn-tail']);
  });

  test('a batch that lacks its last line altogether does not count', () => {
    const lines = whole.split('\n');
    const log = readLog(`${lines.slice(0, 3).join('\n')}\n`);
    expect(log.lines).toHaveLength(2);
    expect(log.tornTail).not.toBeNull();
  });

  test('lost sectors of zeros inside the last write are a torn tail, inside an earlier one damage', () => {
    const zero = (from: number, to: number): Uint8Array => {
      const bytes = bytesFromText(whole).slice();
      bytes.fill(0, from, to);
      return bytes;
    };
    const last = bytesFromText(first).length;
    expect(readLog(zero(last, last + 100))).toMatchObject({ verdict: 'unfinished', goodBytes: last });
    expect(readLog(zero(last + 60, whole.length))).toMatchObject({ verdict: 'unfinished', goodBytes: last });
    expect(readLog(zero(20, 120)).verdict).toBe('unknown');
    // The file had grown by one byte when the power went.
    expect(readLog(`${first}\0`)).toMatchObject({
      verdict: 'unfinished',
      goodBytes: last,
      tornTail: { bytes: 1 },
    });
    expect(readLog(`${first}\0x`).verdict).toBe('unknown');
  });

  const lines = whole.trimEnd().split('\n');
  const join = (...parts: (string | undefined)[]): string => `${parts.join('\n')}\n`;
  test.each([
    ['a missing line', join(lines[0], lines[2], lines[3]), 'log/sequence'],
    ['a doubled line', join(lines[0], lines[0], lines[1]), 'log/sequence'],
    ['two lines exchanged', join(lines[1], lines[0], lines[2], lines[3]), 'log/sequence'],
    ['an empty line', join(lines[0], '', lines[1]), 'log/not-json'],
    ['a changed value', whole.replace('"visit":1', '"visit":2'), 'log/checksum'],
    ['a carriage return', whole.replace('\n', '\r\n'), 'log/checksum'],
    ['a space', whole.replace(',', ', '), 'log/checksum'],
    ['a line that is no object', join(lines[0], '[]', lines[1]), 'log/not-a-line'],
    ['a byte order mark', `\ufeff${whole}`, 'log/not-json'],
    ['something after the last line', `${whole}x`, 'log/not-ended'],
  ])('%s is damage: verdict unknown', (_name, text, code) => {
    const log = readLog(text);
    expect(log.verdict).toBe('unknown');
    expect(log.tornTail).toBeNull();
    expect(log.diagnostics.map((found) => found.code)).toEqual([code]);
  });

  test('a line written anew with a right checksum breaks the chain at the next one', () => {
    const forged = JSON.parse(lines[1] ?? '') as Record<string, unknown>;
    const line = encodeLine({ ...forged, wall: '2026-03-01T10:30:00.000+01:00' } as never);
    expect(codesOf(join(lines[0], line, lines[2], lines[3]))).toEqual(['log/chain']);
  });

  test('a newer version is refused by name, not guessed at', () => {
    const newer = join(lines[0], (lines[1] ?? '').replace('"v":2', '"v":3'));
    const log = readLog(newer);
    expect(log.verdict).toBe('unknown');
    expect(log.diagnostics[0]?.code).toBe('log/newer-version');
  });

  test('work after the end of the job is damage', () => {
    expect(codesOf(logOf([opened], [finished(5)], [shown(6)]))).toEqual(['log/after-finish']);
    expect(codesOf(logOf([opened], [finished(5)], [{ event: 'job.left', at_ms: 6 }]))).toEqual([]);
  });

  test('rubbish of any kind is answered, never thrown', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 400 }), (bytes) => {
        const log = readLog(bytes);
        expect(log.lines).toEqual([]);
      }),
      { seed: 7, numRuns: 300 },
    );
  });
});

test('every code of the reader has words', () => {
  const used = [
    'log/torn-tail',
    'log/checksum',
    'log/chain',
    'log/newer-version',
    'log/not-ended',
    'log/bad-field',
  ];
  for (const code of used) expect(LOG_CODES).toContain(code);
  for (const code of LOG_CODES) {
    const words = logDiagnosticText({ code, severity: 'error', facts: { line: 3, bytes: 5, allowed: 4 } });
    expect(words.message.length).toBeGreaterThan(10);
    expect(words.mend.length).toBeGreaterThan(5);
  }
});
