/** Spoken notes as the log names them, and whether the files are the ones it names. */
import type { Diagnostic } from '../base/diagnostic.ts';
import type { LogLine } from './model.ts';

export interface SpokenNote {
  readonly line: number;
  readonly step: string;
  readonly audio: string;
  readonly sha256: string;
  readonly audio_ms: number;
}

/** The spoken notes in a log, in order. */
export function spokenNotesOf(lines: readonly LogLine[]): readonly SpokenNote[] {
  return lines.flatMap(({ event, fields }, index) => {
    const { step, audio, audio_sha256, audio_ms } = fields;
    if (event !== 'note.taken' || typeof audio !== 'string' || typeof audio_sha256 !== 'string') return [];
    return [
      {
        line: index + 1,
        step: typeof step === 'string' ? step : '',
        audio,
        sha256: audio_sha256,
        audio_ms: typeof audio_ms === 'number' ? audio_ms : 0,
      },
    ];
  });
}

/**
 * What is wrong with the files of spoken notes. `hashes`: the SHA-256 of every note in the job's folder, by name.
 * Codes: `log/note-missing`, `log/note-changed`, `log/note-unknown` (a recording that no line names; a warning).
 */
export function noteFindings(
  lines: readonly LogLine[],
  hashes: ReadonlyMap<string, string>,
): readonly Diagnostic[] {
  const notes = spokenNotesOf(lines);
  const named = new Set(notes.map((note) => note.audio));
  const found: Diagnostic[] = [];
  for (const { line, audio, sha256 } of notes) {
    const code = !hashes.has(audio)
      ? 'log/note-missing'
      : hashes.get(audio) === sha256
        ? undefined
        : 'log/note-changed';
    if (code !== undefined) found.push({ code, severity: 'error', facts: { line, file: audio } });
  }
  for (const file of hashes.keys())
    if (!named.has(file)) found.push({ code: 'log/note-unknown', severity: 'warning', facts: { file } });
  return found;
}
