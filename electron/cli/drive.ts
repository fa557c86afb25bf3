/** `drive`: a whole job without a screen, into a real job folder. */
import { randomBytes } from 'node:crypto';
import { basename, resolve } from 'node:path';
import type { Language } from '../core/base/language.ts';
import { ok, type Result } from '../core/base/result.ts';
import type { Verbosity } from '../core/job/model.ts';
import { textFromBytes } from '../core/log/canonical-json.ts';
import type { JobFile } from '../core/log/model.ts';
import { epochMsFromTimestamp, timestampFromEpochMs } from '../core/log/timestamp.ts';
import { attempt, type Fault } from '../disk/disk-fault.ts';
import type { DiskPort } from '../disk/disk-port.ts';
import { createNodeDisk } from '../disk/node-disk.ts';
import { createNodeProcesses } from '../disk/node-processes.ts';
import { type DriveResult, drive as playJob, type ScriptLine } from '../drive.ts';
import { jobNameFrom, newJobFile } from '../new-job.ts';
import { SyntheticTechnician } from '../synthetic-technician.ts';
import { APP_VERSION } from '../version.ts';
import {
  type Arguments,
  type Console,
  type ExitCode,
  readArguments,
  tellFault,
  type Verb,
  wrongUse,
} from './console.ts';
import { PLAN_OPTIONS, type Planned, planFromArguments } from './planning.ts';
import { inputFromWords, parseScript } from './script.ts';

const MAX_SCRIPT_BYTES = 10_000_000;
const OFFSET_MINUTES = 60;
const MAX_SAME_NAMES = 1000;

const OPTIONS = {
  ...PLAN_OPTIONS,
  out: { type: 'string' },
  script: { type: 'string' },
  auto: { type: 'string' },
  technician: { type: 'string' },
  verbosity: { type: 'string' },
  start: { type: 'string' },
  pace: { type: 'string' },
  json: { type: 'boolean' },
} as const;

type By = { readonly script: readonly ScriptLine[] } | { readonly technician: SyntheticTechnician };

interface Play {
  readonly by: By;
  readonly mark: string;
  readonly startMs: number;
  readonly verbosity: Verbosity;
}

async function scriptFrom(
  disk: DiskPort,
  file: string,
  language: Language,
): Promise<Result<readonly ScriptLine[], Fault>> {
  const bytes = await attempt(() => disk.readFile(resolve(file), MAX_SCRIPT_BYTES));
  if (!bytes.ok) return bytes;
  const parsed = parseScript(textFromBytes(bytes.value) ?? '\u0000', language);
  if (!parsed.ok) return parsed;
  return ok(
    parsed.value.map((entry) => ({ ...entry, input: (allowed) => inputFromWords(entry, allowed, language) })),
  );
}

/** What the options other than those of the plan ask for. */
async function playFrom(args: Arguments, language: Language): Promise<Play | Fault> {
  const words = language.cli.usage;
  const usage = (message: string): Fault => wrongUse(drive, message, language);
  const [script, auto, start] = [args.text('script'), args.text('auto'), args.text('start')];
  const verbosity = args.text('verbosity') ?? 'full';
  if ((script === undefined) === (auto === undefined)) return usage(words['script-or-auto']());
  if (args.text('out') === undefined) return usage(words['out-missing']());
  if (!['full', 'short', 'trainee'].includes(verbosity)) return usage(words.verbosity({ given: verbosity }));
  const startMs = start === undefined ? Date.now() : epochMsFromTimestamp(start);
  if (startMs === undefined) return usage(words.start({ given: start }));
  const common = { startMs, verbosity: verbosity as Verbosity };
  if (script !== undefined) {
    const lines = await scriptFrom(createNodeDisk(), script, language);
    return lines.ok ? { ...common, by: { script: lines.value }, mark: 'script' } : lines.error;
  }
  const seed = Number(auto);
  const pace = Number(args.text('pace') ?? '1');
  if (!/^\d{1,9}$/.test(auto ?? '')) return usage(words.auto({ given: auto }));
  if (!(pace >= 0.1 && pace <= 10)) return usage(words.pace({ given: args.text('pace') }));
  return {
    ...common,
    by: { technician: new SyntheticTechnician(seed, { straying: 0.12, pace }) },
    mark: `s${seed}`,
  };
}

/** A name that no job in the folder has yet. */
async function freeName(disk: DiskPort, folder: string, name: string): Promise<Result<string, Fault>> {
  return attempt(async () => {
    for (let number = 1; number < MAX_SAME_NAMES; number += 1) {
      const tried = number === 1 ? name : `${name}-${number}`;
      if ((await disk.stat(`${folder}/${tried}`)) === undefined) return tried;
    }
    return `${name}-${randomBytes(4).toString('hex')}`;
  });
}

function jobFileFrom(planned: Planned, job: string, startMs: number): JobFile {
  return newJobFile({
    job,
    created: timestampFromEpochMs(startMs, OFFSET_MINUTES),
    appVersion: APP_VERSION,
    productFile: basename(planned.source.path),
    productSha256: planned.source.sha256,
    modelSha256: null,
    plan: planned.plan,
  });
}

function clockText(ms: number): string {
  const seconds = Math.floor(ms / 1000);
  const two = (value: number): string => String(value).padStart(2, '0');
  return `${two(Math.floor(seconds / 3600))}:${two(Math.floor(seconds / 60) % 60)}:${two(seconds % 60)}`;
}

function tellResult(result: DriveResult, args: Arguments, console: Console): ExitCode {
  const summary = console.language.cli.lines['drive-summary']({
    outcome: result.outcome,
    done: result.steps_done,
    total: result.steps_total,
    time: clockText(result.duration_ms),
  });
  if (args.flag('json')) console.out(JSON.stringify(result, null, 2));
  else {
    for (const event of result.transcript) {
      const who = { technician: '>', voice: '<', chime: '*' }[event.who];
      console.out(`${clockText(event.atMs)} ${who} ${event.text}`);
    }
    console.out(result.folder);
  }
  console.err(summary);
  return result.outcome === 'completed' ? 0 : 1;
}

export const drive: Verb = {
  name: 'drive',
  usage: 'drive FILE --replace PART --out DIR (--script EVENTS | --auto SEED) [--variant K=V] [--json]',
  options: [
    '--replace PART[,PART]',
    '--variant K=V',
    '--out DIR',
    '--script EVENTS',
    '--auto SEED',
    '--pace FACTOR',
    '--technician NAME',
    '--verbosity KIND',
    '--start TIME',
    '--json',
  ],
  async run(args, console): Promise<ExitCode> {
    const read = readArguments(this, args, OPTIONS, { least: 1, most: 1 }, console.language);
    if (!read.ok) {
      tellFault(console, read.error);
      return 2;
    }
    const play = await playFrom(read.value, console.language);
    if ('code' in play) {
      tellFault(console, play);
      return 2;
    }
    const planned = await planFromArguments(read.value, console);
    if (typeof planned === 'number') return planned;
    const disk = createNodeDisk();
    const jobsFolder = resolve(read.value.text('out') ?? '.');
    const wall = timestampFromEpochMs(play.startMs, OFFSET_MINUTES);
    const name = await freeName(disk, jobsFolder, jobNameFrom(wall, planned.plan.product, play.mark));
    if (!name.ok) {
      tellFault(console, name.error);
      return 2;
    }
    const result = await playJob({
      disk,
      processes: createNodeProcesses(`Stepcaller ${APP_VERSION} (drive)`),
      jobsFolder,
      jobFile: jobFileFrom(planned, name.value, play.startMs),
      opening: { technician: read.value.text('technician') ?? 'Technician A', verbosity: play.verbosity },
      startMs: play.startMs,
      token: () => randomBytes(8).toString('hex'),
      language: console.language,
      by: play.by,
    });
    if (!result.ok) {
      tellFault(console, result.error);
      return result.error.code.startsWith('disk/') || result.error.code.startsWith('script/') ? 2 : 1;
    }
    return tellResult(result.value, read.value, console);
  },
};
