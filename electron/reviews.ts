/**
 * The supervisor's review and the expected time from past jobs, as the host gives them: from the record store where
 * it can be used, else from the logs themselves. Both are worked on in the store's thread. The processor is wanted
 * by the ear, so the database rests while a job is open; and nobody waits for it to be made.
 */
import type { Clock } from './clock.ts';
import { ok, type Result } from './core/base/result.ts';
import type { Plan } from './core/plan/model.ts';
import type { GroupComparison, JobGroup } from './core/review/groups.ts';
import type { ReviewProgress, ReviewSummary } from './core/review/model.ts';
import { expectedOfPlan } from './core/review/prediction.ts';
import { type ReviewOptions, withNotice } from './core/review/summary.ts';
import { attempt, type Fault } from './disk/disk-fault.ts';
import type { DiskPort } from './disk/disk-port.ts';
import { fault } from './disk/fault-words.ts';
import { isJobName } from './disk/job-folder.ts';
import type { ExpectedFromJobs } from './ipc/contract.ts';
import { compareLogs, eventLogOf, type Logs, reviewOfLogs } from './store/logs-review.ts';
import type { RecordStore } from './store/record-store.ts';
import type { PastJob } from './store/tables.ts';
import type { ReviewSource } from './store/thread-messages.ts';

/** Up to this many jobs the logs answer sooner than a database is made, which then happens behind the answer. */
export const FEW_JOBS = 50;
/** Closing the store may take this long, in milliseconds. */
const CLOSING_PATIENCE_MS = 2000;
/** Progress is told this often: the page sees that the program is at work, and its bridge keeps waiting. */
export const PROGRESS_EVERY_MS = 500;
/** A past job counts for a plan when it did at least this share of the plan's steps. */
const LEAST_SHARED_STEPS = 0.5;

/** While the store's thread has not yet told of anything. */
const BEGINNING: ReviewProgress = { stage: 'opening', done: 0, total: 0 };

/** What the host needs of the record store. */
export type ReviewStore = Pick<
  RecordStore,
  | 'isShared'
  | 'isMade'
  | 'isOpen'
  | 'isBusy'
  | 'progress'
  | 'review'
  | 'compare'
  | 'eventLog'
  | 'past'
  | 'interrupt'
  | 'close'
>;

export interface ReviewsOptions {
  readonly disk: DiskPort;
  readonly clock: Clock;
  readonly jobsFolder: string;
  /** Makes the store when it is first wanted; undefined where there is none. */
  readonly openStore: (() => Promise<ReviewStore>) | undefined;
  readonly jobIsOpen: () => boolean;
  /** Told again and again while an answer is awaited. */
  readonly onProgress?: (progress: ReviewProgress) => void;
  /** Jobs read where the logs answer without a store; `MAX_REVIEWED_JOBS` by default. */
  readonly most?: number;
}

/** One thing asked of the store, or of the logs where there is no store at all. */
interface Question<T> {
  readonly ofStore: (store: ReviewStore, from: ReviewSource) => Promise<Result<T, Fault>>;
  readonly ofLogs: (logs: Logs) => Promise<Result<T, Fault>>;
}

export class Reviews {
  readonly #options: ReviewsOptions;
  #store: Promise<ReviewStore> | undefined;
  #opened: ReviewStore | undefined;
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
    const answer = await this.#answer({
      ofStore: (store, from) => store.review(options, from),
      ofLogs: (logs) => reviewOfLogs(logs, options),
    });
    const fault = this.#fault;
    if (!answer.ok || fault === undefined) return answer;
    return ok(withNotice(answer.value, 'review/no-store', { reason: `${fault.message} ${fault.mend}` }));
  }

  /** Two groups of jobs compared. Error: the jobs folder cannot be read. */
  compare(a: JobGroup, b: JobGroup, options: ReviewOptions): Promise<Result<GroupComparison, Fault>> {
    return this.#answer({
      ofStore: (store, from) => store.compare(a, b, options, from),
      ofLogs: (logs) => compareLogs(logs, a, b, options),
    });
  }

  /** The event log (XES) of the newest jobs of this bench. Error: the jobs folder cannot be read. */
  eventLog(options: ReviewOptions): Promise<Result<string, Fault>> {
    return this.#working(() =>
      this.#fromLogs({
        ofStore: (store) => store.eventLog(options),
        ofLogs: (logs) => eventLogOf(logs, options),
      }),
    );
  }

  async #answer<T>(question: Question<T>): Promise<Result<T, Fault>> {
    const answer = await this.#working(async () => {
      const jobs = await this.#countJobs();
      if (!jobs.ok) return jobs;
      return (await this.#fromStore(question, jobs.value)) ?? (await this.#fromLogs(question));
    });
    if (this.#wanted) {
      this.#wanted = false;
      void this.#learn();
    }
    return answer;
  }

  /** Tells the store's progress until the work is done. */
  async #working<T>(work: () => Promise<T>): Promise<T> {
    const { clock, onProgress } = this.#options;
    const stop = clock.every(PROGRESS_EVERY_MS, () => onProgress?.(this.#opened?.progress ?? BEGINNING));
    try {
      return await work();
    } finally {
      stop();
    }
  }

  /** How many folders may be jobs; none where the folder was never made. */
  async #countJobs(): Promise<Result<number, Fault>> {
    const names = await attempt(() => this.#options.disk.readdir(this.#options.jobsFolder));
    if (names.ok) return ok(names.value.filter(isJobName).length);
    return names.error.code === 'disk/enoent' ? ok(0) : names;
  }

  /** The answer from the database; undefined where it gives none now. */
  async #fromStore<T>(question: Question<T>, jobsHere: number): Promise<Result<T, Fault> | undefined> {
    const store = this.#options.jobIsOpen() ? undefined : await this.#storeOf();
    // No database is made for nothing.
    if (store === undefined || (jobsHere === 0 && !store.isShared)) return undefined;
    if (jobsHere <= FEW_JOBS && !(await isMade(store))) {
      this.#wanted = true;
      return undefined;
    }
    const answer = await question.ofStore(store, 'store');
    this.#note(answer);
    return answer.ok ? answer : undefined;
  }

  /** The answer from the logs, in the store's thread where there is one: reading many would hold up a step. */
  async #fromLogs<T>(question: Question<T>): Promise<Result<T, Fault>> {
    const { disk, jobsFolder, most, jobIsOpen } = this.#options;
    const store = await this.#storeOf();
    const answer = store === undefined ? undefined : await question.ofStore(store, 'logs');
    // The memory of its thread goes to the job.
    if (store !== undefined && jobIsOpen()) void store.close();
    // A thread that could not run leaves it to this one.
    if (answer !== undefined && (answer.ok || answer.error.code !== 'store/failed')) return answer;
    return question.ofLogs({ disk, folder: jobsFolder, most });
  }

  /** The store; undefined where there is none. */
  async #storeOf(): Promise<ReviewStore | undefined> {
    const { openStore } = this.#options;
    if (openStore === undefined) return undefined;
    this.#store ??= openStore();
    try {
      this.#opened = await this.#store;
      return this.#opened;
    } catch (thrown) {
      // The program's own files are not all there: the same again at the next request.
      this.#store = undefined;
      this.#fault = fault('store/missing', {
        why: thrown instanceof Error ? thrown.message : String(thrown),
      });
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
    const store = this.#options.jobIsOpen() ? undefined : await this.#storeOf();
    const jobs = store === undefined ? undefined : await this.#countJobs();
    if (store === undefined || store.isBusy || jobs?.ok !== true) return;
    if (jobs.value === 0 && !store.isShared) return;
    if (await isMade(store)) await this.#learn();
  }

  /** Takes the jobs in and keeps what they took. */
  async #learn(): Promise<void> {
    const store = this.#options.jobIsOpen() ? undefined : await this.#storeOf();
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
    this.#opened = undefined;
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
