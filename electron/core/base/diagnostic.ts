/**
 * What is wrong with an input: a code, the facts, and the place. The words are made in one table per
 * stage (`product/words.ts`, …), so that tests assert code and place and never prose.
 */

/** A place in a text file. `line` and `column` count from 1, `offset` counts UTF-16 units from 0. */
export interface Place {
  readonly file: string;
  readonly line: number;
  readonly column: number;
  readonly offset: number;
  /** The source line itself, at most 200 characters, for showing with a caret under `column`. */
  readonly sourceLine: string;
}

/** `error` stops the flow, `warning` lets it go on, `advice` is about style. */
export type Severity = 'error' | 'warning' | 'advice';

/** One finding. `code` is `area/what-is-wrong` and is never reused once released. */
export interface Diagnostic {
  readonly code: string;
  readonly severity: Severity;
  readonly facts: Readonly<Record<string, string | number | boolean | readonly string[]>>;
  readonly place?: Place;
}

/** A finding in words: what is wrong, and how to mend it. */
export interface DiagnosticText {
  readonly message: string;
  readonly mend: string;
}
