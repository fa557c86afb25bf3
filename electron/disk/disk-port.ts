/**
 * The disk as the host sees it: the few calls it makes, so that a test can put a disk in memory in its place
 * that loses, tears and fails. Every call may reject with a `DiskError`; the callers in this folder turn that
 * into a `Result` at their border.
 */

/**
 * Error names of the system that the host tells apart; anything else counts as `EIO`. EFBIG and EFTYPE are our own
 * answers to a file that is too large to be read and to what is no ordinary file.
 */
export type DiskErrorCode =
  | 'ENOENT'
  | 'EEXIST'
  | 'ENOSPC'
  | 'EACCES'
  | 'EPERM'
  | 'EROFS'
  | 'ENOTDIR'
  | 'EISDIR'
  | 'ENOTEMPTY'
  | 'EMFILE'
  | 'EFBIG'
  | 'EFTYPE'
  | 'EIO';

export type DiskCall =
  | 'open-append'
  | 'create'
  | 'write'
  | 'datasync'
  | 'sync'
  | 'truncate'
  | 'size'
  | 'close'
  | 'read'
  | 'rename'
  | 'mkdir'
  | 'sync-folder'
  | 'readdir'
  | 'stat'
  | 'unlink';

export class DiskError extends Error {
  readonly code: DiskErrorCode;
  readonly call: DiskCall;
  readonly path: string;

  constructor(code: DiskErrorCode, call: DiskCall, path: string) {
    super(`${call} ${path}: ${code}`);
    this.name = 'DiskError';
    this.code = code;
    this.call = call;
    this.path = path;
  }
}

export interface FileStat {
  readonly size: number;
  readonly isFolder: boolean;
  readonly modifiedMs: number;
}

/** A file open for appending. */
export interface OpenFile {
  /** Appends at the end of the file; gives the number of bytes taken, which may be fewer than asked. */
  write(bytes: Uint8Array): Promise<number>;
  /** Returns once data and size are on the disk. */
  datasync(): Promise<void>;
  sync(): Promise<void>;
  truncate(bytes: number): Promise<void>;
  size(): Promise<number>;
  /** Whether its path still names this file: not deleted, nor moved with its folder. */
  isInPlace(): Promise<boolean>;
  close(): Promise<void>;
}

export interface DiskPort {
  /** Opens an existing file for appending; ENOENT where there is none. */
  openAppend(path: string): Promise<OpenFile>;
  /** Creates a file that must not exist yet (EEXIST) and opens it for appending. */
  createExclusive(path: string): Promise<OpenFile>;
  /** The whole file; rejects with EFBIG where it is larger than `limitBytes`, EFTYPE where it is no ordinary file. */
  readFile(path: string, limitBytes: number): Promise<Uint8Array>;
  /** Replaces `to` in one step where it is a file. */
  rename(from: string, to: string): Promise<void>;
  /** Makes one folder; EEXIST where there is one. */
  mkdir(path: string): Promise<void>;
  /** Returns once the names in the folder are on the disk. */
  syncFolder(path: string): Promise<void>;
  readdir(path: string): Promise<readonly string[]>;
  /** Undefined where there is nothing of that name. */
  stat(path: string): Promise<FileStat | undefined>;
  unlink(path: string): Promise<void>;
}

/** The `DiskError` of something thrown, or undefined where it was none: then it is a fault of the program. */
export function diskErrorFrom(thrown: unknown): DiskError | undefined {
  return thrown instanceof DiskError ? thrown : undefined;
}
