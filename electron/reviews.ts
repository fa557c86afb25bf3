/**
 * The supervisor's review and the expected time from past jobs, as the host gives them: from the record store where
 * it can be used, else from the logs themselves. The store works in a thread of its own, but the processor is wanted
 * by the ear, so it rests while a job is open; and nobody waits for it to be made.
 */
import type { Clock } from './clock.ts';
import { ok, type Result } from './core/base/result.ts';
import { verdictOf } from './core/log/verify.ts';
import type { Plan } from './core/plan/model.ts';
import type { JobLog, ReviewSummary } from './core/review/model.ts';
import { expectedOfPlan } from './core/review/prediction.ts';
import { type ReviewOptions, reviewLogs, withNotice } from './core/review/summary.ts';
import type { Fault } from './disk/disk-fault.ts';
import type { DiskPort } from './disk/disk-port.ts';
import { readJob } from './disk/job-folder.ts';
import { findJobs, mapInTurn, partition } from './disk/job-search.ts';
import type { ExpectedFromJobs } from './ipc/contract.ts';
import { periodEventLog } from './period-file.ts';
import type { RecordStore } from './store/record-store.ts';
import type { PastJob } from './store/tables.ts';

/** Jobs in one review that is made from the logs: the newest. */
export const MAX_REVIEWED_JOBS = 2000;
/** Up to this many jobs the logs answer sooner than a database is made, which then happens behind the answer. */
export const FEW_JOBS = 50;
/** Closing the store may take this long, in milliseconds. */
const CLOSING_PATIENCE_MS = 2000;
/** A past job counts for a plan when it did at least this share of the plan's steps. */
const LEAST_SHARED_STEPS = 0.5;

/** What the host needs of the record store. */
export type ReviewStore = Pick<
  RecordStore,
  'isShared' | 'isMade' | 'isOpen' | 'isBusy' | 'review' | 'past' | 'interrupt' | 'close'
>;

export interface ReviewsOptions {
  readonly disk: DiskPort;
  readonly clock: Clock;
  readonly jobsFolder: string;
  /** Makes the store when it is first wanted; undefined where there is none. */
  readonly openStore: (() => Promise<ReviewStore>) | undefined;
  readonly jobIsOpen: () => boolean;
  /** Jobs read where the logs answer; `MAX_REVIEWED_JOBS` by default. */
  readonly most?: number;
}

/** Reads one job with the verdict on its log. Errors: those of `readJob`. */
export async function jobLogOf(disk: DiskPort, folder: string): Promise<Result<JobLog, Fault>> {
  const read = await readJob(disk, folder);
  if (!read.ok) return read;
  const { jobFile, log } = read.value;
  return ok({ job: jobFile, lines: log.lines, verdict: verdictOf(jobFile, log) });
}

export class Reviews {
  readonly #options: ReviewsOptions;
  #store: Promise<ReviewStore> | undefined;
  #fault: Fault | undefined;
  /** The store is to be made once the answer at hand is given. */
  #wanted = false;
  #past: ReadonlyMap<string, readonly PastJob[]> = new Map();

  constructor(options: ReviewsOptions) {
    this.#options = options;
  }

  /**
   * The review of the jobs as they are now. A store that cannot be used is told in a notice. Error: the jobs folder
   * cannot be read.
   */
  async summary(options: ReviewOptions): Promise<Result<ReviewSummary, Fault>> {
    const answer = await this.#answer(options);
    if (this.#wanted) {
      this.#wanted = false;
      void this.#learn();
    }
    return answer;
  }

  async #answer(options: ReviewOptions): Promise<Result<ReviewSummary, Fault>> {
    const { disk } = this.#options;
    const found = await this.#jobFolders();
    if (!found.ok) return found;
    const stored = await this.#fromStore(options, found.value.length);
    if (stored !== undefined) return ok(stored);
    const folders = found.value.slice(-(this.#options.most ?? MAX_REVIEWED_JOBS));
    const read = await mapInTurn(folders, (job) => jobLogOf(disk, job));
    let summary = reviewLogs(partition(folders, read).jobs, options);
    if (folders.length < found.value.length)
      summary = withNotice(summary, 'review/latest-only', {
        jobs: folders.length,
        total: found.value.length,
      });
    const fault = this.#fault;
    if (fault === undefined) return ok(summary);
    return ok(withNotice(summary, 'review/no-store', { reason: `${fault.message} ${fault.mend}` }));
  }

  /** The event log (XES) of the newest jobs of this bench. Error: the jobs folder cannot be read. */
  async eventLog(options: ReviewOptions): Promise<Result<string, Fault>> {
    const found = await this.#jobFolders();
    if (!found.ok) return found;
    const folders = found.value.slice(-(this.#options.most ?? MAX_REVIEWED_JOBS));
    const read = await mapInTurn(folders, (job) => jobLogOf(this.#options.disk, job));
    return ok(periodEventLog(partition(folders, read).jobs, options));
  }

  /** The folders of the jobs, by time; none where the folder was never made. */
  async #jobFolders(): Promise<Result<readonly string[], Fault>> {
    const found = await findJobs(this.#options.disk, this.#options.jobsFolder);
    return !found.ok && found.error.code === 'disk/enoent' ? ok([]) : found;
  }

  /** The store's review; undefined where it has none now. */
  async #fromStore(options: ReviewOptions, jobsHere: number): Promise<ReviewSummary | undefined> {
    const store = await this.#storeAtRest();
    // No database is made for nothing.
    if (store === undefined || (jobsHere === 0 && !store.isShared)) return undefined;
    if (jobsHere <= FEW_JOBS && !(await isMade(store))) {
      this.#wanted = true;
      return undefined;
    }
    // The store works in its own thread: waiting for it holds nobody up, reading many logs here would.
    const answer = await store.review(options);
    this.#note(answer);
    return answer.ok ? answer.value : undefined;
  }

  /** The store, where it may be used now: no job is open. */
  async #storeAtRest(): Promise<ReviewStore | undefined> {
    const { openStore, jobIsOpen } = this.#options;
    if (openStore === undefined || jobIsOpen()) return undefined;
    this.#store ??= openStore();
    try {
      return await this.#store;
    } catch (thrown) {
      // The program's own files are not all there: the same again at the next request.
      this.#store = undefined;
      this.#fault = {
        code: 'store/missing',
        message: `The record store is not there: ${thrown instanceof Error ? thrown.message : String(thrown)}.`,
        mend: 'Install the program again.',
      };
      return undefined;
    }
  }

  #note(answer: Result<unknown, Fault>): void {
    if (answer.ok) this.#fault = undefined;
    else if (answer.error.code !== 'store/interrupted') this.#fault = answer.error;
  }

  #orLate<T>(work: Promise<T>, patienceMs: number): Promise<T | undefined> {
    return new Promise((resolve, reject) => {
      const stop = this.#options.clock.every(patienceMs, () => {
        stop();
        resolve(undefined);
      });
      work.then(resolve, reject).finally(stop);
    });
  }

  /**
   * Brings the past jobs up to date behind the scenes, for the plan that will probably be asked for next. Makes no
   * store: a job may begin soon.
   */
  async prepare(): Promise<void> {
    const store = await this.#storeAtRest();
    const found = store === undefined ? undefined : await this.#jobFolders();
    if (store === undefined || store.isBusy || found?.ok !== true) return;
    if (found.value.length === 0 && !store.isShared) return;
    if (await isMade(store)) await this.#learn();
  }

  /** Takes the jobs in and keeps what they took. */
  async #learn(): Promise<void> {
    const store = await this.#storeAtRest();
    if (store === undefined) return;
    const past = await store.past();
    this.#note(past);
    if (past.ok) this.#past = past.value;
  }

  /** What the plan will take by the finished jobs known at this moment; undefined where none is like it. */
  expected(plan: Plan): ExpectedFromJobs | undefined {
    const wanted = plan.steps.map((step) => step.id);
    const alike = (this.#past.get(plan.product) ?? []).filter((job) => {
      const shared = wanted.filter((id) => Object.hasOwn(job.steps, id)).length;
      return shared > 0 && shared >= LEAST_SHARED_STEPS * wanted.length;
    });
    const found = expectedOfPlan(
      plan.steps,
      alike.map((job) => job.steps),
    );
    if (found === null) return undefined;
    return { s: found.expected_s, low_s: found.low_s, high_s: found.high_s, jobs: found.jobs };
  }

  /** Lets processor and memory (some 0.7 GB of an embedded database) go to a job that begins. */
  interrupt(): void {
    void this.#store?.then(
      (store) => {
        store.interrupt();
        return store.close();
      },
      () => undefined, // it never opened
    );
  }

  async close(): Promise<void> {
    const store = await this.#store?.catch(() => undefined);
    this.#store = undefined;
    if (store === undefined) return;
    store.interrupt();
    // A database that is being made is not waited for: what it holds comes from the logs.
    await this.#orLate(store.close(), CLOSING_PATIENCE_MS);
  }
}

/** A folder that cannot be looked at is told by opening it. */
async function isMade(store: ReviewStore): Promise<boolean> {
  try {
    return await store.isMade();
  } catch {
    return true;
  }
}
