/** What a verb writes to, and how it ends. Results go to stdout, words about them to stderr. */
import { type ParseArgsConfig, parseArgs } from 'node:util';
import type { Diagnostic, DiagnosticText } from '../core/base/diagnostic.ts';
import type { Language } from '../core/base/language.ts';
import { err, ok, type Result } from '../core/base/result.ts';
import type { Fault } from '../disk/disk-fault.ts';
import { faultIn } from '../disk/fault-words.ts';

/** 0 ok, 1 findings, 2 wrong use or unreadable input. */
export type ExitCode = 0 | 1 | 2;

export interface Output {
  out(text: string): void;
  err(text: string): void;
}

export interface Console extends Output {
  /** What the words are said in. */
  readonly language: Language;
}

type VerbName = keyof Language['cli']['verbs'];

export interface Verb {
  readonly name: VerbName;
  /** The line after the program's name. */
  readonly usage: string;
  /** Options with what stands behind them; what they do stands in the language's table under their names. */
  readonly options: readonly string[];
  run(args: readonly string[], console: Console): Promise<ExitCode>;
}

/** What went wrong, in words. */
export function tellFault(console: Console, fault: Fault): void {
  const { code, message, mend } = faultIn(fault, console.language);
  console.err(`${code}: ${message}`);
  if (mend !== '') console.err(`  ${console.language.cli.lines.mend({ mend })}`);
}

/** What an option of a verb does. */
export function optionAbout(verb: Verb, option: string, language: Language): string {
  const texts: Readonly<Record<string, () => string>> = language.cli.verbs[verb.name].options;
  return texts[option.split(' ')[0] ?? '']?.() ?? '';
}

/** Wrong use of a verb. */
export function wrongUse(verb: Pick<Verb, 'usage'>, message: string, language: Language): Fault {
  return { code: 'cli/usage', message, mend: language.cli.usage.mend({ usage: verb.usage }) };
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
  language: Language,
): Result<Arguments, Fault> {
  const words = language.cli.usage;
  const wrong = (message: string): Result<Arguments, Fault> => err(wrongUse(verb, message, language));
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
  if (positionals.length < files.least) return wrong(words['file-missing']());
  if (positionals.length > files.most)
    return wrong(words['one-too-many']({ argument: positionals[files.most] }));
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
