/**
 * Spoken notes on the disk: `note-N.wav` in the job's folder, mono, 16 bits, 16 kHz, written and synced before
 * the log names it with its SHA-256. A file that the log does not name was broken off before that.
 */
import { err, ok, type Result } from '../core/base/result.ts';
import { wavBytes, wavFromPcm } from '../core/base/wav-file.ts';
import { NOTE_FRAME_MS_MAX, NOTE_MS_MAX } from '../core/job/spoken-note.ts';
import { sha256Hex } from '../core/log/canonical-json.ts';
import { createSynced, removeQuietly } from './atomic-write.ts';
import { attempt, type Fault } from './disk-fault.ts';
import { DiskError, type DiskPort } from './disk-port.ts';
import { fault } from './fault-words.ts';

const NOTE_RATE_HZ = 16_000;
const SAMPLE_BYTES = 2;
export const NOTE_PCM_BYTES_MAX = ((NOTE_MS_MAX + NOTE_FRAME_MS_MAX) / 1000) * NOTE_RATE_HZ * SAMPLE_BYTES;
export const NOTE_FILE_BYTES_MAX = wavBytes(NOTE_PCM_BYTES_MAX);
/** The same as base64. */
export const NOTE_PCM_CHARS_MAX = Math.ceil(NOTE_PCM_BYTES_MAX / 3) * 4;
const NOTE_NAME = /^note-[1-9]\d{0,3}\.wav$/;
const NOTE_NUMBER_MAX = 9999;

/** Whether a text is the name of a spoken note: nothing else is ever opened as one. */
export function isNoteName(name: string): boolean {
  return NOTE_NAME.test(name);
}

export interface KeptNote {
  readonly audio: string;
  readonly sha256: string;
  readonly lengthMs: number;
}

/**
 * Writes a note into a job's folder under the next free name, file and name synced. On error nothing of it stays.
 * Errors: those of the disk, `note/bad-sound` (empty, too long, half a sample).
 */
export async function writeNote(
  disk: DiskPort,
  folder: string,
  pcm: Uint8Array,
): Promise<Result<KeptNote, Fault>> {
  if (pcm.length === 0 || pcm.length > NOTE_PCM_BYTES_MAX || pcm.length % SAMPLE_BYTES !== 0) {
    return err(fault('note/bad-sound'));
  }
  const wav = wavFromPcm(pcm, NOTE_RATE_HZ);
  const written = await attempt(() => writeUnderFreeName(disk, folder, wav));
  if (!written.ok) return written;
  const lengthMs = Math.round((pcm.length / SAMPLE_BYTES / NOTE_RATE_HZ) * 1000);
  return ok({ audio: written.value, sha256: sha256Hex(wav), lengthMs });
}

async function writeUnderFreeName(disk: DiskPort, folder: string, wav: Uint8Array): Promise<string> {
  for (let number = 1; number <= NOTE_NUMBER_MAX; number += 1) {
    const audio = `note-${number}.wav`;
    const path = `${folder}/${audio}`;
    if ((await disk.stat(path)) !== undefined) continue;
    try {
      await createSynced(disk, path, wav);
      await disk.syncFolder(folder);
    } catch (thrown) {
      await removeQuietly(disk, path);
      throw thrown;
    }
    return audio;
  }
  throw new DiskError('EEXIST', 'create', `${folder}/note-${NOTE_NUMBER_MAX}.wav`);
}

/** The bytes of a note that the log names with this hash. Errors: those of the disk, `note/changed`. */
export async function readNote(
  disk: DiskPort,
  folder: string,
  audio: string,
  sha256: string,
): Promise<Result<Uint8Array, Fault>> {
  const bytes = await attempt(() => disk.readFile(`${folder}/${audio}`, NOTE_FILE_BYTES_MAX));
  if (!bytes.ok || sha256Hex(bytes.value) === sha256) return bytes;
  return err(fault('note/changed', { audio }));
}

/** The hashes of all spoken notes that lie in a job's folder, by name. Errors: those of the disk. */
export async function noteHashes(
  disk: DiskPort,
  folder: string,
): Promise<Result<ReadonlyMap<string, string>, Fault>> {
  return attempt(async () => {
    const names = (await disk.readdir(folder)).filter(isNoteName);
    const hashes = new Map<string, string>();
    for (const name of names)
      hashes.set(name, sha256Hex(await disk.readFile(`${folder}/${name}`, NOTE_FILE_BYTES_MAX)));
    return hashes;
  });
}
