/**
 * The record store as the host uses it: opened when it is first asked, brought up to date with the logs before
 * every answer, one request at a time. A database that fails loses nothing; the next request opens it again.
 */
import { err, ok, type Result } from '../core/base/result.ts';
import type { ReviewSummary } from '../core/review/model.ts';
import type { ReviewOptions } from '../core/review/summary.ts';
import type { Fault } from '../disk/disk-fault.ts';
import { openStore, type Store, type StorePlace } from './client.ts';
import { type ImportReport, importJobs, rebuildStore } from './import-jobs.ts';
import { reviewFromStore, type StepTableRow, stepTable } from './tables.ts';

type EmbeddedPlace = Extract<StorePlace, { kind: 'embedded' }>;

/** Where the store is: the server named by STEPCALLER_DATABASE_URL, else the folder of the user. */
export function storePlaceFrom(
  environment: Readonly<Record<string, string | undefined>>,
  embedded: Omit<EmbeddedPlace, 'kind'>,
): StorePlace {
  const url = environment.STEPCALLER_DATABASE_URL;
  return url === undefined || url === '' ? { kind: 'embedded', ...embedded } : { kind: 'server', url };
}

export class RecordStore {
  readonly #place: StorePlace;
  readonly #jobsFolder: string;
  #store: Store | undefined;
  #queue: Promise<unknown> = Promise.resolve();

  constructor(place: StorePlace, jobsFolder: string) {
    this.#place = place;
    this.#jobsFolder = jobsFolder;
  }

  /** Takes new and grown logs in. Errors: those of `openStore` and `importJobs`, `store/failed`. */
  update(): Promise<Result<ImportReport, Fault>> {
    return this.#withStore((store) => importJobs(store, this.#jobsFolder));
  }

  /** The supervisor's review of all logs in the folder as they are now. Errors as `update`. */
  review(options: ReviewOptions): Promise<Result<ReviewSummary, Fault>> {
    return this.#withStore(async (store) => {
      const updated = await importJobs(store, this.#jobsFolder);
      return updated.ok ? ok(await reviewFromStore(store, options)) : updated;
    });
  }

  /** The per-step table by SQL, of what is in the store. Errors: those of `openStore`, `store/failed`. */
  stepTable(product: string | null): Promise<Result<readonly StepTableRow[], Fault>> {
    return this.#withStore(async (store) => ok(await stepTable(store, product)));
  }

  /** Throws the tables away and makes them again from the logs. Errors as `update`. */
  rebuild(): Promise<Result<ImportReport, Fault>> {
    return this.#withStore((store) => rebuildStore(store, this.#jobsFolder));
  }

  /** Closes the database; a later request opens it again. */
  close(): Promise<void> {
    return this.#inTurn(() => this.#drop());
  }

  #withStore<T>(work: (store: Store) => Promise<Result<T, Fault>>): Promise<Result<T, Fault>> {
    return this.#inTurn(async () => {
      if (this.#store === undefined) {
        const opened = await openStore(this.#place);
        if (!opened.ok) return opened;
        this.#store = opened.value;
      }
      try {
        return await work(this.#store);
      } catch (thrown) {
        await this.#drop();
        return err({
          code: 'store/failed',
          message: `The record store failed: ${thrown instanceof Error ? thrown.message : String(thrown)}.`,
          mend: 'Try again. The jobs and their logs are not affected.',
        });
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
    const turn = this.#queue.then(work, work);
    this.#queue = turn.catch(() => undefined);
    return turn;
  }
}
