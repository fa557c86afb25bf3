/**
 * Verification of a finished or running log against its job file: the chain, the order and the completeness
 * of what was done. It shares no code with the step engine: what the engine should never let happen is
 * looked for here from the records alone.
 */
import type { Diagnostic } from '../base/diagnostic.ts';
import type { JobRecord } from '../job/model.ts';
import type { Plan, PlanCaution, PlanStep } from '../plan/model.ts';
import { UnitAnswers } from './answered-plan.ts';
import { hashOfJson } from './canonical-json.ts';
import { type ReadLog, recordFromLine } from './codec.ts';
import type { JobFile, StoredLine, Verdict } from './model.ts';
import { epochMsFromTimestamp } from './timestamp.ts';

export interface Verification {
  readonly verdict: Verdict;
  /** Damage and breaches are errors; a torn tail and a jump of the wall clock are warnings. */
  readonly findings: readonly Diagnostic[];
  readonly lines: number;
  readonly steps_done: number;
  readonly steps_total: number;
}

/** Whether the log is the one that was begun with this job file; an empty log belongs to any. */
export function belongsTogether(jobFile: JobFile, log: ReadLog): boolean {
  const first = log.lines[0];
  return first === undefined || first.prev === hashOfJson(jobFile);
}

/** How far a log can be trusted as the log of this job, without the checks of what was done. */
export function verdictOf(jobFile: JobFile, log: ReadLog): Verdict {
  return belongsTogether(jobFile, log) ? log.verdict : 'unknown';
}

/** A wall clock may drift this much against the monotonic clock before it is worth a word, in milliseconds. */
const WALL_JUMP_MS = 5000;

type Facts = Diagnostic['facts'];
type Report = (code: string, facts: Facts, severity?: Diagnostic['severity']) => void;

/**
 * Everything that is wrong with a log: what `readLog` found, then codes `log/plan-hash`, `log/first-hash`,
 * `log/not-opened`, `log/unknown-step`, `log/unknown-caution`, `log/step-not-shown`, `log/step-order`,
 * `log/caution-not-read`, `log/caution-not-acknowledged`, `log/reading-missing`, `log/serial-missing`,
 * `log/hold-not-signed`, `log/skipped-required`, `log/steps-open`, `log/compartments-open`,
 * `log/wall-clock` (advice). The verdict is `unknown` where the chain itself cannot be trusted.
 */
export function verifyLog(jobFile: JobFile, log: ReadLog): Verification {
  const findings: Diagnostic[] = [...log.diagnostics];
  const report: Report = (code, facts, severity = 'error') => {
    findings.push({ code, severity, facts });
  };
  let verdict = log.verdict;
  if (hashOfJson(jobFile.plan) !== jobFile.plan_sha256) {
    verdict = 'unknown';
    report('log/plan-hash', { job: jobFile.job });
  }
  if (!belongsTogether(jobFile, log)) {
    verdict = 'unknown';
    report('log/first-hash', { line: 1, job: jobFile.job });
  }
  checkWallClock(log, report);
  const replay = new Replay(jobFile.plan, report);
  for (const [index, line] of log.lines.entries()) {
    const record = recordFromLine(line);
    replay.answered(line);
    if (record.ok) replay.take(record.value, index + 1);
  }
  return {
    verdict,
    findings,
    lines: log.lines.length,
    steps_done: replay.settled(),
    steps_total: replay.total(),
  };
}

function checkWallClock(log: ReadLog, report: Report): void {
  for (const [index, line] of log.lines.entries()) {
    const before = log.lines[index - 1];
    if (before === undefined || line.event === 'job.reopened') continue;
    const wallMs = (epochMsFromTimestamp(line.wall) ?? 0) - (epochMsFromTimestamp(before.wall) ?? 0);
    const jumpMs = Math.round(wallMs - (line.mono_ms - before.mono_ms));
    if (Math.abs(jumpMs) > WALL_JUMP_MS)
      report('log/wall-clock', { line: index + 1, jump_ms: jumpMs }, 'advice');
  }
}

/** What has been done so far, kept from the records alone. */
class Replay {
  readonly #byId: ReadonlyMap<string, { readonly step: PlanStep; readonly index: number }>;
  readonly #steps: readonly PlanStep[];
  readonly #jobCautions: readonly PlanCaution[];
  readonly #report: Report;
  readonly #done = new Set<string>();
  readonly #skipped = new Set<string>();
  readonly #values = new Set<string>();
  readonly #signed = new Set<string>();
  readonly #read = new Set<string>();
  readonly #acknowledged = new Set<string>();
  readonly #unit: UnitAnswers;
  #shown: string | undefined;
  #opened = false;
  #reopened = false;
  /** No step before this index is open. */
  #open = 0;

  constructor(plan: Plan, report: Report) {
    const { steps } = plan;
    this.#steps = steps;
    this.#jobCautions = plan.job_cautions;
    this.#report = report;
    this.#unit = new UnitAnswers(plan);
    this.#byId = new Map(steps.map((step, index) => [step.id, { step, index }]));
  }

  /** Answers to questions about the unit: steps that do not hold for them are not to be done. */
  answered({ event, fields }: Pick<StoredLine, 'event' | 'fields'>): void {
    this.#unit.take(event, fields);
  }

  #applies({ when }: PlanStep): boolean {
    return when === undefined || (this.#unit.answers[when.variant] ?? when.is) === when.is;
  }

  total(): number {
    return this.#steps.filter((step) => this.#applies(step)).length;
  }

  settled(): number {
    return this.#done.size + this.#skipped.size;
  }

  take(record: JobRecord, line: number): void {
    if (!this.#opened && record.event !== 'job.opened') this.#report('log/not-opened', { line });
    this.#opened = true;
    if ('step' in record && !this.#byId.has(record.step)) {
      this.#report('log/unknown-step', { line, step: record.step });
      return;
    }
    switch (record.event) {
      case 'step.shown':
        this.#show(record.step, line);
        break;
      case 'caution.started':
      case 'caution.read':
      case 'caution.acknowledged':
        this.#caution(record, line);
        break;
      case 'reading.confirmed':
        this.#values.add(`${record.step} ${record.measure}`);
        break;
      case 'serial.confirmed':
        this.#values.add(`${record.step} ${record.record}`);
        break;
      case 'hold.signed':
        this.#signed.add(record.step);
        break;
      case 'step.confirmed':
        this.#confirm(record.step, line);
        break;
      case 'step.skipped':
        this.#skip(record.step, line);
        break;
      case 'step.undone':
        this.#done.delete(record.step);
        this.#skipped.delete(record.step);
        this.#signed.delete(record.step);
        this.#open = Math.min(this.#open, this.#byId.get(record.step)?.index ?? 0);
        break;
      case 'job.reopened':
        this.#reopened = true;
        break;
      case 'job.handed-over':
        this.#read.clear();
        this.#acknowledged.clear();
        break;
      case 'job.finished':
        this.#finish(record, line);
        break;
      default:
        break;
    }
  }

  #show(step: string, line: number): void {
    const index = this.#byId.get(step)?.index ?? 0;
    const before = this.#steps[this.#firstOpen()];
    if (before !== undefined && this.#firstOpen() < index) {
      this.#report('log/step-order', { line, step, before: before.id });
    }
    // Shown again because the program ended in between: the same visit goes on.
    const sameVisit = this.#reopened && this.#shown === step;
    this.#reopened = false;
    for (const caution of sameVisit ? [] : this.#cautionsOf(step)) {
      if (caution.word === 'danger' || caution.word === 'warning') this.#forget(`${step} ${caution.id}`);
    }
    this.#shown = step;
  }

  /** Cautions of the whole job belong to its first step. */
  #cautionsOf(id: string): readonly PlanCaution[] {
    const found = this.#byId.get(id);
    if (found === undefined) return [];
    return found.index === 0 ? [...this.#jobCautions, ...found.step.cautions] : found.step.cautions;
  }

  /** What can kill or maim is read and acknowledged at every visit of its step, the rest once a technician. */
  #forget(key: string): void {
    this.#read.delete(key);
    this.#acknowledged.delete(key);
  }

  /** Index of the first step that is neither done nor left out. */
  #firstOpen(): number {
    for (
      let step = this.#steps[this.#open];
      step !== undefined && (this.#isSettled(step.id) || !this.#applies(step));
    ) {
      this.#open += 1;
      step = this.#steps[this.#open];
    }
    return this.#open;
  }

  #isSettled(step: string): boolean {
    return this.#done.has(step) || this.#skipped.has(step);
  }

  #caution(record: { event: string; step: string; caution: string }, line: number): void {
    const { step, caution } = record;
    // Whoever takes a job over hears the cautions of the whole job again, wherever it stands.
    if (![...this.#jobCautions, ...this.#cautionsOf(step)].some((known) => known.id === caution)) {
      this.#report('log/unknown-caution', { line, step, caution });
      return;
    }
    const key = `${step} ${caution}`;
    if (record.event === 'caution.read') this.#read.add(key);
    if (record.event !== 'caution.acknowledged') return;
    if (!this.#read.has(key)) this.#report('log/caution-not-read', { line, step, caution });
    this.#acknowledged.add(key);
  }

  #confirm(id: string, line: number): void {
    const found = this.#byId.get(id);
    if (found === undefined) return;
    const { step } = found;
    if (this.#shown !== id) this.#report('log/step-not-shown', { line, step: id });
    for (const caution of this.#cautionsOf(id)) {
      if (!this.#acknowledged.has(`${id} ${caution.id}`)) {
        this.#report('log/caution-not-acknowledged', { line, step: id, caution: caution.id });
      }
    }
    if (step.measure !== null && !this.#values.has(`${id} ${step.measure.id}`)) {
      this.#report('log/reading-missing', { line, step: id, measure: step.measure.id });
    }
    if (step.record !== null && !this.#values.has(`${id} ${step.record.id}`)) {
      this.#report('log/serial-missing', { line, step: id, record: step.record.id });
    }
    if (step.hold !== null && !this.#signed.has(id)) this.#report('log/hold-not-signed', { line, step: id });
    this.#done.add(id);
    this.#skipped.delete(id);
  }

  #skip(id: string, line: number): void {
    if (this.#byId.get(id)?.step.optional !== true) this.#report('log/skipped-required', { line, step: id });
    if (!this.#done.has(id)) this.#skipped.add(id);
  }

  #finish(record: { outcome: string; open_compartments: number }, line: number): void {
    if (record.outcome !== 'completed') return;
    const open = this.#steps.filter((step) => !this.#isSettled(step.id) && this.#applies(step));
    if (open.length > 0) {
      this.#report('log/steps-open', {
        line,
        steps: open.slice(0, 10).map((step) => step.id),
        count: open.length,
      });
    }
    if (record.open_compartments > 0) {
      this.#report('log/compartments-open', { line, count: record.open_compartments });
    }
  }
}
