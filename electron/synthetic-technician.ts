/**
 * A plausible technician made from a seed: works at a person's pace, says what the bench asks for, now and
 * then asks back, pauses, is misheard or reports a problem. Knows nothing but the view and what was spoken.
 */
import { type RandomSource, randomFromSeed } from './core/base/random.ts';
import { checkCharacter } from './core/job/check-digits.ts';
import type { BenchView, PhraseId } from './core/job/model.ts';
import type { Measure, RecordField } from './core/product/model.ts';
import type { PageInput } from './ipc/contract.ts';

/** What the technician does next, and how long after everything was spoken. */
export interface Action {
  readonly afterMs: number;
  readonly input: PageInput;
}

export interface TechnicianHabits {
  /** Chance that something other than the plain next word comes, per turn, from 0 to 1. */
  readonly straying: number;
  /** Speed against the expected times: 1 is as expected, 2 takes twice as long. */
  readonly pace: number;
}

/** At most this many side turns in a row, so that every job comes to its end. */
const MAX_STRAYS_IN_A_ROW = 3;
const SIDE_PHRASES: readonly PhraseId[] = [
  'repeat',
  'screw count',
  'which tool',
  'torque',
  'where am i',
  'how long',
  'why',
  'caution',
  'slower',
  'what can i say',
];

export class SyntheticTechnician {
  readonly #random: RandomSource;
  readonly #habits: TechnicianHabits;
  /** Skill: a factor on every working time, different for each technician. */
  readonly #skill: number;
  #strays = 0;

  constructor(seed: number, habits: TechnicianHabits = { straying: 0.12, pace: 1 }) {
    this.#random = randomFromSeed(seed);
    this.#habits = habits;
    this.#skill = Math.exp(0.15 * this.#random.normal());
  }

  /** The next action for what the bench shows. */
  next(view: BenchView): Action {
    const plain = this.#plain(view);
    const mayStray = this.#strays < MAX_STRAYS_IN_A_ROW && this.#random.next() < this.#habits.straying;
    const stray = mayStray ? this.#stray(view) : undefined;
    this.#strays = stray === undefined ? 0 : this.#strays + 1;
    return stray ?? plain;
  }

  #say(phrase: PhraseId, afterMs: number): Action {
    const confidence = this.#confidence();
    const decidedMs = Math.round(180 + 120 * this.#random.next());
    return { afterMs, input: { type: 'phrase', phrase, source: 'voice', confidence, decidedMs } };
  }

  #confidence(): number {
    return Math.round((0.8 + 0.2 * this.#random.next()) * 1000) / 1000;
  }

  #think(): number {
    return Math.round(600 * Math.exp(0.5 * this.#random.normal()));
  }

  /** Time for the work of a step: log-normal around the expected time. */
  #work(expectedS: number): number {
    const factor = this.#habits.pace * this.#skill * Math.exp(0.3 * this.#random.normal());
    return Math.max(400, Math.round(expectedS * 1000 * factor));
  }

  #plain(view: BenchView): Action {
    if (view.phase === 'paused')
      return this.#say('resume', Math.round(20_000 + 100_000 * this.#random.next()));
    if (!view.listening) return this.#say('start listening', 5000);
    if (view.question !== null) return this.#answer(view);
    if (view.caution !== null) return this.#say('understood', this.#think());
    if (view.waits_for !== null) return this.#giveValue(view, view.waits_for);
    if (!view.allowed.phrases.includes('next')) return this.#say('finish', this.#think());
    return this.#say('next', this.#work(view.step.expected_s));
  }

  #answer(view: BenchView): Action {
    const afterMs = this.#think();
    const { step } = view;
    switch (view.question?.kind) {
      case 'count': {
        const value = step.fasteners.reduce(
          (sum, group) => sum + (group.compartment === null ? 0 : group.count),
          0,
        );
        return { afterMs, input: { type: 'number', value, source: 'voice', confidence: this.#confidence() } };
      }
      case 'fastener-compartment': {
        const value = view.ledger[0]?.compartment ?? 1;
        return { afterMs, input: { type: 'number', value, source: 'voice', confidence: this.#confidence() } };
      }
      case 'variant': {
        const value = this.#random.pick(view.question.answers);
        return { afterMs, input: { type: 'answer', value, source: 'voice', confidence: this.#confidence() } };
      }
      case 'problem-kind':
        return {
          afterMs,
          input: { type: 'answer', value: 'stripped screw', source: 'voice', confidence: 0.9 },
        };
      case 'problem-decision':
        return { afterMs, input: { type: 'answer', value: 'go on', source: 'voice', confidence: 0.9 } };
      case 'note':
        return { afterMs: 6000, input: { type: 'text', value: 'Seal was brittle.', source: 'key' } };
      case 'give-up':
      case 'undo':
      case 'go-back':
        return this.#say('no', afterMs);
      default:
        return this.#say('yes', afterMs);
    }
  }

  #giveValue(view: BenchView, what: 'reading' | 'serial' | 'sign-off'): Action {
    const { step } = view;
    const afterMs = this.#work(step.expected_s);
    if (what === 'sign-off') {
      return { afterMs, input: { type: 'sign-off', person: signerFor(view.technician), source: 'touch' } };
    }
    if (what === 'reading' && step.measure !== null) {
      const value = readingWithin(step.measure, this.#random);
      const confidence = this.#confidence();
      return {
        afterMs,
        input: { type: 'reading', value, unit: step.measure.unit, source: 'voice', confidence },
      };
    }
    const value = step.record === null ? 'A1' : codeFor(step.record, this.#random);
    return { afterMs, input: { type: 'serial', value, source: 'voice', confidence: this.#confidence() } };
  }

  /** Something a person does besides going on; undefined where nothing fits. */
  #stray(view: BenchView): Action | undefined {
    const afterMs = this.#think();
    const choice = this.#random.next();
    const { phrases } = view.allowed;
    if (choice < 0.2) {
      const reason = this.#random.pick(['not-sure', 'unknown-words', 'too-noisy'] as const);
      return { afterMs, input: { type: 'unheard', reason } };
    }
    if (choice < 0.28 && phrases.includes('pause')) return this.#say('pause', afterMs);
    if (choice < 0.34 && view.phase === 'step' && phrases.includes('back')) return this.#say('back', afterMs);
    if (choice < 0.38 && view.phase === 'step' && phrases.includes('problem'))
      return this.#say('problem', afterMs);
    if (choice < 0.42 && view.phase === 'step' && phrases.includes('note')) return this.#say('note', afterMs);
    const offered = SIDE_PHRASES.filter((phrase) => phrases.includes(phrase));
    return offered.length === 0 ? undefined : this.#say(this.#random.pick(offered), afterMs);
  }
}

/** Who signs off the work of a technician: another person, since nobody signs off the own work. */
export function signerFor(technician: string): string {
  return technician.trim().toLowerCase() === 'technician e' ? 'Technician A' : 'Technician E';
}

/** A reading inside the limits, with the measure's decimals. */
export function readingWithin(measure: Measure, random: RandomSource): number {
  const span = Math.max(Math.abs(measure.max ?? measure.min ?? 1), 1) * 0.2;
  const low = measure.min ?? (measure.max ?? 0) - span;
  const high = measure.max ?? low + span;
  const factor = 10 ** (measure.decimals ?? 2);
  const value = low + (high - low) * (0.3 + 0.4 * random.next());
  const rounded = Math.round(value * factor) / factor;
  return rounded < low || rounded > high ? value : rounded;
}

const DIGITS = '0123456789';

/** A code that passes the record's length and check character; digits only, since all checks take them. */
export function codeFor(record: RecordField, random: RandomSource): string {
  const length = Math.min(Math.max(record.min_length ?? 6, 2), record.max_length ?? 12);
  const check = record.check ?? 'none';
  const digits = (count: number): string =>
    Array.from({ length: count }, () => random.pick([...DIGITS])).join('');
  if (check === 'none') return digits(length);
  const body = digits(length - 1);
  return body + (checkCharacter(check, body) ?? '');
}
