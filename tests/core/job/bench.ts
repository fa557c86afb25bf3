/** A bench for engine tests: says phrases to a job and keeps all records, with the mouth reading at once. */
import { allowedNow } from '../../../electron/core/job/allowed.ts';
import {
  type EngineOptions,
  type JobState,
  type OpeningOptions,
  openJob,
  type Step,
  step,
} from '../../../electron/core/job/engine.ts';
import { grammarOf } from '../../../electron/core/job/grammar.ts';
import type {
  Allowed,
  Effect,
  JobInput,
  JobRecord,
  PhraseId,
  Source,
} from '../../../electron/core/job/model.ts';
import { ENGLISH } from '../../../electron/core/job/prompts.ts';
import type { Plan } from '../../../electron/core/plan/model.ts';

type Untimed = JobInput extends infer I ? (I extends { atMs: number } ? Omit<I, 'atMs'> : never) : never;

export class Bench {
  readonly plan: Plan;
  readonly records: JobRecord[];
  state: JobState;
  effects: readonly Effect[];
  made: readonly JobRecord[];
  now = 0;
  private readonly options: EngineOptions;

  constructor(plan: Plan, opening: Partial<OpeningOptions> = {}, options: EngineOptions = {}) {
    this.plan = plan;
    this.options = options;
    const opened = openJob(plan, { technician: 'Technician A', ...opening }, options);
    this.records = [...opened.records];
    this.made = opened.records;
    this.state = opened.state;
    this.effects = opened.effects;
  }

  /** Gives an input one second later. */
  give(input: Untimed, afterMs = 1000): this {
    this.now = Math.max(this.now, this.state.at_ms) + afterMs;
    const after: Step = step(this.plan, this.state, { ...input, atMs: this.now } as JobInput, this.options);
    this.state = after.state;
    this.effects = after.effects;
    this.made = after.records;
    this.records.push(...after.records);
    return this;
  }

  phrase(phrase: PhraseId, source: Source = 'voice', confidence = 1): this {
    return this.give({ type: 'phrase', phrase, source, ...(source === 'voice' ? { confidence } : {}) });
  }

  /** Says words, as the ear would understand them now; throws where it would not. */
  hear(text: string): this {
    const { understand } = grammarOf(this.options.words ?? ENGLISH);
    const understood = understand(this.allowed, text);
    if (understood === undefined) throw new Error(`not understood: ${text}`);
    return this.give({ ...understood, source: 'voice', confidence: 1 } as Untimed);
  }

  /** The mouth has ended the newest utterance. */
  spoken(outcome: 'completed' | 'interrupted' | 'no-voice' = 'completed'): this {
    return this.give({ type: 'spoken', utterance: this.utterance, outcome }, 2000);
  }

  /** Hears and acknowledges every caution that is pending. */
  passCautions(): this {
    while (this.state.pending.length > 0 && this.state.question === null) this.spoken().phrase('understood');
    return this;
  }

  get allowed(): Allowed {
    return allowedNow(this.plan, this.state);
  }

  /** Number of the newest utterance so far. */
  get utterance(): number {
    const said = this.effects.filter((effect) => effect.type === 'say');
    return said.at(-1)?.utterance ?? this.last;
  }
  private get last(): number {
    return this.state.caution?.utterance ?? this.state.step_utterance ?? 0;
  }

  /** What was said because of the last input. */
  get said(): string {
    return this.effects
      .filter((effect) => effect.type === 'say')
      .map((effect) => effect.text)
      .join(' | ');
  }

  /** The names of the records of the last input. */
  get events(): readonly string[] {
    return this.made.map((record) => record.event);
  }

  get at(): string {
    return this.plan.steps[this.state.index]?.id ?? '';
  }
}
