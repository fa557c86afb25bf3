/**
 * The walk over the lines of a log that adds up times: the state it carries and the few moves that change
 * it. `step-times.ts` decides which record means which move.
 */
import type { LogLine } from '../log/model.ts';
import { epochMsFromTimestamp } from '../log/timestamp.ts';
import type { Plan, PlanStep } from '../plan/model.ts';
import type { CautionTimes, StepTimes, TimeKind, TimeMark, TimeSpan } from './model.ts';

type Mutable<T> = { -readonly [K in keyof T]: T[K] };
export type StepTally = Mutable<StepTimes>;
export type CautionTally = Mutable<CautionTimes>;

/** Everything the walk over the lines carries along. */
export interface Walk {
  readonly plan: Plan;
  readonly planSteps: ReadonlyMap<string, { step: PlanStep; index: number }>;
  readonly steps: Map<string, StepTally>;
  readonly cautions: CautionTally[];
  /** Index in `cautions` of the latest reading of a caution, by step and caution. */
  readonly latestCaution: Map<string, number>;
  readonly spans: Mutable<TimeSpan>[];
  readonly marks: TimeMark[];
  readonly totals: Record<TimeKind, number>;
  readonly people: Map<string, number>;
  /** Time on the job's own axis: the sum of all intervals so far. */
  clock_ms: number;
  /** The same without pauses and absence. */
  active_ms: number;
  last_at_ms: number | null;
  last_wall_ms: number;
  technician: string;
  step: string | null;
  firstPass: boolean;
  paused: boolean;
  away: boolean;
  /** The step's own sentence is being read out. */
  stepReading: boolean;
  /** A caution is being read out; read and not yet understood it is waited for. */
  cautionReading: boolean;
  cautionWaiting: boolean;
  questionOpen: boolean;
  problemOpen: boolean;
  cautionStarted_ms: number;
  cautionRead_ms: number | null;
  outcome: 'completed' | 'given-up' | null;
  clockJumps: number;
  missing: number;
  readingsOut: number;
}

/** A wall clock that is set right by less than this is no jump. */
const CLOCK_SLACK_MS = 1000;

/** A text field of a line, empty where it is none. */
export const text = (line: LogLine, name: string): string => {
  const value = line.fields[name];
  return typeof value === 'string' ? value : '';
};
/** A number field of a line, 0 where it is none. */
export const number = (line: LogLine, name: string): number => {
  const value = line.fields[name];
  return typeof value === 'number' ? value : 0;
};

/** Turns of fasteners in a step: each fastener once per pass of tightening. */
export function fastenerTurns(step: PlanStep): number {
  return step.fasteners.reduce((sum, one) => sum + one.count * Math.max(1, one.passes_nm.length), 0);
}

/** Name of a type of job: the product and what is replaced. Variants do not split it. */
export function jobType(plan: Plan): string {
  return `${plan.product}: ${plan.replace.length === 0 ? 'nothing replaced' : [...plan.replace].sort().join(' + ')}`;
}

/** The tally of a step, begun at zero when the step is new. */
export function tallyOf(walk: Walk, id: string): StepTally {
  const known = walk.steps.get(id);
  if (known !== undefined) return known;
  const planned = walk.planSteps.get(id);
  const tally: StepTally = {
    step: id,
    say: planned?.step.say ?? id,
    stage: planned?.step.stage ?? 'unknown',
    part: planned?.step.part ?? null,
    index: planned?.index ?? -1,
    expected_s: planned?.step.expected_s ?? 0,
    active_ms: 0,
    hands_ms: 0,
    reading_ms: 0,
    waiting_ms: 0,
    first_pass_ms: 0,
    visits: 0,
    repeats: 0,
    say_agains: 0,
    helps: 0,
    problems: 0,
    undone: 0,
    state: 'open',
    fastener_turns: planned === undefined ? 0 : fastenerTurns(planned.step),
  };
  walk.steps.set(id, tally);
  return tally;
}

function kindNow(walk: Walk): TimeKind {
  if (walk.away) return 'away';
  if (walk.paused) return 'paused';
  if (walk.step === null) return 'unattributed';
  if (walk.cautionReading || walk.stepReading) return 'reading';
  if (walk.cautionWaiting || walk.questionOpen || walk.problemOpen) return 'waiting';
  return 'hands';
}

/** Gives `length_ms` to the bucket of the present state, or to the one named. */
function spend(walk: Walk, length_ms: number, kind: TimeKind = kindNow(walk)): void {
  if (length_ms <= 0) return;
  const step = kind === 'away' || kind === 'unattributed' ? null : walk.step;
  walk.totals[kind] += length_ms;
  const last = walk.spans[walk.spans.length - 1];
  if (last !== undefined && last.kind === kind && last.step === step) last.to_ms += length_ms;
  else walk.spans.push({ from_ms: walk.clock_ms, to_ms: walk.clock_ms + length_ms, kind, step });
  walk.clock_ms += length_ms;
  if (kind === 'away' || kind === 'paused' || kind === 'unattributed') return;
  walk.active_ms += length_ms;
  walk.people.set(walk.technician, (walk.people.get(walk.technician) ?? 0) + length_ms);
  const tally = tallyOf(walk, walk.step ?? '');
  tally.active_ms += length_ms;
  if (kind === 'hands') tally.hands_ms += length_ms;
  else if (kind === 'reading') tally.reading_ms += length_ms;
  else tally.waiting_ms += length_ms;
  if (walk.firstPass) tally.first_pass_ms += length_ms;
}

/** Spends the interval that `line` ends, and the absence that a reopening reports. */
export function spendUntil(walk: Walk, line: LogLine): void {
  const previous = walk.last_at_ms ?? line.mono_ms;
  const gap_ms = line.mono_ms - previous;
  walk.last_at_ms = line.mono_ms;
  const wall_ms = epochMsFromTimestamp(line.wall);
  if (gap_ms < 0 || (wall_ms !== undefined && wall_ms < walk.last_wall_ms - CLOCK_SLACK_MS))
    walk.clockJumps += 1;
  if (wall_ms !== undefined) walk.last_wall_ms = wall_ms;
  // The monotonic clock stands still while the program does not run: absence lies beside the interval.
  spend(walk, gap_ms);
  if (line.event === 'job.reopened') spend(walk, Math.max(0, number(line, 'away_ms')), 'away');
}

/** A step comes on screen; showing the one that is there already is no new visit. */
export function enter(walk: Walk, id: string, visit: number): void {
  if (walk.step !== id) {
    const tally = tallyOf(walk, id);
    walk.firstPass = tally.visits === 0;
    tally.visits += 1;
    walk.step = id;
    walk.stepReading = false;
    walk.cautionReading = false;
    walk.cautionWaiting = false;
    walk.questionOpen = false;
    walk.problemOpen = false;
  }
  const tally = tallyOf(walk, id);
  tally.visits = Math.max(tally.visits, visit);
}

/** No step is on screen any more. */
export function leaveStep(walk: Walk): void {
  walk.step = null;
  walk.firstPass = false;
  walk.stepReading = false;
  walk.cautionReading = false;
  walk.cautionWaiting = false;
  walk.questionOpen = false;
  walk.problemOpen = false;
}

/** Notes that something happened now. */
export function mark(walk: Walk, line: LogLine, kind: TimeMark['kind'], what = ''): void {
  walk.marks.push({ at_ms: walk.clock_ms, step: text(line, 'step') || walk.step, kind, text: what });
}

/** The state before the first line. */
export function startWalk(plan: Plan): Walk {
  return {
    plan,
    planSteps: new Map(plan.steps.map((step, index) => [step.id, { step, index }])),
    steps: new Map(),
    cautions: [],
    latestCaution: new Map(),
    spans: [],
    marks: [],
    totals: { hands: 0, reading: 0, waiting: 0, paused: 0, away: 0, unattributed: 0 },
    people: new Map(),
    clock_ms: 0,
    active_ms: 0,
    last_at_ms: null,
    last_wall_ms: Number.NEGATIVE_INFINITY,
    technician: '',
    step: null,
    firstPass: false,
    paused: false,
    away: false,
    stepReading: false,
    cautionReading: false,
    cautionWaiting: false,
    questionOpen: false,
    problemOpen: false,
    cautionStarted_ms: 0,
    cautionRead_ms: null,
    outcome: null,
    clockJumps: 0,
    missing: 0,
    readingsOut: 0,
  };
}
