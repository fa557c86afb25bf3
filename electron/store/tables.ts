/** What the review asks of the record store. */
import { compareGroups, type GroupComparison, type JobGroup } from '../core/review/groups.ts';
import type { CautionTimes, JobTimes, ReviewSummary, StepTimes } from '../core/review/model.ts';
import { type ReviewOptions, reviewSummary, withNotice } from '../core/review/summary.ts';
import type { Store } from './client.ts';
import type { RejectedLog } from './read-for-import.ts';

/** One row of the per-step table. Times in milliseconds, rates from 0 to 1. */
export interface StepTableRow {
  readonly job_type: string;
  readonly step: string;
  readonly n: number;
  readonly mean_ms: number;
  readonly median_ms: number;
  /** Order statistics around the median, about 95 %; null below six. */
  readonly median_low_ms: number | null;
  readonly median_high_ms: number | null;
  /** 90th percentile, type 7 (PostgreSQL's percentile_cont). */
  readonly p90_ms: number;
  readonly total_ms: number;
  readonly share: number;
  readonly revisits: number;
  readonly repeats: number;
  readonly say_agains: number;
  readonly problems: number;
}

// Each group's times are sorted by themselves, after grouping by number: sorting all rows by two texts first took
// twice as long, and joining each row to its job four times.
const STEP_TABLE = `
WITH steps AS (
  SELECT kind, count(*)::int AS n, avg(active_ms)::float8 AS mean_ms,
         sum(active_ms)::float8 AS total_ms,
         array_agg(active_ms) AS unsorted,
         count(*) FILTER (WHERE visits > 1)::int AS revisits,
         count(*) FILTER (WHERE repeats > 0)::int AS repeats,
         count(*) FILTER (WHERE say_agains > 0)::int AS say_agains,
         count(*) FILTER (WHERE problems > 0)::int AS problems
    FROM stepcaller.step_time
   WHERE counts AND ($1::text IS NULL
         OR kind IN (SELECT id FROM stepcaller.step_kind WHERE product = $1::text))
   GROUP BY kind
), figures AS (
  SELECT kind, n, mean_ms, total_ms, revisits, repeats, say_agains, problems,
         (sorted[floor(at50)::int + 1] + (at50 - floor(at50))
           * (sorted[least(n, floor(at50)::int + 2)] - sorted[floor(at50)::int + 1]))::float8 AS median_ms,
         (sorted[floor(at90)::int + 1] + (at90 - floor(at90))
           * (sorted[least(n, floor(at90)::int + 2)] - sorted[floor(at90)::int + 1]))::float8 AS p90_ms,
         CASE WHEN rank >= 1 THEN sorted[rank]::float8 END AS median_low_ms,
         CASE WHEN rank >= 1 THEN sorted[n + 1 - rank]::float8 END AS median_high_ms
    FROM (SELECT *, floor((n + 1) / 2.0 - 1.959964 * sqrt(n) / 2.0)::int AS rank,
                 (n - 1) * 0.5 AS at50, (n - 1) * 0.9 AS at90,
                 ARRAY(SELECT t FROM unnest(unsorted) AS t ORDER BY t) AS sorted
            FROM steps OFFSET 0) AS ranks
), shares AS (
  SELECT k.job_type, k.step, f.*, sum(f.total_ms) OVER (PARTITION BY k.job_type) AS type_ms
    FROM figures f JOIN stepcaller.step_kind k ON k.id = f.kind
)
SELECT job_type, step, n, mean_ms, total_ms, revisits, repeats, say_agains, problems,
       median_ms, p90_ms, median_low_ms, median_high_ms,
       CASE WHEN type_ms = 0 THEN 0 ELSE total_ms / type_ms END::float8 AS share
  FROM shares ORDER BY job_type, total_ms DESC, step`;

/** The per-step table of completed jobs, by SQL: the largest step of each type of job first. */
export function stepTable(store: Store, product: string | null = null): Promise<readonly StepTableRow[]> {
  return store.query<StepTableRow>(STEP_TABLE, [product]);
}

interface JobRowBack extends Omit<JobTimes, 'steps' | 'replace' | 'technicians' | 'cautions'> {
  readonly id: string;
  readonly replaced: string[];
  readonly technicians: JobTimes['technicians'];
  readonly cautions: CautionTimes[];
}

/** Most jobs read for one review, the latest ones. */
export const REVIEW_JOBS = 5000;

const JOBS = `
SELECT id::text AS id, job, product, product_name, product_revision, product_sha256, replaced, job_type,
       technician, technicians, started, started_s, verdict, outcome, expected_s, events, clock_jumps,
       span_ms::float8 AS span_ms, active_ms::float8 AS active_ms, hands_ms::float8 AS hands_ms,
       reading_ms::float8 AS reading_ms, waiting_ms::float8 AS waiting_ms, paused_ms::float8 AS paused_ms,
       away_ms::float8 AS away_ms, unattributed_ms::float8 AS unattributed_ms,
       fasteners_missing, readings_out, cautions
  FROM stepcaller.job WHERE $1::text IS NULL OR product = $1::text
 ORDER BY started_s DESC, job DESC LIMIT $2::int`;

const STEPS = `
SELECT s.job_id::text AS job_id, k.step, coalesce(p.say, k.step) AS say, coalesce(p.stage, 'unknown') AS stage,
       p.part, coalesce(p.step_index, -1) AS index, coalesce(p.expected_s, 0) AS expected_s,
       coalesce(p.fastener_turns, 0) AS fastener_turns,
       s.active_ms::float8 AS active_ms, s.hands_ms::float8 AS hands_ms, s.reading_ms::float8 AS reading_ms,
       s.waiting_ms::float8 AS waiting_ms, s.first_pass_ms::float8 AS first_pass_ms,
       s.visits, s.repeats, s.say_agains, s.helps, s.problems, s.undone, s.state
  FROM stepcaller.step_time s
  JOIN stepcaller.step_kind k ON k.id = s.kind
  JOIN stepcaller.job j ON j.id = s.job_id
  LEFT JOIN stepcaller.plan_step p ON p.plan_sha256 = j.plan_sha256 AND p.step = k.step
 WHERE s.job_id = ANY($1::bigint[])
 ORDER BY s.job_id, coalesce(p.step_index, -1), k.step`;

/** Times of the latest jobs (at most `limit`), in order of time, as the analysis takes them. */
export async function loadJobTimes(
  store: Store,
  options: { readonly product?: string | null; readonly limit?: number } = {},
): Promise<JobTimes[]> {
  const jobs = await store.query<JobRowBack>(JOBS, [options.product ?? null, options.limit ?? REVIEW_JOBS]);
  const steps = await store.query<StepTimes & { job_id: string }>(STEPS, [jobs.map((job) => job.id)]);
  const byJob = new Map<string, StepTimes[]>();
  for (const { job_id, ...step } of steps) {
    const list = byJob.get(job_id);
    if (list === undefined) byJob.set(job_id, [step]);
    else list.push(step);
  }
  return [...jobs].reverse().map(({ id, replaced, ...job }) => ({
    ...job,
    replace: replaced,
    steps: byJob.get(id) ?? [],
  }));
}

/** What one finished job took, for the expected time of the next: seconds by step. */
export interface PastJob {
  readonly job: string;
  readonly steps: Readonly<Record<string, number>>;
}

/** Finished jobs of one product that expected times rest on: the latest. */
export const PAST_JOBS = 200;

const PAST = `
WITH latest AS (
  SELECT id, product, job, started_s,
         row_number() OVER (PARTITION BY product ORDER BY started_s DESC, job DESC) AS back
    FROM stepcaller.job WHERE verdict = 'complete' AND outcome = 'completed'
)
SELECT l.product, l.job, json_object_agg(k.step, s.active_ms / 1000.0) AS steps
  FROM latest l
  JOIN stepcaller.step_time s ON s.job_id = l.id AND s.state = 'confirmed'
  JOIN stepcaller.step_kind k ON k.id = s.kind
 WHERE l.back <= $1::int
 GROUP BY l.product, l.job, l.started_s ORDER BY l.product, l.started_s, l.job`;

/** The latest finished jobs by product, the oldest of them first. */
export async function pastJobs(store: Store, most = PAST_JOBS): Promise<Map<string, PastJob[]>> {
  const rows = await store.query<PastJob & { product: string }>(PAST, [most]);
  const byProduct = new Map<string, PastJob[]>();
  for (const { product, job, steps } of rows) {
    const list = byProduct.get(product);
    if (list === undefined) byProduct.set(product, [{ job, steps }]);
    else list.push({ job, steps });
  }
  return byProduct;
}

/** Logs that were not taken, for showing. */
export function rejectedLogs(store: Store): Promise<readonly RejectedLog[]> {
  return store.query<RejectedLog>(
    'SELECT folder, log_sha256, code, line, message FROM stepcaller.rejected_log ORDER BY folder',
  );
}

const EVERYBODY = `
SELECT p.name
  FROM stepcaller.job j
 CROSS JOIN LATERAL (
   SELECT one ->> 'name' AS name, rank FROM jsonb_array_elements(j.technicians) WITH ORDINALITY AS t (one, rank)
   UNION ALL SELECT j.technician, 1000000
 ) p
 GROUP BY p.name ORDER BY min(ARRAY[j.started_s, p.rank]), p.name`;

/** Names of everybody in the store by first appearance, as `namesInOrder` gives them. */
async function everybodyIn(store: Store): Promise<readonly string[]> {
  return (await store.query<{ name: string }>(EVERYBODY, [])).map((one) => one.name);
}

/** The latest jobs as the analysis takes them, and everybody, whose pseudonyms do not depend on which these are. */
async function jobsFor(
  store: Store,
  options: ReviewOptions,
  most: number,
): Promise<{ readonly jobs: readonly JobTimes[]; readonly everybody: readonly string[] }> {
  const jobs = await loadJobTimes(store, { product: options.product ?? null, limit: most });
  return { jobs, everybody: options.show === 'names' ? [] : await everybodyIn(store) };
}

/** Two groups of the latest `most` jobs compared. */
export async function compareInStore(
  store: Store,
  a: JobGroup,
  b: JobGroup,
  options: ReviewOptions = {},
  most = REVIEW_JOBS,
): Promise<GroupComparison> {
  const { jobs, everybody } = await jobsFor(store, options, most);
  return compareGroups(jobs, a, b, { ...options, everybody });
}

/**
 * The supervisor's review from the store: at most the latest `most` jobs (a notice tells where there are
 * more), and the logs that were not taken, with the line.
 */
export async function reviewFromStore(
  store: Store,
  options: ReviewOptions = {},
  most = REVIEW_JOBS,
): Promise<ReviewSummary> {
  const { jobs, everybody } = await jobsFor(store, options, most);
  const [{ total = jobs.length } = {}] = await store.query<{ total: number }>(
    'SELECT count(*)::int AS total FROM stepcaller.job WHERE $1::text IS NULL OR product = $1::text',
    [options.product ?? null],
  );
  const rejected = (await rejectedLogs(store)).map(({ folder, line, code, message }) => ({
    job: folder.slice(Math.max(folder.lastIndexOf('/'), folder.lastIndexOf('\\')) + 1),
    line,
    code,
    message,
  }));
  const summary = reviewSummary(jobs, { ...options, rejected, everybody });
  return total > jobs.length
    ? withNotice(summary, 'review/latest-only', { jobs: jobs.length, total })
    : summary;
}
