/** What a verb writes to, and how it ends. Results go to stdout, words about them to stderr. */
import { type ParseArgsConfig, parseArgs } from 'node:util';
import type { Diagnostic, DiagnosticText } from '../core/base/diagnostic.ts';
import { err, ok, type Result } from '../core/base/result.ts';
import type { Fault } from '../disk/disk-fault.ts';

/** 0 ok, 1 findings, 2 wrong use or unreadable input. */
export type ExitCode = 0 | 1 | 2;

export interface Console {
  out(text: string): void;
  err(text: string): void;
}

export interface Verb {
  readonly name: string;
  /** The line after the program's name. */
  readonly usage: string;
  /** One sentence. */
  readonly about: string;
  /** Option, and what it does; for --help. */
  readonly options: readonly (readonly [option: string, about: string])[];
  run(args: readonly string[], console: Console): Promise<ExitCode>;
}

/** What went wrong, in words. */
export function tellFault(console: Console, fault: Fault): void {
  console.err(`${fault.code}: ${fault.message}`);
  if (fault.mend !== '') console.err(`  mend: ${fault.mend}`);
}

/** A finding as the JSON output shows it: code, severity, place and words. */
export function findingJson(diagnostic: Diagnostic, words: DiagnosticText): Record<string, unknown> {
  const { code, severity, facts, place } = diagnostic;
  const where =
    place === undefined
      ? {}
      : { file: place.file, line: place.line, column: place.column, source_line: place.sourceLine };
  return { code, severity, ...where, message: words.message, mend: words.mend, facts };
}

type Options = NonNullable<ParseArgsConfig['options']>;
type Values = Readonly<Record<string, string | boolean | (string | boolean)[] | undefined>>;

export interface Arguments {
  readonly files: readonly string[];
  flag(name: string): boolean;
  text(name: string): string | undefined;
  texts(name: string): readonly string[];
}

/** Reads arguments strictly; a wrong one is told together with the verb's usage. */
export function readArguments(
  verb: Pick<Verb, 'usage'>,
  args: readonly string[],
  options: Options,
  files: { readonly least: number; readonly most: number },
): Result<Arguments, Fault> {
  const wrong = (message: string): Result<Arguments, Fault> =>
    err({ code: 'cli/usage', message, mend: `usage: stepcaller ${verb.usage}` });
  let values: Values;
  let positionals: string[];
  try {
    const parsed = parseArgs({ args: [...args], options, allowPositionals: true, strict: true });
    values = parsed.values as Values;
    positionals = parsed.positionals;
  } catch (thrown) {
    const { code, message } = thrown as { code?: string; message: string };
    if (code?.startsWith('ERR_PARSE_ARGS') !== true) throw thrown;
    return wrong(message.split('. ')[0] ?? message);
  }
  if (positionals.length < files.least) return wrong('A file or folder is missing.');
  if (positionals.length > files.most) return wrong(`"${positionals[files.most]}" is one argument too many.`);
  return ok({
    files: positionals,
    flag: (name) => values[name] === true,
    text: (name) => (typeof values[name] === 'string' ? (values[name] as string) : undefined),
    texts: (name) => {
      const value = values[name];
      return Array.isArray(value) ? value.filter((one) => typeof one === 'string') : [];
    },
  });
}
