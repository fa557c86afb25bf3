/**
 * Files are read only where they are ordinary ones. A pipe in a folder of product files would keep a thread
 * waiting for ever, a device would never end; both can come out of somebody else's archive.
 */
import { type BigIntStats, constants } from 'node:fs';
import { type FileHandle, lstat, open, readlink, realpath } from 'node:fs/promises';
import { join, sep } from 'node:path';
import { DiskError } from './disk-port.ts';

/**
 * The file as long as it is at the moment of opening. Rejects with `DiskError` EISDIR for a folder, EFTYPE for
 * what is no ordinary file, EFBIG beyond `limitBytes`, and with the system's own errors.
 */
export function readRegularFile(path: string, limitBytes: number): Promise<Buffer> {
  return readOpened(path, limitBytes, async () => true);
}

/**
 * A file below a folder, whatever links there are and however they change meanwhile: what counts is where the file
 * lies that was opened. Rejects as `readRegularFile`, and with EACCES where it lies elsewhere.
 */
export async function readFileBelow(
  folder: string,
  segments: readonly string[],
  limitBytes: number,
): Promise<Buffer> {
  const root = await realpath(folder);
  const isBelow = (path: string): boolean => path.startsWith(root + sep);
  const path = await realpath(join(root, ...segments));
  if (!isBelow(path)) throw new DiskError('EACCES', 'read', path);
  return readOpened(path, limitBytes, async (handle, stats) => {
    if (process.platform === 'linux') return isBelow(await readlink(`/proc/self/fd/${handle.fd}`));
    // Without such a file: the same one must lie there, and still not through a link.
    const now = await lstat(await realpath(path), { bigint: true });
    return isBelow(await realpath(path)) && now.dev === stats.dev && now.ino === stats.ino;
  });
}

async function readOpened(
  path: string,
  limitBytes: number,
  isAllowed: (handle: FileHandle, stats: BigIntStats) => Promise<boolean>,
): Promise<Buffer> {
  // Not waiting: opening a pipe returns at once. Windows has no such flag and no pipes among files.
  const handle = await open(path, constants.O_RDONLY | (constants.O_NONBLOCK ?? 0));
  try {
    const stats = await handle.stat({ bigint: true });
    if (stats.isDirectory()) throw new DiskError('EISDIR', 'read', path);
    if (!stats.isFile()) throw new DiskError('EFTYPE', 'read', path);
    if (stats.size > BigInt(limitBytes)) throw new DiskError('EFBIG', 'read', path);
    if (!(await isAllowed(handle, stats))) throw new DiskError('EACCES', 'read', path);
    const bytes = Buffer.alloc(Number(stats.size));
    let at = 0;
    while (at < bytes.length) {
      const { bytesRead } = await handle.read(bytes, at, bytes.length - at, at);
      if (bytesRead === 0) return bytes.subarray(0, at); // shorter meanwhile
      at += bytesRead;
    }
    return bytes;
  } finally {
    await handle.close();
  }
}
