/**
 * The record store as the host holds it: the same requests as `RecordStore`, worked on in a thread of its own, so
 * that neither making the database (0.7 s in one piece) nor an analysis of thousands of jobs holds up a step. The
 * thread starts with the first request and ends when the store is closed.
 */
import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Worker } from 'node:worker_threads';
import { err, type Result } from '../core/base/result.ts';
import type { GroupComparison, JobGroup } from '../core/review/groups.ts';
import type { ReviewProgress, ReviewSummary } from '../core/review/model.ts';
import type { ReviewOptions } from '../core/review/summary.ts';
import type { Fault } from '../disk/disk-fault.ts';
import type { DiskPort } from '../disk/disk-port.ts';
import { fault } from '../disk/fault-words.ts';
import type { ImportReport } from './import-jobs.ts';
import type { PastJob } from './tables.ts';
import type {
  FromThread,
  ReviewSource,
  ThreadData,
  ThreadPlace,
  ThreadRequest,
  ToThread,
} from './thread-messages.ts';

/** The bundle of the built program, or the source. */
function entryFile(): string {
  const folder = dirname(fileURLToPath(import.meta.url));
  const built = join(folder, 'record-store-worker.cjs');
  return existsSync(built) ? built : join(folder, 'thread-entry.mjs');
}

type Settle = (answer: Result<unknown, Fault>) => void;

export class RecordStoreThread {
  readonly #data: ThreadData;
  readonly #disk: DiskPort;
  readonly #entry: string;
  readonly #waiting = new Map<number, Settle>();
  #worker: Worker | undefined;
  #isOpen = false;
  #progress: ReviewProgress | null = null;
  #asked = 0;

  /** `disk` only looks whether a database is there; `entry` is the file the thread runs. */
  constructor(place: ThreadPlace, jobsFolder: string, disk: DiskPort, entry = entryFile()) {
    this.#data = { place, jobsFolder };
    this.#disk = disk;
    this.#entry = entry;
  }

  /** True where other benches may have put their jobs in too. */
  get isShared(): boolean {
    return this.#data.place.kind === 'server';
  }

  /** False where a database has to be made first, which takes seconds. */
  async isMade(): Promise<boolean> {
    const { place } = this.#data;
    if (place.kind !== 'embedded' || this.#isOpen) return true;
    return (await this.#disk.stat(`${place.folder}/postgres/PG_VERSION`)) !== undefined;
  }

  /** True while the database is open. */
  get isOpen(): boolean {
    return this.#isOpen;
  }

  /** True while a request is being worked on or waits. */
  get isBusy(): boolean {
    return this.#waiting.size > 0;
  }

  /** As `RecordStore.progress`. */
  get progress(): ReviewProgress | null {
    return this.#progress;
  }

  /** As `RecordStore.update`. */
  update(): Promise<Result<ImportReport, Fault>> {
    return this.#ask({ what: 'update' });
  }

  /** As `RecordStore.past`. */
  past(): Promise<Result<ReadonlyMap<string, readonly PastJob[]>, Fault>> {
    return this.#ask({ what: 'past' });
  }

  /** As `RecordStore.review`. */
  review(options: ReviewOptions, from: ReviewSource = 'store'): Promise<Result<ReviewSummary, Fault>> {
    return this.#ask({ what: 'review', from, options });
  }

  /** As `RecordStore.compare`. */
  compare(
    a: JobGroup,
    b: JobGroup,
    options: ReviewOptions,
    from: ReviewSource = 'store',
  ): Promise<Result<GroupComparison, Fault>> {
    return this.#ask({ what: 'compare', from, a, b, options });
  }

  /** As `RecordStore.eventLog`. */
  eventLog(options: ReviewOptions): Promise<Result<string, Fault>> {
    return this.#ask({ what: 'event-log', options });
  }

  /** As `RecordStore.rebuild`. */
  rebuild(): Promise<Result<ImportReport, Fault>> {
    return this.#ask({ what: 'rebuild' });
  }

  /** As `RecordStore.interrupt`. */
  interrupt(): void {
    const message: ToThread = { interrupt: true };
    this.#worker?.postMessage(message);
  }

  /** Closes the database and ends the thread, unless more was asked meanwhile; a later request starts it again. */
  async close(): Promise<void> {
    const worker = this.#worker;
    if (worker === undefined) return;
    await this.#ask({ what: 'close' });
    if (this.isBusy || this.#worker !== worker) return;
    this.#forget(worker);
    await worker.terminate();
  }

  /** The thread answers each kind of request with the value of its method in `RecordStore`. */
  #ask<T>(request: ThreadRequest): Promise<Result<T, Fault>> {
    const worker = this.#worker ?? this.#start();
    this.#asked += 1;
    const message: ToThread = { id: this.#asked, request };
    return new Promise((resolve) => {
      this.#waiting.set(message.id, resolve as Settle);
      // It keeps the program running only while an answer is awaited.
      worker.ref();
      worker.postMessage(message);
    });
  }

  #start(): Worker {
    const worker = new Worker(this.#entry, { workerData: this.#data });
    this.#worker = worker;
    worker.on('message', (message: FromThread) => {
      if ('progress' in message) {
        this.#progress = message.progress;
        return;
      }
      const { id, answer, isOpen } = message;
      this.#isOpen = isOpen;
      const settle = this.#waiting.get(id);
      this.#waiting.delete(id);
      if (!this.isBusy) worker.unref();
      settle?.(answer);
    });
    worker.on('error', (thrown) =>
      this.#end(worker, thrown instanceof Error ? thrown.message : String(thrown)),
    );
    worker.on('exit', (code) => this.#end(worker, `its thread ended with code ${code}`));
    return worker;
  }

  #forget(worker: Worker): boolean {
    if (this.#worker !== worker) return false;
    this.#worker = undefined;
    this.#isOpen = false;
    this.#progress = null;
    return true;
  }

  /** The thread is gone: everybody who waits is told, and the next request starts it again. */
  #end(worker: Worker, why: string): void {
    if (!this.#forget(worker)) return;
    const waiting = [...this.#waiting.values()];
    this.#waiting.clear();
    for (const settle of waiting) settle(err(fault('store/failed', { why })));
  }
}
