/**
 * A whole job without a screen: the real job service, log and engine with a simulated clock, a mouth that
 * takes its time, and a technician from a script or from a seed.
 */
import { SimulatedClock } from './clock.ts';
import { ENGLISH, type Language } from './core/base/language.ts';
import { err, ok, type Result } from './core/base/result.ts';
import type { Allowed, Effect } from './core/job/model.ts';
import type { JobFile } from './core/log/model.ts';
import type { Fault } from './disk/disk-fault.ts';
import type { DiskPort } from './disk/disk-port.ts';
import type { ProcessPort } from './disk/lock.ts';
import type { PageInput } from './ipc/contract.ts';
import { JobService, type Opening } from './job-service.ts';
import type { SyntheticTechnician } from './synthetic-technician.ts';

/** 15 characters a second: some 160 words a minute. */
const SPEAKING_MS_PER_CHARACTER = 66;
/** A job that needs more turns than this a step is going round in circles. */
const MAX_TURNS_PER_STEP = 60;

/** One line of a script; its words get their meaning where the bench stands then. */
export interface ScriptLine {
  readonly line: number;
  /** Since the line before. */
  readonly afterMs: number;
  /** False: the voice may still be speaking. */
  readonly waitsForVoice: boolean;
  readonly input: (allowed: Allowed) => Result<PageInput, Fault>;
}

export interface DriveOptions {
  readonly disk: DiskPort;
  readonly processes: ProcessPort;
  readonly jobsFolder: string;
  readonly jobFile: JobFile;
  readonly opening: Opening;
  /** Wall time of the start, milliseconds since 1970. */
  readonly startMs: number;
  readonly token: () => string;
  /** What refusals are said in. */
  readonly language?: Language;
  readonly by: { readonly script: readonly ScriptLine[] } | { readonly technician: SyntheticTechnician };
}

/** What was said and done, in order, for showing. */
export interface DriveEvent {
  readonly atMs: number;
  readonly who: 'technician' | 'voice' | 'chime';
  readonly text: string;
}

export interface DriveResult {
  readonly job: string;
  readonly folder: string;
  readonly outcome: 'completed' | 'given-up' | 'unfinished';
  readonly steps_done: number;
  readonly steps_total: number;
  readonly duration_ms: number;
  readonly transcript: readonly DriveEvent[];
}

/** How an input reads in a transcript. */
export function textOfInput(input: PageInput): string {
  switch (input.type) {
    case 'phrase':
      return input.phrase;
    case 'reading':
      return `the reading is ${input.value}${input.unit === undefined ? '' : ` ${input.unit}`}`;
    case 'serial':
      return `serial is ${input.value}`;
    case 'number':
      return String(input.value);
    case 'answer':
      return input.value;
    case 'text':
      return `(types) ${input.value}`;
    case 'sign-off':
      return `(${input.person} signs off)`;
    case 'unheard':
      return `(not understood: ${input.reason})`;
    default:
      return `(${input.type})`;
  }
}

class Drive {
  readonly #options: DriveOptions;
  readonly #clock: SimulatedClock;
  readonly #service: JobService;
  readonly #transcript: DriveEvent[] = [];
  #mouth: { readonly utterance: number; leftMs: number }[] = [];
  /** Utterances that were cut off, to be reported once the host has time. */
  #cut: number[] = [];
  #outcome: 'completed' | 'given-up' | null = null;
  #done = 0;
  #total: number;

  constructor(options: DriveOptions) {
    this.#options = options;
    this.#total = options.jobFile.plan.steps.length;
    this.#clock = new SimulatedClock(options.startMs);
    const { disk, processes, token } = options;
    this.#service = new JobService({ disk, processes, token, clock: this.#clock });
    this.#service.onPush((push) => {
      if (push.type === 'effect') this.#effect(push.effect);
      if (push.type === 'view' && push.view !== null) {
        this.#outcome = push.view.outcome;
        this.#total = push.view.step_total;
        this.#done = push.view.steps.filter(
          (step) => step.state === 'done' || step.state === 'skipped',
        ).length;
      }
    });
  }

  #effect(effect: Effect): void {
    if (effect.type === 'say') {
      this.#note('voice', effect.text);
      this.#mouth.push({
        utterance: effect.utterance,
        leftMs: effect.text.length * SPEAKING_MS_PER_CHARACTER,
      });
    }
    if (effect.type === 'chime') this.#note('chime', effect.chime);
    if (effect.type === 'hush') {
      this.#cut.push(...this.#mouth.map(({ utterance }) => utterance));
      this.#mouth = [];
    }
  }

  #note(who: DriveEvent['who'], text: string): void {
    this.#transcript.push({ atMs: Math.round(this.#clock.monotonicMs()), who, text });
  }

  /** Moves the clock in pieces short enough that every second gets its tick. */
  async #wait(ms: number): Promise<void> {
    let left = ms;
    while (left > 0) {
      const piece = Math.min(left, 1000);
      this.#clock.advance(piece);
      await this.#service.settled();
      left -= piece;
    }
  }

  /** Reads out what waits, until a moment of the clock at most; what is cut short then goes on later. */
  async #speak(untilMs = Number.POSITIVE_INFINITY): Promise<Result<null, Fault>> {
    for (let first = this.#mouth[0]; first !== undefined; first = this.#mouth[0]) {
      const leftMs = first.leftMs;
      const roomMs = untilMs - this.#clock.monotonicMs();
      if (roomMs <= 0) return ok(null);
      await this.#wait(Math.min(leftMs, roomMs));
      first.leftMs -= Math.min(leftMs, roomMs);
      if (this.#service.openJobName === null) return ok(null);
      if (first.leftMs > 0 || this.#mouth[0] !== first) continue;
      this.#mouth.shift();
      const spoken = await this.#service.handle({
        type: 'spoken',
        utterance: first.utterance,
        outcome: 'completed',
      });
      if (!spoken.ok) return spoken;
    }
    return ok(null);
  }

  async #act(input: PageInput): Promise<Result<null, Fault>> {
    this.#note('technician', textOfInput(input));
    const handled = await this.#service.handle(input);
    for (const utterance of this.#cut.splice(0)) {
      if (this.#service.openJobName === null) break;
      const told = await this.#service.handle({ type: 'spoken', utterance, outcome: 'interrupted' });
      if (!told.ok) return told;
    }
    return handled;
  }

  async run(): Promise<Result<DriveResult, Fault>> {
    const { jobsFolder, jobFile, opening, by } = this.#options;
    const started = await this.#service.start(jobsFolder, jobFile, opening);
    if (!started.ok) return started;
    const played =
      'script' in by ? await this.#playScript(by.script) : await this.#playTechnician(by.technician);
    const left = await this.#service.leave();
    if (!played.ok) return played;
    if (!left.ok) return left;
    return ok({
      job: jobFile.job,
      folder: `${jobsFolder}/${jobFile.job}`,
      outcome: this.#outcome ?? 'unfinished',
      steps_done: this.#done,
      steps_total: this.#total,
      duration_ms: Math.round(this.#clock.monotonicMs()),
      transcript: this.#transcript,
    });
  }

  #words(): Language['cli']['faults'] {
    return (this.#options.language ?? ENGLISH).cli.faults;
  }

  async #playTechnician(technician: SyntheticTechnician): Promise<Result<null, Fault>> {
    const turns = MAX_TURNS_PER_STEP * (this.#options.jobFile.plan.steps.length + 1);
    for (let turn = 0; turn < turns; turn += 1) {
      const spoken = await this.#speak();
      if (!spoken.ok) return spoken;
      const view = this.#service.view();
      if (view === null) return ok(null);
      const action = technician.next(view);
      await this.#wait(action.afterMs);
      const acted = await this.#act(action.input);
      if (!acted.ok) return acted;
    }
    const words = this.#words()['drive-no-end'];
    return err({ code: 'drive/no-end', message: words.message({ turns }), mend: words.mend() });
  }

  async #playScript(script: readonly ScriptLine[]): Promise<Result<null, Fault>> {
    let beforeMs = this.#clock.monotonicMs();
    for (const { afterMs, input, line, waitsForVoice } of script) {
      const dueMs = beforeMs + afterMs;
      const spoken = await this.#speak(waitsForVoice ? Number.POSITIVE_INFINITY : dueMs);
      if (!spoken.ok) return spoken;
      await this.#wait(dueMs - this.#clock.monotonicMs());
      beforeMs = this.#clock.monotonicMs();
      const view = this.#service.view();
      if (view === null) {
        const words = this.#words()['script-line'];
        const facts = { line, what: 'ended' };
        return err({ code: 'drive/after-end', message: words.message(facts), mend: words.mend(facts) });
      }
      const meant = input(view.allowed);
      if (!meant.ok) return meant;
      const acted = await this.#act(meant.value);
      if (!acted.ok) return acted;
    }
    return this.#speak();
  }
}

/**
 * Plays a whole job into a new job folder. Times are those of the simulated clock; the same options give the
 * same log. Errors: those of the job service, `drive/no-end`, `drive/after-end`.
 */
export function drive(options: DriveOptions): Promise<Result<DriveResult, Fault>> {
  return new Drive(options).run();
}
