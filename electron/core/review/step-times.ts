/**
 * Where the time of one job went.
 *
 * The records of a job cut its monotonic clock into intervals; each interval goes to exactly one bucket
 * (hands, reading, waiting, paused, away, unattributed), decided by the state before the record that ends
 * it. So the parts add up to the whole by construction, and nothing is counted twice however often a step
 * is visited. Cost: linear in the number of lines.
 */
import type { JobFile, LogLine, Verdict } from '../log/model.ts';
import { epochMsFromTimestamp } from '../log/timestamp.ts';
import type { Plan, PlanCaution, PlanStep } from '../plan/model.ts';
import type {
  CautionTimes,
  JobTimeline,
  JobTimes,
  StepTimes,
  TimeKind,
  TimeMark,
  TimeSpan,
} from './model.ts';

type Mutable<T> = { -readonly [K in keyof T]: T[K] };
type StepTally = Mutable<StepTimes>;
type CautionTally = Mutable<CautionTimes>;

/** Everything the walk over the lines carries along. */
interface Walk {
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
  /** Caution being read out, or read and not yet understood. */
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

const text = (line: LogLine, name: string): string => {
  const value = line.fields[name];
  return typeof value === 'string' ? value : '';
};
const number = (line: LogLine, name: string): number => {
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

function tallyOf(walk: Walk, id: string): StepTally {
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
  if (walk.cautionReading) return 'reading';
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
function spendUntil(walk: Walk, line: LogLine): void {
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

function enter(walk: Walk, id: string, visit: number): void {
  if (walk.step !== id) {
    const tally = tallyOf(walk, id);
    walk.firstPass = tally.visits === 0;
    tally.visits += 1;
    walk.step = id;
    walk.cautionReading = false;
    walk.cautionWaiting = false;
    walk.questionOpen = false;
    walk.problemOpen = false;
  }
  const tally = tallyOf(walk, id);
  tally.visits = Math.max(tally.visits, visit);
}

function leaveStep(walk: Walk): void {
  walk.step = null;
  walk.firstPass = false;
  walk.cautionReading = false;
  walk.cautionWaiting = false;
  walk.questionOpen = false;
  walk.problemOpen = false;
}

function mark(walk: Walk, line: LogLine, kind: TimeMark['kind'], words: string): void {
  walk.marks.push({ at_ms: walk.clock_ms, step: text(line, 'step') || walk.step, kind, text: words });
}

function findCaution(walk: Walk, step: string, caution: string): PlanCaution | undefined {
  const inStep = walk.planSteps.get(step)?.step.cautions.find((one) => one.id === caution);
  return inStep ?? walk.plan.job_cautions.find((one) => one.id === caution);
}

function countWords(sentence: string): number {
  return sentence.split(/\s+/).filter((word) => word !== '').length;
}

function newCaution(walk: Walk, step: string, id: string): CautionTally {
  const planned = findCaution(walk, step, id);
  return {
    step,
    caution: id,
    word: planned?.word ?? 'unknown',
    hazard: planned?.hazard ?? id,
    words: countWords(planned?.say ?? ''),
    by: null,
    read_ms: null,
    read_to_acknowledged_ms: null,
    acknowledged: false,
  };
}

function onCaution(walk: Walk, line: LogLine): void {
  const step = text(line, 'step');
  const id = text(line, 'caution');
  const key = `${step}\n${id}`;
  if (line.event === 'caution.started' || !walk.latestCaution.has(key)) {
    walk.latestCaution.set(key, walk.cautions.length);
    walk.cautions.push(newCaution(walk, step, id));
    walk.cautionStarted_ms = walk.active_ms;
    walk.cautionRead_ms = null;
  }
  const tally = walk.cautions[walk.latestCaution.get(key) ?? -1];
  if (tally === undefined) return;
  if (line.event === 'caution.started') {
    walk.cautionReading = true;
    walk.cautionWaiting = false;
  } else if (line.event === 'caution.read') {
    walk.cautionReading = false;
    walk.cautionWaiting = true;
    tally.by = text(line, 'by') === 'screen' ? 'screen' : 'voice';
    tally.read_ms = walk.active_ms - walk.cautionStarted_ms;
    walk.cautionRead_ms = walk.active_ms;
  } else {
    walk.cautionReading = false;
    walk.cautionWaiting = false;
    tally.acknowledged = true;
    if (walk.cautionRead_ms !== null) tally.read_to_acknowledged_ms = walk.active_ms - walk.cautionRead_ms;
    mark(walk, line, 'caution', tally.hazard);
  }
}

/** Changes of the state by records about steps. */
function onStep(walk: Walk, line: LogLine): void {
  const id = text(line, 'step');
  switch (line.event) {
    case 'step.shown':
      enter(walk, id, number(line, 'visit'));
      return;
    case 'step.confirmed':
      tallyOf(walk, id).state = 'confirmed';
      if (walk.step === id) leaveStep(walk);
      return;
    case 'step.skipped':
      tallyOf(walk, id).state = 'skipped';
      mark(walk, line, 'skip', 'skipped');
      if (walk.step === id) leaveStep(walk);
      return;
    case 'step.undone': {
      const tally = tallyOf(walk, id);
      tally.state = 'open';
      tally.undone += 1;
      mark(walk, line, 'undo', 'undone');
      return;
    }
    default:
      enter(walk, id, 0);
      mark(walk, line, 'revisit', 'gone back');
  }
}

/** Changes of the state by records about the job, help and answers. */
function onOther(walk: Walk, line: LogLine): void {
  switch (line.event) {
    case 'job.opened':
      walk.technician = text(line, 'technician');
      return;
    case 'job.handed-over':
      walk.technician = text(line, 'to');
      mark(walk, line, 'hand-over', `handed over to ${walk.technician}`);
      return;
    case 'job.paused':
      walk.paused = true;
      return;
    case 'job.resumed':
      walk.paused = false;
      return;
    case 'job.left':
      walk.away = true;
      return;
    case 'job.reopened':
      walk.away = false;
      return;
    case 'question.asked':
      walk.questionOpen = true;
      return;
    case 'question.answered':
      walk.questionOpen = false;
      return;
    case 'problem.settled':
      walk.problemOpen = false;
      return;
    case 'trouble.began':
      mark(walk, line, 'trouble', text(line, 'code'));
      return;
    case 'job.finished':
      walk.outcome = text(line, 'outcome') === 'completed' ? 'completed' : 'given-up';
      leaveStep(walk);
      return;
    default:
      onTally(walk, line);
  }
}

/** Records that are only counted or marked. */
function onTally(walk: Walk, line: LogLine): void {
  const tally = (): StepTally | undefined => {
    const id = text(line, 'step') || walk.step;
    return id === null || id === '' ? undefined : tallyOf(walk, id);
  };
  if (line.event === 'help.given') {
    const step = tally();
    const what = text(line, 'what');
    if (step !== undefined && (what === 'repeat' || what === 'slower')) step.repeats += 1;
    else if (step !== undefined) step.helps += 1;
  } else if (line.event === 'utterance.refused') {
    const step = tally();
    if (step !== undefined) step.say_agains += 1;
  } else if (line.event === 'problem.reported') {
    const step = tally();
    if (step !== undefined) step.problems += 1;
    walk.problemOpen = true;
    mark(walk, line, 'problem', text(line, 'kind'));
  } else if (line.event === 'count.confirmed') {
    walk.missing += Math.max(0, number(line, 'expected') - number(line, 'counted'));
    mark(walk, line, 'count', `${number(line, 'counted')} of ${number(line, 'expected')}`);
  } else if (line.event === 'fastener.found') {
    walk.missing = Math.max(0, walk.missing - Math.abs(number(line, 'difference')));
  } else if (line.event === 'reading.confirmed') {
    if (line.fields.within === false) walk.readingsOut += 1;
    mark(walk, line, 'reading', `${number(line, 'value')} ${text(line, 'unit')}`);
  } else if (line.event === 'serial.confirmed') mark(walk, line, 'serial', text(line, 'value'));
  else if (line.event === 'note.taken') mark(walk, line, 'note', text(line, 'text'));
  else if (line.event === 'hold.signed') mark(walk, line, 'hold', text(line, 'person'));
}

function startWalk(plan: Plan): Walk {
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

/** Cautions of confirmed steps that no record mentions: they should have been read and were not. */
function addUnreadCautions(walk: Walk): void {
  for (const tally of walk.steps.values()) {
    if (tally.state !== 'confirmed') continue;
    for (const caution of walk.planSteps.get(tally.step)?.step.cautions ?? []) {
      if (walk.latestCaution.has(`${tally.step}\n${caution.id}`)) continue;
      walk.cautions.push(newCaution(walk, tally.step, caution.id));
    }
  }
}

function timesOf(job: JobFile, lines: readonly LogLine[], verdict: Verdict, walk: Walk): JobTimes {
  const people = [...walk.people].map(([name, active_ms]) => ({ name, active_ms }));
  people.sort((a, b) => b.active_ms - a.active_ms);
  const started = lines[0]?.wall ?? '';
  const { totals } = walk;
  return {
    job: job.job,
    product: job.plan.product,
    product_name: job.plan.product_name,
    product_revision: job.plan.product_revision,
    product_sha256: job.product_sha256,
    replace: job.plan.replace,
    job_type: jobType(job.plan),
    technician: people[0]?.name ?? walk.technician,
    technicians: people,
    started,
    started_s: (epochMsFromTimestamp(started) ?? 0) / 1000,
    verdict,
    outcome: walk.outcome,
    expected_s: job.plan.expected_s,
    span_ms: walk.clock_ms,
    active_ms: walk.active_ms,
    hands_ms: totals.hands,
    reading_ms: totals.reading,
    waiting_ms: totals.waiting,
    paused_ms: totals.paused,
    away_ms: totals.away,
    unattributed_ms: totals.unattributed,
    events: lines.length,
    steps: [...walk.steps.values()].sort((a, b) => a.index - b.index),
    cautions: walk.cautions,
    clock_jumps: walk.clockJumps,
    fasteners_missing: walk.missing,
    readings_out: walk.readingsOut,
  };
}

/**
 * Times, stretches and marks of one job. `lines` are the trusted lines of its log in order (for a broken
 * log those before the break). Never throws: unknown steps, events and fields are counted as they come, a
 * monotonic clock that goes back costs no time and is counted in `clock_jumps`.
 */
export function jobTimeline(job: JobFile, lines: readonly LogLine[], verdict: Verdict): JobTimeline {
  const walk = startWalk(job.plan);
  for (const line of lines) {
    // A finished job may be opened again to look at it; that time is not part of the job.
    if (walk.outcome !== null) break;
    spendUntil(walk, line);
    if (line.event.startsWith('step.')) onStep(walk, line);
    else if (line.event.startsWith('caution.')) onCaution(walk, line);
    else onOther(walk, line);
  }
  addUnreadCautions(walk);
  return { times: timesOf(job, lines, verdict, walk), spans: walk.spans, marks: walk.marks };
}

/** The times of one job alone; see `jobTimeline`. */
export function stepTimes(job: JobFile, lines: readonly LogLine[], verdict: Verdict): JobTimes {
  return jobTimeline(job, lines, verdict).times;
}
