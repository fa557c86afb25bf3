/** Files that are there whole or not at all, and the small steps they share with the log. */
import type { Result } from '../core/base/result.ts';
import { attempt, type Fault } from './disk-fault.ts';
import { DiskError, type DiskPort, type OpenFile } from './disk-port.ts';

/** Writes all bytes, going on after short writes. A write that takes nothing is a full disk. */
export async function writeAll(file: OpenFile, bytes: Uint8Array, path: string): Promise<void> {
  let from = 0;
  while (from < bytes.length) {
    const taken = await file.write(bytes.subarray(from));
    if (taken <= 0) throw new DiskError('ENOSPC', 'write', path);
    from += taken;
  }
}

/** Creates a file that must not exist, writes it, syncs and closes it. The name itself is not synced yet. */
export async function createSynced(disk: DiskPort, path: string, bytes: Uint8Array): Promise<void> {
  const file = await disk.createExclusive(path);
  try {
    await writeAll(file, bytes, path);
    await file.sync();
  } finally {
    await file.close();
  }
}

/** Removes a file and does not mind where it cannot: the reason for removing it is told already. */
export async function removeQuietly(disk: DiskPort, path: string): Promise<void> {
  try {
    await disk.unlink(path);
  } catch (thrown) {
    if (!(thrown instanceof DiskError)) throw thrown;
  }
}

/** Path of the folder that holds `path`; separators of both kinds. */
export function folderOf(path: string): string {
  const at = Math.max(path.lastIndexOf('/'), path.lastIndexOf('\\'));
  return at <= 0 ? path.slice(0, at + 1) || '.' : path.slice(0, at);
}

/**
 * Replaces a file in one step: temporary file beside it, synced, renamed over it, folder synced. After any
 * failure or loss of power the old or the new content is there, whole; no temporary file stays after a
 * failure that the program survives. `mark` makes the temporary name unique.
 */
export async function writeAtomically(
  disk: DiskPort,
  path: string,
  bytes: Uint8Array,
  mark: string,
): Promise<Result<null, Fault>> {
  const temporary = `${path}.${mark}.tmp`;
  return attempt(async () => {
    try {
      await createSynced(disk, temporary, bytes);
      await disk.rename(temporary, path);
    } catch (thrown) {
      await removeQuietly(disk, temporary);
      throw thrown;
    }
    await disk.syncFolder(folderOf(path));
    return null;
  });
}
