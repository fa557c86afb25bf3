/**
 * A technician who works through a job on a disk that fails. Keeps the history that the invariants are
 * checked against: what the log held each time the user was told that something counts.
 */
import { SimulatedClock } from '../../electron/clock.ts';
import type { Result } from '../../electron/core/base/result.ts';
import type { Effect } from '../../electron/core/job/model.ts';
import type { JobFile } from '../../electron/core/log/model.ts';
import { verifyLog } from '../../electron/core/log/verify.ts';
import type { Fault } from '../../electron/disk/disk-fault.ts';
import type { DiskPort } from '../../electron/disk/disk-port.ts';
import { readJob } from '../../electron/disk/job-folder.ts';
import type { ProcessPort } from '../../electron/disk/lock.ts';
import type { PageInput, Push } from '../../electron/ipc/contract.ts';
import { JobService } from '../../electron/job-service.ts';
import { SyntheticTechnician } from '../../electron/synthetic-technician.ts';

const START_MS = 1_772_353_800_000;
const MAX_TURNS = 500;
let tokens = 0;

/** A disk whose files can be looked at without a call that counts. */
export type OpenedDisk = DiskPort & { peek(path: string): Uint8Array | undefined };

export class Session {
  readonly disk: OpenedDisk;
  readonly jobsFolder: string;
  readonly clock = new SimulatedClock(START_MS);
  readonly service: JobService;
  readonly jobFile: JobFile;
  readonly pushes: Push[] = [];
  readonly faults: Fault[] = [];
  /** The log as it was when the user was last told that something counts. */
  confirmed: Uint8Array = new Uint8Array();
  /** Called each time the user was told that something counts. */
  onConfirmed: () => void = () => undefined;
  /** Called each time the user was told that something does not count. */
  onRefused: () => void = () => undefined;
  #said: number[] = [];
  #technician: SyntheticTechnician;

  constructor(
    disk: OpenedDisk,
    process: ProcessPort,
    jobFile: JobFile,
    seed = 1,
    jobsFolder = '/jobs',
    straying = 0,
  ) {
    this.disk = disk;
    this.jobsFolder = jobsFolder;
    this.jobFile = jobFile;
    const token = (): string => {
      tokens += 1;
      return `s${tokens}`;
    };
    this.service = new JobService({ disk, processes: process, token, clock: this.clock });
    this.#technician = new SyntheticTechnician(seed, { straying, pace: 1 });
    this.service.onPush((push) => {
      this.pushes.push(push);
      if (push.type === 'effect' && push.effect.type === 'say' && push.effect.utterance > 0) {
        this.#said.push(push.effect.utterance);
      }
    });
  }

  get folder(): string {
    return `${this.jobsFolder}/${this.jobFile.job}`;
  }

  #note<T>(answer: Result<T, Fault>): Result<T, Fault> {
    if (answer.ok) {
      this.confirmed = this.disk.peek(`${this.folder}/log.jsonl`)?.slice() ?? this.confirmed;
      this.onConfirmed();
    } else {
      this.faults.push(answer.error);
      this.onRefused();
    }
    return answer;
  }

  async start(): Promise<Result<unknown, Fault>> {
    return this.#note(
      await this.service.start(this.jobsFolder, this.jobFile, { technician: 'Technician A' }),
    );
  }

  async reopen(): Promise<Result<unknown, Fault>> {
    return this.#note(await this.service.reopen(this.folder));
  }

  async handle(input: PageInput): Promise<Result<unknown, Fault>> {
    return this.#note(await this.service.handle(input));
  }

  /** Pushes that came since a mark, as effects. */
  effectsSince(mark: number): readonly Effect[] {
    return this.pushes.slice(mark).flatMap((push) => (push.type === 'effect' ? [push.effect] : []));
  }

  /**
   * Works until the job is finished (true) or nothing can be written (false). A refused input is said again as
   * often as `patience` allows.
   */
  async work(patience: number): Promise<boolean> {
    let left = patience;
    for (let turn = 0; turn < MAX_TURNS; turn += 1) {
      const utterance = this.#said[0];
      const view = this.service.view();
      if (view === null) return true;
      let input: PageInput;
      if (utterance !== undefined) input = { type: 'spoken', utterance, outcome: 'completed' };
      else {
        const action = this.#technician.next(view);
        this.clock.advance(action.afterMs);
        await this.service.settled();
        input = action.input;
      }
      for (;;) {
        const answer = await this.handle(input);
        if (answer.ok) break;
        if (left === 0) return false;
        left -= 1;
      }
      if (utterance !== undefined) this.#said.shift();
    }
    throw new Error('the job does not come to its end');
  }
}

/** The log of a job, checked. Throws where it cannot be read at all. */
export async function verified(disk: DiskPort, folder: string) {
  const read = await readJob(disk, folder);
  if (!read.ok) throw new Error(`${read.error.code}: ${read.error.message}`);
  return verifyLog(read.value.jobFile, read.value.log);
}

/** Whether `bytes` begins with `prefix`. */
export function beginsWith(bytes: Uint8Array, prefix: Uint8Array): boolean {
  return bytes.length >= prefix.length && prefix.every((byte, index) => byte === bytes[index]);
}

/** Whether two byte sequences are the same; quicker than a deep comparison and told apart by its caller's name. */
export function sameBytes(one: Uint8Array | undefined, other: Uint8Array | undefined): boolean {
  return one !== undefined && other !== undefined && one.length === other.length && beginsWith(one, other);
}
