/**
 * Offsets of a text to places with line, column and the source line. Lines end at LF, CRLF or CR.
 */
import type { Place } from '../base/diagnostic.ts';
import { LIMITS } from './limits.ts';

export class SourceText {
  readonly file: string;
  readonly text: string;
  readonly #starts: number[] = [0];

  constructor(text: string, file: string) {
    this.text = text;
    this.file = file;
    for (let i = 0; i < text.length; i++) {
      const code = text.charCodeAt(i);
      if (code === 10 || (code === 13 && text.charCodeAt(i + 1) !== 10)) this.#starts.push(i + 1);
    }
  }

  /** The place of an offset; offsets outside the text are brought to its ends. Cost: log of the lines. */
  place(offset: number): Place {
    const within = Math.max(0, Math.min(offset, this.text.length));
    let low = 0;
    let high = this.#starts.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if ((this.#starts[middle] ?? 0) <= within) low = middle;
      else high = middle - 1;
    }
    const start = this.#starts[low] ?? 0;
    const end = this.#starts[low + 1] ?? this.text.length;
    const line = withoutLineEnd(
      this.text.slice(start, Math.min(end, start + LIMITS.sourceLineCharacters + 2)),
    );
    return {
      file: this.file,
      line: low + 1,
      column: within - start + 1,
      offset: within,
      sourceLine: line.slice(0, LIMITS.sourceLineCharacters),
    };
  }
}

function withoutLineEnd(line: string): string {
  let end = line.length;
  while (end > 0 && (line[end - 1] === '\n' || line[end - 1] === '\r')) end--;
  return line.slice(0, end);
}
