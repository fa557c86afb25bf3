/** Answers to the engine's questions: yes, no, the kind of problem, what to do about it. */
import { endText, trayText, whyNotNow } from './answers.ts';
import { ask, type Draft, goOn, here, record, refuse, say, showStep } from './draft.ts';
import type { Source } from './model.ts';
import { fill, PROBLEM_DECISIONS, PROBLEM_KINDS } from './prompts.ts';
import { isAtEnd, openCompartments, questionHere, stepStateOf, waitsFor } from './state.ts';
import { askWhereFound, confirmReading, confirmSerial } from './values.ts';

/** The step counts as done, and the next one is shown; after the last the end is asked for. */
export function confirmStep(d: Draft, source: Source, confidence: number | undefined): void {
  record(d, {
    event: 'step.confirmed',
    step: here(d).id,
    source,
    confidence: confidence ?? null,
    with_help: stepStateOf(d.state).helped,
  });
  chimeDone(d);
  afterStep(d);
}

/** "done" takes the place of the chime for "heard": one sound for one word. */
function chimeDone(d: Draft): void {
  const heard = d.effects.findIndex((effect) => effect.type === 'chime');
  d.effects.splice(heard < 0 ? d.effects.length : heard, 1, { type: 'chime', chime: 'done' });
}

function afterStep(d: Draft): void {
  if (!isAtEnd(d.plan, d.state)) showStep(d, d.state.frontier);
  else if (openCompartments(d.state) === 0) ask(d, 'tray-empty');
  else say(d, endText(d.plan, d.state, d.words), 'answer');
}

/** "yes": only ever the answer to the question that is open. */
export function answerYes(d: Draft, source: Source, confidence: number | undefined): void {
  const question = d.state.question;
  if (question === null) {
    answerUnit(d, 'yes', source);
    return;
  }
  if (question.kind === 'reading') {
    confirmReading(d, source);
    return;
  }
  if (question.kind === 'serial') {
    confirmSerial(d, source);
    return;
  }
  record(d, { event: 'question.answered', question: question.kind, answer: 'yes', source });
  switch (question.kind) {
    case 'finish':
      if (d.state.pending.length === 0 && waitsFor(d.plan, d.state) === null)
        confirmStep(d, source, confidence);
      return;
    case 'give-up':
      finishJob(d, 'given-up', source);
      return;
    case 'tray-empty':
      if (isAtEnd(d.plan, d.state) && openCompartments(d.state) === 0) finishJob(d, 'completed', source);
      return;
    case 'note':
      say(d, fill(d.words, 'note.speak'), 'question');
      return;
    case 'skip':
      record(d, { event: 'step.skipped', step: here(d).id, source });
      afterStep(d);
      return;
    case 'undo':
      undoLast(d, source);
      return;
    case 'go-back':
      if (question.about !== null) revisit(d, question.about, source);
      return;
    default:
      return;
  }
}

function finishJob(d: Draft, outcome: 'completed' | 'given-up', source: Source): void {
  record(d, { event: 'job.finished', outcome, open_compartments: openCompartments(d.state), source });
  chimeDone(d);
  const out = trayText(d.plan, d.state, d.words);
  say(d, fill(d.words, outcome === 'completed' ? 'job.completed' : 'job.given-up', { out }), 'answer');
  d.effects.push({ type: 'closed' });
}

function undoLast(d: Draft, source: Source): void {
  const step = d.plan.steps[d.state.frontier - 1];
  if (step === undefined) return;
  record(d, { event: 'step.undone', step: step.id, source });
  showStep(d, d.state.frontier);
}

/** Goes to another step that was reached before. */
export function revisit(d: Draft, id: string, source: Source): void {
  const index = d.plan.steps.findIndex((step) => step.id === id);
  if (index < 0 || index > d.state.frontier) return;
  record(d, { event: 'step.revisited', step: id, from: here(d).id, source });
  showStep(d, index);
}

/** "no": the question is dropped and nothing is lost; a value is taken back. */
export function answerNo(d: Draft, source: Source): void {
  const question = d.state.question;
  if (question === null) {
    answerUnit(d, 'no', source);
    return;
  }
  if (question.kind === 'reading' || question.kind === 'serial') {
    record(d, { event: 'value.rejected', step: here(d).id, source });
    say(d, fill(d.words, 'answer.again'), 'answer');
    return;
  }
  record(d, { event: 'question.answered', question: question.kind, answer: 'no', source });
  say(d, fill(d.words, question.kind === 'tray-empty' ? 'answer.check-tray' : 'answer.not-done'), 'answer');
  goOn(d);
}

/**
 * The answer to a question about the unit: it is told back, the steps that do not hold for it fall away, and
 * the step that asked counts as done. Taking that step back asks anew. False where nothing of the kind is asked
 * or offered.
 */
function answerUnit(d: Draft, value: string, source: Source): boolean {
  const asked = questionHere(d.plan, d.state);
  const answer = asked?.answers.find((one) => one.toLowerCase() === value.trim().toLowerCase());
  if (asked === undefined || answer === undefined) return false;
  record(d, { event: 'question.asked', question: 'variant', about: asked.variant });
  record(d, { event: 'question.answered', question: 'variant', answer, source });
  say(d, fill(d.words, 'answer.variant', { answer }), 'answer');
  if (waitsFor(d.plan, d.state) === null) confirmStep(d, source, undefined);
  return true;
}

/** One of the offered answers; anything else is refused and changes nothing. */
export function takeAnswer(d: Draft, value: string, source: Source): void {
  if (answerUnit(d, value, source)) return;
  const kind = d.state.question?.kind;
  const word = value.trim().toLowerCase();
  if (kind === 'problem-kind' && (PROBLEM_KINDS as readonly string[]).includes(word)) {
    reportProblem(d, word, source);
  } else if (kind === 'problem-decision' && (PROBLEM_DECISIONS as readonly string[]).includes(word)) {
    settleProblem(d, word === 'go on' ? 'go-on' : 'stop', source);
  } else {
    const why = whyNotNow(d.plan, d.state, null);
    refuse(d, 'answer', kind !== undefined || why === 'not-now' ? 'no-answer-here' : why, source);
  }
}

function reportProblem(d: Draft, kind: string, source: Source): void {
  const step = here(d).id;
  record(d, { event: 'question.answered', question: 'problem-kind', answer: kind, source });
  record(d, { event: 'problem.reported', step, kind, source });
  if (kind === 'injury') {
    record(d, { event: 'problem.settled', step, decision: 'stop', source });
    record(d, { event: 'job.paused', source });
    say(d, fill(d.words, 'job.injury'), 'answer');
  } else if (kind === 'lost screw' || kind === 'extra screw') askWhereFound(d, kind, source);
  else goOn(d);
}

function settleProblem(d: Draft, decision: 'go-on' | 'stop', source: Source): void {
  record(d, { event: 'question.answered', question: 'problem-decision', answer: decision, source });
  record(d, { event: 'problem.settled', step: here(d).id, decision, source });
  if (decision === 'stop') {
    record(d, { event: 'job.paused', source });
    say(d, fill(d.words, 'job.stopped'), 'answer');
    return;
  }
  say(d, fill(d.words, 'answer.go-on'), 'answer');
  goOn(d);
}
