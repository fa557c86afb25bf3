import { describe, expect, it } from 'vitest';
import { compareJobs } from '../../../electron/core/review/comparison.ts';
import type { Notice } from '../../../electron/core/review/model.ts';
import { backTest, predictionOf } from '../../../electron/core/review/prediction.ts';
import { lowerFence, stepStatistics } from '../../../electron/core/review/step-statistics.ts';
import { reviewLogs, reviewSummary } from '../../../electron/core/review/summary.ts';
import { HOW, lapseText, notice } from '../../../electron/core/review/words.ts';
import { cautionAnswered, madeJobs, times } from './many-jobs.ts';
import { linesOf, sampleFile, sampleRecords } from './sample-job.ts';

describe('statistics of a step', () => {
  const jobs = madeJobs(1, [
    ...times(18),
    { stepOver: { b: { visits: 3, repeats: 2, problems: 1 } } },
    { stepOver: { b: { say_agains: 1, helps: 1 } } },
  ]);
  const table = stepStatistics(jobs);
  const b = table.find((step) => step.step === 'b')!;

  it('gives median with interval, p90 and shares that add up', () => {
    expect(b.n).toBe(20);
    expect(b.median.low!).toBeLessThan(b.median.value!);
    expect(b.median.high!).toBeGreaterThan(b.median.value!);
    expect(b.median.level!).toBeGreaterThanOrEqual(0.95);
    expect(b.p90_ms).toBeGreaterThan(b.median.value!);
    expect(table.reduce((sum, step) => sum + step.share, 0)).toBeCloseTo(1, 12);
    expect(table.map((step) => step.step)).toEqual(['a', 'b', 'c', 'm']);
  });

  it('gives rates per job with Wilson intervals', () => {
    for (const rate of [b.revisit_rate, b.repeat_rate, b.problem_rate, b.say_again_rate, b.help_rate]) {
      expect(rate.value).toBe(0.05);
      expect(rate.n).toBe(20);
      expect(rate.low!).toBeGreaterThan(0);
      expect(rate.high!).toBeLessThan(0.25);
    }
    expect(table[0]!.revisit_rate.value).toBe(0);
  });

  it('finds answers below the lower fence and below what the fasteners need', () => {
    const fast = madeJobs(2, [...times(20), { steps: { a: 0.01 } }]);
    const byShape = stepStatistics(fast).find((step) => step.step === 'a')!.too_fast;
    expect(byShape).toMatchObject({ count: 1, by: 'distribution', jobs: ['job-0020'] });
    const screws = madeJobs(3, times(3, { stepOver: { a: { fastener_turns: 60 } } }));
    expect(stepStatistics(screws)[0]!.too_fast).toMatchObject({
      count: 3,
      by: 'fasteners',
      limit_ms: 60_000,
    });
    expect(lowerFence([1, 2, 3])).toBe(null);
  });

  it('does not flag ordinary times', () => {
    expect(stepStatistics(madeJobs(4, times(60))).every((step) => step.too_fast.count === 0)).toBe(true);
  });
});

describe('comparison of revisions', () => {
  const [one, two] = [1, 2].map((revision) => notice('compare/revision', { revision })) as [Notice, Notice];
  const older = madeJobs(5, times(25, { revision: 1 }));
  const newer = madeJobs(6, times(25, { revision: 2, steps: { b: 0.6 } }));

  it('finds the step that became faster, and only that one', () => {
    const found = compareJobs('revisions', { name: one, jobs: older }, { name: two, jobs: newer });
    const verdicts = Object.fromEntries(found.steps.map((step) => [step.step, step.verdict]));
    expect(verdicts).toEqual({
      a: 'no-difference-shown',
      b: 'faster',
      c: 'no-difference-shown',
      m: 'no-difference-shown',
    });
    const b = found.steps.find((step) => step.step === 'b')!;
    expect(b.ratio.value!).toBeCloseTo(0.6, 1);
    expect(b.ratio.low!).toBeLessThan(0.6);
    expect(b.ratio.high!).toBeGreaterThan(0.6);
    expect(b.p_holm!).toBeGreaterThanOrEqual(b.p!);
    expect(found.job.verdict).toBe('faster');
    expect(found.notices).toEqual([]);
  });

  it('warns when there are too few jobs or other people, and gives no verdict', () => {
    const few = compareJobs(
      'groups',
      { name: one, jobs: older.slice(0, 3) },
      { name: two, jobs: madeJobs(7, times(2, { technician: 'Technician B' })) },
    );
    expect(few.notices.map((one) => one.code)).toEqual(['compare/too-few', 'compare/different-people']);
    expect(new Set(few.steps.map((step) => step.verdict))).toEqual(new Set(['too-few']));
    const none = compareJobs('groups', { name: one, jobs: [] }, { name: two, jobs: [] });
    expect(none.job.ratio.value).toBe(null);
  });

  it('names steps that only one side has', () => {
    const short = newer.map((job) => ({ ...job, steps: job.steps.filter((step) => step.step !== 'c') }));
    expect(compareJobs('revisions', { name: one, jobs: older }, { name: two, jobs: short })).toMatchObject({
      only_in_a: [{ step: 'c', say: 'Do c.' }],
      only_in_b: [],
    });
  });
});

describe('prediction', () => {
  it('covers about 80 % of later jobs of a steady process', () => {
    // 400 jobs of one process; the Wilson interval of the coverage must hold 0.8.
    const found = predictionOf(madeJobs(8, times(400), 0.3).map((job) => job.active_ms))!;
    expect(found.coverage.n).toBe(395);
    expect(found.coverage.low!).toBeLessThan(0.8);
    expect(found.coverage.high!).toBeGreaterThan(0.8);
    expect(found.expected.low!).toBeLessThan(found.expected.value!);
  });
  it('needs five jobs', () => {
    expect(predictionOf([1, 2, 3, 4])).toBe(null);
    expect(backTest([1, 2, 3, 4, 5])).toEqual({ inside: 0, n: 0 });
  });
});

describe('the supervisor sees', () => {
  const jobs = madeJobs(9, [
    ...times(20, { revision: 1, steps: { b: 2.5 } }),
    ...times(20, { revision: 2, technician: 'Technician B', pace: 0.7 }),
    { over: { outcome: 'given-up', fasteners_missing: 2 } },
    { over: { outcome: null } },
    { over: { verdict: 'unknown' } },
    { over: { readings_out: 1, clock_jumps: 1 }, stepOver: { m: { state: 'skipped' } } },
  ]);
  const review = reviewSummary(jobs);
  const type = review.types[0]!;

  it('how many jobs there are and which were left out', () => {
    expect(review.jobs).toEqual({ total: 44, completed: 41, given_up: 1, unfinished: 1, unknown: 1 });
    expect(review.notices.map((one) => one.code)).toEqual(['review/some-unknown', 'review/clock-jumped']);
    expect(review.from! < review.to!).toBe(true);
  });

  it('where the time goes', () => {
    expect(type.pareto[0]!.step).toBe('b');
    expect(type.pareto.at(-1)!.cumulative).toBeCloseTo(1, 12);
    expect(type.pareto.filter((row) => row.vital).length).toBeGreaterThan(0);
    expect(type.time_parts.reduce((sum, part) => sum + part.share, 0)).toBeCloseTo(1, 12);
  });

  it('whether it gets better', () => {
    expect(type.trend_says).toBe('faster');
    expect(type.trend.high!).toBeLessThan(1);
    expect(type.chart!.points.length).toBe(41);
    expect(type.learning.map((curve) => curve.technician)).toEqual(['T1', 'T2']);
  });

  it('a change of the process, but neither learning nor a change of people', () => {
    const shiftOf = (made: Parameters<typeof madeJobs>[1]): string[] =>
      reviewSummary(madeJobs(12, made)).types[0]!.notices.map((one) => one.text);
    expect(shiftOf([...times(30), ...times(30, { pace: 1.2 })])[0]).toMatch(
      /about job (29|30|31|32) .* longer/,
    );
    expect(shiftOf([...times(30), ...times(30, { pace: 0.7, technician: 'Technician B' })])).toEqual([]);
    expect(shiftOf(Array.from({ length: 60 }, (_, index) => ({ pace: 2 * (index + 1) ** -0.25 })))).toEqual(
      [],
    );
  });

  it('charts of means and ranges by fives, and of each step', () => {
    // 41 finished jobs: eight groups of five, the oldest one in none.
    expect(type.subgroups!.mean.points.length).toBe(8);
    expect(type.subgroups!.range.kind).toBe('range');
    const latest = jobs.filter((job) => job.outcome === 'completed' && job.verdict !== 'unknown').slice(-5);
    expect(type.subgroups!.mean.points.at(-1)!.value).toBeCloseTo(
      latest.reduce((sum, job) => sum + job.active_ms, 0) / 5,
      6,
    );
    const b = type.steps.find((step) => step.step === 'b')!;
    expect(b.control!.values_ms.length).toBe(41);
    // The step was halved in the middle, which no chart can take for one process.
    expect(b.control!.flagged.length).toBeGreaterThan(5);
    for (const { index, job, rules } of b.control!.flagged) {
      expect(rules.every((rule) => /^nelson-[1-8]$/.test(rule))).toBe(true);
      expect(jobs.find((one) => one.job === job)!.steps.find((one) => one.step === 'b')!.active_ms).toBe(
        b.control!.values_ms[index],
      );
    }
    expect(b.standard!.n + b.standard!.left_out).toBe(41);
    expect(type.learning[0]!.wright!.model).toBe('wright');
  });

  it('how cautions are answered, and in how many jobs something was not as it should be', () => {
    const caution = cautionAnswered(1000);
    const fast = { ...caution, read_to_acknowledged_ms: 100 };
    const never = { ...caution, read_to_acknowledged_ms: null, acknowledged: false };
    const made = madeJobs(10, [
      ...times(17, { over: { cautions: [caution] } }),
      { over: { cautions: [fast, fast] } },
      ...times(2, { over: { cautions: [never] } }),
    ]);
    const found = reviewSummary(made);
    const [row] = found.types[0]!.cautions;
    expect(row).toMatchObject({ given: 21, unanswered: 2, answer: { value: 1000, n: 19, unit: 'ms' } });
    expect(row!.too_fast_rate).toMatchObject({ value: 2 / 19, n: 19 });
    expect(found.types[0]!.lapse_jobs).toBe(3);
    expect(found.lapse_rates.map((one) => [one.kind, one.rate.value])).toEqual([
      ['caution-not-understood', 0.1],
      ['caution-too-fast', 0.05],
    ]);
    // Wilson for 2 of 20, computed by hand: 0.0279 to 0.3010.
    expect(found.lapse_rates[0]!.rate.low).toBeCloseTo(0.0279, 4);
    expect(found.lapse_rates[0]!.rate.high).toBeCloseTo(0.301, 4);
    expect(found.how['lapse-rate']).toBe(HOW['lapse-rate']);
  });

  it('the jobs before and after a change, step by step', () => {
    const made = madeJobs(12, [...times(30), ...times(30, { steps: { c: 2.2 } })]);
    const { comparisons, notices } = reviewSummary(made).types[0]!;
    expect(notices.map((one) => one.code)).toEqual(['review/shift']);
    expect(comparisons.length).toBe(1);
    const [groups] = comparisons;
    expect(groups).toMatchObject({
      what: 'groups',
      only_in_a: [],
      only_in_b: [],
      job: { verdict: 'slower' },
    });
    expect(groups!.b.text).toMatch(/from 2026-01-0\d on/);
    const slower = groups!.steps.filter((step) => step.verdict === 'slower');
    expect(slower.map((step) => step.step)).toEqual(['c']);
    expect(Math.abs(groups!.jobs_a - 30)).toBeLessThanOrEqual(2);
  });

  it('what to rewrite, and why', () => {
    expect(type.rewrite[0]!.step).toBe('b');
    expect(type.rewrite[0]!.reasons.length).toBeGreaterThan(0);
    expect(type.comparisons[0]!.steps.find((step) => step.step === 'b')!.verdict).toBe('faster');
  });

  it('what was not done as it should be', () => {
    const kinds = review.lapses.map((lapse) => lapse.kind);
    for (const kind of [
      'given-up',
      'fastener-missing',
      'reading-out-of-limits',
      'clock-jumped',
      'step-skipped',
    ])
      expect(kinds).toContain(kind);
    expect(review.lapses.every((lapse) => lapse.text.length > 10 && !lapse.text.includes('?'))).toBe(true);
  });

  it('pseudonyms unless names are turned on, and a person the own name', () => {
    expect(JSON.stringify(review)).not.toContain('Technician');
    expect(reviewSummary(jobs, { show: 'names' }).people.map((one) => one.name)).toEqual([
      'Technician A',
      'Technician B',
    ]);
    const own = JSON.stringify(reviewSummary(jobs, { show: { own: 'Technician B' } }));
    expect(own).toContain('Technician B');
    expect(own).not.toContain('Technician A');
  });

  it('an explanation for every figure', () => {
    const used = new Set(
      [...JSON.stringify(review.types).matchAll(/"how":"([^"]+)"/g)].map((match) => match[1]!),
    );
    expect(used.size).toBeGreaterThan(8);
    for (const key of used) expect(review.how[key as keyof typeof HOW]).toBe(HOW[key as keyof typeof HOW]);
  });

  it('the same whatever the order of the jobs', () => {
    expect(reviewSummary([...jobs].reverse())).toEqual(review);
  });

  it('plain data that survives JSON', () => {
    expect(JSON.parse(JSON.stringify(review))).toEqual(review);
  });
});

describe('little or bad input', () => {
  it('no jobs', () => {
    const empty = reviewSummary([]);
    expect(empty.types).toEqual([]);
    expect(empty.notices[0]!.text).toContain('no jobs');
  });
  it('all broken', () => {
    const broken = reviewSummary(madeJobs(1, times(3, { over: { verdict: 'unknown' } })));
    expect(broken.types).toEqual([]);
    expect(broken.notices.map((one) => one.code)).toEqual(['review/all-unknown']);
  });
  it('one job, from its log', () => {
    const one = reviewLogs([{ job: sampleFile('j'), lines: linesOf(sampleRecords()), verdict: 'complete' }]);
    expect(one.types[0]).toMatchObject({ chart: null, prediction: null, trend_says: 'too-few' });
    expect(one.types[0]!.notices.map((n) => n.code)).toEqual(['review/one-job']);
    expect(one.types[0]!.steps.length).toBe(4);
  });
  it('jobs of no length', () => {
    const zero = reviewSummary(
      madeJobs(1, times(12, { pace: 0, over: { active_ms: 0, span_ms: 0, hands_ms: 0 } })),
    );
    // NaN and Infinity do not survive JSON.
    expect(JSON.parse(JSON.stringify(zero))).toEqual(zero);
    expect(zero.types[0]!.prediction).toBe(null);
  });
  it('a job of very many steps: the ones with the most time, and a remark', () => {
    const many = madeJobs(1, [{}]).map((job) => ({
      ...job,
      steps: Array.from({ length: 3000 }, (_, index) => ({
        ...job.steps[0]!,
        step: `s${index}`,
        index,
        active_ms: index === 2500 ? 9000 : 10,
      })),
    }));
    const [type] = reviewSummary(many).types;
    expect(type!.steps.length).toBe(1000);
    expect(type!.pareto[0]).toMatchObject({ step: 's2500', total_ms: 9000 });
    // Shares stay shares of everything.
    expect(type!.pareto[0]!.share).toBeCloseTo(9000 / (9000 + 2999 * 10), 12);
    expect(type!.notices.map((one) => one.text).join()).toContain(
      '1000 steps that take the most time are listed, of 3000',
    );
  });
  it('another product only', () => {
    expect(reviewSummary(madeJobs(1, times(3)), { product: 'other' }).jobs.total).toBe(0);
  });
});

it('notices and lapses have words', () => {
  expect(() => notice('review/never-heard-of')).toThrow(/assertion/);
  expect(lapseText('step-too-fast', { s: 1, least_s: 4 })).toContain('less than 4 s');
});
