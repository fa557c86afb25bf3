/**
 * A change in the process itself: from some job on everybody takes longer or less, whoever did the jobs and
 * however far they had learned.
 */
import { changePoint } from './change-point.ts';
import { mean } from './descriptive.ts';
import { LEAST_JOBS_FOR_CURVE } from './learning.ts';
import type { JobTimes, Notice } from './model.ts';
import { fitLine, leastSquares } from './regression.ts';
import { notice } from './words.ts';

/** People whose own curve is fitted beside a change; more would leave the fit too little. */
const MOST_PEOPLE = 40;
/** A change of level smaller than this is not worth a remark. */
const LEAST_SHIFT_PERCENT = 5;

/**
 * Logarithms of the times, each person's about the own learning curve (or, with few jobs, the own mean): a change
 * of people and their learning are no change of the process.
 */
function aboutOwnCurve(jobs: readonly JobTimes[]): number[] {
  const residuals = jobs.map((job) => Math.log(job.active_ms));
  const own = new Map<string, number[]>();
  for (const [index, job] of jobs.entries()) {
    const list = own.get(job.technician);
    if (list === undefined) own.set(job.technician, [index]);
    else list.push(index);
  }
  for (const indices of own.values()) {
    const numbers = indices.map((_, n) => Math.log(n + 1));
    const logs = indices.map((index) => residuals[index] as number);
    const curve = indices.length < LEAST_JOBS_FOR_CURVE ? null : fitLine(numbers, logs);
    const center = mean(logs);
    for (const [n, index] of indices.entries())
      residuals[index] =
        (logs[n] as number) -
        (curve === null ? center : curve.intercept + curve.slope * (numbers[n] as number));
  }
  return residuals;
}

/**
 * How much the level changed at `index`, on logarithms: fitted together with everybody's own curve, because the
 * curves alone would take up a part of the change. Null where that cannot be told apart.
 */
function sizeOfShift(jobs: readonly JobTimes[], index: number): number | null {
  const people = [...new Set(jobs.map((job) => job.technician))].slice(0, MOST_PEOPLE);
  const done = new Map<string, number>();
  const rows = jobs.map((job, at) => {
    const n = (done.get(job.technician) ?? 0) + 1;
    done.set(job.technician, n);
    const own = people.flatMap((name) => (name === job.technician ? [1, Math.log(n)] : [0, 0]));
    return [...own, at >= index ? 1 : 0];
  });
  // A person with one job has no slope: that column is all zeros and is left out.
  const used = (rows[0] ?? []).map((_, column) => rows.some((row) => row[column] !== 0));
  const fit = leastSquares(
    rows.map((row) => row.filter((_, column) => used[column])),
    jobs.map((job) => Math.log(job.active_ms)),
    { intercept: true },
  );
  return fit?.coefficients[fit.coefficients.length - 1] ?? null;
}

/** From which job on the level is another, and by how much. */
export interface ProcessShift {
  /** The first job on the new level. */
  readonly job: JobTimes;
  /** Its index from 0 among the jobs given. */
  readonly index: number;
  /** Times after over times before. */
  readonly ratio: number;
}

/** Where the process changed its level, or null. `jobs` in order of time. */
export function processShift(jobs: readonly JobTimes[]): ProcessShift | null {
  const timed = jobs.filter((job) => job.active_ms > 0);
  const found = changePoint(aboutOwnCurve(timed));
  const job = timed[found?.index ?? -1];
  if (found === null || job === undefined) return null;
  const ratio = Math.exp(sizeOfShift(timed, found.index) ?? found.difference);
  if (Math.round(100 * Math.abs(ratio - 1)) < LEAST_SHIFT_PERCENT) return null;
  return { job, index: jobs.indexOf(job), ratio };
}

/** The remark on a shift; `before` is how many older jobs were not looked at. */
export function shiftNotice(shift: ProcessShift, before: number): Notice {
  return notice('review/shift', {
    number: before + shift.index + 1,
    started: shift.job.started.slice(0, 10),
    percent: Math.round(100 * Math.abs(shift.ratio - 1)),
    direction: shift.ratio > 1 ? 'longer' : 'less',
  });
}
