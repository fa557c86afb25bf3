/** All that the review of one job tells, from a job in which everything happened that can. */
import { describe, expect, it } from 'vitest';
import type { JobRecord } from '../../../electron/core/job/model.ts';
import type { Plan } from '../../../electron/core/plan/model.ts';
import { nelsonRules, scaleFor } from '../../../electron/core/review/control-charts.ts';
import { jobReview } from '../../../electron/core/review/job-review.ts';
import { lapsesOf, leastCautionMs } from '../../../electron/core/review/lapses.ts';
import {
  confirmed,
  finished,
  linesOf,
  opened,
  PIN_CAUTION,
  SAMPLE_PLAN,
  sampleFile,
  sampleStep,
  shown,
} from './sample-job.ts';

const ESD = { ...PIN_CAUTION, id: 'esd', word: 'notice', hazard: 'Static', say: 'Notice. Static.' } as const;
const PLAN: Plan = {
  ...SAMPLE_PLAN,
  replace: ['cover', 'fan'],
  unit_serial: { id: 'unit', name: 'number of the unit' },
  job_cautions: [ESD],
  steps: [
    sampleStep('a', { cautions: [PIN_CAUTION] }),
    sampleStep('x', { optional: true, say: 'Clean it.' }),
    sampleStep('r', { record: { id: 'code', name: 'code of the cover' } }),
    sampleStep('c', { stage: 'install', renew: ['seal', 'grease', 'seal'] }),
    sampleStep('c-look', { stage: 'install', optional: true }),
    sampleStep('f', { stage: 'replace', part: 'fan', renew: ['seal'] }),
    sampleStep('f-in', { stage: 'install', part: 'fan' }),
    sampleStep('m', {
      stage: 'check',
      part: null,
      measure: { id: 'v', name: 'output', unit: 'V', min: 4.9, max: 5.1 },
    }),
  ],
};

const by = { source: 'voice' } as const;
const caution = (event: 'caution.started' | 'caution.interrupted', at_ms: number, id: string): JobRecord => ({
  event,
  at_ms,
  step: 'a',
  caution: id,
});
const RECORDS: readonly JobRecord[] = [
  opened('Pat'),
  shown(0, 'a'),
  caution('caution.started', 0, 'esd'),
  { event: 'caution.read', at_ms: 1000, step: 'a', caution: 'esd', by: 'screen' },
  { event: 'caution.acknowledged', at_ms: 1200, step: 'a', caution: 'esd', ...by, confidence: 1 },
  caution('caution.started', 1200, 'pins'),
  caution('caution.interrupted', 1500, 'pins'),
  caution('caution.started', 2000, 'pins'),
  { event: 'caution.read', at_ms: 6000, step: 'a', caution: 'pins', by: 'voice' },
  { event: 'caution.acknowledged', at_ms: 6100, step: 'a', caution: 'pins', ...by, confidence: 1 },
  { event: 'help.given', at_ms: 6200, step: 'a', what: 'slower', ...by },
  { event: 'help.given', at_ms: 6300, step: 'a', what: 'why', ...by },
  confirmed(9000, 'a'),
  shown(9000, 'x'),
  { event: 'step.skipped', at_ms: 10_000, step: 'x', ...by },
  shown(10_000, 'r'),
  { event: 'serial.proposed', at_ms: 11_000, step: 'r', record: 'code', value: 'A8', ...by },
  { event: 'serial.confirmed', at_ms: 12_000, step: 'r', record: 'code', value: 'A7', ...by },
  { event: 'serial.confirmed', at_ms: 12_500, step: 'a', record: 'unit', value: 'U-9', ...by },
  { event: 'serial.confirmed', at_ms: 12_600, step: 'a', record: 'other', value: 'Z', ...by },
  confirmed(13_000, 'r'),
  shown(13_000, 'c'),
  { event: 'problem.reported', at_ms: 13_100, step: 'c', kind: 'broken part', ...by },
  { event: 'note.taken', at_ms: 13_200, step: 'c', item: null, text: 'cracked', audio: null, ...by },
  {
    event: 'note.taken',
    at_ms: 13_300,
    step: 'c',
    item: null,
    text: null,
    audio: 'note-1.wav',
    audio_sha256: 'ff',
    audio_ms: 900,
    ...by,
  },
  { event: 'note.taken', at_ms: 13_400, step: 'c', item: 'cord', text: null, audio: null, ...by },
  { event: 'problem.settled', at_ms: 13_500, step: 'c', decision: 'go-on', ...by },
  { event: 'problem.reported', at_ms: 13_600, step: 'c', kind: 'lost screw', ...by },
  { event: 'hold.signed', at_ms: 14_000, step: 'c', person: 'Technician E', ...by },
  { event: 'count.confirmed', at_ms: 14_500, step: 'c', compartment: 1, counted: 3, expected: 4, ...by },
  { event: 'count.confirmed', at_ms: 14_600, step: 'c', compartment: null, counted: 5, expected: 4, ...by },
  confirmed(15_000, 'c'),
  shown(15_000, 'f'),
  confirmed(16_000, 'f'),
  shown(16_000, 'm'),
  { event: 'reading.proposed', at_ms: 16_500, step: 'm', measure: 'v', value: 6, unit: 'V', ...by },
  {
    event: 'reading.confirmed',
    at_ms: 17_000,
    step: 'm',
    measure: 'v',
    value: 5.2,
    unit: 'V',
    within: false,
    ...by,
  },
  {
    event: 'reading.confirmed',
    at_ms: 18_000,
    step: 'm',
    measure: 'v',
    value: 5,
    unit: 'V',
    within: true,
    ...by,
  },
  confirmed(19_000, 'm'),
  finished(20_000),
];
const review = jobReview(sampleFile('job-1', PLAN), linesOf(RECORDS), 'complete');

describe('the review of one job', () => {
  it('names the job, its unit and how far it came', () => {
    expect(review).toMatchObject({
      verified: true,
      unit_serial: 'U-1',
      work_order: 'W-7',
      reported_fault: 'leaks',
      finished: '2026-01-05T10:00:20.000+01:00',
      summary: {
        job: 'job-1',
        technician: 'Pat',
        replace: ['cover', 'fan'],
        state: 'completed',
        step_number: 6,
        step_total: 8,
        trouble: null,
      },
    });
    const half = jobReview(sampleFile('job-1', PLAN), linesOf(RECORDS.slice(0, 14)), 'unfinished');
    expect(half).toMatchObject({ finished: null, summary: { state: 'unfinished', step_number: 2 } });
    const nothing = jobReview(sampleFile('job-1', PLAN), [], 'unfinished');
    expect(nothing).toMatchObject({ unit_serial: null, work_order: null, reported_fault: null });
  });

  it('tells what was confirmed: readings with their limits, serials with their names', () => {
    const reading = { step: 'm', name: 'output', unit: 'V', min: 4.9, max: 5.1 };
    expect(review.readings).toEqual([
      { ...reading, value: 5.2, within: false },
      { ...reading, value: 5, within: true },
    ]);
    expect(review.serials).toEqual([
      { step: 'r', name: 'code of the cover', value: 'A7' },
      { step: 'a', name: 'number of the unit', value: 'U-9' },
      { step: 'a', name: 'other', value: 'Z' },
    ]);
  });

  it('tells what went wrong and what was decided, each problem for itself', () => {
    expect(review.problems).toEqual([
      { step: 'c', kind: 'broken part', decision: 'go-on' },
      { step: 'c', kind: 'lost screw', decision: null },
    ]);
  });

  it('tells what was used up and which parts are in: those of which every needed step is done', () => {
    expect(review.consumables).toEqual([
      { id: 'seal', name: 'cover seal', count: 3, amount: null },
      { id: 'grease', name: 'grease', count: 1, amount: null },
    ]);
    expect(review.replaced).toEqual([{ id: 'cover', name: 'cover' }]);
  });

  it('tells notes with words or sound, sign-offs, counts and what was left out', () => {
    const none = { audio: null, audio_sha256: null, audio_ms: 0 };
    expect(review.notes).toEqual([
      { step: 'c', item: null, text: 'cracked', ...none },
      { step: 'c', item: null, text: '', audio: 'note-1.wav', audio_sha256: 'ff', audio_ms: 900 },
    ]);
    expect(review.holds).toEqual([
      { step: 'c', person: 'Technician E', at: '2026-01-05T10:00:14.000+01:00' },
    ]);
    expect(review.skipped).toEqual([{ step: 'x', say: 'Clean it.' }]);
    expect(review.counts).toEqual([
      { step: 'c', compartment: 1, counted: 3, expected: 4 },
      { step: 'c', compartment: null, counted: 5, expected: 4 },
    ]);
  });

  it('tells of each caution how it was read and how long the answer took; one read again goes on', () => {
    expect(review.cautions).toEqual([
      {
        step: 'a',
        caution: 'esd',
        word: 'notice',
        hazard: 'Static',
        words: 2,
        by: 'screen',
        read_ms: 1000,
        read_to_acknowledged_ms: 200,
        acknowledged: true,
      },
      {
        step: 'a',
        caution: 'pins',
        word: 'warning',
        hazard: 'The pins are sharp',
        words: 9,
        by: 'voice',
        read_ms: 4000,
        read_to_acknowledged_ms: 100,
        acknowledged: true,
      },
    ]);
  });

  it('counts help, repeats and fasteners that were missing, never fewer than none', () => {
    const [first] = review.steps;
    expect([first?.repeats, first?.helps]).toEqual([1, 1]);
    expect(review.times.fasteners_missing).toBe(1);
    expect(review.times.readings_out).toBe(1);
  });
});

describe('what was not done as it should be', () => {
  it('is told once each, with the figures', () => {
    const found = lapsesOf([review.times], [], (name) => `the one called ${name}`);
    expect(found.map(({ kind, step, facts }) => [kind, step, facts])).toEqual([
      ['caution-too-fast', 'a', { hazard: 'Static', ms: 200, least_ms: 300 }],
      ['caution-too-fast', 'a', { hazard: 'The pins are sharp', ms: 100, least_ms: 300 }],
      ['reading-out-of-limits', null, { count: 1 }],
      ['fastener-missing', null, { count: 1 }],
      ['step-skipped', 'x', {}],
    ]);
    for (const lapse of found)
      expect(lapse).toMatchObject({ job: 'job-1', technician: 'the one called Pat' });
  });

  it('names cautions of a confirmed step that were never read, and only of a confirmed one', () => {
    const unread = [opened('Pat'), shown(0, 'a'), confirmed(5000, 'a'), shown(5000, 'x')];
    const { times } = jobReview(sampleFile('job-1', PLAN), linesOf(unread), 'unfinished');
    expect(lapsesOf([times], [], (name) => name).map(({ kind, facts }) => [kind, facts])).toEqual([
      ['caution-not-understood', { hazard: 'The pins are sharp' }],
    ]);
    const open = jobReview(sampleFile('job-1', PLAN), linesOf(RECORDS.slice(0, 4)), 'unfinished');
    expect(lapsesOf([open.times], [], (name) => name)).toEqual([]);
  });

  it('an answer on the screen takes as long as its words take to read', () => {
    expect(leastCautionMs({ by: 'screen', words: 9 })).toBe(1350);
    expect(leastCautionMs({ by: 'voice', words: 9 })).toBe(300);
    expect(leastCautionMs({ by: null, words: 9 })).toBe(300);
  });
});

describe('charts', () => {
  it('are of logarithms where three values or more, all above nought, reach further up than down', () => {
    expect(scaleFor([1, 1, 1, 2, 9])).toBe('log');
    expect(scaleFor([0, 1, 1, 2, 9])).toBe('linear');
    expect(scaleFor([1, 9])).toBe('linear');
    expect(scaleFor([1, 2, 3, 4, 5])).toBe('linear');
    expect(scaleFor([1, 8, 9, 9, 9])).toBe('linear');
  });

  // Nelson (1984): rule 7 is fifteen within one deviation, rule 8 eight beyond it; on the line is neither.
  it('a value on the line of one deviation is neither within nor beyond it', () => {
    const last = (z: readonly number[]): readonly string[] => nelsonRules(z).at(-1) ?? [];
    const swing = (size: number, length: number) =>
      Array.from({ length }, (_, i) => (i % 4 < 2 ? size : -size));
    expect(last(swing(0.9, 15))).toContain('nelson-7');
    expect(last([...swing(0.9, 14), 1])).not.toContain('nelson-7');
    expect(last(swing(0.9, 14))).not.toContain('nelson-7');
    expect(last(swing(1.1, 8))).toContain('nelson-8');
    expect(last([...swing(1.1, 7), 1])).not.toContain('nelson-8');
    expect(last(swing(1.1, 7))).not.toContain('nelson-8');
  });
});
