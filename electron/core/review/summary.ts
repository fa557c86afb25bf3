/**
 * The supervisor's screen: where the time goes, whether it gets better, what to rewrite, and what was not
 * done as it should be; by type of job, every figure with what it rests on.
 */
import { cautionStatistics } from './caution-statistics.ts';
import { compareJobs } from './comparison.ts';
import {
  individualsChart,
  LEAST_POINTS,
  meanAndRangeCharts,
  movingRangeChart,
  scaleFor,
} from './control-charts.ts';
import { cumulativeShares, quantileSorted } from './descriptive.ts';
import { lapsesOf } from './lapses.ts';
import { learningCurve } from './learning.ts';
import type {
  Comparison,
  Figure,
  JobLog,
  JobTimes,
  JobTypeReview,
  Lapse,
  LearningCurve,
  Notice,
  ParetoRow,
  ReviewSummary,
  StepStatistics,
  TimeKind,
} from './model.ts';
import { type Alias, aliasOf, namesInOrder } from './people.ts';
import { predictionOf } from './prediction.ts';
import { type ProcessShift, processShift, shiftNotice } from './process-shift.ts';
import { theilSen } from './regression.ts';
import { rewriteCandidates } from './rewrite.ts';
import {
  CHART_POINTS,
  medianFigure,
  type Pace,
  rateOf,
  stepStatistics,
  USUAL_PACE,
} from './step-statistics.ts';
import { stepTimes } from './step-times.ts';
import { explain, type HowKey, notice, rejectionText } from './words.ts';
import { standardTimeOf } from './work-measurement.ts';

/** Most jobs in a chart and in the trend: the latest ones. */
export const CHART_JOBS = CHART_POINTS;
/** Most steps and cautions listed of one type of job, those with the most time: a page shows no more. */
export const STEP_LIMIT = 1000;
/** Most lapses listed, the latest first. */
export const LAPSE_LIMIT = 200;
/** Jobs on each side of a change of revision that are compared: near enough to leave learning out. */
export const COMPARED_JOBS = 50;
const FEW_JOBS = 5;
export interface ReviewOptions {
  /** Real names instead of pseudonyms; `{own}` shows only that person's name. */
  readonly show?: 'names' | 'pseudonyms' | { readonly own: string };
  /** Everybody by first appearance, where the jobs given are a part of all; else those of the jobs. */
  readonly everybody?: readonly string[];
  /** Only this product. */
  readonly product?: string | null;
  /** Logs that were not even taken for the review; they count as unknown. */
  readonly rejected?: ReviewSummary['rejected'];
  /** Pace of the people observed; 1 is normal. */
  readonly rating?: number;
  /** Allowance; by default personal 5 %, basic fatigue 4 % and standing 2 % of the ILO table. */
  readonly allowance?: number;
}

/** Active time of each step over the jobs, the largest first. */
function totalsOf(jobs: readonly JobTimes[]): readonly (readonly [step: string, total_ms: number])[] {
  const totals = new Map<string, number>();
  for (const job of jobs)
    for (const step of job.steps) totals.set(step.step, (totals.get(step.step) ?? 0) + step.active_ms);
  return [...totals].sort(([, a], [, b]) => b - a);
}

/** The rows of the steps listed; shares are of all steps. */
function paretoOf(steps: readonly StepStatistics[], totals: ReturnType<typeof totalsOf>): ParetoRow[] {
  const known = new Map(steps.map((step) => [step.step, step]));
  const shares = cumulativeShares(totals.map(([, total_ms]) => total_ms));
  let before = 0;
  return totals.flatMap(([id, total_ms], rank): ParetoRow[] => {
    const step = known.get(id);
    const { share = 0, cumulative = 0 } = shares[rank] ?? {};
    const vital = before < 0.8;
    before = cumulative;
    if (step === undefined) return [];
    return [{ step: id, say: step.say, stage: step.stage, total_ms, share, cumulative, vital }];
  });
}

function timeParts(jobs: readonly JobTimes[]): JobTypeReview['time_parts'] {
  const total = (pick: (job: JobTimes) => number): number => jobs.reduce((sum, job) => sum + pick(job), 0);
  const span = total((job) => job.span_ms);
  const parts: [TimeKind, number][] = [
    ['hands', total((job) => job.hands_ms)],
    ['reading', total((job) => job.reading_ms)],
    ['waiting', total((job) => job.waiting_ms)],
    ['paused', total((job) => job.paused_ms)],
    ['away', total((job) => job.away_ms)],
    ['unattributed', total((job) => job.unattributed_ms)],
  ];
  return parts.map(([kind, ms]) => ({ kind, ms, share: span === 0 ? 0 : ms / span }));
}

/** Jobs in one group of the charts of means and ranges. */
export const SUBGROUP = 5;

/** Means and ranges of the latest jobs by fives; the oldest that fill no group are left out. */
function subgroupsOf(jobs: readonly JobTimes[]): JobTypeReview['subgroups'] {
  const groups = Math.floor(jobs.length / SUBGROUP);
  if (groups < LEAST_POINTS) return null;
  const used = jobs.slice(jobs.length - groups * SUBGROUP);
  const { mean, range } = meanAndRangeCharts(
    Array.from({ length: groups }, (_, index) => {
      const group = used.slice(index * SUBGROUP, (index + 1) * SUBGROUP);
      return { label: group[0]?.job ?? '', values: group.map((job) => job.active_ms) };
    }),
  );
  return { size: SUBGROUP, mean, range };
}

function chartsOf(jobs: readonly JobTimes[]): Pick<JobTypeReview, 'chart' | 'range_chart' | 'subgroups'> {
  const latest = jobs.slice(-CHART_JOBS);
  if (latest.length < LEAST_POINTS) return { chart: null, range_chart: null, subgroups: null };
  const values = latest.map((job) => ({ label: job.job, value: job.active_ms }));
  const scale = scaleFor(values.map((one) => one.value));
  return {
    chart: individualsChart(values, { scale }),
    range_chart: movingRangeChart(values),
    subgroups: subgroupsOf(latest),
  };
}

function trendOf(times: readonly number[]): { trend: Figure; says: JobTypeReview['trend_says'] } {
  const logs = times
    .slice(-CHART_JOBS)
    .filter((time) => time > 0)
    .map(Math.log);
  const found = theilSen(logs);
  const per = (slope: number): number => Math.exp(10 * slope);
  const trend: Figure = {
    value: found === null ? null : per(found.slope),
    low: found === null ? null : per(found.low),
    high: found === null ? null : per(found.high),
    level: 0.95,
    n: logs.length,
    unit: 'ratio',
    how: 'theil-sen',
  };
  if (found === null || logs.length < LEAST_POINTS) return { trend, says: 'too-few' };
  if (found.high < 0) return { trend, says: 'faster' };
  return { trend, says: found.low > 0 ? 'slower' : 'no-trend-shown' };
}

function learningOf(jobs: readonly JobTimes[], alias: Alias): LearningCurve[] {
  const byPerson = new Map<string, JobTimes[]>();
  for (const job of jobs) {
    const list = byPerson.get(job.technician);
    if (list === undefined) byPerson.set(job.technician, [job]);
    else list.push(job);
  }
  return [...byPerson]
    .map(([name, own]) => learningCurve(alias(name), own))
    .sort((a, b) => (a.technician < b.technician ? -1 : 1));
}

/** Neighbouring revisions, and the jobs before and after a change of the process. */
function comparisonsOf(jobs: readonly JobTimes[], shift: ProcessShift | null): Comparison[] {
  const revisions = [...new Set(jobs.map((job) => job.product_revision))].sort((a, b) => a - b);
  const nameOf = (revision: number): Notice => notice('compare/revision', { revision });
  const byRevision = revisions.slice(1).map((revision, index) => {
    const older = revisions[index] as number;
    const of = (wanted: number): JobTimes[] => jobs.filter((job) => job.product_revision === wanted);
    return compareJobs(
      'revisions',
      { name: nameOf(older), jobs: of(older).slice(-COMPARED_JOBS) },
      { name: nameOf(revision), jobs: of(revision).slice(0, COMPARED_JOBS) },
    );
  });
  if (shift === null) return byRevision;
  const at = jobs.indexOf(shift.job);
  const day = shift.job.started.slice(0, 10);
  const groups = compareJobs(
    'groups',
    { name: notice('compare/before', { day }), jobs: jobs.slice(Math.max(0, at - COMPARED_JOBS), at) },
    { name: notice('compare/from', { day }), jobs: jobs.slice(at, at + COMPARED_JOBS) },
  );
  return [...byRevision, groups];
}

function typeNotices(jobs: readonly JobTimes[], shift: ProcessShift | null): Notice[] {
  const notices: Notice[] = [];
  if (jobs.length === 1) notices.push(notice('review/one-job'));
  else if (jobs.length < FEW_JOBS)
    notices.push(notice('review/few-jobs', { jobs: jobs.length, needed: LEAST_POINTS }));
  if (shift !== null) notices.push(shiftNotice(shift, Math.max(0, jobs.length - CHART_JOBS)));
  return notices;
}

function moreSteps(steps: number, total: number): Notice[] {
  return steps < total ? [notice('review/more-steps', { steps, total })] : [];
}

/** Review of one type of job; `all` in order of time, completed or not. */
function reviewType(
  all: readonly JobTimes[],
  alias: Alias,
  options: ReviewOptions,
): Omit<JobTypeReview, 'lapse_jobs'> {
  const jobs = all.filter((job) => job.outcome === 'completed');
  const latest = all[all.length - 1] as JobTimes;
  const times = jobs.map((job) => job.active_ms);
  const sorted = [...times].sort((a, b) => a - b);
  const pace: Pace = {
    rating: options.rating ?? USUAL_PACE.rating,
    allowance: options.allowance ?? USUAL_PACE.allowance,
  };
  const totals = totalsOf(jobs);
  const listed = new Set(totals.slice(0, STEP_LIMIT).map(([step]) => step));
  const steps = stepStatistics(jobs, pace, listed);
  const pareto = paretoOf(steps, totals);
  const { trend, says } = trendOf(times);
  const shift = processShift(jobs.slice(-CHART_JOBS));
  return {
    job_type: latest.job_type,
    product: latest.product,
    product_name: latest.product_name,
    replace: latest.replace,
    revisions: [...new Set(all.map((job) => job.product_revision))].sort((a, b) => a - b),
    expected_s: latest.expected_s,
    jobs: all.map((job) => ({
      job: job.job,
      started: job.started,
      technician: alias(job.technician),
      revision: job.product_revision,
      active_ms: job.active_ms,
      span_ms: job.span_ms,
      paused_ms: job.paused_ms,
      outcome: job.outcome,
    })),
    median: medianFigure(sorted),
    p90_ms: sorted.length === 0 ? null : quantileSorted(sorted, 0.9),
    time_parts: timeParts(jobs),
    pareto,
    steps,
    ...chartsOf(jobs),
    cautions: cautionStatistics(all).slice(0, STEP_LIMIT),
    trend,
    trend_says: says,
    learning: learningOf(jobs, alias),
    rewrite: rewriteCandidates(steps, pareto),
    comparisons: comparisonsOf(jobs, shift),
    standard: standardTimeOf(times, pace.rating, pace.allowance),
    prediction: predictionOf(times),
    notices: [...typeNotices(jobs, shift), ...moreSteps(steps.length, totals.length)],
  };
}

function groupByType(jobs: readonly JobTimes[]): JobTimes[][] {
  const groups = new Map<string, JobTimes[]>();
  for (const job of jobs) {
    const list = groups.get(job.job_type);
    if (list === undefined) groups.set(job.job_type, [job]);
    else list.push(job);
  }
  const time = (group: readonly JobTimes[]): number => group.reduce((sum, job) => sum + job.active_ms, 0);
  return [...groups.values()].sort((a, b) => time(b) - time(a));
}

function overallNotices(total: number, trusted: readonly JobTimes[]): Notice[] {
  if (total === 0) return [notice('review/no-jobs')];
  if (trusted.length === 0) return [notice('review/all-unknown', { jobs: total })];
  const notices: Notice[] = [];
  if (trusted.length < total)
    notices.push(notice('review/some-unknown', { jobs: total - trusted.length, total }));
  const jumped = trusted.filter((job) => job.clock_jumps > 0).length;
  if (jumped > 0) notices.push(notice('review/clock-jumped', { jobs: jumped }));
  return notices;
}

/** In how many of the jobs each kind of lapse happened. */
function lapseRates(lapses: readonly Lapse[], jobs: number): ReviewSummary['lapse_rates'] {
  const byKind = new Map<Lapse['kind'], Set<string>>();
  for (const lapse of lapses) {
    const names = byKind.get(lapse.kind);
    if (names === undefined) byKind.set(lapse.kind, new Set([lapse.job]));
    else names.add(lapse.job);
  }
  return [...byKind]
    .map(([kind, names]) => ({ kind, rate: { ...rateOf(names.size, jobs), how: 'lapse-rate' as const } }))
    .sort((a, b) => (b.rate.value ?? 0) - (a.rate.value ?? 0));
}

/** Keys of every figure in the review, to explain them. */
function keysIn(types: readonly JobTypeReview[]): Set<HowKey> {
  const keys = new Set<HowKey>(['active-time']);
  const visit = (value: unknown): void => {
    if (typeof value !== 'object' || value === null) return;
    if (Array.isArray(value)) {
      // Points and samples hold no figures; they are what makes a review large.
      if (typeof value[0] !== 'number') for (const one of value) visit(one);
      return;
    }
    const record = value as Record<string, unknown>;
    if (typeof record.how === 'string') keys.add(record.how as HowKey);
    for (const [name, one] of Object.entries(record)) if (name !== 'points' && name !== 'jobs') visit(one);
  };
  visit(types);
  if (types.some((type) => type.learning.some((one) => one.wright !== null))) keys.add('learning-wright');
  if (types.length > 0) for (const key of ['p90-type-7', 'share-of-time', 'too-fast'] as const) keys.add(key);
  return keys;
}

/**
 * The review of many jobs. Jobs whose log cannot be trusted are counted and left out; times rest on
 * completed jobs, lapses on all trusted ones. The order of the input does not matter. Empty input gives an
 * empty review with a notice. Cost: about n log n in the number of step times.
 */
export function reviewSummary(input: readonly JobTimes[], options: ReviewOptions = {}): ReviewSummary {
  const wanted = options.product ?? null;
  const all = input.filter((job) => wanted === null || job.product === wanted);
  const trusted = all
    .filter((job) => job.verdict !== 'unknown')
    .sort((a, b) => a.started_s - b.started_s || (a.job < b.job ? -1 : 1));
  // Pseudonyms come from all jobs, so that they stay the same when one product is picked.
  const alias = aliasOf(input, options.show ?? 'pseudonyms', options.everybody);
  const groups = groupByType(trusted);
  const reviewed = groups.map((group) => {
    const type = reviewType(group, alias, options);
    const lapses = lapsesOf(group, type.steps, alias);
    return { type: { ...type, lapse_jobs: new Set(lapses.map((one) => one.job)).size }, lapses };
  });
  const types = reviewed.map((one) => one.type);
  const lapses = reviewed
    .flatMap((one): Lapse[] => one.lapses)
    .sort((a, b) => (a.started < b.started ? 1 : a.started > b.started ? -1 : 0));
  const rejected = [
    ...(options.rejected ?? []),
    ...all
      .filter((job) => job.verdict === 'unknown')
      .map((job) => ({
        job: job.job,
        line: job.events + 1,
        code: 'log/untrusted',
        message: rejectionText('log/untrusted'),
      })),
  ];
  const total = trusted.length + rejected.length;
  const notices = overallNotices(total, trusted);
  if (lapses.length > LAPSE_LIMIT)
    notices.push(notice('review/more-lapses', { count: lapses.length - LAPSE_LIMIT }));
  const names = namesInOrder(trusted);
  const dated = trusted.filter((job) => job.started !== '');
  const count = (outcome: JobTimes['outcome']): number =>
    trusted.filter((job) => job.outcome === outcome).length;
  return {
    format: 1,
    jobs: {
      total,
      completed: count('completed'),
      given_up: count('given-up'),
      unfinished: count(null),
      unknown: rejected.length,
    },
    from: dated[0]?.started ?? null,
    to: dated[dated.length - 1]?.started ?? null,
    people: names.map((name) => ({
      alias: alias(name),
      name: alias(name) === name ? name : null,
      jobs: trusted.filter((job) => job.technician === name).length,
    })),
    types,
    lapses: lapses.slice(0, LAPSE_LIMIT),
    lapse_rates: lapseRates(lapses, trusted.length),
    rejected,
    notices,
    how: explain(lapses.length === 0 ? keysIn(types) : keysIn(types).add('lapse-rate')),
  };
}

/** The review with one more notice, before the others. */
export function withNotice(summary: ReviewSummary, code: string, facts: Notice['facts']): ReviewSummary {
  return { ...summary, notices: [notice(code, facts), ...summary.notices] };
}

/** The same from logs. */
export function reviewLogs(logs: readonly JobLog[], options: ReviewOptions = {}): ReviewSummary {
  return reviewSummary(
    logs.map((log) => stepTimes(log.job, log.lines, log.verdict)),
    options,
  );
}
