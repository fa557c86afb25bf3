import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { JobRecord } from '../../../electron/core/job/model.ts';
import { jobReview } from '../../../electron/core/review/job-review.ts';
import type { JobTimeline } from '../../../electron/core/review/model.ts';
import { jobTimeline, stepTimes } from '../../../electron/core/review/step-times.ts';
import { confirmed, finished, linesOf, opened, sampleFile, sampleRecords, shown } from './sample-job.ts';

const timesOf = (records: readonly JobRecord[]) => stepTimes(sampleFile('j'), linesOf(records), 'complete');

describe('step times', () => {
  const times = timesOf(sampleRecords());
  const step = (id: string) => times.steps.find((one) => one.step === id)!;

  it('takes pauses and absence out and adds visits', () => {
    expect(step('a').active_ms).toBe(20_000);
    // 21 to 30 s, 60 to 65 s, and 70 to 74 s of the second visit.
    expect(step('b').active_ms).toBe(9000 + 5000 + 4000);
    expect(step('c').active_ms).toBe(5000 + 6000 + 5000);
    expect(times.paused_ms).toBe(30_000);
    expect(times.away_ms).toBe(3_600_000);
  });

  it('keeps first pass, reading and waiting apart', () => {
    expect(step('b').first_pass_ms).toBe(14_000);
    expect(step('b').reading_ms).toBe(5000);
    expect(step('b').waiting_ms).toBe(2500);
    expect(step('c').first_pass_ms).toBe(5000);
    expect(step('c').waiting_ms).toBe(4000);
  });

  it('counts visits, repeats, refusals and problems', () => {
    expect(step('b')).toMatchObject({ visits: 2, repeats: 1, say_agains: 1, helps: 0 });
    expect(step('c')).toMatchObject({ visits: 2, problems: 1, state: 'confirmed' });
    expect(step('a').fastener_turns).toBe(4);
  });

  it('measures a caution from the end of its reading to "understood"', () => {
    expect(times.cautions).toEqual([
      {
        step: 'b',
        caution: 'pins',
        word: 'warning',
        hazard: 'The pins are sharp',
        words: 9,
        by: 'voice',
        read_ms: 5000,
        read_to_acknowledged_ms: 2500,
        acknowledged: true,
      },
    ]);
  });

  it('counts the reading of the sentence where its end was recorded', () => {
    const read = timesOf([
      opened('A'),
      shown(0, 'a'),
      { event: 'step.read', at_ms: 3000, step: 'a', outcome: 'completed' },
      { event: 'help.given', at_ms: 8000, step: 'a', what: 'repeat', source: 'voice' },
      { event: 'step.read', at_ms: 11_000, step: 'a', outcome: 'interrupted' },
      confirmed(12_000, 'a'),
      shown(12_000, 'c'),
      { event: 'step.read', at_ms: 12_500, step: 'c', outcome: 'no-voice' },
      confirmed(15_000, 'c'),
    ]);
    expect(read.steps.map((one) => [one.step, one.reading_ms, one.hands_ms])).toEqual([
      ['a', 6000, 6000],
      ['c', 0, 3000],
    ]);
  });

  it('does not count an interrupted caution as read, and goes on with it when it starts again', () => {
    const again = timesOf([
      opened('A'),
      shown(0, 'b'),
      { event: 'caution.started', at_ms: 0, step: 'b', caution: 'pins' },
      { event: 'caution.interrupted', at_ms: 2000, step: 'b', caution: 'pins' },
      { event: 'caution.started', at_ms: 3000, step: 'b', caution: 'pins' },
      { event: 'caution.read', at_ms: 8000, step: 'b', caution: 'pins', by: 'voice' },
      {
        event: 'caution.acknowledged',
        at_ms: 9000,
        step: 'b',
        caution: 'pins',
        source: 'voice',
        confidence: 1,
      },
      confirmed(10_000, 'b'),
    ]);
    expect(again.cautions).toMatchObject([
      { read_ms: 5000, read_to_acknowledged_ms: 1000, acknowledged: true },
    ]);
    expect(again.reading_ms).toBe(7000);
    expect(again.waiting_ms).toBe(2000);
  });

  it('shows a caution that was never read', () => {
    const silent = timesOf([opened('A'), shown(0, 'b'), confirmed(9, 'b'), finished(9)]);
    expect(silent.cautions).toMatchObject([{ caution: 'pins', acknowledged: false, by: null }]);
  });

  it('gives the time after a hand-over to the next person', () => {
    const two = timesOf([
      opened('A'),
      shown(0, 'a'),
      { event: 'job.handed-over', at_ms: 4000, from: 'A', to: 'B', source: 'touch' },
      confirmed(14_000, 'a'),
    ]);
    expect(two.technicians).toEqual([
      { name: 'B', active_ms: 10_000 },
      { name: 'A', active_ms: 4000 },
    ]);
    expect(two.technician).toBe('B');
    expect(two.outcome).toBe(null);
  });

  it('leaves out the time in which a finished job is looked at', () => {
    const looked = timesOf([
      ...sampleRecords(),
      { event: 'job.left', at_ms: 95_000 },
      { event: 'job.reopened', at_ms: 95_000, away_ms: 86_400_000 },
    ]);
    expect(looked.span_ms).toBe(times.span_ms);
  });

  it('is right for a job longer than a day and for clocks that change their zone', () => {
    const day = 86_400_000;
    const records = [opened('A'), shown(0, 'a'), confirmed(2 * day, 'a'), finished(2 * day)];
    const lines = linesOf(records).map((line, index) =>
      index === 2 ? { ...line, wall: '2026-01-07T03:00:00.000-06:00' } : line,
    );
    const long = stepTimes(sampleFile('j'), lines, 'complete');
    expect(long.active_ms).toBe(2 * day);
    expect(long.clock_jumps).toBe(0);
  });

  it('does not lose time to a wall clock that jumps back, and counts the jump', () => {
    const lines = linesOf(sampleRecords()).map((line) =>
      line.seq > 10 ? { ...line, wall: '2026-01-04T09:00:00.000+01:00' } : line,
    );
    const jumped = stepTimes(sampleFile('j'), lines, 'complete');
    expect(jumped.active_ms).toBe(times.active_ms);
    expect(jumped.clock_jumps).toBe(1);
  });

  it('answers an empty log with zeros', () => {
    expect(timesOf([])).toMatchObject({ span_ms: 0, active_ms: 0, steps: [], started: '', outcome: null });
  });

  it('handles half a million steps', () => {
    const records: JobRecord[] = [opened('A')];
    for (let index = 0; index < 500_000; index += 1) records.push(shown(index * 10, `s${index}`));
    const many = timesOf(records);
    expect(many.steps.length).toBe(500_000);
    expect(many.active_ms).toBe(4_999_990);
  });
});

describe('the sum of the parts', () => {
  const id = fc.constantFrom('a', 'b', 'c', 'm', 'not in the plan');
  const event = fc.oneof(
    fc.record({ event: fc.constant('step.shown'), step: id, visit: fc.integer({ min: 1, max: 3 }) }),
    fc.record({
      event: fc.constantFrom('step.confirmed', 'step.skipped', 'step.undone', 'step.read'),
      step: id,
    }),
    fc.record({ event: fc.constant('step.revisited'), step: id, from: id }),
    fc.record({
      event: fc.constantFrom(
        'caution.started',
        'caution.read',
        'caution.interrupted',
        'caution.acknowledged',
      ),
      step: id,
      caution: fc.constant('pins'),
    }),
    fc.record({ event: fc.constantFrom('job.paused', 'job.resumed', 'job.left', 'question.asked') }),
    fc.record({ event: fc.constantFrom('question.answered', 'problem.settled', 'utterance.refused') }),
    fc.record({ event: fc.constant('problem.reported'), step: id, kind: fc.constant('broken') }),
    fc.record({ event: fc.constant('job.reopened'), away_ms: fc.integer({ min: 0, max: 1e7 }) }),
    fc.record({ event: fc.constant('job.handed-over'), from: fc.constant('A'), to: fc.constant('B') }),
  );
  const job = fc.array(fc.tuple(event, fc.integer({ min: -50, max: 100_000 })), { maxLength: 60 });

  const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);
  const check = ({ times, spans }: JobTimeline, elapsed: number, away: number): void => {
    expect(times.span_ms).toBe(elapsed + away);
    expect(times.active_ms + times.paused_ms + times.away_ms + times.unattributed_ms).toBe(times.span_ms);
    expect(times.hands_ms + times.reading_ms + times.waiting_ms).toBe(times.active_ms);
    expect(sum(times.steps.map((one) => one.active_ms))).toBe(times.active_ms);
    expect(sum(times.technicians.map((one) => one.active_ms))).toBe(times.active_ms);
    for (const one of times.steps) {
      expect(one.hands_ms + one.reading_ms + one.waiting_ms).toBe(one.active_ms);
      expect(one.first_pass_ms).toBeLessThanOrEqual(one.active_ms);
    }
    let at = 0;
    for (const span of spans) {
      expect(span.from_ms).toBe(at);
      expect(span.to_ms).toBeGreaterThan(span.from_ms);
      at = span.to_ms;
    }
    expect(at).toBe(times.span_ms);
  };

  it('equals the whole for any order of records, also with a clock that goes back', () => {
    fc.assert(
      fc.property(job, (steps) => {
        let at = 0;
        let elapsed = 0;
        let away = 0;
        const records = steps.map(([one, gap]) => {
          at += gap;
          elapsed += Math.max(0, gap);
          if ('away_ms' in one) away += one.away_ms;
          return { ...one, at_ms: at } as unknown as JobRecord;
        });
        check(jobTimeline(sampleFile('j'), linesOf([opened('A'), ...records]), 'unfinished'), elapsed, away);
      }),
      { seed: 8, numRuns: 500 },
    );
  });
});

describe('job review', () => {
  const review = jobReview(sampleFile('j'), linesOf(sampleRecords()), 'complete');

  it('collects what a service report needs', () => {
    expect(review.unit_serial).toBe('U-1');
    expect(review.replaced).toEqual([{ id: 'cover', name: 'cover' }]);
    expect(review.consumables).toEqual([{ id: 'seal', name: 'cover seal', count: 1, amount: null }]);
    expect(review.readings).toEqual([
      { step: 'm', name: 'output', value: 5.2, unit: 'V', within: false, min: 4.9, max: 5.1 },
    ]);
    expect(review.problems).toEqual([{ step: 'c', kind: 'part missing', decision: 'go-on' }]);
    expect(review.summary).toMatchObject({ state: 'completed', step_number: 4, step_total: 4 });
    expect(review.verified).toBe(true);
  });

  it('does not say a part was replaced before its steps are confirmed', () => {
    const half = jobReview(sampleFile('j'), linesOf(sampleRecords().slice(0, 12)), 'unfinished');
    expect(half.replaced).toEqual([]);
    expect(half.summary).toMatchObject({ state: 'unfinished', step_number: 3 });
  });

  it('says that a log cannot be trusted', () => {
    const broken = jobReview(sampleFile('j'), linesOf(sampleRecords().slice(0, 5)), 'unknown');
    expect(broken.verified).toBe(false);
    expect(broken.summary.state).toBe('unknown');
    expect(broken.summary.trouble).not.toBe(null);
  });
});
