/** `hear`: what the ear makes of recordings, through the same code as the microphone. */
import { resolve } from 'node:path';
import type { Language } from '../core/base/language.ts';
import { err, ok, type Result } from '../core/base/result.ts';
import { allowedNow } from '../core/job/allowed.ts';
import { stateFromRecords } from '../core/job/engine.ts';
import { isPhraseId } from '../core/job/grammar.ts';
import type { Allowed } from '../core/job/model.ts';
import { textFromBytes } from '../core/log/canonical-json.ts';
import { recordFromLine } from '../core/log/codec.ts';
import { attempt, type Fault } from '../disk/disk-fault.ts';
import type { DiskPort } from '../disk/disk-port.ts';
import { readJob } from '../disk/job-folder.ts';
import { createNodeDisk } from '../disk/node-disk.ts';
import { type Arguments, type ExitCode, readArguments, tellFault, type Verb, wrongUse } from './console.ts';

const MAX_FILES = 10_000;
const MAX_STATE_BYTES = 16_000_000;

/** Phrases of a grammar file: a JSON list of texts, or one phrase a line. */
export function grammarFromText(text: string): readonly string[] {
  const trimmed = text.trim();
  if (trimmed.startsWith('[')) {
    const list: unknown = JSON.parse(trimmed);
    if (Array.isArray(list) && list.every((one) => typeof one === 'string')) return list;
    throw new SyntaxError('not a list of texts');
  }
  return trimmed
    .split(/\r?\n/)
    .map((line) => line.trim())
    .filter((line) => line !== '' && !line.startsWith('#'));
}

/** What may be said, from JSON: an `Allowed`, or anything that has one under `allowed` (a view of the bench). */
export function allowedFromJson(value: unknown): Allowed | undefined {
  if (typeof value !== 'object' || value === null) return undefined;
  const found = ('allowed' in value ? value.allowed : value) as Partial<Allowed> | null;
  if (typeof found !== 'object' || found === null) return undefined;
  const { phrases, answers, number, spelling } = found;
  if (!Array.isArray(phrases) || !phrases.every(isPhraseId)) return undefined;
  return {
    phrases,
    answers: Array.isArray(answers) ? answers.filter((one) => typeof one === 'string') : [],
    number: number === 'reading' || number === 'bare' ? number : 'none',
    spelling: spelling === true,
  };
}

function unusable(file: string, what: 'state' | 'json' | 'phrases', { cli }: Language): Result<never, Fault> {
  const words = cli.faults['hear-unusable'];
  return err({ code: 'hear/unusable', message: words.message({ file, what }), mend: words.mend() });
}

/** A job folder says what may be said where its log ends; a JSON file says it itself. */
async function allowedFrom(
  disk: DiskPort,
  file: string,
  language: Language,
): Promise<Result<Allowed, Fault>> {
  const stat = await attempt(() => disk.stat(resolve(file)));
  if (!stat.ok) return stat;
  if (stat.value?.isFolder === true) {
    const job = await readJob(disk, resolve(file));
    if (!job.ok) return job;
    const { plan } = job.value.jobFile;
    const records = job.value.log.lines.flatMap((line) => {
      const record = recordFromLine(line);
      return record.ok ? [record.value] : [];
    });
    return ok(allowedNow(plan, { ...stateFromRecords(plan, records), left: false }));
  }
  const bytes = await attempt(() => disk.readFile(resolve(file), MAX_STATE_BYTES));
  if (!bytes.ok) return bytes;
  try {
    const allowed = allowedFromJson(JSON.parse(textFromBytes(bytes.value) ?? ''));
    return allowed === undefined ? unusable(file, 'state', language) : ok(allowed);
  } catch {
    return unusable(file, 'json', language);
  }
}

type What = { readonly grammar: readonly string[] } | { readonly allowed: Allowed } | Record<never, never>;

async function whatMayBeSaid(args: Arguments, language: Language): Promise<Result<What, Fault>> {
  const [grammar, job] = [args.text('grammar'), args.text('job')];
  const disk = createNodeDisk();
  if (grammar !== undefined && job !== undefined) {
    return err(wrongUse(hear, language.cli.usage['grammar-or-job'](), language));
  }
  if (job !== undefined) {
    const allowed = await allowedFrom(disk, job, language);
    return allowed.ok ? ok({ allowed: allowed.value }) : allowed;
  }
  if (grammar === undefined) return ok({});
  const bytes = await attempt(() => disk.readFile(resolve(grammar), MAX_STATE_BYTES));
  if (!bytes.ok) return bytes;
  try {
    return ok({ grammar: grammarFromText(textFromBytes(bytes.value) ?? '') });
  } catch {
    return unusable(grammar, 'phrases', language);
  }
}

export const hear: Verb = {
  name: 'hear',
  usage: 'hear WAV… [--grammar FILE | --job STATE] [--json]',
  options: ['--grammar FILE', '--job STATE', '--json'],
  async run(args, console): Promise<ExitCode> {
    const options = {
      grammar: { type: 'string' },
      job: { type: 'string' },
      json: { type: 'boolean' },
    } as const;
    const read = readArguments(this, args, options, { least: 1, most: MAX_FILES }, console.language);
    const said = read.ok ? await whatMayBeSaid(read.value, console.language) : read;
    if (!read.ok || !said.ok) {
      tellFault(console, read.ok ? (said as { error: Fault }).error : read.error);
      return 2;
    }
    // Loaded here only: the recogniser is large and no other verb needs it.
    const { hearFiles } = await import('../ear-node/hear.ts');
    const heard = await hearFiles(read.value.files, said.value);
    if (!heard.ok) {
      const { error } = heard;
      const message = 'file' in error ? `${error.file}: ${error.detail}` : error.detail;
      tellFault(console, { code: `hear/${error.code}`, message, mend: '' });
      return 2;
    }
    if (read.value.flag('json')) console.out(JSON.stringify(heard.value, null, 2));
    else {
      for (const one of heard.value) {
        const what = one.phrase ?? console.language.cli.lines.refused({ reason: one.refused });
        const sure = one.confidence === null ? '' : `  ${one.confidence.toFixed(2)}`;
        const when = one.decided_ms === null ? '' : `  ${one.decided_ms} ms`;
        console.out(`${one.file}  ${what}${sure}${when}`);
      }
    }
    return heard.value.some((one) => one.phrase === null) ? 1 : 0;
  },
};
