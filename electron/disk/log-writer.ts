/**
 * Appends to one open log. A write counts once it is synced. After a write that failed, whatever it left is
 * cut off before the next one; where that is not possible nothing is written any more.
 */
import { err, ok, type Result } from '../core/base/result.ts';
import { writeAll } from './atomic-write.ts';
import { attempt, type Fault } from './disk-fault.ts';
import type { OpenFile } from './disk-port.ts';
import { fault } from './fault-words.ts';

export class LogWriter {
  readonly #file: OpenFile;
  readonly #path: string;
  #goodBytes: number;
  /** Set between the start of a write and its sync: what lies behind `#goodBytes` is not to be trusted. */
  #dirty = false;
  #closed = false;

  /** `goodBytes` is the length of the file, all of it synced. */
  constructor(file: OpenFile, path: string, goodBytes: number) {
    this.#file = file;
    this.#path = path;
    this.#goodBytes = goodBytes;
  }

  get goodBytes(): number {
    return this.#goodBytes;
  }

  /**
   * Appends and syncs. On error nothing counts and the log is as before, or will be before the next append.
   * Errors: those of the disk; `log/changed-outside` where another program has written to the file;
   * `disk/moved-away` where the file lies no longer where it was; `log/closed`.
   */
  async append(bytes: Uint8Array): Promise<Result<null, Fault>> {
    if (this.#closed) return err(fault('log/closed'));
    const prepared = this.#dirty ? await this.#cutBack() : await this.#checkSize();
    if (!prepared.ok) return prepared;
    this.#dirty = true;
    const written = await attempt(async () => {
      await writeAll(this.#file, bytes, this.#path);
      await this.#file.datasync();
      // A file that was deleted takes everything and keeps nothing.
      return this.#file.isInPlace();
    });
    if (!written.ok || !written.value) {
      // Try at once, so that a crash now leaves a clean log; the next append tries again where this fails.
      await this.#cutBack();
      return written.ok ? err(fault('disk/moved-away', { path: this.#path })) : written;
    }
    this.#goodBytes += bytes.length;
    this.#dirty = false;
    return ok(null);
  }

  async #checkSize(): Promise<Result<null, Fault>> {
    const size = await attempt(() => this.#file.size());
    if (!size.ok) return size;
    if (size.value === this.#goodBytes) return { ok: true, value: null };
    return err(fault('log/changed-outside', { path: this.#path }));
  }

  /**
   * A failed sync may have thrown pages away and called them clean, so what was written is never synced
   * again: it is cut off and written anew.
   */
  async #cutBack(): Promise<Result<null, Fault>> {
    const cut = await attempt(async () => {
      await this.#file.truncate(this.#goodBytes);
      await this.#file.sync();
      return (await this.#file.size()) === this.#goodBytes;
    });
    if (!cut.ok) return cut;
    if (!cut.value) return err(fault('disk/not-cut-off', { path: this.#path }));
    this.#dirty = false;
    return { ok: true, value: null };
  }

  /** Cuts off what a failed write left, where there is any, and closes the file. */
  async close(): Promise<Result<null, Fault>> {
    if (this.#closed) return { ok: true, value: null };
    this.#closed = true;
    if (this.#dirty) await this.#cutBack();
    return attempt(async () => {
      await this.#file.close();
      return null;
    });
  }
}
