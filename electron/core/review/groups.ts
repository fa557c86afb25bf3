/**
 * Two groups of jobs of the reader's own choice, compared step by step with the same statistics as two
 * revisions. A group is told by conditions, all of which a job must meet; what is left open, every job meets.
 */
import { compareJobs } from './comparison.ts';
import type { Comparison, JobTimes, Notice, ReviewSummary } from './model.ts';
import { type Alias, aliasOf } from './people.ts';
import type { ReviewOptions } from './summary.ts';
import { explain, notice } from './words.ts';

export interface JobGroup {
  /** Type of job (`JobTimes.job_type`): the unit and what is replaced in it. */
  readonly job_type: string | null;
  /** Who did the most of the job, as the review names them ("T1"); empty for everybody. */
  readonly people: readonly string[];
  /** First and last day on which the job may have begun ("2026-01-31"), by the clock of its bench. */
  readonly from: string | null;
  readonly to: string | null;
  /** Revisions of the product file; empty for all. */
  readonly revisions: readonly number[];
}

/** The group of all jobs. */
export const ALL_JOBS: JobGroup = { job_type: null, people: [], from: null, to: null, revisions: [] };

export interface GroupComparison {
  readonly comparison: Comparison;
  readonly how: ReviewSummary['how'];
}

/** Whether the job is in the group; `alias` gives the names that the group uses. */
export function isInGroup(job: JobTimes, group: JobGroup, alias: Alias): boolean {
  const day = job.started.slice(0, 10);
  return (
    (group.job_type === null || job.job_type === group.job_type) &&
    (group.people.length === 0 || group.people.includes(alias(job.technician))) &&
    (group.from === null || day >= group.from) &&
    (group.to === null || (day !== '' && day <= group.to)) &&
    (group.revisions.length === 0 || group.revisions.includes(job.product_revision))
  );
}

/** What a group is called; its type of job is named where the two differ in it. */
function nameOf(group: JobGroup, other: JobGroup): Notice {
  const { people, revisions, from, to, job_type } = group;
  return notice('compare/group', {
    people: people.join(', '),
    revisions: revisions.join(', '),
    from: from ?? '',
    to: to ?? '',
    type: job_type === other.job_type ? '' : (job_type ?? ''),
  });
}

/** One side was done as a whole before the other. */
function isOneAfterOther(a: readonly JobTimes[], b: readonly JobTimes[]): boolean {
  const [firstA, lastA, firstB, lastB] = [a[0], a[a.length - 1], b[0], b[b.length - 1]];
  if (!firstA || !lastA || !firstB || !lastB) return false;
  return lastA.started_s < firstB.started_s || lastB.started_s < firstA.started_s;
}

/**
 * Compares the completed jobs of two groups, those whose log can be trusted. A job that fits both counts for
 * `a` only, so that "one person against everybody" means against the others. `jobs` are all jobs of the review,
 * because pseudonyms come from all of them; their order does not matter.
 */
export function compareGroups(
  jobs: readonly JobTimes[],
  a: JobGroup,
  b: JobGroup,
  options: Pick<ReviewOptions, 'show' | 'everybody' | 'product'> = {},
): GroupComparison {
  const alias = aliasOf(jobs, options.show ?? 'pseudonyms', options.everybody);
  const product = options.product ?? null;
  const done = jobs
    .filter((job) => product === null || job.product === product)
    .filter((job) => job.verdict !== 'unknown' && job.outcome === 'completed')
    .sort((one, other) => one.started_s - other.started_s || (one.job < other.job ? -1 : 1));
  const inA = done.filter((job) => isInGroup(job, a, alias));
  const wanted = done.filter((job) => isInGroup(job, b, alias));
  const chosen = new Set(inA);
  const inB = wanted.filter((job) => !chosen.has(job));
  const compared = compareJobs(
    'groups',
    { name: nameOf(a, b), jobs: inA },
    { name: nameOf(b, a), jobs: inB },
  );
  const notices = [...compared.notices];
  if (inB.length < wanted.length)
    notices.push(notice('compare/in-both', { jobs: wanted.length - inB.length }));
  if (isOneAfterOther(inA, inB)) notices.push(notice('compare/one-after-other'));
  return { comparison: { ...compared, notices }, how: explain(['ratio-interval', 'active-time']) };
}
