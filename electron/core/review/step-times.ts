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
import { addUnreadCautions, onCaution } from './caution-times.ts';
import type { JobTimeline, JobTimes } from './model.ts';
import {
  enter,
  jobType,
  leaveStep,
  mark,
  number,
  type StepTally,
  spendUntil,
  startWalk,
  tallyOf,
  text,
  type Walk,
} from './time-walk.ts';

/** Changes of the state by records about steps. */
function onStep(walk: Walk, line: LogLine): void {
  const id = text(line, 'step');
  switch (line.event) {
    case 'step.read':
      walk.stepReading = false;
      return;
    case 'step.shown':
      enter(walk, id, number(line, 'visit'));
      return;
    case 'step.confirmed':
      tallyOf(walk, id).state = 'confirmed';
      if (walk.step === id) leaveStep(walk);
      return;
    case 'step.skipped':
      tallyOf(walk, id).state = 'skipped';
      mark(walk, line, 'skip');
      if (walk.step === id) leaveStep(walk);
      return;
    case 'step.undone': {
      const tally = tallyOf(walk, id);
      tally.state = 'open';
      tally.undone += 1;
      mark(walk, line, 'undo');
      return;
    }
    default:
      enter(walk, id, 0);
      mark(walk, line, 'revisit');
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
      mark(walk, line, 'hand-over', walk.technician);
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
    mark(walk, line, 'count', `${number(line, 'counted')}/${number(line, 'expected')}`);
  } else if (line.event === 'fastener.found') {
    walk.missing = Math.max(0, walk.missing - Math.abs(number(line, 'difference')));
  } else if (line.event === 'reading.confirmed') {
    if (line.fields.within === false) walk.readingsOut += 1;
    mark(walk, line, 'reading', `${number(line, 'value')} ${text(line, 'unit')}`);
  } else if (line.event === 'serial.confirmed') mark(walk, line, 'serial', text(line, 'value'));
  else if (line.event === 'note.taken') mark(walk, line, 'note', text(line, 'text') || text(line, 'audio'));
  else if (line.event === 'hold.signed') mark(walk, line, 'hold', text(line, 'person'));
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

/** After these records the mouth may read a step's sentence. */
const MAY_START_READING: ReadonlySet<LogLine['event']> = new Set([
  'step.shown',
  'caution.acknowledged',
  'help.given',
]);
const LEAVES_STEP: ReadonlySet<LogLine['event']> = new Set([
  'step.confirmed',
  'step.skipped',
  'job.finished',
]);

/**
 * Indices of the lines after which a step's sentence was read out: those that a `step.read` follows before
 * the step is left. Only the end of a reading is recorded, so without one nothing is counted as reading.
 */
function readingStarts(lines: readonly LogLine[]): ReadonlySet<number> {
  const starts = new Set<number>();
  let candidate = -1;
  for (const [index, line] of lines.entries()) {
    if (MAY_START_READING.has(line.event)) candidate = index;
    else if (LEAVES_STEP.has(line.event)) candidate = -1;
    else if (line.event === 'step.read' && candidate >= 0) {
      if (line.fields.outcome !== 'no-voice') starts.add(candidate);
      candidate = -1;
    }
  }
  return starts;
}

/**
 * Times, stretches and marks of one job. `lines` are the trusted lines of its log in order (for a broken
 * log those before the break). Never throws: unknown steps, events and fields are counted as they come, a
 * monotonic clock that goes back costs no time and is counted in `clock_jumps`.
 */
export function jobTimeline(job: JobFile, lines: readonly LogLine[], verdict: Verdict): JobTimeline {
  const walk = startWalk(job.plan);
  const starts = readingStarts(lines);
  for (const [index, line] of lines.entries()) {
    // A finished job may be opened again to look at it; that time is not part of the job.
    if (walk.outcome !== null) break;
    spendUntil(walk, line);
    if (line.event.startsWith('step.')) onStep(walk, line);
    else if (line.event.startsWith('caution.')) onCaution(walk, line);
    else onOther(walk, line);
    if (starts.has(index)) walk.stepReading = true;
  }
  addUnreadCautions(walk);
  return { times: timesOf(job, lines, verdict, walk), spans: walk.spans, marks: walk.marks };
}

/** The times of one job alone; see `jobTimeline`. */
export function stepTimes(job: JobFile, lines: readonly LogLine[], verdict: Verdict): JobTimes {
  return jobTimeline(job, lines, verdict).times;
}
