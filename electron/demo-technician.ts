/**
 * The technicians of the demo data: the synthetic technician with a person's own pace, learning and habits.
 * Everything is invented; the same seed gives the same people and the same days.
 */
import { type RandomSource, randomFromSeed } from './core/base/random.ts';
import type { BenchView } from './core/job/model.ts';
import { type Action, SyntheticTechnician } from './synthetic-technician.ts';

/** How a person works. Times are factors on the expected time of a step. */
export interface Person {
  readonly name: string;
  /** Factor on the first job of a type, and what a doubling of the jobs leaves of it. */
  readonly first: number;
  readonly rate: number;
  /** Where learning ends. */
  readonly least: number;
  /** Chance that something besides the plain next word comes, per turn. */
  readonly straying: number;
  /** Chance that a caution is answered before it can have been taken in. */
  readonly hasty: number;
  readonly trainee: boolean;
  /** Days after the start on which the person begins. */
  readonly fromDay: number;
}

/** What is special about one job. */
export interface DemoJob {
  readonly person: Person;
  /** Jobs of this type that the person has done before. */
  readonly before: number;
  /** Factor on single steps by their id in the plan, and on the whole. */
  readonly stepFactors: Readonly<Record<string, number>>;
  readonly factor: number;
  /** The step whose sentence is often asked for again, and the chance of it; null: none. */
  readonly unclear: { readonly step: string; readonly chance: number } | null;
  /** Give the job up from this step number on; null: finish it. */
  readonly giveUpAt: number | null;
}

/** Factor of a person after so many jobs of one type: a power law down to a level. */
export function paceOf(person: Person, before: number): number {
  return Math.max(person.least, person.first * (before + 1) ** Math.log2(person.rate));
}

const HASTY_MS = 120;
/** Nobody takes a caution in faster. */
const LEAST_ANSWER_MS = 450;
const RUSHED_MS = 700;
/** Chance that a step is confirmed by mistake right away. */
const RUSHED = 0.002;
/** Spread of working times (standard deviation of the logarithm). */
const SPREAD = 0.18;
const CONFIDENCE = 0.95;

export class DemoTechnician extends SyntheticTechnician {
  readonly #job: DemoJob;
  readonly #random: RandomSource;
  #repeated = false;

  constructor(seed: number, job: DemoJob) {
    super(seed, { straying: job.person.straying, pace: 1 });
    this.#job = job;
    this.#random = randomFromSeed(seed ^ 0x5bd1e995);
  }

  override next(view: BenchView): Action {
    const { giveUpAt } = this.#job;
    if (giveUpAt !== null && view.question?.kind === 'give-up') return this.#say('yes', 900);
    if (giveUpAt !== null && view.phase === 'step' && view.step_number >= giveUpAt)
      if (view.allowed.phrases.includes('finish')) return this.#say('finish', 4000);
    const factor = this.#job.stepFactors[view.step.id] ?? 1;
    const { unclear } = this.#job;
    if (unclear?.step === view.step.id && view.phase === 'step' && !this.#repeated) {
      this.#repeated = true;
      if (this.#random.next() < unclear.chance) return this.#say('repeat', 2500);
    }
    return this.#paced(view, super.next(view), factor);
  }

  #say(phrase: 'yes' | 'finish' | 'repeat', afterMs: number): Action {
    return { afterMs, input: { type: 'phrase', phrase, source: 'voice', confidence: CONFIDENCE } };
  }

  /** The same action after a time that fits the person, the step and the day. */
  #paced(view: BenchView, action: Action, factor: number): Action {
    const { input } = action;
    if (input.type === 'phrase' && input.phrase === 'understood')
      return {
        ...action,
        afterMs:
          this.#random.next() < this.#job.person.hasty ? HASTY_MS : Math.max(LEAST_ANSWER_MS, action.afterMs),
      };
    const works =
      (input.type === 'phrase' && input.phrase === 'next') ||
      input.type === 'reading' ||
      input.type === 'serial';
    if (!works) return action;
    if (view.step.fasteners.length > 0 && this.#random.next() < RUSHED)
      return { ...action, afterMs: RUSHED_MS };
    const noise = Math.exp(SPREAD * this.#random.normal());
    const pace = paceOf(this.#job.person, this.#job.before) * this.#job.factor * factor;
    // The work goes on while the step is read out, so what has passed counts.
    const left = view.step.expected_s * 1000 * pace * noise - view.step_ms;
    return { ...action, afterMs: Math.max(500, Math.round(left)) };
  }
}
