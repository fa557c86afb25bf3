/**
 * The command line. Results go to stdout (JSON with --json), words to stderr; exit 0 ok, 1 findings,
 * 2 wrong use or unreadable input.
 */
import { join } from 'node:path';
import process from 'node:process';
import { check } from './cli/check.ts';
import { compare } from './cli/compare.ts';
import {
  type Console,
  type ExitCode,
  type Output,
  optionAbout,
  tellFault,
  type Verb,
} from './cli/console.ts';
import { drive } from './cli/drive.ts';
import { exportJobs } from './cli/export.ts';
import { hear } from './cli/hear.ts';
import { plan } from './cli/plan.ts';
import { review } from './cli/review.ts';
import { verify } from './cli/verify.ts';
import { ENGLISH, type Language } from './core/base/language.ts';
import { createNodeDisk } from './disk/node-disk.ts';
import { Languages } from './languages.ts';
import { userFolders } from './user-folders.ts';
import { APP_VERSION } from './version.ts';

export const VERBS: readonly Verb[] = [check, compare, plan, drive, hear, verify, review, exportJobs];

function help(console: Console): void {
  const { help: words, verbs } = console.language.cli;
  console.out(`${words.what()}\n`);
  for (const verb of VERBS) console.out(`  ${verb.usage}\n      ${verbs[verb.name].about()}`);
  console.out(`\n${words.verb()}`);
  console.out(words.exit());
}

function helpFor(verb: Verb, console: Console): void {
  const { language } = console;
  console.out(`stepcaller ${verb.usage}\n\n${language.cli.verbs[verb.name].about()}\n`);
  const width = Math.max(...verb.options.map((option) => option.length));
  for (const option of verb.options)
    console.out(`  ${option.padEnd(width)}  ${optionAbout(verb, option, language)}`);
}

/** Runs one command line (without the program's own name). Never throws for wrong use or bad input. */
export async function runCommandLine(
  args: readonly string[],
  output: Output,
  language: Language = ENGLISH,
): Promise<ExitCode> {
  const console: Console = { out: output.out, err: output.err, language };
  const [name, ...rest] = args;
  if (name === '--version') {
    console.out(APP_VERSION);
    return 0;
  }
  if (name === undefined || name === '--help' || name === '-h' || name === 'help') {
    help(console);
    return name === undefined ? 2 : 0;
  }
  const verb = VERBS.find((one) => one.name === name);
  if (verb === undefined) {
    const words = language.cli.faults['unknown-verb'];
    const verbs = VERBS.map((one) => one.name).join(', ');
    tellFault(console, {
      code: 'cli/unknown-verb',
      message: words.message({ name }),
      mend: words.mend({ verbs }),
    });
    return 2;
  }
  if (rest.includes('--help') || rest.includes('-h')) {
    helpFor(verb, console);
    return 0;
  }
  return verb.run(rest, console);
}

/** Writes whole texts even into a slow pipe before the program ends. */
function writeLine(stream: NodeJS.WriteStream, text: string): void {
  stream.write(`${text}\n`);
}

const isMain = process.argv[1] !== undefined && /[\\/]cli\.(ts|cjs|js)$/.test(process.argv[1]);
if (isMain) {
  // A reader that closes the pipe early (`| head`) is no fault.
  process.stdout.on('error', (fault: NodeJS.ErrnoException) => {
    if (fault.code !== 'EPIPE') throw fault;
  });
  const folders = [join(import.meta.dirname, '../languages'), userFolders().languages];
  const system = Intl.DateTimeFormat().resolvedOptions().locale;
  const language = await new Languages(createNodeDisk(), folders, system).open(undefined);
  const output = {
    out: (text: string) => writeLine(process.stdout, text),
    err: (text: string) => writeLine(process.stderr, text),
  };
  process.exitCode = await runCommandLine(process.argv.slice(2), output, language);
}
