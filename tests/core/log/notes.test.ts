/** Spoken notes as the log names them, against the files that lie in the job's folder. */
import { describe, expect, it } from 'vitest';
import type { LogLine } from '../../../electron/core/log/model.ts';
import { noteFindings, spokenNotesOf } from '../../../electron/core/log/notes.ts';

const line = (event: string, fields: Readonly<Record<string, unknown>>): LogLine =>
  ({ event, fields }) as unknown as LogLine;
const note = (audio: string, sha256: string): LogLine =>
  line('note.taken', { step: 'lid', item: null, text: null, audio, audio_sha256: sha256, audio_ms: 2500 });
const LINES = [
  line('step.shown', { step: 'lid', visit: 1 }),
  note('note-1.wav', 'aa'),
  line('note.taken', { step: 'lid', item: null, text: 'typed', audio: null }),
  line('note.dropped', { step: 'lid', why: 'thrown-away', audio: 'note-9.wav', audio_sha256: 'ff' }),
  note('note-2.wav', 'bb'),
];

describe('spoken notes of a log', () => {
  it('are told with line, step, file, hash and length; typed ones are none', () => {
    expect(spokenNotesOf(LINES)).toEqual([
      { line: 2, step: 'lid', audio: 'note-1.wav', sha256: 'aa', audio_ms: 2500 },
      { line: 5, step: 'lid', audio: 'note-2.wav', sha256: 'bb', audio_ms: 2500 },
    ]);
  });

  it('without a hash is none, without step or length it is told all the same', () => {
    expect(spokenNotesOf([line('note.taken', { step: 'lid', audio: 'note-1.wav' })])).toEqual([]);
    expect(spokenNotesOf([line('note.taken', { audio: 'note-1.wav', audio_sha256: 'aa' })])).toEqual([
      { line: 1, step: '', audio: 'note-1.wav', sha256: 'aa', audio_ms: 0 },
    ]);
  });

  const found = (...files: (readonly [string, string])[]) => noteFindings(LINES, new Map(files));

  it('that lie there as they were recorded are right', () => {
    expect(found(['note-1.wav', 'aa'], ['note-2.wav', 'bb'])).toEqual([]);
  });

  it('are missing, changed, or not of this log', () => {
    expect(found(['note-2.wav', 'cc'], ['note-3.wav', 'dd'])).toEqual([
      { code: 'log/note-missing', severity: 'error', facts: { line: 2, file: 'note-1.wav' } },
      { code: 'log/note-changed', severity: 'error', facts: { line: 5, file: 'note-2.wav' } },
      { code: 'log/note-unknown', severity: 'warning', facts: { file: 'note-3.wav' } },
    ]);
  });
});
