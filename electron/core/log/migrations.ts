/**
 * Log formats and how a line of each becomes a line of the present one. A released format is never changed; a
 * new one adds a number to `model.ts`, a step here and a folder of samples under `tests/core/log/samples/`.
 *
 * - 1: the first format.
 * - 2: spoken notes: `note.started`, `note.dropped`, and `audio_sha256`, `audio_ms` in `note.taken`.
 */
import { LOG_FORMAT } from './model.ts';

type Line = Record<string, unknown>;

/** `STEPS[n]` turns a line of format n + 1 into one of format n + 2. */
const STEPS: readonly ((line: Line) => Line)[] = [(line) => ({ ...line, v: 2 })];

/** The line in the present format, or undefined where its version is no released one. Newer ones are the caller's. */
export function lineOfVersion(line: Line): Line | undefined {
  const version = line.v;
  if (!Number.isSafeInteger(version) || (version as number) < 1 || (version as number) > LOG_FORMAT)
    return undefined;
  return STEPS.slice((version as number) - 1).reduce((older, step) => step(older), line);
}
