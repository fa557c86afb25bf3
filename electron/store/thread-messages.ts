/** What the host and the thread of the record store say to each other. */
import type { Result } from '../core/base/result.ts';
import type { JobGroup } from '../core/review/groups.ts';
import type { ReviewProgress } from '../core/review/model.ts';
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

/** What a review rests on: the database, brought up to date first, or the newest logs alone. */
export type ReviewSource = 'store' | 'logs';

/** What can be asked; `interrupt` is answered by the request it ends. */
export type ThreadRequest =
  | { readonly what: 'review'; readonly from: ReviewSource; readonly options: ReviewOptions }
  | {
      readonly what: 'compare';
      readonly from: ReviewSource;
      readonly a: JobGroup;
      readonly b: JobGroup;
      readonly options: ReviewOptions;
    }
  | { readonly what: 'event-log'; readonly options: ReviewOptions }
  | { readonly what: 'past' }
  | { readonly what: 'update' }
  | { readonly what: 'rebuild' }
  | { readonly what: 'close' };

export type ToThread =
  | { readonly id: number; readonly request: ThreadRequest }
  | { readonly interrupt: true };

export type FromThread =
  | {
      readonly id: number;
      readonly answer: Result<unknown, Fault>;
      /** The database is open now. */
      readonly isOpen: boolean;
    }
  | { readonly progress: ReviewProgress | null };
