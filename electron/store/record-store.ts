/**
 * The record store as the host uses it: opened when it is first asked, brought up to date with the logs before
 * every answer, one request at a time. A database that fails loses nothing; the next request opens it again.
 */
import { err, ok, type Result } from '../core/base/result.ts';
import type { GroupComparison, JobGroup } from '../core/review/groups.ts';
import type { ReviewProgress, ReviewSummary } from '../core/review/model.ts';
import type { ReviewOptions } from '../core/review/summary.ts';
import type { Fault } from '../disk/disk-fault.ts';
import { fault } from '../disk/fault-words.ts';
import { createNodeDisk } from '../disk/node-disk.ts';
import { openStore, type Store, type StorePlace } from './client.ts';
import { type ImportReport, importJobs, rebuildStore, type SeenLogs } from './import-jobs.ts';
import { compareLogs, eventLogOf, type Logs, reviewOfLogs } from './logs-review.ts';
import {
  compareInStore,
  type PastJob,
  pastJobs,
  reviewFromStore,
  type StepTableRow,
  stepTable,
} from './tables.ts';
import type { ReviewSource } from './thread-messages.ts';

const NOTHING_IMPORTED: ImportReport = {
  found: 0,
  imported: 0,
  updated: 0,
  unchanged: 0,
  events: 0,
  rejected: [],
};

export class RecordStore {
  readonly #place: StorePlace;
  readonly #jobsFolder: string;
  readonly #seen: SeenLogs = new Map();
  #store: Store | undefined;
  #queue: Promise<unknown> = Promise.resolve();
  #waiting = 0;
  #interrupt = new AbortController();
  #progress: ReviewProgress | null = null;
  readonly #onProgress: (progress: ReviewProgress | null) => void;

  /** `onProgress` is told where the work at hand is, and null when it is done. */
  constructor(
    place: StorePlace,
    jobsFolder: string,
    onProgress: (progress: ReviewProgress | null) => void = () => undefined,
  ) {
    this.#place = place;
    this.#jobsFolder = jobsFolder;
    this.#onProgress = onProgress;
  }

  /** How far the work at hand is; null while there is none. */
  get progress(): ReviewProgress | null {
    return this.#progress;
  }

  /** True where other benches may have put their jobs in too. */
  get isShared(): boolean {
    return this.#place.kind === 'server';
  }

  /** False where a database has to be made first, which takes seconds. */
  async isMade(): Promise<boolean> {
    if (this.#place.kind !== 'embedded' || this.isOpen) return true;
    return (await this.#place.disk.stat(`${this.#place.folder}/postgres/PG_VERSION`)) !== undefined;
  }

  /** True while the database is open. */
  get isOpen(): boolean {
    return this.#store !== undefined;
  }

  /** True while a request is being worked on or waits. */
  get isBusy(): boolean {
    return this.#waiting > 0;
  }

  /** Takes new and grown logs in. Errors: those of `openStore` and `importJobs`, `store/failed`, `store/interrupted`. */
  update(): Promise<Result<ImportReport, Fault>> {
    const { signal } = this.#interrupt;
    return this.#withStore((store) => this.#import(store, signal));
  }

  /** Takes new and grown logs in and gives the latest finished jobs by product. Errors as `update`. */
  past(): Promise<Result<ReadonlyMap<string, readonly PastJob[]>, Fault>> {
    return this.#upToDate((store) => pastJobs(store));
  }

  /** Ends the imports asked for so far after the batch at hand; they give `store/interrupted`. What is in stays in. */
  interrupt(): void {
    this.#interrupt.abort();
    this.#interrupt = new AbortController();
  }

  /** `signal` is the one of the moment of asking: an interruption while the database is being opened counts too. */
  async #import(store: Store, signal: AbortSignal): Promise<Result<ImportReport, Fault>> {
    // A server has the jobs of other benches too.
    const prune = store.kind === 'embedded';
    const imported = await importJobs(store, this.#jobsFolder, {
      signal,
      prune,
      seen: this.#seen,
      onProgress: this.#reading,
    });
    // The computer of a supervisor has no jobs of its own to give to the server.
    const nothingHere = !imported.ok && imported.error.code === 'store/no-jobs-folder' && this.isShared;
    if (nothingHere) return ok(NOTHING_IMPORTED);
    if (!signal.aborted) return imported;
    return err(fault('store/interrupted'));
  }

  /**
   * The supervisor's review: from the database with all logs of the folder as they are now, or from the newest logs
   * alone. Errors of the former as `update`, of the latter: the folder cannot be read.
   */
  review(options: ReviewOptions, from: ReviewSource = 'store'): Promise<Result<ReviewSummary, Fault>> {
    if (from === 'logs') return this.#withLogs((logs) => reviewOfLogs(logs, options));
    return this.#upToDate((store) => reviewFromStore(store, options));
  }

  /** Two groups of jobs compared; sources and errors as in `review`. */
  compare(
    a: JobGroup,
    b: JobGroup,
    options: ReviewOptions,
    from: ReviewSource = 'store',
  ): Promise<Result<GroupComparison, Fault>> {
    if (from === 'logs') return this.#withLogs((logs) => compareLogs(logs, a, b, options));
    return this.#upToDate((store) => compareInStore(store, a, b, options));
  }

  /** The event log (XES) of the newest logs of this bench. Error: the folder cannot be read. */
  eventLog(options: ReviewOptions): Promise<Result<string, Fault>> {
    return this.#withLogs((logs) => eventLogOf(logs, options));
  }

  /** `work` on the database once the logs are in. */
  #upToDate<T>(work: (store: Store) => Promise<T>): Promise<Result<T, Fault>> {
    const { signal } = this.#interrupt;
    return this.#withStore(async (store) => {
      const updated = await this.#import(store, signal);
      if (!updated.ok) return updated;
      this.#tell({ stage: 'computing', done: 0, total: 0 });
      return ok(await work(store));
    });
  }

  #withLogs<T>(work: (logs: Logs) => Promise<Result<T, Fault>>): Promise<Result<T, Fault>> {
    const logs = { disk: createNodeDisk(), folder: this.#jobsFolder, onProgress: this.#reading };
    return this.#inTurn(() => work(logs));
  }

  #tell(progress: ReviewProgress | null): void {
    this.#progress = progress;
    this.#onProgress(progress);
  }

  readonly #reading = (done: number, total: number): void => this.#tell({ stage: 'reading', done, total });

  /** The per-step table by SQL, of what is in the store. Errors: those of `openStore`, `store/failed`. */
  stepTable(product: string | null): Promise<Result<readonly StepTableRow[], Fault>> {
    return this.#withStore(async (store) => ok(await stepTable(store, product)));
  }

  /** Throws the tables away and makes them again from the logs. Errors as `update`. */
  rebuild(): Promise<Result<ImportReport, Fault>> {
    return this.#withStore((store) => rebuildStore(store, this.#jobsFolder, { onProgress: this.#reading }));
  }

  /** Closes the database; a later request opens it again. */
  close(): Promise<void> {
    return this.#inTurn(() => this.#drop());
  }

  #withStore<T>(work: (store: Store) => Promise<Result<T, Fault>>): Promise<Result<T, Fault>> {
    return this.#inTurn(async () => {
      try {
        if (this.#store === undefined) {
          this.#tell({ stage: 'opening', done: 0, total: 0 });
          const opened = await openStore(this.#place);
          if (!opened.ok) return opened;
          this.#store = opened.value;
        }
        return await work(this.#store);
      } catch (thrown) {
        await this.#drop();
        return err(fault('store/failed', { why: thrown instanceof Error ? thrown.message : String(thrown) }));
      }
    });
  }

  async #drop(): Promise<void> {
    const store = this.#store;
    this.#store = undefined;
    try {
      await store?.close();
    } catch {
      // a connection that is broken cannot be closed; it is let go either way
    }
  }

  #inTurn<T>(work: () => Promise<T>): Promise<T> {
    this.#waiting += 1;
    const turn = this.#queue.then(work, work).finally(() => {
      this.#waiting -= 1;
      this.#tell(null);
    });
    this.#queue = turn.catch(() => undefined);
    return turn;
  }
}
