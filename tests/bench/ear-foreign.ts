/**
 * False accepts on speech that is not meant for the ear, faster than real time: `npm run bench -- ear-foreign
 * [--half tune|report] [--minutes N] [--situations "step:60,serial"] [--seed N] [--pauses 200,1500] [--log FILE
 * [--for SECONDS]]`.
 *
 * Recorded lines of many people (`tests/sound/foreign-speech.ts`) follow each other as in a conversation, in a
 * seeded order and with pauses of 0.2 to 1.5 s (`--pauses 3500,6000`: each said alone), through the microphone's own listener and recogniser, `--minutes`
 * of speech (pauses not counted) in each situation. Rules are tuned on one half of the lines, figures come from
 * the other. With `--log` what was done is kept, so that a run may stop (`--for`) and go on. Each phrase that was accepted is printed with what surrounded it; the interval is Garwood's.
 */
import { appendFileSync, existsSync, readFileSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import { randomFromSeed } from '../../electron/core/base/random.ts';
import { poissonInterval } from '../../electron/core/review/intervals.ts';
import { type NodeEar, openEar } from '../../electron/ear-node/ear.ts';
import { SAMPLE_RATE_HZ } from '../../renderer/ears/decoder.ts';
import { type ForeignLine, foreignLines } from '../sound/foreign-speech.ts';
import { addAt } from '../sound/recording.ts';
import { quiet, type Replay, replay, SITUATIONS, type Situation } from './ear-trials.ts';

/** Where somebody else's word would do something. */
const FOREIGN_SITUATIONS = ['step', 'yes or no', 'serial', 'reading'];
/** Every line is as loud as the technician's own voice. */
const PEAK = 0.5;
const SILENT_PEAK = 0.02;
/** Shortest and longest pause between two lines of a conversation. */
const PAUSES_MS = [200, 1_500] as const;
/** Before the first line, and after the last. */
const EDGE_MS = 1_500;
/** One stretch of talk is about so long: the ear starts afresh with each. */
const STRETCH_MS = 90_000;
const MINUTE_MS = 60_000;

const say = (line: string): void => void process.stdout.write(`${line}\n`);
const lengthMs = (samples: Float32Array): number => (samples.length * 1000) / SAMPLE_RATE_HZ;

/** Which half a line belongs to, by its name alone (FNV-1a). */
function halfOf(name: string): 'tune' | 'report' {
  let hash = 2_166_136_261;
  for (const sign of name) hash = Math.imul(hash ^ sign.charCodeAt(0), 16_777_619) >>> 0;
  return (hash >>> 7) % 2 === 0 ? 'tune' : 'report';
}

interface Stretch {
  readonly samples: Float32Array;
  readonly lines: readonly { readonly name: string; readonly atMs: number }[];
  /** Lines used up, those that are silent too. */
  readonly taken: number;
  readonly speechMs: number;
}

/** What became of a stretch; one line of the log. */
interface Done {
  readonly situation: string;
  readonly number: number;
  readonly taken: number;
  readonly speechMs: number;
  readonly talkMs: number;
  readonly computeMs: number;
  /** What was accepted, each with the silence before it. */
  readonly accepted: readonly string[];
}

/** The next lines behind one another; undefined where none is left. */
async function stretchOf(
  lines: readonly ForeignLine[],
  seed: number,
  [pauseMinMs, pauseMaxMs]: Options['pausesMs'],
): Promise<Stretch | undefined> {
  const random = randomFromSeed(seed);
  const parts: { name: string; atMs: number; sound: Float32Array; gain: number }[] = [];
  let atMs = EDGE_MS;
  let [speechMs, taken] = [0, 0];
  for (const line of lines) {
    if (atMs >= STRETCH_MS) break;
    taken += 1;
    const sound = await line.load();
    const peak = sound?.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0) ?? 0;
    if (sound === undefined || peak < SILENT_PEAK) continue;
    parts.push({ name: line.name, atMs, sound, gain: PEAK / peak });
    speechMs += lengthMs(sound);
    atMs += lengthMs(sound) + pauseMinMs + (pauseMaxMs - pauseMinMs) * random.next();
  }
  if (parts.length === 0) return undefined;
  const samples = quiet(atMs + EDGE_MS, seed);
  for (const part of parts) addAt(samples, part.sound, part.atMs, part.gain);
  return { samples, lines: parts.map(({ name, atMs }) => ({ name, atMs })), taken, speechMs };
}

function acceptedIn({ lines }: Stretch, { events, observed }: Replay): readonly string[] {
  const accepted = events.filter((event) => event.understood !== null);
  return accepted.map((event) => {
    const line = lines.findLast(({ atMs }) => atMs <= event.atMs);
    const closed = observed.findLast((one) => one.atMs <= event.atMs && one.verdict.kind === 'heard');
    const sinceMs = closed?.utterance.sinceTalkMs ?? Number.NaN;
    const before = Number.isFinite(sinceMs)
      ? `${Math.round(sinceMs)} ms after other speech`
      : 'after silence';
    return `"${event.text}" (${event.confidence?.toFixed(2)}${event.early ? ', early' : ''}) ${before}, ${Math.round(event.atMs - (line?.atMs ?? 0))} ms into ${line?.name ?? 'nothing'}`;
  });
}

/** Listens on from where the log ends; false where the time was up before. */
async function listenAt(
  ear: NodeEar,
  situation: Situation,
  minutes: number,
  options: Options,
  done: Done[],
): Promise<boolean> {
  // Other lines for each situation.
  const seed = options.seed + 1_000 * SITUATIONS.indexOf(situation);
  const random = randomFromSeed(seed);
  const lines = foreignLines()
    .filter((line) => halfOf(line.name) === options.half)
    .map((line) => ({ line, at: random.next() }))
    .sort((a, b) => a.at - b.at)
    .map(({ line }) => line);
  const mine = done.filter((one) => one.situation === situation.name);
  let speechMs = mine.reduce((sum, one) => sum + one.speechMs, 0);
  let taken = mine.reduce((sum, one) => sum + one.taken, 0);
  for (let number = mine.length; speechMs < minutes * MINUTE_MS; number += 1) {
    if (performance.now() > options.untilMs) return false;
    const stretch = await stretchOf(lines.slice(taken), seed + number, options.pausesMs);
    if (stretch === undefined) break;
    const played = await replay(ear, situation.allowed, stretch.samples);
    const { audioMs: talkMs, computeMs } = played;
    const accepted = acceptedIn(stretch, played);
    for (const one of accepted) say(`  ${situation.name}: ${one}`);
    const { taken: used, speechMs: spokenMs } = stretch;
    const base = { situation: situation.name, number, taken: used, speechMs: spokenMs };
    const record: Done = { ...base, talkMs, computeMs, accepted };
    done.push(record);
    if (options.log !== undefined) appendFileSync(options.log, `${JSON.stringify(record)}\n`);
    speechMs += spokenMs;
    taken += used;
  }
  return true;
}

/** "Stop" hushes the mouth, which is silent here: nothing comes of it. */
const isWithoutEffect = (accepted: string): boolean => accepted.startsWith('"stop" ');

function tellRate(name: string, done: readonly Done[]): void {
  const sum = (pick: (one: Done) => number): number => done.reduce((total, one) => total + pick(one), 0);
  const accepted = sum((one) => one.accepted.length);
  const idle = sum((one) => one.accepted.filter(isWithoutEffect).length);
  const talkMs = sum((one) => one.talkMs);
  const hours = sum((one) => one.speechMs) / (60 * MINUTE_MS);
  const { low, high } = poissonInterval(accepted);
  const rate = (count: number): string => (count / hours).toFixed(2);
  say(
    `${name}: ${accepted} false accepts in ${hours.toFixed(2)} hours of speech (${(talkMs / (60 * MINUTE_MS)).toFixed(2)} with its pauses) = ${rate(accepted)} an hour [${rate(low)}, ${rate(high)}], ${idle} of them without effect; ${(sum((one) => one.computeMs) / talkMs).toFixed(3)} of real time`,
  );
}

function tellSummary(done: readonly Done[]): void {
  const names = [...new Set(done.map((one) => one.situation))];
  for (const name of names) {
    const mine = done.filter((one) => one.situation === name);
    for (const one of mine.flatMap(({ accepted }) => accepted)) say(`  ${name}: ${one}`);
    tellRate(name, mine);
  }
  tellRate('together', done);
}

interface Options {
  readonly half: 'tune' | 'report';
  /** Minutes of speech by situation. */
  readonly situations: ReadonlyMap<string, number>;
  readonly seed: number;
  /** Shortest and longest pause between two lines. */
  readonly pausesMs: readonly [number, number];
  /** File that keeps what was done. */
  readonly log: string | undefined;
  readonly untilMs: number;
}

function optionsFrom(args: readonly string[]): Options {
  const value = (name: string): string | undefined => {
    const at = args.indexOf(name);
    return at < 0 ? undefined : args[at + 1];
  };
  const [pauseMinMs = PAUSES_MS[0], pauseMaxMs = PAUSES_MS[1]] =
    value('--pauses')?.split(',').map(Number) ?? [];
  const minutes = Number(value('--minutes') ?? 120);
  const situations = (value('--situations')?.split(',') ?? FOREIGN_SITUATIONS).map((one) => one.split(':'));
  return {
    half: value('--half') === 'tune' ? 'tune' : 'report',
    situations: new Map(situations.map(([name = '', own]) => [name, Number(own ?? minutes)])),
    seed: Number(value('--seed') ?? 1),
    pausesMs: [pauseMinMs, pauseMaxMs],
    log: value('--log'),
    untilMs: performance.now() + 1000 * Number(value('--for') ?? Number.POSITIVE_INFINITY),
  };
}

/** Runs the bench; throws where the recogniser cannot be started. */
export async function run(args: readonly string[] = process.argv.slice(2)): Promise<void> {
  const options = optionsFrom(args);
  if (foreignLines().length === 0) {
    say('skipped: no package with recorded speech is installed');
    return;
  }
  const kept = options.log !== undefined && existsSync(options.log) ? readFileSync(options.log, 'utf8') : '';
  const done = kept
    .split('\n')
    .filter((line) => line !== '')
    .map((line) => JSON.parse(line) as Done);
  const ear = await openEar({ observe: true });
  if (!ear.ok) throw new Error(`${ear.error.code}: ${ear.error.detail}`);
  say(`Foreign speech: half "${options.half}", seed ${options.seed}, ${done.length} stretches done before`);
  let whole = true;
  try {
    for (const situation of SITUATIONS) {
      const minutes = options.situations.get(situation.name);
      if (minutes !== undefined && whole)
        whole = await listenAt(ear.value, situation, minutes, options, done);
    }
  } finally {
    await ear.value.close();
  }
  say(whole ? 'Done:' : 'Time is up; so far:');
  tellSummary(done);
}

if (import.meta.url === pathToFileURL(process.argv[1] ?? '').href) await run();
