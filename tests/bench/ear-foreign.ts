/**
 * False accepts on speech that is not meant for the ear, faster than real time: `npm run bench -- ear-foreign
 * [--half tune|report] [--minutes N] [--situations "step,serial"] [--seed N] [--pauses 200,1500]`.
 *
 * Recorded lines of many people (`tests/sound/foreign-speech.ts`) follow each other as in a conversation, in a
 * seeded order and with pauses of 0.2 to 1.5 s (`--pauses 3500,6000`: each said alone), through the microphone's own listener and recogniser, `--minutes`
 * of speech (pauses not counted) in each situation. Rules are tuned on one half of the lines, figures come from
 * the other. Each phrase that was accepted is printed with what surrounded it; the interval is Garwood's.
 */
import { pathToFileURL } from 'node:url';
import { type RandomSource, randomFromSeed } from '../../electron/core/base/random.ts';
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
  readonly speechMs: number;
}

/** The next lines behind one another; undefined where none is left. */
async function stretchOf(
  lines: Iterator<ForeignLine>,
  random: RandomSource,
  seed: number,
  [pauseMinMs, pauseMaxMs]: Options['pausesMs'],
): Promise<Stretch | undefined> {
  const parts: { name: string; atMs: number; sound: Float32Array; gain: number }[] = [];
  let atMs = EDGE_MS;
  let speechMs = 0;
  while (atMs < STRETCH_MS) {
    const { value: line, done } = lines.next();
    if (done === true) break;
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
  return { samples, lines: parts.map(({ name, atMs }) => ({ name, atMs })), speechMs };
}

/** Prints what was accepted, each with the silence before it; gives how many. */
function tellAccepted(name: string, { lines }: Stretch, { events, observed }: Replay): number {
  const accepted = events.filter((event) => event.understood !== null);
  for (const event of accepted) {
    const line = lines.findLast(({ atMs }) => atMs <= event.atMs);
    const closed = observed.findLast((one) => one.atMs <= event.atMs && one.verdict.kind === 'heard');
    const sinceMs = closed?.utterance.sinceTalkMs ?? Number.NaN;
    const before = Number.isFinite(sinceMs)
      ? `${Math.round(sinceMs)} ms after other speech`
      : 'after silence';
    say(
      `  ${name}: "${event.text}" (${event.confidence?.toFixed(2)}${event.early ? ', early' : ''}) ${before}, ${Math.round(event.atMs - (line?.atMs ?? 0))} ms into ${line?.name ?? 'nothing'}`,
    );
  }
  return accepted.length;
}

async function listenAt(ear: NodeEar, situation: Situation, options: Options): Promise<void> {
  const random = randomFromSeed(options.seed);
  const lines = foreignLines()
    .filter((line) => halfOf(line.name) === options.half)
    .map((line) => ({ line, at: random.next() }))
    .sort((a, b) => a.at - b.at)
    .map(({ line }) => line)
    .values();
  let [speechMs, talkMs, computeMs, accepted] = [0, 0, 0, 0];
  for (let number = 0; speechMs < options.minutes * MINUTE_MS; number += 1) {
    const stretch = await stretchOf(lines, random, options.seed + number, options.pausesMs);
    if (stretch === undefined) break;
    const played = await replay(ear, situation.allowed, stretch.samples);
    accepted += tellAccepted(situation.name, stretch, played);
    speechMs += stretch.speechMs;
    talkMs += played.audioMs;
    computeMs += played.computeMs;
  }
  const hours = speechMs / (60 * MINUTE_MS);
  const { low, high } = poissonInterval(accepted);
  const rate = (count: number): string => (count / hours).toFixed(2);
  say(
    `${situation.name}: ${accepted} false accepts in ${hours.toFixed(2)} hours of speech (${(talkMs / (60 * MINUTE_MS)).toFixed(2)} with its pauses) = ${rate(accepted)} an hour [${rate(low)}, ${rate(high)}]; ${(computeMs / talkMs).toFixed(3)} of real time`,
  );
}

interface Options {
  readonly half: 'tune' | 'report';
  readonly minutes: number;
  readonly situations: readonly string[];
  readonly seed: number;
  /** Shortest and longest pause between two lines. */
  readonly pausesMs: readonly [number, number];
}

function optionsFrom(args: readonly string[]): Options {
  const value = (name: string): string | undefined => {
    const at = args.indexOf(name);
    return at < 0 ? undefined : args[at + 1];
  };
  const [pauseMinMs = PAUSES_MS[0], pauseMaxMs = PAUSES_MS[1]] =
    value('--pauses')?.split(',').map(Number) ?? [];
  return {
    half: value('--half') === 'tune' ? 'tune' : 'report',
    minutes: Number(value('--minutes') ?? 120),
    situations: value('--situations')?.split(',') ?? FOREIGN_SITUATIONS,
    seed: Number(value('--seed') ?? 1),
    pausesMs: [pauseMinMs, pauseMaxMs],
  };
}

/** Runs the bench; throws where the recogniser cannot be started. */
export async function run(args: readonly string[] = process.argv.slice(2)): Promise<void> {
  const options = optionsFrom(args);
  if (foreignLines().length === 0) {
    say('skipped: no package with recorded speech is installed');
    return;
  }
  const ear = await openEar({ observe: true });
  if (!ear.ok) throw new Error(`${ear.error.code}: ${ear.error.detail}`);
  say(`Foreign speech: half "${options.half}", seed ${options.seed}`);
  try {
    for (const situation of SITUATIONS)
      if (options.situations.includes(situation.name)) await listenAt(ear.value, situation, options);
  } finally {
    await ear.value.close();
  }
}

if (import.meta.url === pathToFileURL(process.argv[1] ?? '').href) await run();
