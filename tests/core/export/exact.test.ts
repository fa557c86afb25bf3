/** Exports to the last cell: rows, transitions and places in pictures that can be counted by hand. */
import { JSDOM } from 'jsdom';
import { describe, expect, it } from 'vitest';
import { ENGLISH } from '../../../electron/core/base/language.ts';
import { csvOfJobReview, csvOfJobs, csvOfReview, csvText } from '../../../electron/core/export/csv.ts';
import { dateText, table } from '../../../electron/core/export/html-text.ts';
import { chartPicture, paretoPicture, timelinePicture } from '../../../electron/core/export/pictures.ts';
import { serviceReport } from '../../../electron/core/export/service-report.ts';
import { xesEvents, xesOf, xesPieces } from '../../../electron/core/export/xes.ts';
import type { JobRecord } from '../../../electron/core/job/model.ts';
import { jobReview } from '../../../electron/core/review/job-review.ts';
import type { JobLog } from '../../../electron/core/review/model.ts';
import { reviewSummary } from '../../../electron/core/review/summary.ts';
import { madeJobs, times } from '../review/many-jobs.ts';
import {
  confirmed,
  finished,
  linesOf,
  opened,
  paused,
  resumed,
  SAMPLE_PLAN,
  sampleFile,
  sampleRecords,
  shown,
} from '../review/sample-job.ts';

const review = jobReview(sampleFile('job-7'), linesOf(sampleRecords('Pat')), 'complete');
const rowsOf = (text: string): readonly string[][] =>
  text
    .trimEnd()
    .split('\r\n')
    .map((row) => row.split(','));
const documentOf = (text: string): Document => new JSDOM(text).window.document;
const cellsOf = (row: Element): string => [...row.children].map((cell) => cell.textContent).join('|');

describe('csv', () => {
  it('of jobs names every column and fills it', () => {
    const open = { ...review.times, outcome: null, verdict: 'unfinished' as const };
    const [head, one, two] = rowsOf(csvOfJobs([review.times, open], () => 'T1'));
    const { times: t } = review;
    expect(Object.fromEntries(head!.map((name, index) => [name, one![index]]))).toEqual({
      job: 'job-7',
      product: 'sample',
      product_revision: '1',
      replaced: 'cover',
      technician: 'T1',
      started: '2026-01-05T10:00:00.000+01:00',
      outcome: 'completed',
      expected_s: '40',
      span_ms: String(t.span_ms),
      active_ms: '60000',
      hands_ms: String(t.hands_ms),
      reading_ms: String(t.reading_ms),
      waiting_ms: String(t.waiting_ms),
      paused_ms: '30000',
      away_ms: '3600000',
      unattributed_ms: String(t.unattributed_ms),
      events: '26',
      log_verdict: 'complete',
    });
    expect([two![6], two!.at(-1)]).toEqual(['unfinished', 'unfinished']);
  });

  it('of steps leaves the number of an unknown step empty', () => {
    const [first] = review.times.steps;
    const unknown = { ...review.times, steps: [{ ...first!, index: -1, state: 'open' as const }] };
    const [head, row] = rowsOf(csvOfJobReview({ ...review, times: unknown }, (name) => name));
    expect(head).toHaveLength(row!.length);
    expect(row!.slice(4, 12)).toEqual([
      'Pat',
      '2026-01-05T10:00:00.000+01:00',
      'completed',
      '',
      'a',
      'remove',
      'Do a.',
      'open',
    ]);
  });

  it('of a review has a row a step and type of job', () => {
    const summary = reviewSummary(madeJobs(1, times(3)));
    const [head, ...rows] = rowsOf(csvOfReview(summary));
    expect(rows.map((row) => row.slice(0, 6))).toEqual(
      ['a', 'b', 'c', 'm'].map((step, index) => [
        summary.types[0]!.job_type,
        String(index + 1),
        step,
        `Do ${step}.`,
        '3',
        '10',
      ]),
    );
    const [a] = summary.types[0]!.steps;
    const value = (name: string): number => Number(rows[0]![head!.indexOf(name)]);
    expect([
      value('median_ms'),
      value('p90_ms'),
      value('mean_ms'),
      value('spread_ms'),
      value('share'),
    ]).toEqual([a!.median.value, a!.p90_ms, a!.mean_ms, a!.spread_ms, a!.share]);
    expect([value('revisit_rate'), value('problem_rate')]).toEqual([0, 0]);
  });

  it('writes truth, nothing and what needs quotes', () => {
    expect(csvText(['a', 'b', 'c', 'd'], [[true, null, 'x"y', 'a\nb']])).toBe(
      'a,b,c,d\r\ntrue,,"x""y","a\nb"\r\n',
    );
    expect(csvText(['a'], [['x,y'], ['a\rb']])).toBe('a\r\n"x,y"\r\n"a\rb"\r\n');
  });
});

describe('event log', () => {
  const logOf = (records: readonly JobRecord[], over: Partial<JobLog> = {}): JobLog => ({
    job: sampleFile('job-1'),
    lines: linesOf(records, Date.UTC(2026, 0, 5, 9, 0, 0), -90),
    verdict: 'complete',
    ...over,
  });
  const WORK: readonly JobRecord[] = [
    opened('A'),
    shown(1000, 'a'),
    { event: 'job.handed-over', at_ms: 2000, from: 'A', to: 'B', source: 'key' },
    paused(3000),
    shown(4000, 'b'),
    resumed(5000),
    {
      event: 'reading.confirmed',
      at_ms: 6000,
      step: 'b',
      measure: 'v',
      value: 5.5,
      unit: 'V',
      within: true,
      source: 'key',
    },
    confirmed(7000, 'b'),
    { event: 'job.left', at_ms: 7500 },
    { event: 'job.reopened', at_ms: 7500, away_ms: 10_000 },
    confirmed(8000, 'a'),
    shown(9000, 'zz'),
    finished(9500),
    confirmed(9600, 'c'),
  ];

  it('has every transition with its time, its person and its readings', () => {
    const told = xesEvents(logOf(WORK)).map(
      ({ step, transition, instance, technician, at_ms, readings, stage }) => [
        step,
        transition,
        instance,
        technician,
        at_ms,
        readings.length,
        stage,
      ],
    );
    expect(told).toEqual([
      ['a', 'start', 1, 'A', 1000, 0, 'remove'],
      ['a', 'suspend', 1, 'B', 3000, 0, 'remove'],
      ['b', 'start', 1, 'B', 5000, 0, 'remove'],
      ['b', 'complete', 1, 'B', 7000, 1, 'remove'],
      ['a', 'resume', 1, 'B', 18_000, 0, 'remove'],
      ['a', 'complete', 1, 'B', 18_000, 0, 'remove'],
      ['zz', 'start', 1, 'B', 19_000, 0, 'unknown'],
      ['zz', 'pi_abort', 1, 'B', 19_500, 0, 'unknown'],
    ]);
  });

  it('gives a reading to the step it was taken in, also when that is shown again, and to no other', () => {
    const reading = (at_ms: number): JobRecord => ({
      event: 'reading.confirmed',
      at_ms,
      step: 'a',
      measure: 'v',
      value: 5.5,
      unit: 'V',
      within: true,
      source: 'key',
    });
    const counts = (records: readonly JobRecord[]) =>
      xesEvents(logOf([opened('A'), ...records, finished(99)])).map((one) => [
        one.step,
        one.transition,
        one.readings.length,
      ]);
    expect(counts([shown(0, 'a'), reading(1), shown(2, 'a'), confirmed(3, 'a')])).toEqual([
      ['a', 'start', 0],
      ['a', 'complete', 1],
    ]);
    expect(counts([shown(0, 'a'), reading(1), shown(2, 'b'), confirmed(3, 'b'), confirmed(4, 'a')])).toEqual([
      ['a', 'start', 0],
      ['a', 'suspend', 0],
      ['b', 'start', 0],
      ['b', 'complete', 0],
      ['a', 'resume', 0],
      ['a', 'complete', 0],
    ]);
  });

  it('goes on when the job is opened again, but not before "resume" where it was paused', () => {
    const left = (at_ms: number): JobRecord => ({ event: 'job.left', at_ms });
    const back = (at_ms: number): JobRecord => ({ event: 'job.reopened', at_ms, away_ms: 100 });
    const told = (records: readonly JobRecord[]) =>
      xesEvents(logOf([opened('A'), shown(0, 'a'), ...records, confirmed(50, 'a'), finished(99)])).map(
        (one) => `${one.transition} ${one.at_ms}`,
      );
    expect(told([left(10), back(20)])).toEqual(['start 0', 'suspend 10', 'resume 120', 'complete 150']);
    expect(told([paused(5), left(10), back(20), resumed(30)])).toEqual([
      'start 0',
      'suspend 5',
      'resume 130',
      'complete 150',
    ]);
  });

  it('is written with the offset of the job, under the name that is to be shown', () => {
    const text = xesOf([logOf(WORK)], (name) => `T-${name}`);
    const parsed = new new JSDOM('').window.DOMParser().parseFromString(text, 'application/xml');
    const trace = parsed.querySelector('trace')!;
    const attributeOf = (parent: Element, key: string) =>
      [...parent.children].find((one) => one.getAttribute('key') === key)?.getAttribute('value');
    expect(
      ['concept:name', 'product', 'product_revision', 'replaced', 'outcome'].map((key) =>
        attributeOf(trace, key),
      ),
    ).toEqual(['job-1', 'sample', '1', 'cover', 'completed']);
    const events = [...trace.querySelectorAll('event')];
    expect(events).toHaveLength(8);
    expect(
      [
        'concept:name',
        'concept:instance',
        'lifecycle:transition',
        'org:resource',
        'time:timestamp',
        'stage',
        'sentence',
        'reading v',
      ].map((key) => attributeOf(events[3]!, key)),
    ).toEqual(['b', 'b#1', 'complete', 'T-B', '2026-01-05T07:30:07.000-01:30', 'remove', 'Do b.', '5.5']);
  });

  it('leaves out logs that cannot be trusted or are empty, and is whole without any', () => {
    const pieces = [...xesPieces([logOf(WORK, { verdict: 'unknown' }), logOf([])], (name) => name)];
    expect(pieces).toHaveLength(2);
    expect(pieces[1]).toBe('</log>\n');
    expect([...xesPieces([logOf(WORK, { verdict: 'unfinished' })], (name) => name)]).toHaveLength(3);
  });
});

describe('service report', () => {
  const by = { source: 'voice' } as const;
  const RECORDS: readonly JobRecord[] = [
    opened('Pat'),
    shown(0, 'a'),
    { event: 'note.taken', at_ms: 10, step: 'a', item: null, text: 'cracked', audio: null, ...by },
    {
      event: 'note.taken',
      at_ms: 20,
      step: 'a',
      item: null,
      text: null,
      audio: 'note-1.wav',
      audio_sha256: 'ff',
      audio_ms: 2600,
      ...by,
    },
    { event: 'count.confirmed', at_ms: 30, step: 'a', compartment: 1, counted: 3, expected: 4, ...by },
    { event: 'count.confirmed', at_ms: 40, step: 'a', compartment: 1, counted: 4, expected: 4, ...by },
    { event: 'hold.signed', at_ms: 50, step: 'a', person: 'Technician E', ...by },
    confirmed(100, 'a'),
    shown(100, 'b'),
    { event: 'step.skipped', at_ms: 200, step: 'b', ...by },
    { event: 'job.finished', at_ms: 300, outcome: 'given-up', open_compartments: 1, source: 'key' },
  ];
  const words =
    documentOf(serviceReport(jobReview(sampleFile('j'), linesOf(RECORDS), 'complete'), 'T1')).body
      .textContent ?? '';

  it('tells what was found: counts that differ, notes with their file, what was left out, who signed', () => {
    for (const part of ['cracked', 'note-1.wav', 'SHA-256 ff', '3 s', 'Technician E', 'Do b.'])
      expect([part, words.includes(part)]).toEqual([part, true]);
    const { counted } = ENGLISH.reports.service;
    expect(words).toContain(counted({ counted: 3, expected: 4 }));
    expect(words).not.toContain(counted({ counted: 4, expected: 4 }));
  });

  it('tells the limits of a reading whichever there are', () => {
    const limits = (measure: object): string => {
      const plan = {
        ...SAMPLE_PLAN,
        steps: SAMPLE_PLAN.steps.map((step) =>
          step.id === 'm' ? { ...step, measure: { id: 'v', name: 'output', unit: 'V', ...measure } } : step,
        ),
      };
      const page = documentOf(
        serviceReport(jobReview(sampleFile('j', plan), linesOf(sampleRecords()), 'complete'), 'T1'),
      );
      return [...page.querySelectorAll('tr')].map(cellsOf).find((row) => row.startsWith('output')) ?? '';
    };
    expect(limits({ min: 4.9, max: 5.1 })).toBe('output|5.2 V|4.9 to 5.1 V|outside limits');
    expect(limits({ min: 4.9 })).toContain('4.9 V');
    expect(limits({ max: 5.1 })).toContain('5.1 V');
    expect(limits({})).toContain('|–|');
    expect(new Set([limits({ min: 5 }), limits({ max: 5 }), limits({})]).size).toBe(3);
  });
});

describe('pictures', () => {
  it('the course fills its width, each stretch by its length, an absence cut short', () => {
    const svg = documentOf(timelinePicture(review).toString());
    const bars = [...svg.querySelectorAll('rect[y="24"]')];
    expect(bars).toHaveLength(review.spans.length);
    const ends = bars.map((bar) => Number(bar.getAttribute('x')) + Number(bar.getAttribute('width')));
    expect(ends.at(-1)).toBeCloseTo(720, 0);
    for (const [index, bar] of bars.entries())
      if (index > 0) expect(Number(bar.getAttribute('x'))).toBeCloseTo(ends[index - 1]!, 1);
    const away = review.spans.findIndex((span) => span.kind === 'away');
    const present = review.spans.reduce(
      (sum, span) => sum + (span.kind === 'away' ? 0 : span.to_ms - span.from_ms),
      0,
    );
    expect(Number(bars[away]!.getAttribute('width'))).toBeCloseTo(
      (720 * 0.05 * present) / (1.05 * present),
      1,
    );
    const signs = [...svg.querySelectorAll('text[y="18"]')].map((text) => text.textContent);
    expect(signs).toEqual(['!', '▼']);
    const legend = [...svg.querySelectorAll('rect[y="64"]')].map((key) => [
      key.getAttribute('x'),
      key.nextElementSibling?.getAttribute('x'),
      key.nextElementSibling?.textContent,
      key.getAttribute('fill'),
    ]);
    const kinds = ['work', 'being read to', 'waiting for an answer', 'paused', 'away'];
    expect(legend.map((key) => key.slice(0, 3))).toEqual(
      kinds.map((kind, index) => [String(144 * index), String(144 * index + 17), kind]),
    );
    const fillOf = new Map(
      ['hands', 'reading', 'waiting', 'paused', 'away'].map((kind, i) => [kind, legend[i]![3]]),
    );
    for (const [index, span] of review.spans.entries())
      if (span.kind !== 'unattributed') expect(bars[index]!.getAttribute('fill')).toBe(fillOf.get(span.kind));
    expect(new Set(fillOf.values()).size).toBe(5);
  });

  it('a mark stands in its stretch by its share of it, and nothing of a mark outside of all', () => {
    const span = (from_ms: number, to_ms: number, kind: string) => ({ from_ms, to_ms, kind, step: null });
    const mark = (at_ms: number, kind: string) => ({ at_ms, kind, step: null, text: '' });
    const drawn = {
      ...review,
      spans: [span(1000, 3000, 'hands'), span(3000, 5000, 'paused'), span(5000, 5000, 'away')],
      marks: [
        ...[mark(1500, 'undo'), mark(4000, 'problem'), mark(4500, 'note')],
        ...[mark(900, 'caution'), mark(6000, 'caution'), mark(5000, 'caution')],
      ],
    };
    const texts = [
      ...documentOf(timelinePicture(drawn as never).toString()).querySelectorAll('text[y="18"]'),
    ];
    expect(texts.map((text) => [text.getAttribute('x'), text.textContent])).toEqual([
      ['90.0', '↶'],
      ['540.0', '▼'],
      ['720.0', '!'],
    ]);
  });

  it('bars stand by their share of the largest, the vital ones darker, long sentences cut', () => {
    const row = (step: string, total_ms: number, vital: boolean) => ({
      step,
      say: `${step} ${'x'.repeat(60)}`,
      total_ms,
      share: total_ms / 100,
      cumulative: 1,
      vital,
    });
    const svg = documentOf(
      paretoPicture([row('a', 60, true), row('b', 30, false), row('c', 10, false)] as never, 2).toString(),
    );
    const bars = [...svg.querySelectorAll('rect')].map((bar) =>
      ['x', 'y', 'width', 'fill'].map((name) => bar.getAttribute(name)),
    );
    expect(bars).toEqual([
      ['330', '3', '300.0', '#1f4e79'],
      ['330', '23', '150.0', '#7fb2d9'],
    ]);
    const texts = [...svg.querySelectorAll('svg > text')].map((text) => text.textContent);
    expect(texts.map((text) => text?.length)).toEqual([48, 4, 48, 4]);
    expect(texts[0]?.endsWith('…')).toBe(true);
    expect([texts[1], texts[3]]).toEqual(['60 %', '30 %']);
    expect(svg.querySelector('svg')?.getAttribute('viewBox')).toBe('0 0 720 44');
    expect(svg.querySelector('figcaption')?.textContent).toBe(
      `1 of 3 steps makes up 80 % of the time; the largest is "a ${'x'.repeat(60)}" with 60 %.`,
    );
    const none = documentOf(paretoPicture([]).toString());
    expect(none.querySelectorAll('rect')).toHaveLength(0);
    expect(none.querySelector('figcaption')?.textContent).toContain('0 of 0 steps');
  });

  it('points stand by their order and height, those that break a rule are squares', () => {
    const point = (value: number, rules: readonly string[]) => ({ label: 'j', value, rules });
    const chart = {
      scale: 'linear',
      center: 1000,
      low: 0,
      high: 2000,
      points: [point(1000, []), point(2000, ['nelson-1', 'nelson-2']), point(0, [])],
      how: 'x',
    };
    const svg = documentOf(chartPicture(chart as never, 'Step a').toString());
    expect(
      [...svg.querySelectorAll('circle')].map((one) => [one.getAttribute('cx'), one.getAttribute('cy')]),
    ).toEqual([
      ['40.0', (190 - (1000 / 2100) * 170).toFixed(1)],
      ['700.0', '190.0'],
    ]);
    const square = svg.querySelector('rect')!;
    expect([square.getAttribute('x'), square.getAttribute('y')]).toEqual([
      '366.0',
      (190 - (2000 / 2100) * 170 - 4).toFixed(1),
    ]);
    const lines = [...svg.querySelectorAll('line')].map((line) => [
      line.getAttribute('y1'),
      line.getAttribute('y2'),
      line.getAttribute('stroke-dasharray'),
      line.nextElementSibling?.textContent,
    ]);
    const height = (value: number): string => (190 - (value / 2100) * 170).toFixed(1);
    expect(lines).toEqual([
      [height(2000), height(2000), '6 3', 'upper limit 2.0 s'],
      [height(1000), height(1000), '', 'centre 1.0 s'],
      [height(0), height(0), '6 3', 'lower limit 0.0 s'],
    ]);
    expect(square.nextElementSibling?.textContent).toBe('1 2');
    expect(svg.querySelector('polyline')?.getAttribute('points')).toBe(
      `40.0,${height(1000)} 370.0,${height(2000)} 700.0,${height(0)}`,
    );
    expect(svg.querySelector('figcaption')?.textContent).toBe(
      'Step a: 3 points, centre 1.0 s, limits 0.0 s to 2.0 s; 1 point breaks a Nelson rule (its number stands at the point).',
    );
    expect(svg.querySelector('title')?.textContent).toBe('Step a');
  });

  it('numbers of a table stand right, its head names columns', () => {
    const made = documentOf(table('What', ['a', 'b'], [['x', 3]]).toString());
    expect(made.querySelector('caption')?.textContent).toBe('What');
    expect(
      [...made.querySelectorAll('th')].map((one) => [one.getAttribute('scope'), one.textContent]),
    ).toEqual([
      ['col', 'a'],
      ['col', 'b'],
    ]);
    expect([...made.querySelectorAll('td')].map((one) => one.className)).toEqual(['', 'number']);
    expect(dateText('2026-01-05T10:00:20.000+01:00')).toBe('2026-01-05 10:00');
  });
});
