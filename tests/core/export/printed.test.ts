/** The two printed reports as a customer and a supervisor read them: every line of a small job and a small period. */
import { JSDOM } from 'jsdom';
import { describe, expect, it } from 'vitest';
import { periodReport } from '../../../electron/core/export/period-report.ts';
import { serviceReport } from '../../../electron/core/export/service-report.ts';
import type { JobRecord } from '../../../electron/core/job/model.ts';
import { jobReview } from '../../../electron/core/review/job-review.ts';
import type {
  Comparison,
  Figure,
  JobTypeReview,
  LearningFit,
  ReviewSummary,
  StepComparison,
} from '../../../electron/core/review/model.ts';
import { reviewSummary } from '../../../electron/core/review/summary.ts';
import { madeJobs, times } from '../review/many-jobs.ts';
import {
  confirmed,
  linesOf,
  opened,
  SAMPLE_PLAN,
  sampleFile,
  sampleRecords,
  shown,
} from '../review/sample-job.ts';

/** What stands on the page, a line each: rows of tables with bars between their cells, names with their values. */
function linesOfPage(text: string): string[] {
  const body = new JSDOM(text).window.document.body;
  const of = (node: Element): string =>
    node.tagName === 'TR'
      ? [...node.children].map((cell) => cell.textContent).join(' | ')
      : (node.textContent ?? '');
  return [
    ...body.querySelectorAll('h1, h2, h3, p, dt, dd, li, caption, tr, figcaption, .signature > div'),
  ].map((node) => of(node).trim());
}
const below = (lines: readonly string[], heading: string, count: number): string[] =>
  lines.slice(lines.indexOf(heading) + 1, lines.indexOf(heading) + 1 + count);

describe('service report', () => {
  it('of a job done reads from the unit to the signatures', () => {
    const review = jobReview(sampleFile('job-7'), linesOf(sampleRecords('Pat')), 'complete');
    const text = serviceReport(review, 'T1', '2026-01-06T08:00:00+01:00');
    expect(new JSDOM(text).window.document.title).toBe('Service report Sample unit U-1');
    expect(linesOfPage(text)).toEqual([
      'Service report',
      'Completed',
      ...['Unit', 'Sample unit', 'Serial number', 'U-1', 'Work order', 'W-7', 'Reported fault', 'leaks'],
      ...['Technician', 'T1', 'Begun', '2026-01-05 10:00', 'Finished', '2026-01-05 10:01'],
      ...['Time of work', '1 min 00 s'],
      ...['Replaced', 'cover'],
      ...['Serial numbers recorded', 'None.'],
      ...['Readings', 'Readings', 'Reading | Value | Limits | Result'],
      'output | 5.2 V | 4.9 to 5.1 V | outside limits',
      ...['Findings', 'Problem: part missing, work went on (Do c.)'],
      ...['Used up and renewed', 'cover seal: 1×'],
      ...['Cautions', 'Cautions given before their steps', 'Word | Hazard | Answer'],
      'WARNING | The pins are sharp | understood',
      ...['Signed off by a second person', 'No step needed it.'],
      'Course',
      'Active 1 min 00 s, of it being read to 5.0 s and waiting 6.5 s; paused 30.0 s, away 1 h 00 min 00 s. ! caution understood, ▼ problem, ↶ undone. Absence is drawn shortened.',
      ...['Technician, date', 'Customer, date'],
      'Job job-7. 4 of 4 steps. The record of this job was checked: its chain of hashes is unbroken. Printed 2026-01-06 08:00. Local codes and the service documents of the maker come first.',
    ]);
  });

  const by = { source: 'voice' } as const;
  const at = (at_ms: number, step: string) => ({ at_ms, step, ...by });
  const GIVEN_UP: readonly JobRecord[] = [
    { ...opened('Pat'), unit_serial: '', work_order: null, reported_fault: null } as JobRecord,
    shown(0, 'a'),
    { event: 'serial.confirmed', ...at(5, 'a'), record: 'board', value: 'X7' },
    { event: 'count.confirmed', ...at(10, 'a'), compartment: 1, counted: 3, expected: 4 },
    { event: 'note.taken', ...at(20, 'a'), item: null, text: 'cracked', audio: null },
    {
      event: 'note.taken',
      ...at(30, 'gone'),
      item: null,
      text: null,
      audio: 'note-1.wav',
      audio_sha256: 'ff',
      audio_ms: 200,
    },
    { event: 'hold.signed', ...at(60_000, 'a'), person: 'Technician E' },
    confirmed(60_000, 'a'),
    shown(60_000, 'b'),
    { event: 'caution.started', at_ms: 60_000, step: 'b', caution: 'pins' },
    { event: 'problem.reported', ...at(61_000, 'b'), kind: 'injury' },
    { event: 'problem.settled', ...at(62_000, 'b'), decision: 'stop' },
    { event: 'step.skipped', ...at(63_000, 'b') },
    { event: 'problem.reported', ...at(64_000, 'c'), kind: 'burnt smell' },
    { event: 'job.finished', at_ms: 64_000, outcome: 'given-up', open_compartments: 1, source: 'key' },
  ] as readonly JobRecord[];

  it('of a job given up says what was found, left out and not answered, and leaves out what nobody entered', () => {
    const text = serviceReport(jobReview(sampleFile('j'), linesOf(GIVEN_UP), 'complete'), 'T1');
    expect(new JSDOM(text).window.document.title).toBe('Service report Sample unit');
    const lines = linesOfPage(text);
    expect(lines.slice(0, 12)).toEqual([
      'Service report',
      'Given up before the end',
      ...['Unit', 'Sample unit', 'Technician', 'T1', 'Begun', '2026-01-05 10:00'],
      ...['Finished', '2026-01-05 10:01', 'Time of work', '1 min 03 s'],
    ]);
    expect(below(lines, 'Replaced', 1)).toEqual(['No part was replaced.']);
    expect(below(lines, 'Serial numbers recorded', 1)).toEqual(['board: X7']);
    expect(below(lines, 'Readings', 1)).toEqual(['No readings were taken.']);
    expect(below(lines, 'Findings', 7)).toEqual([
      'Problem: injury, work was stopped (Do b.)',
      'Problem: burnt smell (Do c.)',
      'Fasteners counted: 3 of 4 (Do a.)',
      'Note: cracked (Do a.)',
      'Spoken note, 1 s: note-1.wav (gone) SHA-256 ff',
      'Step skipped: Do b.',
      'Used up and renewed',
    ]);
    expect(below(lines, 'Used up and renewed', 1)).toEqual(['Nothing.']);
    expect(lines).toContain('WARNING | The pins are sharp | not answered');
    expect(below(lines, 'Signed off by a second person', 1)).toEqual([
      'Do a. (Technician E, 2026-01-05 10:01)',
    ]);
    expect(lines.at(-1)).toBe(
      'Job j. 2 of 4 steps. The record of this job was checked: its chain of hashes is unbroken. Local codes and the service documents of the maker come first.',
    );
  });

  it('of a job without cautions has no table of them; an open job has no end', () => {
    const plan = { ...SAMPLE_PLAN, steps: SAMPLE_PLAN.steps.map((step) => ({ ...step, cautions: [] })) };
    const records = [opened('Pat'), shown(0, 'a'), confirmed(9000, 'a'), shown(9000, 'b')];
    const lines = linesOfPage(
      serviceReport(jobReview(sampleFile('j', plan), linesOf(records), 'unfinished'), 'T1'),
    );
    expect(lines[1]).toBe('Not finished yet');
    expect(lines).not.toContain('Cautions');
    expect(lines).not.toContain('Finished');
    expect(below(lines, 'Findings', 1)).toEqual(['Nothing was found.']);
  });
});

describe('period report', () => {
  const figure = (
    value: number | null,
    unit: Figure['unit'],
    low: number | null = null,
    high: number | null = null,
  ): Figure => ({
    value,
    low,
    high,
    level: 0.95,
    n: 9,
    unit,
    how: 'wilson-rate',
  });
  const made = reviewSummary(madeJobs(1, times(3)));
  const base = made.types[0]!;
  const only = (type: Partial<JobTypeReview>, summary: Partial<ReviewSummary> = {}): string[] =>
    linesOfPage(
      periodReport({
        ...made,
        ...summary,
        types: [
          {
            ...base,
            ...{ notices: [], comparisons: [], learning: [], rewrite: [], cautions: [] },
            ...{ standard: null, prediction: null, chart: null },
            ...type,
          },
        ],
      }),
    );

  it('begins with the period, the number of jobs and what is to be said about them', () => {
    const lines = linesOfPage(
      periodReport(
        { ...made, jobs: { total: 9, completed: 5, given_up: 1, unfinished: 2, unknown: 1 } },
        '2026-02-01T07:30:00+01:00',
      ),
    );
    expect(lines.slice(0, 2)).toEqual([
      'Review 2026-01-05 to 2026-01-05',
      '9 jobs: 5 completed, 1 given up, 2 not finished, 1 left out because their record cannot be trusted.',
    ]);
    expect(lines.at(-1)).toContain('Printed 2026-02-01 07:30.');
    const none = linesOfPage(periodReport({ ...made, from: null, to: null, types: [], notices: [] }));
    expect(none[0]).toBe('Review');
    expect(none[2]).toBe('How the figures are computed');
    expect(none.at(-1)?.endsWith('turns names on.')).toBe(true);
  });

  it('has each step with its times and shares', () => {
    const [step] = base.steps;
    const lines = only({
      steps: [
        {
          ...step!,
          ...{
            n: 12,
            expected_s: 45,
            p90_ms: 61_000,
            share: 0.25,
            too_fast: { ...step!.too_fast, count: 2 },
          },
          median: figure(50_000, 'ms', 40_000, 60_000),
          revisit_rate: figure(0.5, 'share', 0.2, 0.8),
          repeat_rate: figure(0.05, 'share'),
          problem_rate: figure(null, 'share', 0.1, 0.2),
        },
      ],
    });
    expect(below(lines, 'Steps', 2)).toEqual([
      'Step | Jobs | Expected | Median | p90 | Share | Gone back to | Asked again | Problems | Too fast',
      'Do a. | 12 | 45 s | 50.0 s (40.0 s to 1 min 00 s) | 1 min 01 s | 25 % | 50 % (20 % to 80 %) | 5.0 % | – | 2',
    ]);
  });

  it('says what a type of job takes, where it goes and how it changes', () => {
    const lines = only({
      ...{ median: figure(61_000, 'ms', 60_000, 62_000), expected_s: 90 },
      ...{ trend: figure(0.9, 'ratio', 0.8, 0.95), trend_says: 'faster' },
      notices: [{ code: 'x', facts: {}, text: 'Few jobs.' }],
    });
    expect(below(lines, 'Sample unit: cover', 7)).toEqual([
      'Few jobs.',
      ...['Active time, median', '1 min 01 s (1 min 00 s to 1 min 02 s, n 9)'],
      ...['Expected by the plan', '1 min 30 s'],
      ...['Trend', 'Jobs are getting faster; per ten jobs 0.90 (0.80 to 0.95, n 9)'],
    ]);
    for (const heading of [
      'Standard time',
      'Next job',
      'Jobs in order of time',
      'Steps to look at',
      'Cautions',
      'Not as it should be',
      'Logs that were not taken',
    ])
      expect(lines).not.toContain(heading);
  });

  it('has the standard time with how it was made, and the next job with how often that was right', () => {
    const standard = {
      ...{ observed_ms: 50_000, rating: 1.1, normal_ms: 55_000, allowance: 0.15 },
      ...{ standard_of_shift_ms: 64_700, standard_of_work_ms: 63_300, n: 20, left_out: 2, n_needed: 31 },
      how: 'standard-time',
    } as const;
    const lines = only({
      standard: standard as never,
      prediction: {
        expected: figure(60_000, 'ms', 50_000, 70_000),
        coverage: figure(0.8, 'share'),
        how: 'x' as never,
      },
    });
    expect(below(lines, 'Standard time', 3)).toEqual([
      '1 min 05 s with 15 % of the shift, 1 min 03 s with 15 % of the work (rating 1.1, n 20, left out 2, for ±5 % 31 are needed)',
      'Next job',
      '1 min 00 s (50.0 s to 1 min 10 s, n 9); in the back-test 80 % (n 9) fell inside their interval',
    ]);
    expect(
      below(only({ standard: { ...standard, n_needed: null } as never }), 'Standard time', 1)[0],
    ).toMatch(/left out 2\)$/);
  });

  it('has who learns how fast, from which job on the level is reached, and what is next', () => {
    const fit = { rate: 0.85, b_low: -0.5, b_high: -0.1 } as LearningFit;
    const curve = {
      ...{
        technician: 'T1',
        points: [1, 2, 3].map((number) => ({ number, job: `j${number}`, active_ms: 1 })),
      },
      ...{ fit, wright: null, plateau_ms: null, how: 'x' as never },
    };
    const forecast = [{ number: 4, active_ms: 20_000, low: 10_000, high: 30_000 }];
    const lines = only({
      learning: [
        { ...curve, forecast, plateau_from: 7 },
        { ...curve, technician: 'T2', fit: null, wright: fit, forecast: [], plateau_from: null },
      ],
    });
    // 2^-0.5 = 0.707 and 2^-0.1 = 0.933
    expect(below(lines, 'Learning', 4)).toEqual([
      'Learning',
      'Technician | Jobs | Rate of the job’s time (Crawford) | Rate of the average (Wright) | Next job, 80 % | Level reached',
      'T1 | 3 | 85 % per doubling (71 % to 93 %) | too few jobs | 20.0 s (10.0 s to 30.0 s) | from job 7',
      'T2 | 3 | too few jobs | 85 % per doubling (71 % to 93 %) | – | still learning or too few jobs',
    ]);
  });

  it('compares two groups, the whole job first', () => {
    const row = (over: Partial<StepComparison>): StepComparison => ({
      ...{ step: '', say: '', n_a: 5, n_b: 6, median_a_ms: 10_000, median_b_ms: 9000, p: 0.01 },
      ...{ ratio: figure(0.9, 'ratio', 0.8, 0.99), p_holm: 0.0312, verdict: 'faster' },
      ...over,
    });
    const comparison = {
      ...{ what: 'revisions', jobs_a: 5, jobs_b: 6, only_in_a: [], only_in_b: [], how: 'x' as never },
      a: { code: 'compare/revision', facts: { revision: 1 }, text: 'revision 1' },
      b: { code: 'compare/revision', facts: { revision: 2 }, text: 'revision 2' },
      notices: [{ code: 'x', facts: {}, text: 'Other people.' }],
      job: row({}),
      steps: [
        row({ step: 'a', say: 'Do a.', p_holm: null, verdict: 'too-few', ratio: figure(null, 'ratio') }),
      ],
    } as const satisfies Comparison;
    expect(below(only({ comparisons: [comparison] }), 'revision 2 against revision 1', 5)).toEqual([
      'Other people.',
      'Comparison',
      'Step | Jobs | revision 1 | revision 2 | Ratio | p (Holm) | Result',
      'Whole job | 5, 6 | 10.0 s | 9.0 s | 0.90 (0.80 to 0.99) | 0.031 | faster',
      'Do a. | 5, 6 | 10.0 s | 9.0 s | – | – | too few',
    ]);
  });

  it('lists the steps worth another look with every reason', () => {
    const reason = (text: string) => ({ code: 'x', facts: {}, text });
    const rewrite = [
      {
        step: 'a',
        say: 'Do a.',
        score: 2,
        reasons: [reason('asked again'), reason('gone back to'), reason('slow')],
      },
      { step: 'b', say: 'Do b.', score: 1, reasons: [reason('slow')] },
    ];
    expect(below(only({ rewrite }), 'Steps to look at', 2)).toEqual([
      'Do a. asked again; gone back to; slow.',
      'Do b. slow.',
    ]);
  });

  it('lists what was not as it should be, and the logs that were not taken', () => {
    const lapse = {
      job: 'j1',
      started: '2026-01-05T10:00:00.000+01:00',
      technician: 'T1',
      facts: {},
    } as const;
    const lines = only(
      {},
      {
        lapses: [
          { ...lapse, step: 'a', kind: 'step-too-fast', text: 'Too fast.' },
          { ...lapse, step: null, kind: 'given-up', text: 'Given up.' },
          { ...lapse, step: 'old', kind: 'step-skipped', text: 'Skipped.' },
        ],
        lapse_rates: [{ kind: 'given-up', rate: figure(0.5, 'share') }],
        rejected: [{ job: 'j2', line: null, code: 'log/x', message: 'Newer.' }],
      },
    );
    expect(below(lines, 'Not as it should be', 11)).toEqual([
      ...['How often', 'Kind | Share of the jobs', 'job given up | 50 % (n 9)'],
      ...['Remarks', 'Job | Begun | Technician | Step | What'],
      'j1 | 2026-01-05 10:00 | T1 | Do a. | Too fast.',
      'j1 | 2026-01-05 10:00 | T1 | – | Given up.',
      'j1 | 2026-01-05 10:00 | T1 | old | Skipped.',
      ...['Logs that were not taken', 'Logs that were not taken', 'Job | Line | What'],
    ]);
    expect(lines).toContain('j2 | – | Newer.');
  });
});
