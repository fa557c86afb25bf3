/** One job in the review: parts, problems, marks and names, from records made by hand. */
import { describe, expect, it } from 'vitest';
import { jobReview } from '../../../electron/core/review/job-review.ts';
import { aliasOf, reviewWithAliases } from '../../../electron/core/review/people.ts';
import { jobTimeline } from '../../../electron/core/review/step-times.ts';
import { linesOf, opened, SAMPLE_PLAN, sampleFile, sampleStep, shown } from './sample-job.ts';

describe('one job', () => {
  it('replaced a part when that part’s own steps are done, and keeps each decision with its problem', () => {
    const plan = {
      ...SAMPLE_PLAN,
      replace: ['cover'],
      steps: [
        sampleStep('in', { stage: 'install', part: 'cover' }),
        sampleStep('off', { stage: 'remove', part: 'cover' }),
        sampleStep('fan', { stage: 'install', part: 'fan' }),
      ],
    };
    const records = [
      opened('A'),
      shown(0, 'in'),
      { event: 'problem.reported', at_ms: 1, step: 'in', kind: 'broken', source: 'key' },
      { event: 'note.taken', at_ms: 2, step: 'in', item: null, text: 'x', audio: null, source: 'key' },
      { event: 'problem.settled', at_ms: 3, step: 'in', decision: 'go-on', source: 'key' },
      { event: 'step.confirmed', at_ms: 5, step: 'in', source: 'key', confidence: null, with_help: false },
    ] as never;
    const review = jobReview(sampleFile('j', plan), linesOf(records), 'unfinished');
    expect(review.replaced).toEqual([{ id: 'cover', name: 'cover' }]);
    expect(review.problems).toEqual([{ step: 'in', kind: 'broken', decision: 'go-on' }]);
    expect(jobTimeline(sampleFile('j', { ...plan, replace: [] }), [], 'unfinished').times.job_type).toBe(
      'sample: nothing replaced',
    );
    expect(
      jobTimeline(sampleFile('j', { ...plan, replace: ['z', 'a'] }), [], 'unfinished').times.job_type,
    ).toBe('sample: a + z');
  });

  it('marks what happened at its step, also where the record names none', () => {
    const records = [
      opened('A'),
      shown(0, 'a'),
      { event: 'trouble.began', at_ms: 5, code: 'disk-full' },
    ] as never;
    expect(jobTimeline(sampleFile('j'), linesOf(records), 'unfinished').marks).toEqual([
      { at_ms: 5, step: 'a', kind: 'trouble', text: 'disk-full' },
    ]);
    const { times: found } = jobTimeline(
      sampleFile('j'),
      linesOf([opened('A'), shown(0, 'a'), shown(5, 'm')]),
      'unfinished',
    );
    expect(found.steps.map((one) => [one.step, one.part])).toEqual([
      ['a', 'cover'],
      ['m', null],
    ]);
  });

  it('marks counts, readings, notes and sign-offs with what they say', () => {
    const by = { source: 'key', step: 'a' } as const;
    const records = [
      opened('A'),
      shown(0, 'a'),
      { event: 'question.asked', at_ms: 0, step: 'a', question: 'q' },
      { event: 'question.answered', at_ms: 400, step: 'a', question: 'q', answer: 'yes' },
      { event: 'count.confirmed', at_ms: 1000, compartment: 1, counted: 3, expected: 4, ...by },
      { event: 'reading.confirmed', at_ms: 1001, measure: 'v', value: 5.5, unit: 'V', within: true, ...by },
      { event: 'note.taken', at_ms: 1002, item: null, text: 'dry', audio: null, ...by },
      { event: 'note.taken', at_ms: 1003, item: null, text: null, audio: 'note-1.wav', ...by },
      { event: 'hold.signed', at_ms: 1004, person: 'Technician E', ...by },
      { event: 'serial.confirmed', at_ms: 1005, record: 'r', value: 'A7', ...by },
      { event: 'step.read', at_ms: 1006, step: 'a', outcome: 'no-voice' },
    ] as never;
    const { times: found, marks } = jobTimeline(sampleFile('j'), linesOf(records), 'unfinished');
    expect(marks.map((mark) => `${mark.kind} ${mark.text}`)).toEqual([
      ...['count 3/4', 'reading 5.5 V', 'note dry', 'note note-1.wav', 'hold Technician E', 'serial A7'],
    ]);
    expect(found).toMatchObject({ waiting_ms: 400, fasteners_missing: 1, readings_out: 0 });
  });

  it('shows nobody’s name under a pseudonym, neither in its list nor at a hand-over', () => {
    const records = [
      opened('Pat'),
      shown(0, 'a'),
      { event: 'job.handed-over', at_ms: 5, from: 'Pat', to: 'Kim', source: 'key' },
      { event: 'problem.reported', at_ms: 6, step: 'a', kind: 'Pat', source: 'key' },
    ] as never;
    const review = jobReview(sampleFile('j'), linesOf(records), 'unfinished');
    const shownAs = reviewWithAliases(review, aliasOf([review.times], 'pseudonyms'));
    expect(shownAs.summary).toEqual({ ...review.summary, technician: 'T1' });
    expect(shownAs.times.technicians.map((one) => one.name)).toEqual(
      ['T1', 'T2'].slice(0, shownAs.times.technicians.length),
    );
    expect(shownAs.marks.map((mark) => [mark.kind, mark.text])).toEqual([
      ['hand-over', 'T2'],
      ['problem', 'Pat'],
    ]);
  });
});
