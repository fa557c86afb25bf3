/** What a failing disk means for the user: a code, and one sentence with what to do. */

import { err, ok, type Result } from '../core/base/result.ts';
import type { TroubleCode } from '../core/job/model.ts';
import { DiskError, type DiskErrorCode } from './disk-port.ts';

/** A refusal in words, as it goes to a page or to the command line. `code` is `area/what-is-wrong`. */
export interface Fault {
  readonly code: string;
  readonly message: string;
  readonly mend: string;
}

const WORDS: Readonly<Record<DiskErrorCode, readonly [what: string, mend: string]>> = {
  ENOSPC: ['The disk is full', 'Delete files that are not needed, then say it again.'],
  EACCES: [
    'The folder may not be written',
    'Give yourself the right to write there, or choose another folder.',
  ],
  EPERM: [
    'The folder may not be written',
    'Give yourself the right to write there, or choose another folder.',
  ],
  EROFS: ['The disk is read-only', 'Take off the write protection, or choose another folder.'],
  ENOENT: ['A file or folder is gone', 'Put it back from a backup, or choose another folder.'],
  ENOTDIR: ['A file lies where a folder should be', 'Move the file away, or choose another folder.'],
  EEXIST: ['Something of that name is there already', 'Choose another name or move it away.'],
  EISDIR: ['A folder lies where a file should be', 'Move the folder away.'],
  ENOTEMPTY: ['The folder is not empty', 'Choose another folder.'],
  EMFILE: ['Too many files are open', 'Close other programs, then try again.'],
  EIO: ['The disk has a fault', 'Do not rely on this disk; copy the folder to another one.'],
};

/** The fault of a disk error, with the path in its facts sentence. */
export function faultFromDiskError(error: DiskError): Fault {
  const [what, mend] = WORDS[error.code];
  return { code: `disk/${error.code.toLowerCase()}`, message: `${what}: ${error.path}.`, mend };
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
