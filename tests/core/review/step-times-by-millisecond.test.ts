/**
 * The times of a job once more, by other means: for every millisecond the log is asked what was going on, by
 * looking back from it. Shares no code with `step-times.ts`, which walks forward and adds up.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { JobRecord } from '../../../electron/core/job/model.ts';
import type { LogLine } from '../../../electron/core/log/model.ts';
import type { TimeKind } from '../../../electron/core/review/model.ts';
import { jobTimeline } from '../../../electron/core/review/step-times.ts';
import { linesOf, opened, sampleFile, sampleRecords } from './sample-job.ts';

type Kind = Exclude<TimeKind, 'away'> | 'away';
interface Instant {
  readonly kind: Kind;
  readonly step: string | null;
  readonly first: boolean;
}

/** What the lines up to and including `at` say about the time just after it. */
class Past {
  readonly #lines: readonly LogLine[];
  constructor(lines: readonly LogLine[]) {
    const end = lines.findIndex((line) => line.event === 'job.finished');
    this.#lines = end < 0 ? lines : lines.slice(0, end + 1);
  }
  get lines(): readonly LogLine[] {
    return this.#lines;
  }
  #last(at: number, from: number, events: readonly string[]): LogLine | undefined {
    for (let index = at; index >= from; index -= 1)
      if (events.includes(this.#lines[index]!.event)) return this.#lines[index];
    return undefined;
  }
  /** The step on screen after line `at`. */
  #screen(at: number): string | null {
    for (let index = at; index >= 0; index -= 1) {
      const { event, fields } = this.#lines[index]!;
      if (event === 'step.shown' || event === 'step.revisited') return String(fields.step);
      if (event === 'job.finished') return null;
      if (event === 'step.confirmed' || event === 'step.skipped')
        if (this.#screen(index - 1) === fields.step) return null;
    }
    return null;
  }
  /** The lines after which this step has been on screen without a break, and how often it came there. */
  #came(at: number, step: string): { line: number; times: number } {
    let line = -1;
    let times = 0;
    for (let index = 0; index <= at; index += 1)
      if (this.#screen(index) === step && this.#screen(index - 1) !== step) {
        line = index;
        times += 1;
      }
    return { line, times };
  }
  /** Line `at` lies between a cause of reading the sentence out and the record of its end. */
  #isRead(at: number, came: number): boolean {
    const causes = ['step.shown', 'caution.acknowledged', 'help.given'];
    const ends = ['step.confirmed', 'step.skipped', 'job.finished'];
    const before = this.#last(at, came, [...causes, ...ends, 'step.read']);
    if (before === undefined || !causes.includes(before.event)) return false;
    for (const line of this.#lines.slice(at + 1)) {
      if (line.event === 'step.read') return line.fields.outcome !== 'no-voice';
      if (causes.includes(line.event) || ends.includes(line.event)) return false;
    }
    return false;
  }
  after(at: number): Instant {
    const step = this.#screen(at);
    const is = (kind: Kind): Instant => ({
      kind,
      step: kind === 'away' || kind === 'unattributed' ? null : step,
      first: step !== null && this.#came(at, step).times === 1,
    });
    if (this.#last(at, 0, ['job.left', 'job.reopened'])?.event === 'job.left') return is('away');
    if (this.#last(at, 0, ['job.paused', 'job.resumed'])?.event === 'job.paused') return is('paused');
    if (step === null) return is('unattributed');
    const { line } = this.#came(at, step);
    const cautions = ['started', 'read', 'interrupted', 'acknowledged'].map((one) => `caution.${one}`);
    const caution = this.#last(at, line, cautions)?.event;
    if (caution === 'caution.started' || this.#isRead(at, line)) return is('reading');
    const isOpen = (opens: string, closes: string): boolean =>
      this.#last(at, line, [opens, closes])?.event === opens;
    const waits =
      caution === 'caution.read' ||
      caution === 'caution.interrupted' ||
      isOpen('question.asked', 'question.answered') ||
      isOpen('problem.reported', 'problem.settled');
    return is(waits ? 'waiting' : 'hands');
  }
}

/** Every millisecond of the job in order, with what it was; absence lies at the reopening that tells it. */
function milliseconds(lines: readonly LogLine[]): Instant[] {
  const past = new Past(lines);
  const all: Instant[] = [];
  for (const [index, line] of past.lines.entries()) {
    const before = past.lines[index - 1];
    if (before !== undefined) {
      const instant = past.after(index - 1);
      for (let ms = before.mono_ms; ms < line.mono_ms; ms += 1) all.push(instant);
    }
    if (line.event === 'job.reopened')
      for (let ms = 0; ms < Number(line.fields.away_ms); ms += 1)
        all.push({ kind: 'away', step: null, first: false });
  }
  return all;
}

function check(lines: readonly LogLine[]): void {
  const { times, spans } = jobTimeline(sampleFile('j'), lines, 'unfinished');
  const all = milliseconds(lines);
  const count = (wanted: (one: Instant) => boolean): number => all.filter(wanted).length;
  expect(times.span_ms).toBe(all.length);
  for (const kind of ['hands', 'reading', 'waiting', 'paused', 'away', 'unattributed'] as const)
    expect(`${kind} ${times[`${kind}_ms`]}`).toBe(`${kind} ${count((one) => one.kind === kind)}`);
  const isActive = (one: Instant): boolean => ['hands', 'reading', 'waiting'].includes(one.kind);
  expect(times.active_ms).toBe(count(isActive));
  for (const step of times.steps) {
    const of = (wanted: (one: Instant) => boolean): number =>
      count((one) => one.step === step.step && wanted(one));
    expect({
      step: step.step,
      active: step.active_ms,
      hands: step.hands_ms,
      reading: step.reading_ms,
      waiting: step.waiting_ms,
      first: step.first_pass_ms,
    }).toEqual({
      step: step.step,
      active: of(isActive),
      hands: of((one) => one.kind === 'hands'),
      reading: of((one) => one.kind === 'reading'),
      waiting: of((one) => one.kind === 'waiting'),
      first: of((one) => isActive(one) && one.first),
    });
  }
  // The stretches of the timeline say the same of each millisecond, and of each only once.
  const drawn = spans.flatMap((span) =>
    Array.from({ length: span.to_ms - span.from_ms }, () => `${span.kind} ${span.step}`),
  );
  expect(drawn).toEqual(all.map((one) => `${one.kind} ${one.step}`));
}

describe('every millisecond', () => {
  it('of the sample job is where the log says', () => {
    check(
      linesOf(
        sampleRecords().map((record): JobRecord => {
          const at_ms = record.at_ms / 100;
          return record.event === 'job.reopened'
            ? { ...record, at_ms, away_ms: 36_000 }
            : { ...record, at_ms };
        }),
      ),
    );
  });

  const id = fc.constantFrom('a', 'b', 'c', 'not in the plan');
  const pick = (...events: string[]) => fc.record({ event: fc.constantFrom(...events), step: id });
  const event = fc.oneof(
    {
      weight: 5,
      arbitrary: fc.record({ event: fc.constant('step.shown'), step: id, visit: fc.constant(1) }),
    },
    { weight: 3, arbitrary: pick('step.confirmed', 'step.skipped', 'step.undone') },
    { weight: 2, arbitrary: fc.record({ event: fc.constant('step.revisited'), step: id, from: id }) },
    {
      weight: 3,
      arbitrary: fc.record({
        event: fc.constant('step.read'),
        step: id,
        outcome: fc.constantFrom('completed', 'interrupted', 'no-voice'),
      }),
    },
    {
      weight: 4,
      arbitrary: fc.record({
        event: fc
          .constantFrom('started', 'read', 'interrupted', 'acknowledged')
          .map((one) => `caution.${one}`),
        step: id,
        caution: fc.constant('pins'),
      }),
    },
    {
      weight: 2,
      arbitrary: fc.record({ event: fc.constant('help.given'), step: id, what: fc.constant('repeat') }),
    },
    { weight: 2, arbitrary: pick('job.paused', 'job.resumed', 'job.left') },
    {
      weight: 2,
      arbitrary: pick('question.asked', 'question.answered', 'problem.reported', 'problem.settled'),
    },
    { weight: 1, arbitrary: fc.record({ event: fc.constant('job.reopened'), away_ms: fc.nat(20) }) },
    { weight: 1, arbitrary: pick('utterance.refused', 'note.taken', 'job.finished') },
  );

  it('belongs to one step and one kind of time, for records in any order', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(event, fc.nat(9)), { maxLength: 50 }), (made) => {
        let at_ms = 0;
        const records = made.map(([one, gap]) => {
          at_ms += gap;
          return { ...one, at_ms } as unknown as JobRecord;
        });
        check(linesOf([opened('A'), ...records]));
      }),
      { seed: 20261125, numRuns: 400 },
    );
  });
});
