/** L12: kept logs of every released format are read, replayed and verified; newer ones are refused by name. */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { stateFromRecords } from '../../../electron/core/job/engine.ts';
import { readLog, recordFromLine } from '../../../electron/core/log/codec.ts';
import { lineOfVersion } from '../../../electron/core/log/migrations.ts';
import { LOG_FORMAT } from '../../../electron/core/log/model.ts';
import { noteFindings, spokenNotesOf } from '../../../electron/core/log/notes.ts';
import { verifyLog } from '../../../electron/core/log/verify.ts';
import { jobFileFromBytes } from '../../../electron/disk/job-file.ts';

const SAMPLES = join(import.meta.dirname, 'samples');

function sample(version: string, name: string) {
  const read = (file: string): Uint8Array => new Uint8Array(readFileSync(join(SAMPLES, version, name, file)));
  const jobFile = jobFileFromBytes(read('job.json'), 'job.json');
  if (!jobFile.ok) throw new Error(jobFile.error.message);
  const log = readLog(read('log.jsonl'));
  const records = log.lines
    .map((line) => recordFromLine(line))
    .flatMap((record) => (record.ok ? [record.value] : []));
  return { jobFile: jobFile.value, log, records };
}

test('there are samples of every released format', () => {
  const formats = Array.from({ length: LOG_FORMAT }, (_, index) => `v${index + 1}`);
  expect(readdirSync(SAMPLES).sort()).toEqual(formats);
});

describe('format 1', () => {
  test('a whole job', () => {
    const { jobFile, log, records } = sample('v1', 'complete');
    expect(verifyLog(jobFile, log)).toMatchObject({
      verdict: 'complete',
      findings: [],
      steps_done: 4,
      steps_total: 4,
    });
    expect(records).toHaveLength(34);
    expect(records[0]).toEqual({
      event: 'job.opened',
      at_ms: 0,
      technician: 'Technician Ä',
      unit_serial: null,
      work_order: 'W-17 “urgent”',
      reported_fault: 'no display 😟',
      verbosity: 'full',
    });
    const state = stateFromRecords(jobFile.plan, records);
    expect(state).toMatchObject({ outcome: 'completed', frontier: 4, technician: 'Technician Ä' });
    expect(state.at_ms).toBe(records.at(-1)?.at_ms);
  });

  test('a torn tail', () => {
    const { jobFile, log } = sample('v1', 'torn');
    const check = verifyLog(jobFile, log);
    expect(check.verdict).toBe('unfinished');
    expect(check.findings.map(({ code }) => code)).toEqual(['log/torn-tail']);
    expect(log.lines.at(-1)?.seq).toBeLessThanOrEqual(20);
  });
});

describe('format 2', () => {
  test('a whole job with a spoken note that was kept and one that was thrown away', () => {
    const { jobFile, log, records } = sample('v2', 'spoken-note');
    expect(verifyLog(jobFile, log)).toMatchObject({ verdict: 'complete', findings: [] });
    const state = stateFromRecords(jobFile.plan, records);
    expect(state).toMatchObject({ outcome: 'completed', recording: null, spoken_notes: 1 });
    expect(records.filter((record) => record.event === 'note.dropped')).toMatchObject([
      { why: 'thrown-away' },
    ]);
    const [note] = spokenNotesOf(log.lines);
    expect(note).toMatchObject({ audio: 'note-1.wav', audio_ms: 2500 });
    expect(noteFindings(log.lines, new Map([['note-1.wav', note?.sha256 ?? '']]))).toEqual([]);
  });
});

test('the versions that are no released ones have no migration', () => {
  for (const v of [0, -1, 1.5, '1', null, LOG_FORMAT + 1, undefined])
    expect(lineOfVersion({ v })).toBeUndefined();
  expect(lineOfVersion({ v: 1, seq: 3 })).toEqual({ v: LOG_FORMAT, seq: 3 });
});
