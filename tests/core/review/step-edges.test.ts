/** Figures of steps, cautions and comparisons at the edges: exact values of small cases that can be counted by hand. */
import { describe, expect, it } from 'vitest';
import { cautionStatistics } from '../../../electron/core/review/caution-statistics.ts';
import { holm, mannWhitney } from '../../../electron/core/review/comparison.ts';
import type { JobTimes, StepTimes } from '../../../electron/core/review/model.ts';
import { aliasOf } from '../../../electron/core/review/people.ts';
import { processShift, shiftNotice } from '../../../electron/core/review/process-shift.ts';
import { fitLine, leastSquares, theilSen } from '../../../electron/core/review/regression.ts';
import { LEAST_JOBS_TO_NAME, rewriteCandidates } from '../../../electron/core/review/rewrite.ts';
import {
  CHART_POINTS,
  lowerFence,
  rateOf,
  SAMPLE_LIMIT,
  stepStatistics,
} from '../../../electron/core/review/step-statistics.ts';
import { cautionAnswered, madeJobs, times } from './many-jobs.ts';

/** Jobs in which step `b` takes these milliseconds, with what else is said of it. */
function jobsWithB(rows: readonly Partial<StepTimes>[]): JobTimes[] {
  return madeJobs(
    1,
    rows.map((b) => ({ stepOver: { b } })),
  ).map((job) => ({ ...job, steps: job.steps.filter((step) => step.step === 'b'), active_ms: 1000 }));
}
const statisticsOfB = (rows: readonly Partial<StepTimes>[]) => stepStatistics(jobsWithB(rows))[0]!;

describe('a step over jobs', () => {
  it('has the figures of its times', () => {
    const b = statisticsOfB([
      { active_ms: 100, reading_ms: 10, waiting_ms: 4, first_pass_ms: 90 },
      { active_ms: 200, reading_ms: 30, waiting_ms: 6, first_pass_ms: 70 },
      { active_ms: 300, reading_ms: 20, waiting_ms: 8, first_pass_ms: 80 },
      { active_ms: 400, reading_ms: 20, waiting_ms: 2, first_pass_ms: 60 },
      { active_ms: 1000, reading_ms: 20, waiting_ms: 0, first_pass_ms: 50 },
    ]);
    expect(b).toMatchObject({
      n: 5,
      mean_ms: 400,
      median: { value: 300, n: 5, unit: 'ms' },
      q1_ms: 200,
      q3_ms: 400,
      p90_ms: expect.closeTo(760, 9),
      min_ms: 100,
      max_ms: 1000,
      reading_mean_ms: 20,
      waiting_mean_ms: 4,
      first_pass_median_ms: 70,
      share: 0.4,
      sample_ms: [100, 200, 300, 400, 1000],
      control: null,
      too_fast: { count: 0, limit_ms: null, by: null, jobs: [] },
    });
    // Deviations from the median: 0, 100, 100, 200, 700.
    expect(b.spread_ms).toBeCloseTo(1.4826 * 100, 1);
  });

  it('counts what happened in a job once, and only where it happened', () => {
    const b = statisticsOfB([
      { visits: 1 },
      { visits: 2 },
      { repeats: 1 },
      { say_agains: 3 },
      { helps: 1 },
      { problems: 1 },
      { state: 'skipped' },
      { state: 'open' },
    ]);
    const rates = [b.revisit_rate, b.repeat_rate, b.say_again_rate, b.help_rate, b.problem_rate, b.skip_rate];
    expect(rates.map((rate) => rate.value)).toEqual([1, 1, 1, 1, 1, 1].map((k) => k / 8));
    expect(b.n).toBe(6);
  });

  it('that was never done has no times', () => {
    expect(statisticsOfB([{ state: 'skipped', active_ms: 70 }])).toMatchObject({
      n: 0,
      mean_ms: 0,
      median: { value: null, low: null, high: null, level: null, n: 0 },
      p90_ms: 0,
      spread_ms: 0,
      first_pass_median_ms: 0,
      standard: null,
      share: 0.07,
    });
    expect(stepStatistics([])).toEqual([]);
  });

  it('has a chart from eight times on, of the latest, on logarithms where they are lopsided', () => {
    const times = [100, 101, 99, 100, 102, 98, 100, 500];
    expect(statisticsOfB(times.slice(1).map((active_ms) => ({ active_ms }))).control).toBeNull();
    const { control } = statisticsOfB(times.map((active_ms) => ({ active_ms })));
    expect(control).toMatchObject({ scale: 'log', values_ms: times });
    expect(control?.flagged).toMatchObject([{ index: 7, job: 'job-0007' }]);
    const even = Array.from({ length: CHART_POINTS + 20 }, (_, n) => ({ active_ms: 1000 + (n % 7) }));
    const long = statisticsOfB(even).control;
    expect([long?.scale, long?.values_ms.length, long?.values_ms[0]]).toEqual([
      'linear',
      CHART_POINTS,
      1000 + (20 % 7),
    ]);
  });

  it('keeps a part of very many times for the picture, evenly', () => {
    const kept = statisticsOfB(Array.from({ length: 2 * SAMPLE_LIMIT }, (_, n) => ({ active_ms: n + 1 })));
    expect(kept.sample_ms).toHaveLength(SAMPLE_LIMIT);
    expect(kept.sample_ms.slice(0, 3)).toEqual([1, 3, 5]);
  });

  it('is listed in the order of the plan, unknown steps last, and only where asked for', () => {
    const [job] = madeJobs(1, times(1));
    const shuffled = [...job!.steps]
      .reverse()
      .map((step) => (step.step === 'a' ? { ...step, index: -1 } : step));
    const table = stepStatistics([{ ...job!, steps: shuffled }]);
    expect(table.map((step) => step.step)).toEqual(['b', 'c', 'm', 'a']);
    expect(stepStatistics([job!], undefined, new Set(['c'])).map((step) => step.step)).toEqual(['c']);
  });

  it('has a lower fence from twelve times above nought on', () => {
    const twelve = Array.from({ length: 12 }, (_, n) => n + 1);
    expect(lowerFence([0, ...twelve.slice(1)])).toBeNull();
    // Quartiles of type 7: 3.75 and 9.25.
    expect(lowerFence(twelve)).toBeCloseTo(3.75 * (3.75 / 9.25) ** 3, 10);
  });

  it('has no rate of nothing', () => {
    expect(rateOf(0, 0)).toMatchObject({ value: null, low: null, high: null, n: 0 });
    expect(rateOf(1, 4)).toMatchObject({ value: 0.25, n: 4 });
  });
});

describe('steps worth another look', () => {
  const row = (step: string, over: Partial<StepTimes>, count = 20) =>
    jobsWithB(Array.from({ length: count }, () => over)).map((job) => ({
      ...job,
      steps: job.steps.map((one) => ({ ...one, step })),
    }));
  const candidates = (over: Partial<StepTimes>, count = 20) =>
    rewriteCandidates(stepStatistics(row('b', { active_ms: 10_000, expected_s: 10, ...over }, count)), []);
  const codes = (over: Partial<StepTimes>, count = 20) =>
    candidates(over, count).flatMap(({ reasons }) => reasons.map((reason) => reason.code));

  it('are slower than expected, asked for again, gone back to, or had problems', () => {
    expect(codes({})).toEqual([]);
    expect(codes({ active_ms: 15_000 })).toEqual(['rewrite/slower-than-expected']);
    expect(codes({ active_ms: 14_999 })).toEqual([]);
    expect(codes({ active_ms: 50_000, expected_s: 0 })).toEqual([]);
    expect(codes({ repeats: 1 })).toEqual(['rewrite/repeats']);
    expect(codes({ helps: 1 })).toEqual(['rewrite/help']);
    expect(codes({ visits: 2 })).toEqual(['rewrite/revisits']);
    expect(codes({ problems: 1 })).toEqual(['rewrite/problems']);
  });

  it('are named from five jobs on, with their figures', () => {
    expect(codes({ repeats: 1 }, LEAST_JOBS_TO_NAME)).toEqual(['rewrite/repeats']);
    expect(codes({ repeats: 1 }, LEAST_JOBS_TO_NAME - 1)).toEqual([]);
    const [slow] = candidates({ active_ms: 25_000, repeats: 1 });
    expect(slow?.reasons).toMatchObject([
      { facts: { ratio: 2.5, median_s: 25, expected_s: 10 } },
      { facts: { percent: 100 } },
    ]);
  });

  it('come with what is most worth while first', () => {
    const table = stepStatistics([
      ...row('little', { active_ms: 16_000, expected_s: 10 }),
      ...row('much', { active_ms: 90_000, expected_s: 10 }),
    ]);
    const pareto = table.map(({ step, say, share }) => ({
      step,
      say,
      total_ms: 1e6,
      share,
      cumulative: 1,
      vital: step === 'much',
    }));
    expect(
      rewriteCandidates(table, pareto as never).map(({ step, reasons }) => [
        step,
        reasons.map(({ code }) => code),
      ]),
    ).toEqual([
      ['much', ['rewrite/slower-than-expected', 'rewrite/much-of-the-job']],
      ['little', ['rewrite/slower-than-expected']],
    ]);
  });
});

describe('cautions over jobs', () => {
  it('are counted with their answers, those that were never answered apart, the hasty first', () => {
    const given = (cautions: JobTimes['cautions']) => ({ over: { cautions } });
    const other = { ...cautionAnswered(5000), caution: 'esd', hazard: 'Static' };
    const table = cautionStatistics(
      madeJobs(1, [
        given([other, cautionAnswered(299)]),
        given([{ ...cautionAnswered(0), read_to_acknowledged_ms: null, acknowledged: false }, other]),
        given([cautionAnswered(300)]),
        given([cautionAnswered(900)]),
      ]),
    );
    expect(table).toMatchObject([
      {
        step: 'b',
        caution: 'pins',
        word: 'warning',
        given: 4,
        answer: { value: 300, n: 3, how: 'caution-answer' },
        too_fast_rate: { value: 1 / 3, n: 3, how: 'caution-too-fast' },
        unanswered: 1,
      },
      { caution: 'esd', given: 2, too_fast_rate: { value: 0 }, unanswered: 0 },
    ]);
  });
});

describe('two groups', () => {
  // Mann and Whitney (1947): of 20, 35, 70 and 252 arrangements, those with U up to the one found, twice.
  it.each([
    [[1, 2, 3], [4, 5, 6], 0, 2 / 20],
    [[4, 5, 6], [1, 2, 3], 9, 2 / 20],
    [[1, 2, 5], [3, 4, 6, 7], 2, 8 / 35],
    [[1, 2, 3, 5], [4, 6, 7, 8], 1, 4 / 70],
    [[1, 2, 3, 5, 7], [4, 6, 8, 9, 10], 3, 14 / 252],
    [[1, 4], [2, 3], 2, 1],
  ])('%j and %j: U %d', (a, b, u, p) => {
    const found = mannWhitney(a, b);
    expect(found?.u).toBe(u);
    expect(found?.p).toBeCloseTo(p, 12);
  });

  it('have no exact test with ties, with nothing, or when they are large', () => {
    expect(mannWhitney([1, 2], [2, 3])).toBeNull();
    expect(mannWhitney([], [1])).toBeNull();
    const many = Array.from({ length: 21 }, (_, n) => n);
    expect(
      mannWhitney(
        many,
        many.map((n) => n + 0.5),
      ),
    ).toBeNull();
    expect(
      mannWhitney(
        many.slice(1),
        many.slice(1).map((n) => n + 0.5),
      ),
    ).not.toBeNull();
  });

  it('Holm: the smallest of four is multiplied by four, none falls below one before it, none above one', () => {
    expect(holm([0.01, 0.04, 0.03, 0.5])).toEqual([0.04, 0.09, 0.09, 0.5]);
    expect(holm([0.9, 0.8])).toEqual([1, 1]);
    expect(holm([])).toEqual([]);
  });
});

describe('lines', () => {
  it('through points on a line are that line, without a spread', () => {
    const line = fitLine([1, 2, 3], [3, 5, 7]);
    expect(
      [line?.intercept, line?.slope, line?.df, line?.mean_x, line?.sxx].map((one) => Number(one?.toFixed(9))),
    ).toEqual([1, 2, 1, 2, 2]);
    expect(line?.r_squared).toBeCloseTo(1, 12);
    expect(fitLine([1, 2], [3, 5])).toMatchObject({ df: 0, residual_sd: 0, f: Number.NaN });
    expect(fitLine([1], [3])).toBeNull();
    expect(fitLine([2, 2, 2], [1, 2, 3])).toBeNull();
    expect(fitLine([1, 2, 3], [4, 4, 4])?.r_squared).toBe(1);
  });

  it('need as many rows as columns, and columns that do not depend on each other', () => {
    expect(leastSquares([], [], { intercept: false })).toBeNull();
    expect(leastSquares([[]], [1], { intercept: false })).toBeNull();
    expect(leastSquares([[1, 2]], [1], { intercept: false })).toBeNull();
    expect(
      leastSquares(
        [
          [1, 2],
          [2, 4],
          [3, 6],
        ],
        [1, 2, 3],
        { intercept: false },
      ),
    ).toBeNull();
    expect(
      leastSquares(
        [
          [0, 1],
          [0, 2],
        ],
        [1, 2],
        { intercept: false },
      ),
    ).toBeNull();
    expect(() => leastSquares([[1]], [], { intercept: false })).toThrow('as many rows as values');
    const mean = leastSquares([[1], [1], [1]], [1, 2, 6], { intercept: true });
    expect(mean?.coefficients[0]).toBeCloseTo(3, 12);
    expect(mean?.f).toBeNaN();
  });

  it('of Theil and Sen is the median of the slopes, from four values on', () => {
    expect(theilSen([1, 2, 3])).toBeNull();
    expect(theilSen([1, 2, 3, 4])).toMatchObject({ slope: 1, tau: 1, n: 4 });
    expect(theilSen([4, 3, 2, 1])).toMatchObject({ slope: -1, tau: -1 });
    expect(theilSen([5, 5, 5, 5])).toMatchObject({ slope: 0, tau: 0 });
    // Pairs: 1, 1, −1, −3 and one each over two and three steps.
    expect(theilSen([1, 2, 3, 0])?.tau).toBeCloseTo(0, 12);
  });
});

describe('a change in the process', () => {
  const before = times(20);
  const shifted = (pace: number) => processShift(madeJobs(4, [...before, ...times(20, { pace })], 0.02));

  it('is found at its job, with its size, in both directions', () => {
    const slower = shifted(1.5);
    expect(slower?.index).toBe(20);
    expect(slower?.ratio).toBeGreaterThan(1.2);
    expect(shiftNotice(slower!, 100)).toMatchObject({
      facts: { number: 121, direction: 'longer', started: '2026-01-06' },
    });
    const faster = shifted(0.6);
    expect(faster?.index).toBe(20);
    expect(shiftNotice(faster!, 0)).toMatchObject({ facts: { number: 21, direction: 'less' } });
  });

  it('is none where nothing changed, where it is small, or where nothing is timed', () => {
    expect(shifted(1)).toBeNull();
    expect(shifted(1.01)).toBeNull();
    expect(processShift([])).toBeNull();
    expect(processShift(madeJobs(4, times(20, { over: { active_ms: 0 } })))).toBeNull();
  });
});

describe('pseudonyms', () => {
  const [one, two] = madeJobs(1, [{ technician: 'Pat' }, { technician: 'Kim' }]) as [JobTimes, JobTimes];

  it('go by who came first, whatever the order of the list; the own name stays', () => {
    const alias = aliasOf([two, one], 'pseudonyms');
    expect([alias('Pat'), alias('Kim'), alias('Sam')]).toEqual(['T1', 'T2', 'T?']);
    const own = aliasOf([two, one], { own: 'Kim' });
    expect([own('Pat'), own('Kim')]).toEqual(['T1', 'Kim']);
    expect(aliasOf([], 'names')('Sam')).toBe('Sam');
  });

  it('of people who only helped come before whoever did the most', () => {
    const shared = {
      ...one,
      technicians: [
        { name: 'Sam', active_ms: 1 },
        { name: 'Pat', active_ms: 9 },
      ],
    };
    expect(['Sam', 'Pat'].map(aliasOf([shared], 'pseudonyms'))).toEqual(['T1', 'T2']);
  });
});
