/** The real disk, over `node:fs`. */
import { constants, type Stats } from 'node:fs';
import { type FileHandle, mkdir, open, readdir, rename, stat, unlink } from 'node:fs/promises';
import {
  type DiskCall,
  DiskError,
  type DiskErrorCode,
  type DiskPort,
  type FileStat,
  type OpenFile,
} from './disk-port.ts';
import { readRegularFile } from './regular-file.ts';

const KNOWN: ReadonlySet<string> = new Set<DiskErrorCode>([
  'ENOENT',
  'EEXIST',
  'ENOSPC',
  'EACCES',
  'EPERM',
  'EROFS',
  'ENOTDIR',
  'EISDIR',
  'ENOTEMPTY',
  'EMFILE',
  'EIO',
]);
/** Other names of a full disk. */
const FULL: ReadonlySet<string> = new Set(['EDQUOT', 'EFBIG']);

function codeFrom(thrown: unknown): DiskErrorCode {
  const code = (thrown as { code?: unknown } | null)?.code;
  if (typeof code !== 'string') return 'EIO';
  if (FULL.has(code)) return 'ENOSPC';
  return KNOWN.has(code) ? (code as DiskErrorCode) : 'EIO';
}

async function call<T>(name: DiskCall, path: string, work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (thrown) {
    if (thrown instanceof DiskError) throw thrown;
    throw new DiskError(codeFrom(thrown), name, path);
  }
}

function fileFrom(handle: FileHandle, path: string): OpenFile {
  return {
    write: (bytes) => call('write', path, async () => (await handle.write(bytes)).bytesWritten),
    datasync: () => call('datasync', path, () => handle.datasync()),
    sync: () => call('sync', path, () => handle.sync()),
    truncate: (bytes) => call('truncate', path, () => handle.truncate(bytes)),
    size: () => call('size', path, async () => (await handle.stat()).size),
    isInPlace: () => call('stat', path, () => isInPlace(handle, path)),
    close: () => call('close', path, () => handle.close()),
  };
}

async function isInPlace(handle: FileHandle, path: string): Promise<boolean> {
  const opened = await handle.stat({ bigint: true });
  try {
    const there = await stat(path, { bigint: true });
    if (there.dev === opened.dev && there.ino === opened.ino) return true;
    // Some shares number a file anew while it is open; it is the same one if it has just changed as ours did.
    return there.size === opened.size && there.mtimeNs === opened.mtimeNs;
  } catch (thrown) {
    const code = codeFrom(thrown);
    if (code === 'ENOENT' || code === 'ENOTDIR') return false;
    throw thrown;
  }
}

function statFrom(stats: Stats): FileStat {
  return { size: stats.size, isFolder: stats.isDirectory(), modifiedMs: stats.mtimeMs };
}

/** Folders cannot be opened for syncing on Windows; its file systems journal names themselves. */
async function syncFolder(path: string): Promise<void> {
  if (process.platform === 'win32') return;
  const handle = await open(path, 'r');
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}

/** The disk of this computer. */
export function createNodeDisk(): DiskPort {
  return {
    // O_APPEND without O_CREAT: a log that has gone must not come back empty.
    openAppend: (path) =>
      call('open-append', path, async () =>
        fileFrom(await open(path, constants.O_WRONLY | constants.O_APPEND), path),
      ),
    createExclusive: (path) => call('create', path, async () => fileFrom(await open(path, 'ax'), path)),
    readFile: (path, limitBytes) => call('read', path, () => readRegularFile(path, limitBytes)),
    rename: (from, to) => call('rename', from, () => rename(from, to)),
    mkdir: (path) => call('mkdir', path, () => mkdir(path)),
    syncFolder: (path) => call('sync-folder', path, () => syncFolder(path)),
    readdir: (path) => call('readdir', path, () => readdir(path)),
    unlink: (path) => call('unlink', path, () => unlink(path)),
    stat: (path) =>
      call('stat', path, async () => {
        try {
          return statFrom(await stat(path));
        } catch (thrown) {
          if (codeFrom(thrown) === 'ENOENT') return undefined;
          throw thrown;
        }
      }),
  };
}
