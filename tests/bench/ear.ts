/**
 * The listening bench: `npm run bench -- ear`, or with options `npx tsx tests/bench/ear.ts [section…]
 * [--few N [--skip K]] [--part tune|report] [--seed N] [--kinds "air tool,music"] [--snr 20,10] [--voices N] [--held]
 * [--attention]`.
 *
 * Sections: `phrases` (every phrase by every voice, still room), `noise` (20, 10, 5 dB), `echo` (the mouth's own sentences in the microphone; "stop" over
 * them), `grammar` (what a change costs). All go through the microphone's own listener and recogniser.
 * `--few N` takes every N-th item, `--skip K` (below N) beginning with the K-th. `noise` gives each voice one kind of noise in turn; with `--kinds` every
 * voice gets every kind named. `--held`: with a key held around each phrase; `--attention`: with the attention word before it. Tables go to stdout; shares have Clopper–Pearson intervals, counts
 * Garwood's, at 95 %.
 */
import { fileURLToPath, pathToFileURL } from 'node:url';
import { randomFromSeed } from '../../electron/core/base/random.ts';
import { planJob } from '../../electron/core/plan/plan-job.ts';
import { clopperPearsonInterval, poissonInterval } from '../../electron/core/review/intervals.ts';
import { createNodeDisk } from '../../electron/disk/node-disk.ts';
import { type NodeEar, openEar } from '../../electron/ear-node/ear.ts';
import { renderSpeech } from '../../electron/mouth-node.ts';
import { loadProduct } from '../../electron/product-source.ts';
import { SAMPLE_RATE_HZ } from '../../renderer/ears/decoder.ts';
import { JOB_GRAMMAR } from '../../renderer/ears/job-grammar.ts';
import { resample } from '../../renderer/ears/stream-resampler.ts';
import {
  activeRms,
  babble,
  backgroundNoise,
  inRoom,
  mixAtSnr,
  NOISE_KINDS,
  type NoiseKind,
} from '../sound/noise.ts';
import { addAt, makeSequence } from '../sound/recording.ts';
import { installedVoices, speak, type Voice } from '../sound/voices.ts';
import { countTrials, quiet, replay, SITUATIONS, type Trial } from './ear-trials.ts';

interface Options {
  readonly sections: readonly string[];
  readonly few: number;
  readonly skip: number;
  readonly part: Voice['part'];
  readonly seed: number;
  /** Empty: kinds in turn by voice. */
  readonly kinds: readonly NoiseKind[];
  readonly snrsDb: readonly number[];
  readonly voicesMax: number;
  readonly held: boolean;
  readonly attention: boolean;
}

const SECTIONS = ['phrases', 'noise', 'echo', 'grammar'] as const;
const GAP_MS = 1_300;
const SNRS_DB = [20, 10, 5] as const;

const say = (line: string): void => void process.stdout.write(`${line}\n`);

function optionsFrom(args: readonly string[]): Options {
  const value = (name: string): string | undefined => {
    const at = args.indexOf(name);
    return at < 0 ? undefined : args[at + 1];
  };
  const named = args.filter((arg) => (SECTIONS as readonly string[]).includes(arg));
  return {
    sections: named.length === 0 ? SECTIONS : named,
    few: Math.max(1, Number(value('--few') ?? 1)),
    skip: Number(value('--skip') ?? 0),
    part: value('--part') === 'tune' ? 'tune' : 'report',
    seed: Number(value('--seed') ?? 1),
    kinds: NOISE_KINDS.filter((kind) => (value('--kinds') ?? '').split(',').includes(kind)),
    snrsDb: value('--snr')?.split(',').map(Number) ?? SNRS_DB,
    voicesMax: Number(value('--voices') ?? 99),
    held: args.includes('--held'),
    attention: args.includes('--attention'),
  };
}

/** Runs the bench; throws where the recogniser cannot be started. */
export async function run(args: readonly string[] = []): Promise<void> {
  const options = optionsFrom(args);
  const ear = await openEar();
  if (!ear.ok) throw new Error(`${ear.error.code}: ${ear.error.detail}`);
  say(
    `Listening bench: voices of part "${options.part}", every ${options.few}. item after ${options.skip}, seed ${options.seed}; model ready in ${Math.round(ear.value.loadMs)} ms`,
  );
  try {
    if (options.sections.includes('phrases')) await phrases(ear.value, options);
    if (options.sections.includes('noise')) await noise(ear.value, options);
    if (options.sections.includes('echo')) await echo(ear.value, options);
    if (options.sections.includes('grammar')) await grammarChange(ear.value);
  } finally {
    await ear.value.close();
  }
}

// ---- phrases ------------------------------------------------------------------------------------------

type Spoken = Trial & { readonly voice: string };

interface Batch {
  readonly trials: readonly Spoken[];
  readonly stray: number;
  readonly audioMs: number;
  readonly computeMs: number;
  readonly memoryBytes: number;
}

/** At most so many voices as asked for, spread over the engines. */
function someVoices(options: Options): readonly Voice[] {
  const all = installedVoices(options.part);
  const every = Math.max(1, Math.ceil(all.length / options.voicesMax));
  return all.filter((_, index) => index % every === 0);
}

/** Every situation by one voice; `disturb` changes the recording before it is played. */
async function speakAll(
  ear: NodeEar,
  voice: Voice,
  options: Options,
  disturb: (samples: Float32Array) => Float32Array | Promise<Float32Array>,
): Promise<Batch> {
  const trials: Spoken[] = [];
  let [stray, audioMs, computeMs, memoryBytes] = [0, 0, 0, 0];
  for (const situation of SITUATIONS) {
    const says = situation.says.filter((_, index) => index % options.few === options.skip);
    const called = options.attention ? `${JOB_GRAMMAR.attentionWord}, ` : '';
    const spoken = await makeSequence(
      says.map((text) => called + text),
      voice,
      GAP_MS,
      options.seed,
    );
    const parts = spoken.parts.map((part) => ({ ...part, text: part.text.slice(called.length) }));
    const samples = await disturb(spoken.samples);
    const played = await replay(ear, situation.allowed, samples, {
      heldParts: options.held ? parts : undefined,
      attentionWord: options.attention,
    });
    const counted = countTrials(situation, { ...spoken, parts }, played.events);
    trials.push(...counted.trials.map((trial) => ({ ...trial, voice: voice.id })));
    stray += counted.stray;
    audioMs += played.audioMs;
    computeMs += played.computeMs;
    memoryBytes = played.memoryBytes;
  }
  return { trials, stray, audioMs, computeMs, memoryBytes };
}

/** Numbers and spellings can nearly always go on, so they wait, and are counted apart from the commands. */
const isValue = (trial: Trial): boolean => trial.situation === 'reading' || trial.situation === 'serial';
const isCommand = (trial: Trial): boolean => !isValue(trial) && trial.situation !== 'count';

function share(trials: readonly Trial[]): string {
  const right = trials.filter((trial) => trial.outcome === 'right').length;
  if (trials.length === 0) return '-';
  const { low, high } = clopperPearsonInterval(right, trials.length);
  const percent = (value: number): string => (100 * value).toFixed(1);
  return `${right}/${trials.length} = ${percent(right / trials.length)} % [${percent(low)}, ${percent(high)}]`;
}

function byKind(trials: readonly Trial[]): string {
  const bare = trials.filter((trial) => trial.situation === 'count');
  return `commands ${share(trials.filter(isCommand))}   bare numbers ${share(bare)}   readings and serials ${share(trials.filter(isValue))}`;
}

function counts(trials: readonly Trial[]): string {
  const count = (outcome: (trial: Trial) => boolean): number => trials.filter(outcome).length;
  const wrong = count((trial) => trial.outcome === 'wrong');
  const right = count((trial) => trial.outcome === 'right');
  return `right ${right}  rejected ${trials.length - right - wrong}  wrong ${wrong}`;
}

function percentile(values: readonly number[], at: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return Math.round(sorted[Math.min(sorted.length - 1, Math.floor(at * sorted.length))] ?? Number.NaN);
}

function latency(trials: readonly Trial[]): string {
  const times = trials.flatMap((trial) => (trial.outcome === 'right' ? (trial.decidedMs ?? []) : []));
  if (times.length === 0) return 'no decision';
  const waited = trials.flatMap((trial) => (trial.outcome === 'right' ? (trial.waitedMs ?? []) : []));
  const both = (values: readonly number[]): string =>
    `${percentile(values, 0.5)}/${percentile(values, 0.95)}`;
  return `median/p95 ${both(times)} ms, of which audio ${both(waited)} ms (${times.length})`;
}

async function phrases(ear: NodeEar, options: Options): Promise<void> {
  say('\n## Phrases in a still room');
  const all: Batch[] = [];
  for (const voice of someVoices(options)) {
    const batch = await speakAll(ear, voice, options, (samples) => samples);
    all.push(batch);
    say(`${voice.id.padEnd(20)} ${byKind(batch.trials)}`);
  }
  const trials = all.flatMap((batch) => batch.trials);
  say(`all                  ${byKind(trials)}`);
  tellByPhrase(trials);
  const isBare = (trial: Trial): boolean => trial.situation === 'count';
  const early = trials.filter((trial) => isCommand(trial) && trial.early).length;
  say(
    `\nEnd of sound to decision: commands ${latency(trials.filter(isCommand))}, ${early} of them early; bare numbers ${latency(trials.filter(isBare))}; readings and serials ${latency(trials.filter(isValue))}`,
  );
  const sum = (pick: (batch: Batch) => number): number =>
    all.reduce((total, batch) => total + pick(batch), 0);
  say(
    `Real-time factor ${(sum((b) => b.computeMs) / sum((b) => b.audioMs)).toFixed(3)}, memory ${(Math.max(...all.map((b) => b.memoryBytes)) / 1e6).toFixed(1)} MB, phrases out of nothing ${sum((b) => b.stray)}`,
  );
  tellConfusions(trials);
}

function tellByPhrase(trials: readonly Spoken[]): void {
  say('\nBy phrase (all situations and voices):');
  const said = [...new Set(trials.map((trial) => trial.said))];
  for (const phrase of said) {
    const mine = trials.filter((trial) => trial.said === phrase);
    const sure = mine.flatMap((trial) => (trial.outcome === 'right' ? (trial.confidence ?? []) : []));
    const least =
      sure.length === 0
        ? ''
        : `  least confidence ${Math.min(...sure).toFixed(2)}, median ${
            percentile(
              sure.map((c) => c * 100),
              0.5,
            ) / 100
          }`;
    say(`  ${phrase.padEnd(48)} ${counts(mine)}${least}`);
  }
}

function tellConfusions(trials: readonly Spoken[]): void {
  const bad = trials.filter((trial) => trial.outcome !== 'right');
  if (bad.length === 0) return;
  say('\nNot right:');
  for (const trial of bad) {
    say(
      `  ${trial.voice} | ${trial.situation} | "${trial.said}" → ${trial.heard ?? trial.outcome} ${trial.confidence?.toFixed(2) ?? ''}`,
    );
  }
}

// ---- noise --------------------------------------------------------------------------------------------

/** What several people say at once; of voices of the other part, so that nobody talks over himself. */
const BABBLE = [
  'we had that on the other line last week and it never came back',
  'could you hand me the long one please',
  'the van is not here before three',
  'no idea what they were thinking when they made this',
];

async function noiseOf(
  kind: NoiseKind,
  count: number,
  options: Options,
  seed: number,
): Promise<Float32Array> {
  if (kind !== 'babble') return backgroundNoise(kind, count, -40, seed);
  const others = installedVoices(options.part === 'tune' ? 'report' : 'tune').slice(0, 4);
  const speech = await Promise.all(others.flatMap((voice) => BABBLE.map((text) => speak(voice, text))));
  return babble(speech, count, 4, seed);
}

async function noise(ear: NodeEar, options: Options): Promise<void> {
  const inTurn = NOISE_KINDS.filter((kind) => kind !== 'babble');
  const kinds = options.kinds.length > 0 ? options.kinds : inTurn;
  say(
    `\n## Noise (${options.kinds.length > 0 ? 'every kind' : 'kinds in turn'} by voice: ${kinds.join(', ')})`,
  );
  const voices = someVoices(options);
  for (const snrDb of options.snrsDb) {
    const trials: Spoken[] = [];
    let stray = 0;
    for (const [index, voice] of voices.entries()) {
      const turn = kinds[(index + 1) % kinds.length] ?? 'fan';
      for (const kind of options.kinds.length > 0 ? kinds : [turn]) {
        const batch = await speakAll(ear, voice, options, async (samples) =>
          mixAtSnr(samples, await noiseOf(kind, samples.length, options, options.seed + index), snrDb),
        );
        trials.push(...batch.trials.map((trial) => ({ ...trial, voice: `${trial.voice} + ${kind}` })));
        stray += batch.stray;
      }
    }
    say(
      `${String(snrDb).padStart(2)} dB: commands ${share(trials.filter(isCommand))}, ${counts(trials.filter(isCommand))}; out of nothing ${stray}; ${latency(trials.filter(isCommand))}`,
    );
    for (const kind of kinds) {
      const mine = trials.filter((trial) => trial.voice.endsWith(`+ ${kind}`) && isCommand(trial));
      if (mine.length > 0) say(`       ${kind.padEnd(9)} ${counts(mine)}  ${latency(mine)}`);
    }
    if (options.kinds.length > 0) tellConfusions(trials.filter(isCommand));
  }
}

// ---- the mouth's own words ----------------------------------------------------------------------------

/** Every sentence that the demo units' plans speak: steps and cautions of all parts. */
export async function demoSentences(): Promise<readonly string[]> {
  const sentences = new Set<string>();
  for (const name of ['wt-3', 'bp-60', 'dp-8']) {
    const path = fileURLToPath(new URL(`../../procedures/${name}.yaml`, import.meta.url));
    const source = await loadProduct(createNodeDisk(), path, name);
    if (!source.ok || source.value.product === undefined) continue;
    const { product } = source.value;
    const variants = Object.fromEntries(
      product.variants.map((variant) => [variant.id, String(variant.answers[0])]),
    );
    for (const part of product.parts.filter((one) => one.replaceable)) {
      const plan = planJob(product, { replace: [part.id], variants });
      if (!plan.ok) continue;
      for (const step of plan.value.steps) {
        sentences.add(step.say);
        for (const caution of step.cautions) {
          sentences.add(`${caution.word}. ${caution.hazard} ${caution.consequence} ${caution.avoid}`);
        }
      }
    }
  }
  return [...sentences];
}

async function echo(ear: NodeEar, options: Options): Promise<void> {
  const sentences = [...(await demoSentences()).entries()].filter(
    ([index]) => index % options.few === options.skip,
  );
  say(
    `\n## The mouth's own words: ${sentences.length} sentences of the demo units, echo −6 to −20 dB, 20 to 80 ms, with a room`,
  );
  const allowed = SITUATIONS[0]?.allowed;
  if (allowed === undefined) throw new Error('there is no situation');
  const voices = installedVoices(options.part);
  let triggers = 0;
  let [stopped, overs] = [0, 0];
  const times: number[] = [];
  for (const [index, sentence] of sentences) {
    // By its own seed: the same whichever sentences are taken.
    const random = randomFromSeed(options.seed + index);
    const speech = await renderSpeech(sentence);
    const mouth = resample(speech.samples, speech.sampleRate, SAMPLE_RATE_HZ);
    const echoDb = 6 + 14 * random.next();
    const delayMs = 20 + 60 * random.next();
    const room = inRoom(mouth, 250, 6, options.seed + index);
    const voice = voices[index % voices.length];
    if (voice === undefined) throw new Error('no synthesiser is installed');
    const stop = await speak(voice, 'stop');
    const gain = activeRms(stop) / Math.max(1e-6, activeRms(room)) / 10 ** (echoDb / 20);
    const lengthMs = (mouth.length * 1000) / SAMPLE_RATE_HZ;
    const play = async (overMs: number | null): Promise<void> => {
      const samples = quiet(lengthMs + 2_000, options.seed + index);
      addAt(samples, room, 500 + delayMs, gain);
      if (overMs !== null) addAt(samples, stop, overMs);
      const heard = await playWithMouth(ear, allowed, samples, sentence, 500, 500 + lengthMs);
      if (overMs === null) {
        triggers += heard.length;
        for (const one of heard)
          say(
            `  "${one.text}" out of: ${sentence} (${one.confidence.toFixed(2)}, echo −${echoDb.toFixed(0)} dB)`,
          );
        return;
      }
      overs += 1;
      const right = heard.find((one) => one.text === 'stop');
      if (right === undefined) return;
      stopped += 1;
      times.push(right.atMs - overMs - (stop.length * 1000) / SAMPLE_RATE_HZ);
    };
    await play(null);
    if (!/\bstop/i.test(sentence) && lengthMs > 2_500)
      await play(500 + 800 + random.next() * (lengthMs - 2_000));
  }
  const { high } = poissonInterval(triggers);
  say(`self-triggers: ${triggers} in ${sentences.length} sentences (upper limit ${high.toFixed(1)})`);
  if (overs > 0) {
    const { low, high: most } = clopperPearsonInterval(stopped, overs);
    say(
      `"stop" over the mouth: ${stopped}/${overs} = ${((100 * stopped) / overs).toFixed(1)} % [${(100 * low).toFixed(1)}, ${(100 * most).toFixed(1)}], after its end: median ${percentile(times, 0.5)} ms, p95 ${percentile(times, 0.95)} ms`,
    );
  }
}

async function playWithMouth(
  ear: NodeEar,
  allowed: (typeof SITUATIONS)[number]['allowed'],
  samples: Float32Array,
  sentence: string,
  fromMs: number,
  toMs: number,
): Promise<readonly { readonly text: string; readonly confidence: number; readonly atMs: number }[]> {
  await ear.fresh();
  await ear.tell({ type: 'grammar', allowed });
  const heard: { text: string; confidence: number; atMs: number }[] = [];
  const chunk = SAMPLE_RATE_HZ / 50;
  for (let at = 0; at < samples.length; at += chunk) {
    const nowMs = (at * 1000) / SAMPLE_RATE_HZ;
    const began = nowMs >= fromMs && nowMs - 20 < fromMs;
    const ended = nowMs >= toMs && nowMs - 20 < toMs;
    if (began) await ear.tell({ type: 'mouth', speaking: true, text: sentence });
    if (ended) await ear.tell({ type: 'mouth', speaking: false, text: sentence });
    const reply = await ear.feed(samples.slice(at, at + chunk));
    for (const message of reply.messages) {
      if (message.type !== 'heard') continue;
      heard.push({ text: message.text, confidence: message.confidence, atMs: reply.nowMs });
    }
  }
  return heard;
}

// ---- change of grammar --------------------------------------------------------------------------------

async function grammarChange(ear: NodeEar): Promise<void> {
  say('\n## Change of grammar');
  const times: number[] = [];
  let memoryBytes = 0;
  for (let turn = 0; turn < 200; turn += 1) {
    const situation = SITUATIONS[turn % SITUATIONS.length];
    if (situation === undefined) continue;
    const reply = await ear.tell({ type: 'grammar', allowed: situation.allowed });
    times.push(reply.computeMs);
    memoryBytes = reply.memoryBytes;
  }
  say(
    `200 changes: median ${percentile(times, 0.5)} ms, p95 ${percentile(times, 0.95)} ms, most ${Math.round(Math.max(...times))} ms; memory after them ${(memoryBytes / 1e6).toFixed(1)} MB`,
  );
}

if (import.meta.url === pathToFileURL(process.argv[1] ?? '').href) await run(process.argv.slice(2));
