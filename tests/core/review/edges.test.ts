/** Names, bounds, orders and refusals of the review's figures: what a reader sees besides the numbers. */
import { describe, expect, it } from 'vitest';
import { ENGLISH, languageOf } from '../../../electron/core/base/language.ts';
import { ENGLISH_TABLE } from '../../../electron/core/base/language-table.ts';
import { cautionStatistics } from '../../../electron/core/review/caution-statistics.ts';
import { changePoint, LEAST_SIDE } from '../../../electron/core/review/change-point.ts';
import { LEAST_JOBS_TO_COMPARE } from '../../../electron/core/review/comparison.ts';
import {
  countChart,
  individualsChart,
  meanAndRangeCharts,
  movingRangeChart,
  nelsonRules,
  shareChart,
} from '../../../electron/core/review/control-charts.ts';
import { quantileSorted } from '../../../electron/core/review/descriptive.ts';
import { ALL_JOBS, compareGroups, isInGroup } from '../../../electron/core/review/groups.ts';
import { poissonInterval, wilsonInterval } from '../../../electron/core/review/intervals.ts';
import {
  fitCrawford,
  forecastCrawford,
  learningCurve,
  plateauOf,
} from '../../../electron/core/review/learning.ts';
import type { JobTimes, StepStatistics } from '../../../electron/core/review/model.ts';
import { backTest, predictionOf, predictNext } from '../../../electron/core/review/prediction.ts';
import { fitLine, predictionInterval, theilSen } from '../../../electron/core/review/regression.ts';
import { rewriteCandidates } from '../../../electron/core/review/rewrite.ts';
import { rateOf, SAMPLE_LIMIT, stepStatistics } from '../../../electron/core/review/step-statistics.ts';
import { reviewSummary } from '../../../electron/core/review/summary.ts';
import { taskOfStep } from '../../../electron/core/review/task-of-step.ts';
import { reviewIn } from '../../../electron/core/review/words.ts';
import {
  iloAllowance,
  normalTime,
  observationsNeeded,
  standardTime,
  standardTimeOf,
} from '../../../electron/core/review/work-measurement.ts';
import { cautionAnswered, madeJobs, times } from './many-jobs.ts';

const labelled = (values: readonly number[]) => values.map((value, index) => ({ label: `j${index}`, value }));

describe('charts', () => {
  it('say what they are, how they were computed and on which scale', () => {
    const values = labelled([10, 12, 11, 13]);
    const groups = [1, 2, 3].map((n) => ({ label: `g${n}`, values: [n, n + 2] }));
    const { mean, range } = meanAndRangeCharts(groups);
    const log = individualsChart(values, { scale: 'log' });
    const all = [
      individualsChart(values),
      log,
      movingRangeChart(values),
      mean,
      range,
      countChart(values),
      shareChart(values, 20),
    ];
    expect(all.map(({ kind, scale, how }) => [kind, scale, how])).toEqual([
      ['individuals', 'linear', 'individuals-chart'],
      ['individuals', 'log', 'individuals-chart-log'],
      ['moving-range', 'linear', 'moving-range-chart'],
      ['mean', 'linear', 'mean-chart'],
      ['range', 'linear', 'range-chart'],
      ['c', 'linear', 'c-chart'],
      ['p', 'linear', 'p-chart'],
    ]);
    expect(mean.points.map((point) => [point.label, point.value])).toEqual([
      ['g1', 2],
      ['g2', 3],
      ['g3', 4],
    ]);
    expect(range.points.map((point) => [point.label, point.value, point.rules])).toEqual(
      ['g1', 'g2', 'g3'].map((label) => [label, 2, []]),
    );
  });

  it('mark a range, a count and a share beyond the limits on either side, and none on them', () => {
    // D3 is 0 up to six in a group, so only a larger group can fall below: D3 of 7 is 0.076 (printed tables).
    const spread = (size: number) => [0, size, 0, size, 0, size, 0];
    const groups = [10, 10, 10, 10, 10, 10, 100, 0.01].map((size, index) => ({
      label: `${index}`,
      values: spread(size),
    }));
    expect(meanAndRangeCharts(groups).range.points.map((point) => point.rules.length)).toEqual([
      0, 0, 0, 0, 0, 0, 1, 1,
    ]);
    const counts = countChart(labelled([100, 100, 100, 100, 100, 100, 200, 0]));
    expect(counts.points.map((point) => point.rules)).toEqual([
      [],
      [],
      [],
      [],
      [],
      [],
      ['nelson-1'],
      ['nelson-1'],
    ]);
    const shares = shareChart(labelled([50, 50, 50, 50, 50, 50, 95, 5]), 100);
    expect(shares.points.map((point) => point.rules)).toEqual([
      [],
      [],
      [],
      [],
      [],
      [],
      ['nelson-1'],
      ['nelson-1'],
    ]);
    expect(movingRangeChart(labelled([1, 1, 1, 1, 1, 1, 1, 9])).points.at(-1)?.rules).toEqual(['nelson-1']);
  });

  it('of equal values break no rule, and refuse what is too short', () => {
    const same = labelled([5, 5, 5, 5, 5, 5, 5, 5, 5, 5]);
    for (const chart of [individualsChart(same), meanAndRangeCharts([{ label: 'a', values: [5, 5] }]).mean])
      for (const point of chart.points) expect(point.rules.filter((rule) => rule !== 'nelson-7')).toEqual([]);
    expect(() => individualsChart(labelled([1]))).toThrow('two values, got 1');
    expect(() => movingRangeChart(labelled([1]))).toThrow('two values, got 1');
  });

  it('a value exactly two deviations out is not beyond two', () => {
    expect(nelsonRules([2.1, 0, 2])[2]).not.toContain('nelson-5');
    expect(nelsonRules([2.1, 0, 2.01])[2]).toContain('nelson-5');
    expect(nelsonRules([2, 0, 2.01])[2]).not.toContain('nelson-5');
  });
});

describe('what cannot be is refused', () => {
  it.each([
    ['a quantile below none', () => quantileSorted([1, 2], -0.1), 'quantile p'],
    ['a quantile above all', () => quantileSorted([1, 2], 1.1), 'quantile p'],
    ['a share of a part', () => wilsonInterval(0.5, 2), 'share of 0.5 in 2'],
    ['a share in a part', () => wilsonInterval(1, 2.5), 'share of 1 in 2.5'],
    ['a share below none', () => wilsonInterval(-1, 2), 'share of -1'],
    ['a share above all', () => wilsonInterval(3, 2), 'share of 3'],
    ['a share of none', () => wilsonInterval(0, 0), 'share of 0 in 0'],
    ['a rating of none', () => normalTime(1, 0), 'rating'],
    ['an allowance of the whole shift', () => standardTime(1, 1, 'shift'), 'allowance'],
    ['an allowance below none', () => standardTime(1, -0.1, 'work'), 'allowance'],
    ['a mean of none', () => observationsNeeded(1, 0, 0.05, 2), 'mean 0'],
    ['a precision of none', () => observationsNeeded(1, 1, 0, 2), 'precision 0'],
    ['an atmosphere beyond ten', () => iloAllowance({ atmosphere: 11 }), 'atmosphere'],
    ['an atmosphere below none', () => iloAllowance({ atmosphere: -1 }), 'atmosphere'],
  ])('%s', (_what, work, words) => {
    expect(work).toThrow(words);
  });
});

describe('intervals and observations', () => {
  it('a count of none has a low end of none', () => {
    expect(poissonInterval(0).low).toBe(0);
    expect(poissonInterval(1).low).toBeGreaterThan(0);
  });

  it('less than one observation is one, and noise of the arithmetic asks for none', () => {
    expect(observationsNeeded(0.01, 1, 0.05, 2)).toBe(1);
    expect(observationsNeeded(0.275, 1, 0.05, 2)).toBe(121);
    expect(observationsNeeded(0, 1, 0.05, 2)).toBeCloseTo(0, 12);
  });

  it('a standard time leaves out both ends beyond the fence', () => {
    const middle = [10, 11, 12, 13, 14, 15, 16, 17].map((s) => s * 1000);
    expect(standardTimeOf([...middle, 1, 900_000], 1, 0)).toMatchObject({ n: 9, left_out: 1 });
    const tight = [10_000, 10_001, 10_002, 10_003, 10_004, 10_005, 10_006];
    expect(standardTimeOf([...tight, 1, 900_000], 1, 0)).toMatchObject({
      n: 7,
      left_out: 2,
      how: 'standard-time',
    });
  });
});

describe('a change of level', () => {
  const series = (before: number, after: number) => [
    ...Array.from({ length: before }, (_, i) => 1 + (i % 2) * 0.01),
    ...Array.from({ length: after }, (_, i) => 2 + (i % 2) * 0.01),
  ];
  it('needs eight values on either side, and is found at the last place where it has them', () => {
    expect(changePoint(series(LEAST_SIDE, LEAST_SIDE - 1))).toBeNull();
    expect(changePoint(series(LEAST_SIDE, LEAST_SIDE))?.index).toBe(LEAST_SIDE);
    expect(changePoint(series(30, LEAST_SIDE))?.index).toBe(30);
    expect(changePoint(series(LEAST_SIDE, 30))).toMatchObject({
      index: LEAST_SIDE,
      difference: expect.closeTo(1, 2),
    });
  });
  it('is none in values that are the same but for the last digit of a large number', () => {
    const large = Array.from({ length: 40 }, (_, i) => 1e9 + (i < 20 ? 0 : 1e-7));
    expect(changePoint(large)).toBeNull();
  });
});

describe('groups of jobs', () => {
  const [dated] = madeJobs(1, times(1)) as [JobTimes];
  const undated = { ...dated, started: '', started_s: 0 };
  const same = (name: string) => name;

  it('a job without a date is in no group with an end or a beginning', () => {
    expect(isInGroup(undated, ALL_JOBS, same)).toBe(true);
    expect(isInGroup(undated, { ...ALL_JOBS, to: '2030-01-01' }, same)).toBe(false);
    expect(isInGroup(undated, { ...ALL_JOBS, from: '2020-01-01' }, same)).toBe(false);
    expect(isInGroup(dated, { ...ALL_JOBS, from: '2026-01-05', to: '2026-01-05' }, same)).toBe(true);
    expect(isInGroup(dated, { ...ALL_JOBS, to: '2026-01-04' }, same)).toBe(false);
    expect(isInGroup(dated, { ...ALL_JOBS, from: '2026-01-06' }, same)).toBe(false);
  });

  it('one after the other is seen by their times, whatever the order of the list', () => {
    const jobs = madeJobs(3, [...times(6), ...times(6, { technician: 'Technician B' })]);
    const person = (name: string) => ({ ...ALL_JOBS, people: [name] });
    const of = (list: readonly JobTimes[]) => compareGroups(list, person('T1'), person('T2')).comparison;
    const shuffled = [3, 9, 0, 11, 6, 1, 10, 4, 7, 2, 8, 5].map((at) => jobs[at]!);
    expect(of(shuffled)).toEqual(of(jobs));
    expect(of(jobs).notices.map((one) => one.code)).toContain('compare/one-after-other');
    // At the same moment the name of the job decides, so that the answer is one.
    const atOnce = jobs.map((job) => ({ ...job, started_s: 1 }));
    const byName = (list: readonly JobTimes[]) =>
      compareGroups(list, person('Technician A'), ALL_JOBS, { show: 'names' }).comparison;
    expect(byName([...atOnce].reverse())).toEqual(byName(atOnce));
  });
});

describe('learning', () => {
  it('has no curve of lists that differ in length, of one job, of nothing timed', () => {
    expect(fitCrawford([1, 2, 3], [1, 2])).toMatchObject({
      error: { code: 'learning/too-few', severity: 'error', facts: { points: 3 } },
    });
    expect(fitCrawford([1], [2])).toMatchObject({ error: { code: 'learning/too-few' } });
    expect(fitCrawford([1, 2], [3, 0])).toMatchObject({
      error: { code: 'learning/not-positive', facts: { value: 0 } },
    });
    expect(fitCrawford([0, 2], [3, 1])).toMatchObject({
      error: { code: 'learning/not-positive', facts: { value: 0 } },
    });
    expect(fitCrawford([2, 2], [3, 1])).toMatchObject({ error: { code: 'learning/one-number-only' } });
  });

  it('of two jobs expects a third without an interval', () => {
    const found = forecastCrawford([1, 2], [100, 80], 4, 0.8);
    expect(found.ok && found.value.value).toBeCloseTo(64, 9);
    expect(found.ok && [found.value.low, found.value.high]).toEqual([Number.NaN, Number.NaN]);
  });

  it('has a level only where the times fell before, and forecasts only where there is a curve', () => {
    const falling = [100, 80, 70, 64, 60, 57, 54, 52, 50, 49];
    expect(plateauOf([...falling.slice(0, 9)])).toBeNull();
    expect(plateauOf([...falling].reverse())).toBeNull();
    const level = plateauOf([...falling, ...Array.from({ length: 30 }, (_, i) => 49 + (i % 2) * 0.1)]);
    expect(level?.level).toBeCloseTo(49, 0);
    const jobs = (active: readonly number[]) =>
      active.map((active_ms, index) => ({ job: `${index}`, active_ms }));
    expect(learningCurve('T1', jobs([5, 4, 3, 2]))).toMatchObject({
      fit: null,
      wright: null,
      forecast: [],
      plateau_from: null,
    });
    expect(learningCurve('T1', jobs([5, 4, 3, 2, 0]))).toMatchObject({
      fit: null,
      forecast: [],
      plateau_ms: null,
    });
    expect(learningCurve('T1', jobs(falling)).forecast.map((one) => one.number)).toEqual([11, 15, 20]);
  });
});

describe('predictions', () => {
  it('rest on the latest jobs, test only what has enough before it, and say how', () => {
    const steady = Array.from({ length: 30 }, (_, i) => 10_000 + (i % 5) * 100);
    const found = predictionOf(steady)!;
    expect([found.how, found.expected.how, found.coverage.how, found.coverage.level]).toEqual([
      'prediction-interval',
      'prediction-interval',
      'coverage-backtest',
      0.95,
    ]);
    expect(predictionOf(steady.slice(0, 5))?.coverage).toMatchObject({
      value: null,
      low: null,
      high: null,
      n: 0,
    });
    // A job is predicted from those before it: a step up is missed at first.
    expect(backTest([...steady.slice(0, 10), 90_000]).inside).toBe(backTest(steady.slice(0, 10)).inside);
    // And from the latest alone: what was long ago does not widen it.
    const wild = Array.from({ length: 400 }, (_, i) => (i % 2 === 0 ? 1000 : 100_000));
    const calm = Array.from({ length: 400 }, (_, i) => 10_000 + (i % 3));
    const after = backTest([...wild, ...calm, 30_000]).inside - backTest([...wild, ...calm]).inside;
    expect(after).toBe(0);
  });
});

describe('intervals for one more', () => {
  // Quantiles of Student's t from printed tables: 3.182 for 97.5 % and 3 degrees of freedom, 1.533 for 90 % and 4.
  it('by a line grow with the distance from its middle', () => {
    // By hand: sxx 14.8, sxy 21.4, syy 33.2, so slope 1.4459, intercept 0.9730, s² 2.2568 / 3.
    const line = fitLine([1, 2, 3, 4, 6], [2, 4, 5, 8, 9])!;
    for (const [x, distance] of [
      [3.2, 0],
      [10, 6.8],
      [0, 3.2],
    ] as const) {
      const half = 3.182446 * Math.sqrt(0.752252 * (1 + 1 / 5 + distance ** 2 / 14.8));
      const found = predictionInterval(line, x, 0.95);
      expect((found.high - found.low) / 2).toBeCloseTo(half, 4);
      expect((found.high + found.low) / 2).toBeCloseTo(0.972973 + 1.445946 * x, 4);
    }
    expect(() => predictionInterval(fitLine([1, 2], [1, 2])!, 3, 0.95)).toThrow('more points');
  });

  it('of jobs alone are as wide as their spread asks, and a little more', () => {
    const found = predictNext([1, 2, 3, 4, 5].map((log) => Math.exp(log)))!;
    const half = 1.533206 * Math.sqrt(2.5) * Math.sqrt(1.2);
    expect([found.value, found.low, found.high].map((one) => Math.log(one))).toEqual([
      expect.closeTo(3, 9),
      expect.closeTo(3 - half, 4),
      expect.closeTo(3 + half, 4),
    ]);
    expect(predictNext([1, 2, 3, 4])).toBeNull();
  });
});

describe('steps worth another look', () => {
  const [step] = stepStatistics(madeJobs(1, times(20))) as [StepStatistics];
  const fair: StepStatistics = {
    ...step,
    ...{ expected_s: 10, p90_ms: 11_000, share: 0.05, n: 20 },
    median: { ...step.median, value: 10_000 },
  };
  const rate = (low: number | null) => ({ ...rateOf(5, 20), low });
  const row = (over: Partial<StepStatistics>, vital = true) => {
    const one = { ...fair, ...over };
    const pareto = [
      {
        step: one.step,
        say: '',
        stage: one.stage,
        total_ms: 200_000,
        share: one.share,
        cumulative: 1,
        vital,
      },
    ];
    return rewriteCandidates([one], pareto)[0];
  };
  const codes = (over: Partial<StepStatistics>, vital = true) =>
    row(over, vital)?.reasons.map((one) => one.code) ?? [];

  it('are named from each bound on, with the figure', () => {
    expect(codes({})).toEqual([]);
    expect(codes({ p90_ms: 20_000 })).toEqual(['rewrite/spread']);
    expect(codes({ p90_ms: 19_999 })).toEqual([]);
    for (const [name, code, bound] of [
      ['repeat_rate', 'rewrite/repeats', 0.1],
      ['help_rate', 'rewrite/help', 0.1],
      ['revisit_rate', 'rewrite/revisits', 0.05],
      ['problem_rate', 'rewrite/problems', 0.05],
    ] as const) {
      expect(codes({ [name]: rate(bound) })).toEqual([code]);
      expect(row({ [name]: rate(bound) })?.reasons[0]?.facts).toEqual({ percent: 25 });
      expect(codes({ [name]: rate(bound - 0.001) })).toEqual([]);
      expect(codes({ [name]: rate(null) })).toEqual([]);
    }
    expect(codes({ repeat_rate: rate(0.1), share: 0.1 })).toEqual([
      'rewrite/repeats',
      'rewrite/much-of-the-job',
    ]);
    expect(codes({ repeat_rate: rate(0.1), share: 0.099 })).toEqual(['rewrite/repeats']);
    expect(codes({ repeat_rate: rate(0.1), share: 0.1 }, false)).toEqual(['rewrite/repeats']);
    expect(codes({ share: 0.5 })).toEqual([]);
  });

  it('score by the time that could be had and by the trouble, more in a large step', () => {
    // 5 s above expected in 20 jobs of 200 s; then low ends of rates by a tenth and the share.
    const none = { repeat_rate: rate(0), help_rate: rate(0), revisit_rate: rate(0), problem_rate: rate(0) };
    const slow = { ...none, median: { ...fair.median, value: 15_000 } };
    expect(row(slow)?.score).toBeCloseTo(0.5, 12);
    expect(row({ ...slow, repeat_rate: rate(0.2), problem_rate: rate(0.1) })?.score).toBeCloseTo(
      0.5 + 0.3 * 0.15,
      12,
    );
    expect(row({ ...none, help_rate: rate(0.2), share: 0.3 })?.score).toBeCloseTo(0.2 * 0.4, 12);
  });
});

describe('the task of a step', () => {
  const patterns = { take: 'Take {tool}.', 'seal.take-out': 'Take out {seal}.' };
  it('is what comes behind the sentence about the tool', () => {
    expect(taskOfStep('Take the hex key. Loosen the bolts.', patterns)).toBe('Loosen the bolts.');
    expect(taskOfStep('Take out the seal. Discard it.', patterns)).toBe('Take out the seal. Discard it.');
    expect(taskOfStep('Loosen the bolts. Put them away.', patterns)).toBe('Loosen the bolts. Put them away.');
    expect(taskOfStep('Take the hex key.', patterns)).toBe('Take the hex key.');
    expect(taskOfStep('Take the 2.5 mm key. Loosen it.', patterns)).toBe('Loosen it.');
    expect(taskOfStep('A b. C d.', { take: '{tool} nehmen.', 'seal.take-out': 'x' })).toBe('A b. C d.');
  });
});

describe('the whole review', () => {
  it('has where the time of all jobs went, kind by kind', () => {
    const over = {
      span_ms: 100,
      hands_ms: 40,
      reading_ms: 20,
      waiting_ms: 10,
      paused_ms: 15,
      away_ms: 10,
      unattributed_ms: 5,
    };
    const [type] = reviewSummary(madeJobs(1, times(2, { over }))).types;
    expect(type!.time_parts).toEqual(
      [
        ['hands', 80, 0.4],
        ['reading', 40, 0.2],
        ['waiting', 20, 0.1],
        ['paused', 30, 0.15],
        ['away', 20, 0.1],
        ['unattributed', 10, 0.05],
      ].map(([kind, ms, share]) => ({ kind, ms, share })),
    );
  });

  it('begins with the type of job that takes the most time', () => {
    const little = madeJobs(1, times(3, { over: { job_type: 'little', active_ms: 10 } }));
    const much = madeJobs(2, times(3, { over: { job_type: 'much', active_ms: 1000 } }));
    const order = (jobs: readonly JobTimes[]) => reviewSummary(jobs).types.map((type) => type.job_type);
    expect(order([...little, ...much])).toEqual(['much', 'little']);
    expect(order([...much, ...little])).toEqual(['much', 'little']);
  });

  it('calls steps vital up to four fifths of the time, the one that crosses it too', () => {
    const shares = { a: 6, b: 2.5, c: 1, m: 0.5 };
    const [type] = reviewSummary(madeJobs(1, times(1, { steps: shares }), 0)).types;
    expect(type!.pareto.map((row) => [row.step, row.vital])).toEqual([
      ['a', true],
      ['b', true],
      ['c', false],
      ['m', false],
    ]);
    expect(type!.pareto.map((row) => row.share)).toEqual([0.6, 0.25, 0.1, 0.05]);
  });

  it('says slower, faster, and from how many jobs on', () => {
    const trend = (paces: readonly number[]) =>
      reviewSummary(
        madeJobs(
          1,
          paces.map((pace) => ({ pace })),
          0.001,
        ),
      ).types[0]!.trend_says;
    const rising = Array.from({ length: 12 }, (_, i) => 1 + i / 10);
    expect(trend(rising)).toBe('slower');
    expect(trend([...rising].reverse())).toBe('faster');
    expect(trend(rising.slice(0, 8))).toBe('slower');
    expect(trend(rising.slice(0, 7))).toBe('too-few');
    expect(trend([1, 2, 1, 2, 1, 2, 1, 2, 1, 2])).toBe('no-trend-shown');
  });

  it('explains each kind of figure that occurs, and only where there is one', () => {
    expect(Object.keys(reviewSummary([]).how)).toEqual(['active-time']);
    const { how } = reviewSummary(madeJobs(1, times(12)));
    for (const key of ['p90-type-7', 'share-of-time', 'too-fast', 'theil-sen', 'learning-wright'])
      expect(Object.keys(how)).toContain(key);
    for (const text of Object.values(how)) expect(text).toMatch(/\.$/);
  });

  it('names a few jobs as few, one as one', () => {
    const codes = (count: number) =>
      reviewSummary(madeJobs(1, times(count))).types[0]!.notices.map((one) => one.code);
    expect(codes(1)).toEqual(['review/one-job']);
    expect(codes(2)).toEqual(['review/few-jobs']);
    expect(codes(30)).not.toContain('review/few-jobs');
  });

  it('lists the most hasty cautions first', () => {
    const given = (...answers: readonly number[]) =>
      answers.map((answer, index) => ({ ...cautionAnswered(answer), caution: `c${index}` }));
    const jobs = madeJobs(1, [
      { over: { cautions: given(9000, 10, 10) } },
      { over: { cautions: given(9000, 10, 9000) } },
      {
        over: {
          cautions: [
            { ...cautionAnswered(0), caution: 'never', read_to_acknowledged_ms: null, acknowledged: false },
          ],
        },
      },
    ]);
    expect(
      cautionStatistics(jobs)
        .slice(0, 2)
        .map((one) => [one.caution, one.too_fast_rate.value]),
    ).toEqual([
      ['c1', 1],
      ['c2', 0.5],
    ]);
  });

  it('has all times of a step up to the limit', () => {
    const sample = (count: number) => stepStatistics(madeJobs(1, times(count)))[0]!.sample_ms.length;
    expect([sample(SAMPLE_LIMIT - 1), sample(SAMPLE_LIMIT), sample(SAMPLE_LIMIT + 1)]).toEqual([
      SAMPLE_LIMIT - 1,
      SAMPLE_LIMIT,
      SAMPLE_LIMIT,
    ]);
  });

  it('compares revisions in their order, each step from as many jobs on as it takes', () => {
    const jobs = madeJobs(5, [
      ...times(LEAST_JOBS_TO_COMPARE, { revision: 10 }),
      ...times(LEAST_JOBS_TO_COMPARE, { revision: 2 }),
    ]);
    const [first] = reviewSummary(jobs).types[0]!.comparisons;
    expect([first?.a.facts.revision, first?.b.facts.revision]).toEqual([2, 10]);
    expect(first?.job.verdict).toBe('no-difference-shown');
    const [few] = reviewSummary(jobs.slice(1)).types[0]!.comparisons;
    expect(few?.job.verdict).toBe('too-few');
    expect(few?.steps.map((one) => one.p_holm)).toEqual([null, null, null, null]);
    expect(few?.notices.map((one) => one.code)).toContain('compare/too-few');
    expect(first?.notices.map((one) => one.code)).not.toContain('compare/too-few');
  });

  it('explains the second learning curve where anybody has one', () => {
    const jobs = madeJobs(1, [...times(6), { technician: 'Technician B' }]);
    expect(Object.keys(reviewSummary(jobs).how)).toContain('learning-wright');
  });

  it('is said in another language, and stays itself in English', () => {
    const summary = reviewSummary(madeJobs(1, times(1)));
    expect(reviewIn(summary, ENGLISH)).toBe(summary);
    const other = languageOf({ ...ENGLISH_TABLE, review: { ...ENGLISH_TABLE.review } });
    expect(reviewIn(summary, other)).not.toBe(summary);
    expect(reviewIn(summary, other)).toEqual(summary);
  });
});

it('ties of slopes count as ties, neither up nor down', () => {
  expect(theilSen([1, 1, 2, 2])).toMatchObject({ n: 4 });
  // Kendall's tau-b of 1 1 2 2 against its order: 4 pairs up, 2 tied of 6: 4 / √(4·6) = 0.816.
  expect(theilSen([1, 1, 2, 2])?.tau).toBeCloseTo(4 / Math.sqrt(4 * 6), 3);
});
