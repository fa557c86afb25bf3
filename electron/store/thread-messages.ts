/** What the host and the thread of the record store say to each other. */
import type { Result } from '../core/base/result.ts';
import type { ReviewOptions } from '../core/review/summary.ts';
import type { Fault } from '../disk/disk-fault.ts';

/** Where the store is, as plain data: a thread gets no functions. */
export type ThreadPlace =
  | { readonly kind: 'server'; readonly url: string }
  | { readonly kind: 'memory' }
  | {
      readonly kind: 'embedded';
      readonly folder: string;
      /** Name of the program, for the holder of the lock. */
      readonly program: string;
      readonly since: string;
      readonly token: string;
    };

export interface ThreadData {
  readonly place: ThreadPlace;
  readonly jobsFolder: string;
}

/** What can be asked; `interrupt` is answered by the request it ends. */
export type ThreadRequest =
  | { readonly what: 'review'; readonly options: ReviewOptions }
  | { readonly what: 'past' }
  | { readonly what: 'update' }
  | { readonly what: 'rebuild' }
  | { readonly what: 'close' };

export type ToThread =
  | { readonly id: number; readonly request: ThreadRequest }
  | { readonly interrupt: true };

export interface FromThread {
  readonly id: number;
  readonly answer: Result<unknown, Fault>;
  /** The database is open now. */
  readonly isOpen: boolean;
}
