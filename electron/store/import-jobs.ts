/**
 * From job folders to the record store. Importing a log twice changes nothing; an import that was cut off goes
 * on where it stood, because every batch is one transaction; many programs may import at once into one server.
 * A log whose chain is broken is not taken and is listed in `rejected_log` with the line.
 */
import { readdir, stat } from 'node:fs/promises';
import { hostname } from 'node:os';
import { assert, err, ok, type Result } from '../core/base/result.ts';
import { rejectionText } from '../core/review/words.ts';
import type { Fault } from '../disk/disk-fault.ts';
import { fault } from '../disk/fault-words.ts';
import { JOB_FILE_NAME, LOG_FILE_NAME } from '../disk/job-folder.ts';
import type { SqlClient, Store } from './client.ts';
import { type Columns, insertRows } from './columns.ts';
import { type KnownPlans, type RejectedLog, readForImport } from './read-for-import.ts';
import {
  clean,
  EVENT_COLUMNS,
  type EventRow,
  eventRows,
  JOB_COLUMNS,
  type JobRow,
  KIND_COLUMNS,
  type KindRow,
  PLAN_COLUMNS,
  type PlanRow,
  type Prepared,
  planRows,
  prepare,
  STEP_COLUMNS,
  type StepRow,
} from './rows.ts';
import { SCHEMA_LOCK } from './schema.ts';

/** Events in one transaction, about; one job more may go over it. */
export const BATCH_EVENTS = 10_000;

/** Progress is told after each batch and every so many folders. */
const TELL_EVERY = 100;

export interface ImportReport {
  /** Folders with a job in them. */
  readonly found: number;
  readonly imported: number;
  /** Grown since the last time, and read again. */
  readonly updated: number;
  readonly unchanged: number;
  readonly events: number;
  readonly rejected: readonly RejectedLog[];
}

export interface ImportOptions {
  readonly onProgress?: (done: number, total: number) => void;
  /** Events in one transaction, about; `BATCH_EVENTS` by default. */
  readonly batchEvents?: number;
  /** Name of this bench in the list of rejected logs; the computer's name by default. */
  readonly bench?: string;
  /** Ends the import after the batch at hand; what is in stays in. */
  readonly signal?: AbortSignal;
  /** True takes jobs out of the store whose folder is gone; only for a store that holds this one folder. */
  readonly prune?: boolean;
  /** What an earlier import of this folder by this program saw; logs that look the same are not read again. */
  readonly seen?: SeenLogs;
}

/** By name of the job's folder: size and time of its files when they were read, and the hash of the job file. */
export type SeenLogs = Map<string, { readonly stamp: string; readonly job_sha256: string }>;

interface Outcome {
  imported: number;
  updated: number;
  events: number;
  rejected: RejectedLog[];
}

interface Present {
  readonly id: string;
  readonly job: string;
  readonly job_sha256: string;
  readonly log_sha256: string;
  readonly events: number;
  readonly last_fields: string | null;
  readonly last_mono_ms: number | null;
}

/**
 * What to do with a job that is in the store: the longer log of the two wins if it begins with the other; a log
 * that does not continue what is stored is another history of the same job and is rejected.
 */
function judge(prepared: Prepared, present: Present): 'same' | 'grown' | 'older' | 'other' {
  const { read } = prepared;
  if (present.job_sha256 !== read.job_sha256) return 'other';
  if (present.log_sha256 === read.log_sha256) return 'same';
  const { lines } = read;
  if (lines.length < present.events) return 'older';
  const last = lines[present.events - 1];
  if (last === undefined) return present.events === 0 ? 'grown' : 'other';
  const continues =
    JSON.stringify(last.fields) === present.last_fields && last.mono_ms === present.last_mono_ms;
  return continues ? 'grown' : 'other';
}

async function presentOf(client: SqlClient, jobs: readonly string[]): Promise<Map<string, Present>> {
  const rows = await client.query<Present>(
    `SELECT j.id::text AS id, j.job, j.job_sha256, j.log_sha256, j.events::int AS events,
            e.fields AS last_fields, e.mono_ms::float8 AS last_mono_ms
       FROM stepcaller.job j
       LEFT JOIN stepcaller.event e ON e.job_id = j.id AND e.seq = j.events
      WHERE j.job = ANY($1::text[]) ORDER BY j.job FOR UPDATE OF j`,
    [jobs],
  );
  return new Map(rows.map((row) => [row.job, row]));
}

async function insertJobs(client: SqlClient, batch: readonly Prepared[]): Promise<Map<string, string>> {
  const rows = batch.map((one) => one.row);
  const back = await insertRows<JobRow, { id: string; job: string }>(
    client,
    'job',
    JOB_COLUMNS as Columns<JobRow>,
    rows,
    'ON CONFLICT (job) DO NOTHING RETURNING id::text AS id, job',
  );
  return new Map(back.map((row) => [row.job, row.id]));
}

/** Numbers of the steps by type of job, as far as this import has met them. */
type StepKinds = Map<string, Map<string, number>>;

/** Numbers the steps of the batch that have no number yet; whoever comes first, all programs get the same ones. */
async function numberSteps(store: SqlClient, batch: readonly Prepared[], kinds: StepKinds): Promise<void> {
  const missing = new Map<string, KindRow>();
  for (const { steps } of batch)
    for (const { product, job_type, step } of steps)
      if (kinds.get(job_type)?.has(step) !== true)
        missing.set(JSON.stringify([job_type, step]), { product, job_type, step });
  if (missing.size === 0) return;
  const rows = [...missing].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, row]) => row);
  await insertRows(store, 'step_kind', KIND_COLUMNS as Columns<KindRow>, rows, 'ON CONFLICT DO NOTHING');
  const types = [...new Set(rows.map((row) => row.job_type))];
  const found = await store.query<{ id: number; job_type: string; step: string }>(
    'SELECT id, job_type, step FROM stepcaller.step_kind WHERE job_type = ANY($1::text[])',
    [types],
  );
  for (const type of types) if (!kinds.has(type)) kinds.set(type, new Map());
  for (const { id, job_type, step } of found) kinds.get(job_type)?.set(step, id);
}

async function insertDetails(
  client: SqlClient,
  batch: readonly Prepared[],
  ids: ReadonlyMap<string, string>,
  kinds: StepKinds,
): Promise<number> {
  const events: EventRow[] = [];
  const steps: StepRow[] = [];
  for (const one of batch) {
    const id = ids.get(one.read.job.job);
    if (id === undefined) continue;
    for (const row of eventRows(id, one)) events.push(row);
    for (const row of one.steps) {
      const kind = kinds.get(row.job_type)?.get(row.step);
      assert(kind !== undefined, `step without a number: ${row.job_type}, ${row.step}`);
      steps.push({ ...row, job_id: id, kind } as StepRow);
    }
  }
  await insertRows(client, 'step_time', STEP_COLUMNS as Columns<StepRow>, steps);
  await insertRows(client, 'event', EVENT_COLUMNS as Columns<EventRow>, events);
  return events.length;
}

/** Replaces jobs that have grown; rejects those that tell another history. */
async function settleOld(
  client: SqlClient,
  old: readonly Prepared[],
  outcome: Outcome,
  kinds: StepKinds,
): Promise<void> {
  const present = await presentOf(
    client,
    old.map((one) => one.read.job.job),
  );
  const grown: Prepared[] = [];
  for (const one of old) {
    const before = present.get(one.read.job.job);
    const verdict = before === undefined ? 'same' : judge(one, before);
    if (verdict === 'grown') grown.push(one);
    if (verdict === 'other')
      outcome.rejected.push({
        folder: one.read.folder,
        log_sha256: one.read.log_sha256,
        code: 'store/other-history',
        line: before === undefined ? null : before.events,
        message: rejectionText('store/other-history'),
      });
  }
  if (grown.length === 0) return;
  const names = grown.map((one) => one.read.job.job);
  await client.query('DELETE FROM stepcaller.job WHERE job = ANY($1::text[])', [names]);
  const ids = await insertJobs(client, grown);
  outcome.events += await insertDetails(client, grown, ids, kinds);
  outcome.updated += ids.size;
}

/** SQLSTATE of a deadlock and of a serialisation failure: nothing was written and trying again is right. */
const TRY_AGAIN: ReadonlySet<unknown> = new Set(['40P01', '40001']);
const MAX_TRIES = 5;

/** What this import knows to be in the store. */
interface Known {
  readonly plans: Set<string>;
  readonly kinds: StepKinds;
}

async function writeBatch(store: Store, batch: readonly Prepared[], known: Known): Promise<Outcome> {
  for (let tries = 1; ; tries += 1) {
    try {
      await numberSteps(store, batch, known.kinds);
      return await tryBatch(store, batch, known);
    } catch (thrown) {
      if (tries >= MAX_TRIES || !TRY_AGAIN.has((thrown as { code?: unknown }).code)) throw thrown;
    }
  }
}

/** One batch in one transaction. Jobs go in by name, so two programs never wait for each other in a circle. */
async function tryBatch(store: Store, batch: readonly Prepared[], known: Known): Promise<Outcome> {
  const { plans } = known;
  const ordered = [...batch].sort((a, b) => (a.read.job.job < b.read.job.job ? -1 : 1));
  const outcome: Outcome = { imported: 0, updated: 0, events: 0, rejected: [] };
  const written = new Set<string>();
  await store.transaction(async (client) => {
    const fresh = ordered.filter((one) => {
      const hash = one.read.job.plan_sha256;
      if (plans.has(hash) || written.has(hash)) return false;
      written.add(hash);
      return true;
    });
    const rows = fresh
      .sort((a, b) => (a.read.job.plan_sha256 < b.read.job.plan_sha256 ? -1 : 1))
      .flatMap((one) => planRows(one.read));
    await insertRows(client, 'plan_step', PLAN_COLUMNS as Columns<PlanRow>, rows, 'ON CONFLICT DO NOTHING');
    const ids = await insertJobs(client, ordered);
    outcome.events += await insertDetails(client, ordered, ids, known.kinds);
    outcome.imported += ids.size;
    const old = ordered.filter((one) => !ids.has(one.read.job.job));
    if (old.length > 0) await settleOld(client, old, outcome, known.kinds);
  });
  for (const hash of written) plans.add(hash);
  return outcome;
}

/** Writes down which logs of this folder were not taken; what was mended or taken away since goes. */
async function noteRejected(
  store: Store,
  bench: string,
  folder: string,
  rejected: readonly RejectedLog[],
): Promise<void> {
  await store.transaction(async (client) => {
    await client.query('DELETE FROM stepcaller.rejected_log WHERE bench = $1 AND starts_with(folder, $2)', [
      bench,
      clean(`${folder}/`),
    ]);
    for (const one of rejected) {
      await client.query(
        `INSERT INTO stepcaller.rejected_log (bench, folder, log_sha256, code, line, message)
         VALUES ($1, $2, $3, $4, $5::int, $6) ON CONFLICT (bench, folder) DO NOTHING`,
        [bench, clean(one.folder), one.log_sha256, one.code, one.line, clean(one.message)],
      );
    }
  });
}

async function foldersIn(folder: string): Promise<Result<string[], Fault>> {
  try {
    const entries = await readdir(folder, { withFileTypes: true });
    return ok(
      entries
        .filter((entry) => entry.isDirectory() && !entry.name.startsWith('.'))
        .map((entry) => entry.name)
        .sort(),
    );
  } catch (thrown) {
    const why = thrown instanceof Error ? thrown.message : String(thrown);
    return err(fault('store/no-jobs-folder', { folder, why }));
  }
}

/** Sizes and times of the two files of a job; null where one is missing. */
async function stampOf(folder: string): Promise<string | null> {
  try {
    const files = await Promise.all([stat(`${folder}/${JOB_FILE_NAME}`), stat(`${folder}/${LOG_FILE_NAME}`)]);
    return files.map((file) => `${file.size} ${file.mtimeMs} ${file.ino}`).join(' ');
  } catch {
    return null; // reading it says why
  }
}

/** Takes jobs out whose folder is gone. */
async function pruneJobs(
  store: Store,
  known: ReadonlyMap<string, string>,
  present: ReadonlySet<string>,
): Promise<void> {
  const gone = [...known.keys()].filter((job) => !present.has(job));
  if (gone.length > 0)
    await store.query('DELETE FROM stepcaller.job WHERE job_sha256 = ANY($1::text[])', [gone]);
}

/** The hashes of the logs in the store, by job. */
async function knownLogs(store: Store): Promise<Map<string, string>> {
  const rows = await store.query<{ job_sha256: string; log_sha256: string }>(
    'SELECT job_sha256, log_sha256 FROM stepcaller.job',
  );
  return new Map(rows.map((row) => [row.job_sha256, row.log_sha256]));
}

/**
 * Imports every job folder in `folder`. Reading goes on while a batch is being written. Error:
 * `store/no-jobs-folder`; a failing database rejects with its own exception.
 */
export async function importJobs(
  store: Store,
  folder: string,
  options: ImportOptions = {},
): Promise<Result<ImportReport, Fault>> {
  const names = await foldersIn(folder);
  if (!names.ok) return names;
  const known = await knownLogs(store);
  const present = new Set<string>();
  const knownPlans: KnownPlans = new Set();
  const stored: Known = { plans: new Set(), kinds: new Map() };
  const total: Outcome & { found: number; unchanged: number } = {
    imported: 0,
    updated: 0,
    events: 0,
    rejected: [],
    found: 0,
    unchanged: 0,
  };
  let batch: Prepared[] = [];
  let events = 0;
  let writing: Promise<void> = Promise.resolve();
  const flush = async (): Promise<void> => {
    // The batch before must be in first; its failure surfaces here.
    await writing;
    const ready = batch;
    batch = [];
    events = 0;
    if (ready.length === 0) return;
    writing = writeBatch(store, ready, stored).then((outcome) => {
      total.imported += outcome.imported;
      total.updated += outcome.updated;
      total.events += outcome.events;
      total.rejected.push(...outcome.rejected);
      total.unchanged += ready.length - outcome.imported - outcome.updated - outcome.rejected.length;
    });
    // Handled when awaited; until then it must not count as unhandled.
    writing.catch(() => undefined);
  };
  for (const [index, name] of names.value.entries()) {
    if (options.signal?.aborted === true) break;
    if (index % TELL_EVERY === 0) options.onProgress?.(index, names.value.length);
    const stamp = options.seen === undefined ? null : await stampOf(`${folder}/${name}`);
    const before = options.seen?.get(name);
    if (stamp !== null && before?.stamp === stamp && known.has(before.job_sha256)) {
      present.add(before.job_sha256);
      total.found += 1;
      total.unchanged += 1;
      continue;
    }
    let unchangedJob: string | null = null;
    const isKnown = (job: string, log: string): boolean => {
      present.add(job);
      if (known.get(job) !== log) return false;
      unchangedJob = job;
      return true;
    };
    const result = await readForImport(`${folder}/${name}`, isKnown, knownPlans);
    if (stamp !== null && unchangedJob !== null) options.seen?.set(name, { stamp, job_sha256: unchangedJob });
    if (result.kind !== 'nothing') total.found += 1;
    if (result.kind === 'unchanged') total.unchanged += 1;
    if (result.kind === 'rejected') total.rejected.push(result.rejected);
    if (result.kind === 'job') {
      batch.push(prepare(result.read));
      events += result.read.lines.length;
    }
    if (events >= (options.batchEvents ?? BATCH_EVENTS)) {
      await flush();
      options.onProgress?.(index + 1, names.value.length);
    }
  }
  await flush();
  await writing;
  if (options.signal?.aborted !== true) {
    if (options.prune === true) await pruneJobs(store, known, present);
    await noteRejected(store, options.bench ?? hostname(), folder, total.rejected);
  }
  options.onProgress?.(names.value.length, names.value.length);
  return ok(total);
}

/**
 * Empties the tables that come from the logs; the next import fills them again. One program at a time. Numbers of
 * steps stay: an import that goes on meanwhile uses them.
 */
export async function emptyStore(store: Store): Promise<void> {
  await store.transaction(async (client) => {
    await client.query('SELECT pg_advisory_xact_lock($1::bigint)', [SCHEMA_LOCK]);
    await client.query(
      'TRUNCATE stepcaller.event, stepcaller.step_time, stepcaller.job, stepcaller.plan_step, stepcaller.rejected_log',
    );
  });
}

/** Makes the store again from the logs in `folder`. */
export async function rebuildStore(
  store: Store,
  folder: string,
  options: ImportOptions = {},
): Promise<Result<ImportReport, Fault>> {
  const readable = await foldersIn(folder);
  // Nothing is thrown away before it is sure that it can be made again.
  if (!readable.ok) return readable;
  await emptyStore(store);
  return importJobs(store, folder, options);
}
