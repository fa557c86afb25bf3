/**
 * `npm run demo`: a synthetic technician replaces the battery of the demo unit by voice alone, without
 * screen, microphone or loudspeaker. What the technician says is sound, heard by the real recogniser and
 * the real decision code; what is understood drives the real job service and its log. Only the clock is
 * simulated. Ends with 1 when the job is not completed.
 *
 *     npm run demo -- [--seed N] [--echo]     --echo plays the mouth's own sentences into the microphone too
 */
import { randomBytes } from 'node:crypto';
import { mkdtemp } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { SAMPLE_RATE_HZ } from '../renderer/ears/decoder.ts';
import { inputFrom } from '../renderer/ears/heard-input.ts';
import { MANIFEST } from '../renderer/ears/model-files.ts';
import { resample } from '../renderer/ears/stream-resampler.ts';
import { SimulatedClock } from './clock.ts';
import { randomFromSeed } from './core/base/random.ts';
import { SPOKEN_PHRASES } from './core/job/grammar.ts';
import type { BenchView, Effect } from './core/job/model.ts';
import { speakCode } from './core/job/spelled-codes.ts';
import { speakNumber } from './core/job/spoken-numbers.ts';
import { timestampFromEpochMs } from './core/log/timestamp.ts';
import { planJob } from './core/plan/plan-job.ts';
import { jobReview } from './core/review/job-review.ts';
import { type DemoVoice, demoVoices } from './demo-voice.ts';
import { readJob } from './disk/job-folder.ts';
import { createNodeDisk } from './disk/node-disk.ts';
import { createNodeProcesses } from './disk/node-processes.ts';
import { type EarReply, type NodeEar, openEar } from './ear-node/ear.ts';
import type { JobReview, PageInput } from './ipc/contract.ts';
import { JobService } from './job-service.ts';
import { renderSpeech } from './mouth-node.ts';
import { jobNameFrom, newJobFile } from './new-job.ts';
import { loadProduct } from './product-source.ts';
import { SyntheticTechnician } from './synthetic-technician.ts';
import { APP_VERSION } from './version.ts';

const PRODUCT = 'procedures/wt-3.yaml';
const REPLACE = 'battery-pack';
const VARIANTS = { 'antenna-leads': 'two' };
const START_WALL_MS = Date.UTC(2026, 2, 2, 8, 0, 0);
const TURNS_MAX = 600;
/** Quiet around each utterance, and the level of the room. */
const LEAD_MS = 300;
const TRAIL_MS = 2_200;
const ROOM_AMPLITUDE = 0.000_5;
/** 15 characters a second, as the embedded voice speaks. */
const SPEAKING_MS_PER_CHARACTER = 66;
const ECHO_GAIN = 0.25;
const CHUNK_SAMPLES = SAMPLE_RATE_HZ / 50;
/** What is said when the technician mumbles: nothing that may be said. */
const MUMBLE = 'banana bread for lunch';
/** Misheard this often in a row, the technician speaks with another voice, as a person would speak up. */
const PATIENCE = 2;

const say = (line: string): void => void process.stdout.write(`${line}\n`);

function clockText(ms: number): string {
  const seconds = Math.floor(ms / 1000);
  return `${String(Math.floor(seconds / 60)).padStart(3)}:${String(seconds % 60).padStart(2, '0')}`;
}

/** The words for an input, or null where it is not spoken but keyed or touched. */
function spokenWords(input: PageInput, view: BenchView): string | null {
  switch (input.type) {
    case 'phrase':
      return SPOKEN_PHRASES[input.phrase][0] ?? input.phrase;
    case 'reading':
      return `the reading is ${speakNumber(input.value, view.step.measure?.decimals ?? 2)}`;
    case 'number':
      return speakNumber(input.value);
    case 'serial':
      return `serial is ${speakCode(input.value)}`;
    case 'answer':
      return input.value;
    case 'unheard':
      return MUMBLE;
    default:
      return null;
  }
}

interface Heard {
  readonly said: string;
  readonly heard: string;
  readonly right: boolean;
  readonly confidence: number | null;
  readonly decidedMs: number | null;
}

class Demo {
  readonly #clock = new SimulatedClock(START_WALL_MS);
  readonly #service: JobService;
  readonly #ear: NodeEar;
  readonly #voices: readonly DemoVoice[];
  readonly #echo: boolean;
  readonly #random = randomFromSeed(7);
  readonly #hearings: Heard[] = [];
  #mouth: { utterance: number; text: string }[] = [];
  #cut: number[] = [];
  #earMs = 0;
  #misheard = 0;
  #ownWords = 0;
  #last: BenchView | null = null;

  constructor(ear: NodeEar, voices: readonly DemoVoice[], echo: boolean) {
    this.#ear = ear;
    this.#voices = voices;
    this.#echo = echo;
    this.#service = new JobService({
      disk: createNodeDisk(),
      processes: createNodeProcesses(`Stepcaller ${APP_VERSION} (demo)`),
      token: () => randomBytes(8).toString('hex'),
      clock: this.#clock,
    });
    this.#service.onPush((push) => {
      if (push.type === 'effect') this.#effect(push.effect);
      if (push.type === 'view' && push.view !== null) this.#last = push.view;
    });
  }

  get clock(): SimulatedClock {
    return this.#clock;
  }
  get service(): JobService {
    return this.#service;
  }

  #effect(effect: Effect): void {
    if (effect.type === 'say') this.#mouth.push({ utterance: effect.utterance, text: effect.text });
    if (effect.type === 'hush') {
      this.#cut.push(...this.#mouth.map(({ utterance }) => utterance));
      this.#mouth = [];
    }
  }

  /** Plays the job to its end; gives whether it was completed. */
  async play(technician: SyntheticTechnician): Promise<boolean> {
    for (let turn = 0; turn < TURNS_MAX && this.#service.openJobName !== null; turn += 1) {
      await this.#speak();
      const view = this.#service.view();
      if (view === null || view.outcome !== null) break;
      const action = technician.next(view);
      await this.#wait(action.afterMs);
      const words = spokenWords(action.input, view);
      if (words === null) await this.#handle(action.input);
      else await this.#say(words, view, action.input.type === 'unheard');
    }
    return this.#last?.outcome === 'completed';
  }

  /** Moves the clock in pieces short enough that every second gets its tick. */
  async #wait(ms: number): Promise<void> {
    for (let left = ms; left > 0; left -= 1000) {
      this.#clock.advance(Math.min(left, 1000));
      await this.#service.settled();
    }
  }

  async #handle(input: PageInput): Promise<void> {
    if (this.#service.openJobName === null) return;
    const handled = await this.#service.handle(input);
    if (!handled.ok) throw new Error(`${handled.error.code}: ${handled.error.message}`);
    for (const utterance of this.#cut.splice(0)) {
      await this.#handle({ type: 'spoken', utterance, outcome: 'interrupted' });
    }
  }

  /** The mouth's turn: prints each sentence, takes its time, and with `--echo` reaches the microphone. */
  async #speak(): Promise<void> {
    for (let next = this.#mouth[0]; next !== undefined; next = this.#mouth[0]) {
      say(`${clockText(this.#clock.monotonicMs())}   < ${next.text}`);
      if (this.#echo) await this.#speakIntoMicrophone(next.text);
      else await this.#wait(next.text.length * SPEAKING_MS_PER_CHARACTER);
      if (this.#mouth[0] !== next) continue;
      this.#mouth.shift();
      await this.#handle({ type: 'spoken', utterance: next.utterance, outcome: 'completed' });
    }
  }

  async #speakIntoMicrophone(text: string): Promise<void> {
    const speech = await renderSpeech(text);
    const samples = resample(speech.samples, speech.sampleRate, SAMPLE_RATE_HZ);
    const allowed = this.#service.view()?.allowed;
    if (allowed !== undefined) await this.#ear.tell({ type: 'grammar', allowed });
    await this.#ear.tell({ type: 'mouth', speaking: true, text });
    const during = await this.#feed(samples.map((sample) => sample * ECHO_GAIN));
    await this.#ear.tell({ type: 'mouth', speaking: false, text });
    for (const message of during) {
      if (message.type !== 'heard') continue;
      this.#ownWords += 1;
      say(`          ! the ear took the mouth's own words for "${message.text}"`);
    }
  }

  /** Says words into the microphone and hands the host whatever the ear made of them. */
  async #say(words: string, view: BenchView, mumbled: boolean): Promise<void> {
    const voice =
      this.#voices[this.#misheard >= PATIENCE ? 1 + (this.#misheard % (this.#voices.length - 1 || 1)) : 0];
    const speech = await (voice ?? this.#voices[0])?.speak(words);
    if (speech === undefined) throw new Error('there is no voice');
    await this.#ear.tell({ type: 'grammar', allowed: view.allowed });
    const messages = await this.#feed(surroundedByQuiet(speech));
    let understood = false;
    for (const message of messages) {
      if (message.type === 'heard') {
        const { text, confidence, decidedMs } = message;
        understood = true;
        const right = !mumbled && text === words;
        this.#hearings.push({ said: words, heard: text, right, confidence, decidedMs });
        say(
          `${clockText(this.#clock.monotonicMs())} > ${text}   (${confidence.toFixed(2)}, ${Math.round(decidedMs)} ms)`,
        );
        await this.#handle(inputFrom(message));
      }
      if (message.type === 'refused') {
        const { reason, confidence } = message;
        this.#hearings.push({
          said: words,
          heard: `(${reason})`,
          right: mumbled,
          confidence,
          decidedMs: null,
        });
        say(`${clockText(this.#clock.monotonicMs())} > (${reason}; said: ${words})`);
        await this.#handle({ type: 'unheard', reason });
      }
    }
    if (!understood && !mumbled) say(`          (not heard: ${words})`);
    this.#misheard = understood || mumbled ? 0 : this.#misheard + 1;
  }

  async #feed(samples: Float32Array): Promise<EarReply['messages']> {
    const messages: EarReply['messages'][number][] = [];
    for (let at = 0; at < samples.length; at += CHUNK_SAMPLES) {
      const reply = await this.#ear.feed(
        samples.slice(at, at + CHUNK_SAMPLES).map((sample) => sample + this.#room()),
      );
      messages.push(...reply.messages.filter((message) => message.type !== 'level'));
      const passedMs = reply.nowMs - this.#earMs;
      this.#earMs = reply.nowMs;
      this.#clock.advance(passedMs);
    }
    await this.#service.settled();
    return messages;
  }

  #room(): number {
    return (this.#random.next() * 2 - 1) * ROOM_AMPLITUDE;
  }

  /** Step times and recognition, for the end. */
  summary(review: JobReview): void {
    say('\nStep times');
    for (const [index, step] of review.steps.entries()) {
      const seconds = (step.active_ms / 1000).toFixed(1).padStart(7);
      say(`${String(index + 1).padStart(3)} ${seconds} s  ${step.stage.padEnd(8)}  ${step.say}`);
    }
    const spoken = this.#hearings.filter((hearing) => hearing.said !== MUMBLE);
    const right = spoken.filter((hearing) => hearing.right);
    const decided = right.flatMap((hearing) => hearing.decidedMs ?? []).sort((a, b) => a - b);
    const at = (share: number): number => Math.round(decided[Math.floor(share * (decided.length - 1))] ?? 0);
    say(
      `\nHeard right: ${right.length} of ${spoken.length}; decision ${at(0.5)} ms (median), ${at(0.95)} ms (p95) after the end of speech`,
    );
    const wrong = spoken.filter((hearing) => !hearing.right);
    for (const hearing of wrong) say(`  said "${hearing.said}", heard ${hearing.heard}`);
    if (this.#echo) say(`The mouth's own words taken for the technician's: ${this.#ownWords}`);
    say(`Whole job: ${clockText(this.#clock.monotonicMs()).trim()} by the simulated clock`);
  }
}

function surroundedByQuiet(speech: Float32Array): Float32Array {
  const lead = (SAMPLE_RATE_HZ * LEAD_MS) / 1000;
  const whole = new Float32Array(lead + speech.length + (SAMPLE_RATE_HZ * TRAIL_MS) / 1000);
  whole.set(speech, lead);
  return whole;
}

function option(name: string): string | undefined {
  const at = process.argv.indexOf(name);
  return at < 0 ? undefined : process.argv[at + 1];
}

async function main(): Promise<number> {
  const seed = Number(option('--seed') ?? '3');
  const root = fileURLToPath(new URL('../', import.meta.url));
  const disk = createNodeDisk();
  const source = await loadProduct(disk, join(root, PRODUCT), PRODUCT);
  if (!source.ok || source.value.product === undefined) {
    say(`${PRODUCT} cannot be used: ${source.ok ? 'it has errors' : source.error.message}`);
    return 2;
  }
  const planned = planJob(source.value.product, { replace: [REPLACE], variants: VARIANTS });
  if (!planned.ok) {
    say(`there is no plan: ${planned.error.map((found) => found.code).join(', ')}`);
    return 2;
  }
  const ear = await openEar();
  if (!ear.ok) {
    say(`the ear cannot be started: ${ear.error.code}: ${ear.error.detail}`);
    return 2;
  }
  try {
    const voices = await demoVoices();
    say(`Ear ready in ${Math.round(ear.value.loadMs)} ms. The technician speaks with ${voices[0].name}.`);
    say(
      `${planned.value.steps.length} steps. "<" is spoken by the program, ">" was heard (confidence, time to decide).\n`,
    );
    const demo = new Demo(ear.value, voices, process.argv.includes('--echo'));
    const jobsFolder = await mkdtemp(join(tmpdir(), 'stepcaller-demo-jobs-'));
    const created = timestampFromEpochMs(START_WALL_MS, 60);
    const job = jobNameFrom(created, planned.value.product, 'demo');
    const jobFile = newJobFile({
      job,
      created,
      appVersion: APP_VERSION,
      productFile: PRODUCT,
      productSha256: source.value.sha256,
      modelSha256: MANIFEST.sha256,
      plan: planned.value,
    });
    const opened = await demo.service.start(jobsFolder, jobFile, {
      technician: 'Technician A',
      verbosity: 'short',
    });
    if (!opened.ok) {
      say(`the job cannot be started: ${opened.error.message}`);
      return 1;
    }
    const completed = await demo.play(new SyntheticTechnician(seed, { straying: 0.05, pace: 1 }));
    await demo.service.leave();
    const folder = join(jobsFolder, job);
    const read = await readJob(disk, folder);
    if (!read.ok) {
      say(`the log cannot be read: ${read.error.message}`);
      return 1;
    }
    const review = jobReview(read.value.jobFile, read.value.log.lines, read.value.log.verdict);
    demo.summary(review);
    say(`Log: ${folder} (${review.verified ? 'chain intact' : 'NOT verified'})`);
    say(completed ? 'The job was completed by voice.' : 'The job was NOT completed.');
    return completed && review.verified ? 0 : 1;
  } finally {
    await ear.value.close();
  }
}

process.exitCode = await main();
