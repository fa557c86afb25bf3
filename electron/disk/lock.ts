/**
 * One writer a job: a file `lock` in the job folder that says who holds it. A lock is stale where its
 * process runs no more on this computer, or where the process of that number was started at another time
 * (the number was given again). A lock of another computer (a shared folder) is never called stale.
 */
import { err, ok, type Result } from '../core/base/result.ts';
import { createSynced, removeQuietly } from './atomic-write.ts';
import { attempt, type Fault } from './disk-fault.ts';
import { DiskError, type DiskPort } from './disk-port.ts';
import { fault } from './fault-words.ts';

export interface LockHolder {
  readonly pid: number;
  readonly host: string;
  readonly program: string;
  /** When that process was started, as the system says it; null where the system does not say. */
  readonly started: string | null;
  /** Wall time at which the lock was taken. */
  readonly since: string;
  /** Tells two locks of one process apart. */
  readonly token: string;
}

/** The processes of this computer. */
export interface ProcessPort {
  readonly pid: number;
  readonly host: string;
  readonly program: string;
  /** Start of a running process; null where it runs but the system does not say since when; undefined where none runs. */
  startOf(pid: number): Promise<string | null | undefined>;
}

export interface Lock {
  readonly holder: LockHolder;
  /** True where a stale lock was taken over. */
  readonly wasStale: boolean;
  release(): Promise<void>;
}

export const LOCK_FILE = 'lock';
const MAX_LOCK_BYTES = 4096;
/** Taking over a stale lock can lose a race against another program; then the new holder is told. */
const MAX_TRIES = 3;

/** Who a lock file names, or undefined where it is no lock file (cut by a loss of power, rubbish). */
export function holderFromText(text: string): LockHolder | undefined {
  try {
    const value = JSON.parse(text) as Partial<LockHolder> | null;
    if (typeof value !== 'object' || value === null) return undefined;
    const { pid, host, program, started, since, token } = value;
    if (!Number.isSafeInteger(pid) || (pid as number) <= 0) return undefined;
    if (typeof host !== 'string' || typeof program !== 'string' || typeof since !== 'string')
      return undefined;
    if (typeof token !== 'string' || !(started === null || typeof started === 'string')) return undefined;
    return { pid: pid as number, host, program, started, since, token };
  } catch {
    return undefined; // not JSON: not a lock file, which is the answer
  }
}

/**
 * Tokens of the locks that this program holds. A lock file that names this very process with another token
 * is what a failing disk did not let it take away again.
 */
const heldHere = new Set<string>();

async function isStale(holder: LockHolder, processes: ProcessPort): Promise<boolean> {
  if (holder.host !== processes.host) return false;
  const started = await processes.startOf(holder.pid);
  if (started === undefined) return true;
  if (holder.pid === processes.pid && started === holder.started) return !heldHere.has(holder.token);
  return started !== null && holder.started !== null && started !== holder.started;
}

/**
 * Who holds the job. Where nobody here can know whether that process still runs (another computer, or a system that
 * does not say when a process started, so that another one may have its number), also the lock file, which may have
 * to be deleted by hand.
 */
export function heldBy(
  { program, pid, host, since, started }: LockHolder,
  path: string,
  processes: ProcessPort,
): Fault {
  const isKnown = host === processes.host && started !== null;
  return fault('job/locked', { program, pid, host, since, lock: isKnown ? '' : path });
}

async function readHolder(disk: DiskPort, path: string): Promise<LockHolder | 'none' | 'rubbish'> {
  try {
    const bytes = await disk.readFile(path, MAX_LOCK_BYTES);
    return holderFromText(new TextDecoder().decode(bytes)) ?? 'rubbish';
  } catch (thrown) {
    if (thrown instanceof DiskError && thrown.code === 'ENOENT') return 'none';
    throw thrown;
  }
}

/**
 * Moves a stale lock out of the way. Renaming gives it to one program only; if what was moved is not what was
 * judged stale, another program had taken it over meanwhile and gets it back.
 */
async function moveAway(
  disk: DiskPort,
  path: string,
  judged: LockHolder | 'rubbish',
  token: string,
): Promise<boolean> {
  const aside = `${path}.stale-${token}`;
  try {
    await disk.rename(path, aside);
  } catch (thrown) {
    if (thrown instanceof DiskError && thrown.code === 'ENOENT') return false;
    throw thrown;
  }
  const moved = await readHolder(disk, aside);
  const same =
    typeof moved === 'object' && typeof judged === 'object' ? moved.token === judged.token : moved === judged;
  if (same) await removeQuietly(disk, aside);
  else await disk.rename(aside, path);
  return same;
}

/** Who holds the job of a folder now, or null. Stale locks count as nobody. Errors: those of the disk. */
export async function lockHolderOf(
  disk: DiskPort,
  folder: string,
  processes: ProcessPort,
): Promise<Result<LockHolder | null, Fault>> {
  return attempt(async () => {
    const holder = await readHolder(disk, `${folder}/${LOCK_FILE}`);
    if (typeof holder === 'string') return null;
    return (await isStale(holder, processes)) ? null : holder;
  });
}

/**
 * Takes the lock of a job folder. Error `job/locked` says who holds it; disk errors as they are. The lock is
 * not lasting in itself (it is not synced into the folder): after a loss of power no process runs any more.
 */
export async function takeLock(
  disk: DiskPort,
  folder: string,
  processes: ProcessPort,
  facts: { readonly since: string; readonly token: string },
): Promise<Result<Lock, Fault>> {
  const path = `${folder}/${LOCK_FILE}`;
  const started = (await processes.startOf(processes.pid)) ?? null;
  const { pid, host, program } = processes;
  const holder: LockHolder = { pid, host, program, started, ...facts };
  const content = new TextEncoder().encode(JSON.stringify(holder));
  const taken = await attempt(async (): Promise<Result<Lock, Fault>> => {
    let wasStale = false;
    for (let trial = 0; trial < MAX_TRIES; trial += 1) {
      const created = await tryCreate(disk, path, content);
      const other = await readHolder(disk, path);
      // Between creating and filling it, a lock looks like rubbish and another program may have moved it away.
      const isOurs = typeof other === 'object' && other.token === facts.token;
      if (created && isOurs) {
        heldHere.add(facts.token);
        return ok(lockOf(disk, path, holder, wasStale));
      }
      if (other === 'none') continue;
      if (other !== 'rubbish' && !(await isStale(other, processes)))
        return err(heldBy(other, path, processes));
      wasStale = await moveAway(disk, path, other, facts.token);
    }
    // Nobody in particular: other programs are opening the job at the same moment.
    return err(fault('job/locked', { program: '' }));
  });
  return taken.ok ? taken.value : taken;
}

/** False where the lock file is there already. A lock that could not be written whole is taken away again. */
async function tryCreate(disk: DiskPort, path: string, content: Uint8Array): Promise<boolean> {
  try {
    await createSynced(disk, path, content);
    return true;
  } catch (thrown) {
    if (!(thrown instanceof DiskError)) throw thrown;
    if (thrown.code === 'EEXIST' && thrown.call === 'create') return false;
    if (thrown.call !== 'create') await removeQuietly(disk, path);
    throw thrown;
  }
}

function lockOf(disk: DiskPort, path: string, holder: LockHolder, wasStale: boolean): Lock {
  return {
    holder,
    wasStale,
    release: async () => {
      heldHere.delete(holder.token);
      try {
        const now = await readHolder(disk, path);
        if (typeof now === 'object' && now.token === holder.token) await disk.unlink(path);
      } catch (thrown) {
        // A lock that cannot be removed is stale: its token is held by nobody.
        if (!(thrown instanceof DiskError)) throw thrown;
      }
    },
  };
}
