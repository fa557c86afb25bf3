/**
 * A step before it has words: what is done, on which part, with what. The order of parts, the tray and
 * the sentences are worked out from drafts; `finish.ts` turns them into the steps of a plan.
 */
import type { Fastener, Item, Measure, Part, Pattern, RecordField } from '../product/model.ts';
import { defaultSeconds } from './expected-time.ts';
import type { JobStep } from './job-step.ts';
import type { PlanAction, PlanQuestion, PlanStep, Stage } from './model.ts';

/** Fasteners that a draft takes out, loosens, puts in or tightens. */
export interface FastenerUse {
  readonly fastener: Fastener;
  readonly count: number;
  readonly place: string;
  /** What tells its compartment apart: kind and place. */
  readonly bin: string;
  readonly pattern: Pattern;
  readonly passes: readonly number[] | undefined;
  /** `tighten`: they are in already; `in-and-tight`: both in one step; `loosen`: they stay in the part. */
  readonly what: 'out' | 'loosen' | 'in' | 'tighten' | 'in-and-tight';
  /** True where what comes out goes back in: neither single use nor for one way only. */
  readonly reused: boolean;
}

export interface Draft {
  readonly id: string;
  readonly stage: Stage;
  readonly part: Part | null;
  readonly action: PlanAction;
  /** The product step it comes from; null where the planner adds it. */
  readonly step: JobStep | null;
  /** True on the way back. */
  readonly back: boolean;
  readonly use: FastenerUse | null;
  readonly item: Item | null;
  readonly tool: string | null;
  readonly side: string | null;
  readonly hazards: readonly string[];
  readonly measure: Measure | null;
  readonly record: RecordField | null;
  /** Item and consumable ids renewed or used up. */
  readonly renew: readonly string[];
  readonly hold: string | null;
  readonly noteItem: string | null;
  /** The author's own sentence, or the words of a step the planner adds. */
  readonly say: string | null;
  readonly expected_s: number;
  /** Set where the step depends on a question that is left to the job. */
  readonly when: NonNullable<PlanStep['when']> | null;
  /** Set where the job asks here. */
  readonly asks: PlanQuestion | null;
}

/** A draft that is still being filled in. */
export type NewDraft = { -readonly [K in keyof Draft]: Draft[K] };

const NONE: readonly string[] = [];

/** A draft of nothing but what is given. All drafts are made here, so that they have one shape. */
export function newDraft(
  id: string,
  stage: Stage,
  part: Part | null,
  action: PlanAction,
  step: JobStep | null,
  back: boolean,
  use: FastenerUse | null,
  expected_s: number,
): NewDraft {
  return {
    id,
    stage,
    part,
    action,
    step,
    back,
    use,
    item: null,
    tool: null,
    side: null,
    hazards: NONE,
    measure: null,
    record: null,
    renew: NONE,
    hold: null,
    noteItem: null,
    say: null,
    expected_s,
    when: null,
    asks: null,
  };
}

/** Names of the planner's own steps of the whole job. */
const OWN_NAMES = [
  'job-cautions',
  'unit-serial',
  'get-tools',
  'get-materials',
  'set-out-tray',
  'count-tray',
] as const;

/** What a step that the planner adds is called: one of the whole job, one of a part, a question. */
export type AddedName =
  | (typeof OWN_NAMES)[number]
  | `${string}.${'old' | 'new' | 'move' | 'serial'}`
  | `ask-${string}`;

/** True where a draft of a product step may have the id of another draft: only then have all ids to be compared. */
export function mayShareId({ step }: Draft): boolean {
  if (step === null) return false;
  const { id } = step;
  return id.includes('.') || id.startsWith('ask-') || OWN_NAMES.some((name) => name === id);
}

/** A draft that the planner adds: `stage.name` is its id, `say` its sentences, `more` what is not empty. */
export function added(
  stage: Stage,
  name: AddedName,
  action: PlanAction,
  say: string,
  more: Partial<Draft> = {},
): Draft {
  const seconds = defaultSeconds(action, 0);
  const made = newDraft(`${stage}.${name}`, stage, null, action, null, false, null, seconds);
  return Object.assign(made, { say }, more);
}

/** The drafts of several parts in one direction: those of the i-th from `begin[i]` to before `begin[i + 1]`. */
export interface Blocks {
  readonly drafts: readonly Draft[];
  readonly begin: Int32Array;
}
