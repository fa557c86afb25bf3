/** What a failing disk means for the user: a code, and one sentence with what to do. */

import { err, ok, type Result } from '../core/base/result.ts';
import type { TroubleCode } from '../core/job/model.ts';
import { DiskError, type DiskErrorCode } from './disk-port.ts';
import { fault } from './fault-words.ts';

/** A refusal in words, as it goes to a page or to the command line. `code` is `area/what-is-wrong`. */
export interface Fault {
  readonly code: string;
  readonly message: string;
  readonly mend: string;
  /** What its words are filled with, where they are in the language's table. */
  readonly facts?: Readonly<Record<string, string | number>>;
}

/** The fault of a disk error, with the path in its facts sentence. */
export function faultFromDiskError(error: DiskError): Fault {
  const code = error.code.toLowerCase() as Lowercase<DiskErrorCode>;
  return fault(`disk/${code}`, { path: error.path });
}

/** The trouble a page and the voice tell of when a log cannot be written. */
export function troubleCodeOf(fault: Fault): TroubleCode {
  return fault.code === 'disk/enospc' ? 'disk-full' : 'log-not-written';
}

/** Runs disk calls and turns a `DiskError` into a fault. Anything else thrown is a fault of the program and goes on. */
export async function attempt<T>(work: () => Promise<T>): Promise<Result<T, Fault>> {
  try {
    return ok(await work());
  } catch (thrown) {
    if (thrown instanceof DiskError) return err(faultFromDiskError(thrown));
    throw thrown;
  }
}
