/**
 * What is said about the step at hand: its sentence, its cautions, the answers to questions of the
 * technician and the questions of the engine. Texts only; nothing here decides or changes anything.
 */
import { type Facts, printedIn } from '../base/message.ts';
import type { Plan, PlanFastener, PlanStep } from '../plan/model.ts';
import { expectedSeconds } from '../plan/questions.ts';
import { plural, singular } from '../plan/wording.ts';
import type { Measure } from '../product/model.ts';
import type { LedgerLine, PhraseId, QuestionKind } from './model.ts';
import {
  answerWords,
  durationInWords,
  fill,
  isWordKey,
  PROBLEM_KINDS,
  type WhyNot,
  type WordKey,
  type Words,
} from './prompts.ts';
import { speakCode } from './spelled-codes.ts';
import {
  canRecordNote,
  cautionById,
  cautionsOf,
  expectedCount,
  isAtEnd,
  isOpenStep,
  type JobState,
  openCompartments,
  questionHere,
  stepOf,
  stepStateOf,
  waitsFor,
} from './state.ts';

/** The sentence of the shown step, with what a trainee needs, a noted route, and what it waits for. */
export function stepText(plan: Plan, state: JobState, words: Words): string {
  if (isAtEnd(plan, state) && state.index === plan.steps.length - 1) return fill(words, 'job.at-end');
  const step = stepOf(plan, state);
  let say = lesserCautionsAgain(plan, state) + step.say;
  const note = state.notes.find((kept) => kept.item === step.note_item);
  if (note !== undefined && step.action === 'route') say = fill(words, 'step.note', { say, note: note.text });
  if (state.verbosity === 'trainee') {
    if (step.look_for !== null) say = fill(words, 'step.look-for', { say, lookFor: step.look_for });
    if (step.why !== null) say = fill(words, 'step.why', { say, why: step.why });
  }
  if (state.verbosity === 'short') return say;
  const waits = waitsFor(plan, state);
  // How to go on is told with the first step, until somebody has.
  if (waits === null && state.frontier === 0 && isOpenStep(state)) say = fill(words, 'step.next', { say });
  if (!needsHint(state, waits)) return say;
  if (waits === 'reading') say = fill(words, 'step.measure', { say });
  if (waits === 'serial') say = fill(words, 'step.record', { say });
  if (waits === 'sign-off') say = fill(words, 'step.hold', { say, hold: step.hold ?? '' });
  return say;
}

/** How to say a value is told to a trainee each time, to others until the first one is in; a hold always. */
function needsHint(state: JobState, waits: ReturnType<typeof waitsFor>): boolean {
  if (waits === 'sign-off' || state.verbosity === 'trainee') return true;
  return !state.steps.some((step) => (waits === 'reading' ? step.reading : step.serial) !== null);
}

/** On a repeated visit, cautions that need no second "understood" are read again with the step. */
function lesserCautionsAgain(plan: Plan, state: JobState): string {
  if (stepStateOf(state).visits < 2) return '';
  return cautionsOf(plan, state.index)
    .filter((caution) => caution.word === 'caution' || caution.word === 'notice')
    .map((caution) => `${caution.say} `)
    .join('');
}

/** The caution that waits, as it is spoken, with the word that lets the job go on. */
export function cautionText(plan: Plan, state: JobState, words: Words): string {
  const id = state.caution?.id ?? state.pending[0];
  const caution = id === undefined ? undefined : cautionById(plan, state.index, id);
  if (caution === undefined) return '';
  return state.verbosity === 'short' ? caution.say : `${caution.say} ${fill(words, 'caution.ask')}`;
}

/** The tray by compartment. */
export function ledgerOf(plan: Plan, state: JobState): readonly LedgerLine[] {
  return plan.tray.map((place, index) => ({
    compartment: place.number,
    label: place.label,
    out: Math.max(0, state.out[index] ?? 0),
    total: place.count,
  }));
}

/** "Out: 4 case screws in compartment 1." */
export function trayText(plan: Plan, state: JobState, words: Words): string {
  const lines = ledgerOf(plan, state).filter((line) => line.out > 0);
  if (lines.length === 0) return fill(words, 'answer.tray-empty');
  const list = lines.map((line) =>
    fill(words, 'answer.tray-line', {
      counted: counted(
        words,
        line.out,
        plan.tray.find((place) => place.number === line.compartment)?.name ?? line.label,
      ),
      n: line.compartment,
    }),
  );
  return fill(words, 'answer.tray', { list: list.join(', ') });
}

/** A reading as it is printed: "3.7 V". */
export function printedReading(words: Words, value: number, unit: string): string {
  return `${printedIn(words.rules, value)} ${unit}`.replace('-', '−').trim();
}

/** How a reading stands to its limits. */
export function limitOf(measure: Measure, value: number): 'within' | 'too-high' | 'too-low' {
  if (measure.max !== undefined && !(value <= measure.max)) return 'too-high';
  if (measure.min !== undefined && !(value >= measure.min)) return 'too-low';
  return 'within';
}

/** The question that is open, in words; empty where none is. */
export function questionText(plan: Plan, state: JobState, words: Words): string {
  const question = state.question;
  if (question === null) return questionHere(plan, state)?.ask ?? '';
  const key: Readonly<Record<QuestionKind, WordKey>> = {
    finish: 'question.finish',
    'give-up': isAtEnd(plan, state) ? 'question.give-up-end' : 'question.give-up',
    skip: 'question.skip',
    undo: 'question.undo',
    'go-back': 'question.go-back',
    'problem-kind': 'question.problem-kind',
    'problem-decision': state.problem_noted ? 'question.problem-decision-noted' : 'question.problem-decision',
    'fastener-compartment': 'question.fastener-compartment',
    'tray-empty': 'question.tray-empty',
    count: expectedCount(plan, state).index === null ? 'question.count-all' : 'question.count-one',
    reading: 'question.reading',
    serial: 'question.serial',
    note: canRecordNote(state) ? 'question.note-spoken' : 'question.note',
    variant: 'question.variant',
  };
  return fill(words, key[question.kind], questionFacts(plan, state, words));
}

function questionFacts(plan: Plan, state: JobState, words: Words): Facts {
  switch (state.question?.kind) {
    case 'reading':
      return {
        value: state.proposal ? printedReading(words, state.proposal.value, state.proposal.unit) : '',
      };
    case 'serial':
      return { code: state.proposal ? speakCode(state.proposal.text, words.table.numbers) : '' };
    case 'count': {
      const place = plan.tray[expectedCount(plan, state).index ?? -1];
      return { n: place?.number ?? '', name: plural(words, place?.name ?? '') };
    }
    case 'give-up':
      return { left: plan.steps.length - state.frontier, out: trayText(plan, state, words) };
    case 'undo':
      return { say: plan.steps[state.frontier - 1]?.say ?? '' };
    case 'go-back':
      return { n: plan.steps.findIndex((step) => step.id === state.question?.about) + 1 };
    case 'problem-kind':
      return { list: PROBLEM_KINDS.map((kind) => answerWords(words, kind)) };
    default:
      return {};
  }
}

/** The answer to a phrase that asks for something to be told. */
export function answerText(plan: Plan, state: JobState, phrase: PhraseId, words: Words): string {
  const step = stepOf(plan, state);
  switch (phrase) {
    case 'screw count':
      return fastenersText(step, words);
    case 'which tool': {
      const tool = plan.tools.find((one) => one.id === step.tool);
      return tool ? fill(words, 'answer.tool', { tool: tool.name }) : fill(words, 'answer.no-tool');
    }
    case 'torque':
      return torqueText(step, words);
    case 'caution': {
      const says = cautionsOf(plan, state.index).map((caution) => caution.say);
      return says.length === 0 ? fill(words, 'answer.no-caution') : says.join(' ');
    }
    case 'why':
      return step.why ?? fill(words, 'answer.no-why');
    case 'where am i':
      return fill(words, 'answer.where', {
        n: state.index + 1,
        m: plan.steps.length,
        stage: fill(words, `stage.${step.stage}`),
        part: step.part_name === null ? '' : fill(words, 'answer.part', { part: step.part_name }),
        out: trayText(plan, state, words),
      });
    case 'how long': {
      const times = timesOf(plan, state, state.at_ms);
      return fill(words, 'answer.how-long', {
        step: capital(durationInWords(words, times.step_ms)),
        job: capital(durationInWords(words, times.active_ms)),
        left: capital(roughly(words, times.expected_left_s)),
      });
    }
    case 'reading':
      return fill(words, 'answer.reading-how');
    case 'serial':
      return fill(words, 'answer.serial-how');
    default:
      return '';
  }
}

function roughly(words: Words, seconds: number): string {
  const time = durationInWords(words, seconds * 1000);
  return seconds < 60 ? time : fill(words, 'time.about', { time });
}

/** "4 case screws", "1 clip screw". */
function counted(words: Words, count: number, name: string): string {
  return fill(words, 'answer.counted', {
    count,
    name: count === 1 ? singular(words, name) : plural(words, name),
  });
}

function fastenersText(step: PlanStep, words: Words): string {
  if (step.fasteners.length === 0) return fill(words, 'answer.no-fasteners');
  return step.fasteners.map((group) => fastenerText(group, words)).join(' ');
}

function fastenerText(group: PlanFastener, words: Words): string {
  return fill(words, 'answer.fasteners', {
    counted: counted(words, group.count, group.name),
    thread: group.thread,
    length: group.length_mm > 0 ? fill(words, 'answer.length', { length: group.length_mm }) : '',
    drive: fill(words, `drive.${group.drive.kind}`, { size: group.drive.size }),
    place: group.place === '' ? '' : fill(words, 'answer.place', { place: group.place }),
    compartment:
      group.compartment === null ? '' : fill(words, 'answer.compartment', { n: group.compartment }),
  });
}

function torqueText(step: PlanStep, words: Words): string {
  const groups = step.fasteners.filter((group) => group.torque_nm !== null);
  if (groups.length === 0) return fill(words, 'answer.no-torque');
  const takesOut = step.action === 'remove-fasteners' || step.action === 'loosen-fasteners';
  const said = groups.map((group) => {
    const facts = { name: capital(plural(words, group.name)), torque: group.torque_nm ?? 0 };
    if (takesOut) return fill(words, 'answer.torque-later', facts);
    const parts = [fill(words, groups.length === 1 ? 'answer.torque' : 'answer.torque-named', facts)];
    if (group.passes_nm.length > 1) {
      const facts = { count: group.passes_nm.length, list: group.passes_nm };
      parts.push(fill(words, 'answer.passes', facts));
    }
    if (group.order.length > 1) parts.push(fill(words, 'answer.order', { list: group.order }));
    return parts.join(' ');
  });
  return said.join(' ');
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

export interface JobTimes {
  /** Active time on the shown step, all visits. */
  readonly step_ms: number;
  readonly active_ms: number;
  readonly paused_ms: number;
  /** What the steps still to do are expected to take, less the time already spent on the open one. */
  readonly expected_left_s: number;
}

/** The times at a moment of the job's clock; a moment before the last record counts as that record's. */
export function timesOf(plan: Plan, state: JobState, nowMs: number): JobTimes {
  const now = Number.isFinite(nowMs) ? Math.max(nowMs, state.at_ms) : state.at_ms;
  const running = state.active_since_ms === null || state.left ? 0 : now - state.active_since_ms;
  const pausing = state.paused_since_ms === null || state.left ? 0 : now - state.paused_since_ms;
  const step_ms = stepStateOf(state).active_ms + running;
  const left = expectedSeconds(
    plan.steps.slice(state.frontier).map((step, i) => {
      if (state.frontier + i !== state.index) return step;
      return { ...step, expected_s: Math.max(0, step.expected_s - step_ms / 1000) };
    }),
  );
  return {
    step_ms,
    active_ms: state.active_ms + running,
    paused_ms: state.paused_ms + pausing,
    expected_left_s: Math.round(left),
  };
}

/** Why a phrase is refused now, as a short sentence. */
export function whyText(plan: Plan, state: JobState, why: string, words: Words): string {
  const key = `why.${why}`;
  if (!isWordKey(key)) return fill(words, 'why.not-now');
  const step = stepOf(plan, state);
  return fill(words, key, {
    question: questionText(plan, state, words),
    unit: step.measure?.unit ?? '',
    n: (why === 'too-short' ? step.record?.min_length : step.record?.max_length) ?? '',
  }).trim();
}

/** What to say at the end of the steps: the question whether the tray is empty, or what is still out. */
export function endText(plan: Plan, state: JobState, words: Words): string {
  return openCompartments(state) === 0
    ? fill(words, 'question.tray-empty')
    : fill(words, 'end.not-settled', { out: trayText(plan, state, words) });
}

/** The code of the sentence that says what is in the way just now. */
export function whyNotNow(plan: Plan, state: JobState, phrase: PhraseId | null): WhyNot {
  if (state.recording !== null) return 'note-first';
  if (state.paused_since_ms !== null && state.question === null) return 'paused';
  if (state.question !== null) return 'answer-first';
  if (state.pending.length > 0 && phrase !== 'yes' && phrase !== 'no') return 'caution-first';
  switch (phrase) {
    case 'understood':
      return 'no-caution';
    case 'yes':
    case 'no':
      return 'no-question';
    case 'back':
      return 'first-step';
    case 'undo':
      return 'nothing-to-undo';
    case 'skip':
      return 'not-optional';
    case 'resume':
      return 'not-paused';
    case 'reading':
      return 'no-reading-here';
    case 'serial':
      return 'no-serial-here';
    case 'start listening':
      return 'already-listening';
    case 'stop listening':
      return 'not-listening';
    default:
      return whyNotNext(plan, state);
  }
}

function whyNotNext(plan: Plan, state: JobState): WhyNot {
  if (isAtEnd(plan, state) && state.index === plan.steps.length - 1) return 'at-end';
  if (!isOpenStep(state)) return 'not-now';
  const waits = waitsFor(plan, state);
  if (waits === 'reading') {
    const reading = stepStateOf(state).reading;
    return reading !== null && !reading.within ? 'reading-bad' : 'reading-first';
  }
  if (waits === 'serial') return 'serial-first';
  if (waits === 'sign-off') return 'sign-off-first';
  return waits === 'answer' ? 'answer-first' : 'not-now';
}
