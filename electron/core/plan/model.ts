/**
 * The plan: the ordered steps of one job, with everything the bench screen, the voice and the review
 * need. It is plain JSON, written into `job.json` and printed by `plan --json`; the field names marked
 * in the design as a contract stay as they are. Stage 2 of the flow.
 */
import type { ActionKind, Drive, Measure, Picture, RecordField, SignalWord } from '../product/model.ts';

export type Stage = 'prepare' | 'remove' | 'replace' | 'install' | 'check';

/** A caution as it is shown and spoken, most severe first in a step's list. */
export interface PlanCaution {
  readonly id: string;
  readonly word: SignalWord;
  readonly hazard: string;
  readonly consequence: string;
  readonly avoid: string;
  readonly symbol: string;
  /** The whole caution as it is spoken. */
  readonly say: string;
}

/** Fasteners that a step takes out or puts back. */
export interface PlanFastener {
  readonly fastener: string;
  readonly name: string;
  readonly count: number;
  readonly thread: string;
  readonly length_mm: number;
  readonly drive: Drive;
  readonly torque_nm: number | null;
  /** Tray compartment number (from 1), or null where nothing comes out (captive, loosened). */
  readonly compartment: number | null;
  readonly place: string;
  /** Tightening or loosening order as bolt numbers, empty where any order will do. */
  readonly order: readonly number[];
  /** Torque of each pass in N·m, in order; empty without a torque. */
  readonly passes_nm: readonly number[];
  /** Torque of the last pass once round in number order, in N·m; absent where there is none. */
  readonly round_pass_nm?: number;
}

/** What the step does on this way: the action of the product step, or its inverse. */
export type PlanAction =
  | ActionKind
  | 'install-fasteners'
  | 'tighten-fasteners'
  | 'connect'
  | 'insert-ribbon'
  | 'apply-tape'
  | 'bond-strips'
  | 'fit-seal'
  | 'route'
  | 'seat-on-pins'
  | 'press-in'
  | 'slide-in'
  | 'clip'
  | 'press-edges'
  | 'put-in'
  | 'fit-heat-sink'
  | 'close'
  | 'restore-energy'
  | 'fetch-new-part'
  | 'move-over'
  | 'count-tray'
  | 'note-route'
  | 'ask-variant';

export interface PlanStep {
  /** Unique in the plan and stable over revisions: stage + "." + product step id (or a fixed name). */
  readonly id: string;
  /** Id of the product step it comes from; absent for steps the planner adds. */
  readonly source?: string;
  readonly stage: Stage;
  /** Part id, or null for steps of the whole unit. */
  readonly part: string | null;
  readonly part_name: string | null;
  readonly action: PlanAction;
  /** The sentence(s) read aloud and shown. */
  readonly say: string;
  /** Extra sentences for a trainee. */
  readonly look_for: string | null;
  readonly why: string | null;
  readonly cautions: readonly PlanCaution[];
  readonly fasteners: readonly PlanFastener[];
  /** Tool id or null. */
  readonly tool: string | null;
  readonly measure: Measure | null;
  readonly record: RecordField | null;
  /** Item and consumable ids that are renewed or used up in this step. */
  readonly renew: readonly string[];
  readonly side: string | null;
  readonly hold: string | null;
  readonly optional: boolean;
  /** `note` on the way in: the cable whose route is noted; on the way back it is read out. */
  readonly note_item: string | null;
  readonly picture: Picture | null;
  readonly expected_s: number;
  /** The job asks this here; the step is confirmed by the answer. Absent where nothing is asked. */
  readonly asks?: PlanQuestion;
  /** Only where the job's question was answered so. Absent where it was answered before the job. */
  readonly when?: { readonly variant: string; readonly is: string };
}

/** A question about the unit at hand that is left to the job; every step that depends on it comes after. */
export interface PlanQuestion {
  readonly variant: string;
  readonly ask: string;
  /** Spoken as they stand. */
  readonly answers: readonly string[];
}

export interface PlanTool {
  readonly id: string;
  readonly name: string;
}
export interface PlanConsumable {
  readonly id: string;
  readonly name: string;
  readonly amount: string | null;
  readonly count: number;
}
/** One tray compartment: one kind of fastener from one place. */
export interface Compartment {
  readonly number: number;
  readonly fastener: string;
  readonly name: string;
  readonly place: string;
  readonly count: number;
  /** Spoken and printed label: "case screws, M2.5 by 8, back cover". */
  readonly label: string;
}

export interface Plan {
  readonly format: 1;
  /** Tag of the language its sentences are written in; English where it is missing. */
  readonly language?: string;
  /** Product id. */
  readonly product: string;
  readonly product_name: string;
  readonly product_revision: number;
  readonly replace: readonly string[];
  readonly variants: Readonly<Record<string, string>>;
  readonly start_side: string;
  readonly steps: readonly PlanStep[];
  readonly tools: readonly PlanTool[];
  readonly consumables: readonly PlanConsumable[];
  /** New parts to have at hand. */
  readonly new_parts: readonly { readonly id: string; readonly name: string }[];
  readonly tray: readonly Compartment[];
  /** Expected time of the whole job in seconds. */
  readonly expected_s: number;
  /** How good the order is: its cost, a proven lower bound, and whether it is proven optimal. */
  readonly order: { readonly cost: number; readonly lower_bound: number; readonly exact: boolean };
  readonly unit_serial: RecordField | null;
  readonly job_cautions: readonly PlanCaution[];
}
