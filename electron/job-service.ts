/**
 * The one open job: input in → step engine → log append and sync → effects out. Nothing is told to the
 * user before it is on the disk, and state changes only by what is on the disk. Where a write fails the
 * step does not count, the user hears so, and the same words can be said again once the disk is well.
 */

import { type Clock, wallText } from './clock.ts';
import { ENGLISH, type Language } from './core/base/language.ts';
import { err, ok, type Result } from './core/base/result.ts';
import {
  decide,
  evolve,
  initialState,
  type OpeningOptions,
  openJob as openWithEngine,
} from './core/job/engine.ts';
import type { BenchView, Effect, JobInput, JobRecord, TroubleCode } from './core/job/model.ts';
import type { JobState } from './core/job/state.ts';
import { viewOf } from './core/job/view.ts';
import { bytesFromText } from './core/log/canonical-json.ts';
import { encodeBatch, type LogEnd, recordFromLine } from './core/log/codec.ts';
import type { JobFile } from './core/log/model.ts';
import { epochMsFromTimestamp } from './core/log/timestamp.ts';
import { logDiagnosticText } from './core/log/words.ts';
import type { Plan } from './core/plan/model.ts';
import { removeQuietly } from './disk/atomic-write.ts';
import { type Fault, troubleCodeOf } from './disk/disk-fault.ts';
import { fault, faultIn } from './disk/fault-words.ts';
import { closeJob, createJob, type FolderPorts, type OpenJob, openJob } from './disk/job-folder.ts';
import { writeNote } from './disk/spoken-note.ts';
import type { NoteEnd, PageInput, Push } from './ipc/contract.ts';
import { sentencesAhead } from './sentences-ahead.ts';
import { UtteranceWatch } from './utterance-watch.ts';

/** Inputs that may wait at once; a page that sends more is refused. */
export const MAX_WAITING_INPUTS = 100;
export const TICK_MS = 1000;

/** Facts of the opening that the engine records. */
export type Opening = Omit<OpeningOptions, 'atMs'>;

export interface JobPorts extends Pick<FolderPorts, 'disk' | 'processes' | 'token'> {
  readonly clock: Clock;
  /** The language of a plan by its tag; English where the plan names none. Default: always English. */
  readonly languageOf?: ((tag: string | undefined) => Promise<Language>) | undefined;
}

interface Current {
  readonly job: OpenJob;
  readonly plan: Plan;
  /** The language the plan was written in: one job speaks one language, whatever the settings are by then. */
  readonly language: Language;
  state: JobState;
  end: LogEnd;
  /** `monotonicMs() - startMs` is the job's own time. */
  readonly startMs: number;
  lastMs: number;
  trouble: TroubleCode | null;
  /** What came from the mouth or a device and could not be written; nobody will say it again, so it is kept. */
  unwritten: JobInput[];
  readonly stopTicks: () => void;
  readonly watch: UtteranceWatch;
}

/** Inputs that no person has said, keyed or touched. */
const NOBODY_SAID: ReadonlySet<JobInput['type']> = new Set(['tick', 'spoken', 'unheard', 'trouble']);

const NO_JOB = fault('job/none-open');
const ANOTHER_OPEN = fault('job/another-open');
const NOT_ASKED = fault('note/not-asked');
const TOO_BUSY = fault('job/too-busy');

export class JobService {
  readonly #ports: JobPorts;
  readonly #listeners = new Set<(push: Push) => void>();
  #current: Current | undefined;
  #queue: Promise<unknown> = Promise.resolve();
  #waiting = 0;
  /** Utterances of the host itself count down from -1, so they never meet one of the engine's. */
  #hostUtterance = 0;
  #ahead = '';

  constructor(ports: JobPorts) {
    this.#ports = ports;
  }

  /** Tells the listener of every push until the returned function is called. */
  onPush(listener: (push: Push) => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  /** Name of the open job, or null. */
  get openJobName(): string | null {
    const folder = this.#current?.job.folder;
    return folder === undefined ? null : folder.slice(folder.lastIndexOf('/') + 1);
  }

  /** What the bench shows now, or null where no job is open. */
  view(): BenchView | null {
    const current = this.#current;
    if (current === undefined) return null;
    const view = viewOf(current.plan, current.state, this.#nowMs(current), current.language);
    const { trouble } = current;
    if (trouble === null || view.troubles.includes(trouble)) return view;
    return { ...view, troubles: [...view.troubles, trouble] };
  }

  /** Makes the folder of a new job, records its opening and shows its first step. Errors: as `createJob`, `job/another-open`. */
  start(
    jobsFolder: string,
    jobFile: JobFile,
    opening: Opening,
  ): Promise<Result<{ readonly job: string }, Fault>> {
    return this.#inTurn(async () => {
      if (this.#current !== undefined) return err(ANOTHER_OPEN);
      const made = await createJob(this.#folderPorts(), jobsFolder, jobFile);
      if (!made.ok) return made;
      const current = await this.#install(made.value, initialState(jobFile.plan), 0);
      const { records, effects } = openWithEngine(jobFile.plan, opening, { words: current.language });
      const recorded = await this.#record(current, records);
      if (!recorded.ok) {
        await this.#close();
        return recorded;
      }
      this.#perform(current, effects);
      return ok({ job: jobFile.job });
    });
  }

  /**
   * Opens a job again after the program ended or the job was left. Its state is rebuilt from the log alone.
   * `recovered` says in words what was cut off the log, or is null. Errors: as `openJob`, `job/another-open`,
   * `job/not-begun`, `job/finished`.
   */
  reopen(
    folder: string,
  ): Promise<Result<{ readonly job: string; readonly recovered: string | null }, Fault>> {
    return this.#inTurn(async () => {
      if (this.#current !== undefined) return err(ANOTHER_OPEN);
      const opened = await openJob(this.#folderPorts(), folder);
      if (!opened.ok) return opened;
      const job = opened.value;
      const refusal = refusalToContinue(job);
      if (refusal !== undefined) {
        await closeJob(job);
        return err(refusal);
      }
      const { plan } = job.jobFile;
      let state = initialState(plan);
      for (const line of job.lines) {
        const record = recordFromLine(line);
        if (record.ok) state = evolve(plan, state, record.value);
      }
      const current = await this.#install(job, state, job.end.mono_ms);
      const handled = await this.#take(current, {
        type: 'reopened',
        atMs: job.end.mono_ms,
        awayMs: this.#awayMs(job),
      });
      if (!handled.ok) {
        await this.#close();
        return handled;
      }
      const { recovered, jobFile } = job;
      if (recovered === null) return ok({ job: jobFile.job, recovered });
      this.#say(current.language.prompts['host.recovered']());
      const { message } = logDiagnosticText(recovered.finding, current.language);
      return ok({ job: jobFile.job, recovered: message });
    });
  }

  /**
   * Records that the job is left for later and closes it. A log that cannot be written any more closes too: all
   * that was told is in it, and the trouble has been pushed.
   */
  leave(): Promise<Result<null, Fault>> {
    return this.#inTurn(async () => {
      const current = this.#current;
      if (current === undefined) return ok(null);
      await this.#take(current, { type: 'left', atMs: this.#nowMs(current) });
      return this.#close();
    });
  }

  /**
   * Takes one input, stamped with the time at which it came. Resolves once its records are synced and its
   * effects given out. Errors: `job/none-open`, `job/too-busy`, what the log or the disk refuses.
   */
  handle(input: PageInput): Promise<Result<null, Fault>> {
    const arrived = this.#current;
    if (arrived === undefined) return Promise.resolve(err(NO_JOB));
    if (this.#waiting >= MAX_WAITING_INPUTS) return Promise.resolve(err(TOO_BUSY));
    const atMs = this.#nowMs(arrived);
    return this.#inTurn(async () => {
      if (this.#current !== arrived) return err(NO_JOB);
      return this.#take(arrived, { ...input, atMs: Math.max(atMs, arrived.lastMs) } as JobInput);
    });
  }

  /**
   * Keeps the sound of a spoken note beside the log and records it there. Refused unless the job is recording one.
   * Errors: `job/none-open`, `note/not-asked`, `note/bad-sound`, what the log or the disk refuses.
   */
  keepNote(endedBy: NoteEnd, pcm: Uint8Array): Promise<Result<null, Fault>> {
    const arrived = this.#current;
    if (arrived === undefined) return Promise.resolve(err(NO_JOB));
    return this.#inTurn(async () => {
      if (this.#current !== arrived) return err(NO_JOB);
      if (arrived.state.recording?.on !== true) return err(NOT_ASKED);
      const atMs = this.#nowMs(arrived);
      if (endedBy === 'nothing-said' || pcm.length === 0) {
        return this.#take(arrived, { type: 'note-failed', atMs, why: 'nothing-said' });
      }
      const kept = await writeNote(this.#ports.disk, arrived.job.folder, pcm);
      if (!kept.ok) {
        await this.#take(arrived, { type: 'note-failed', atMs, why: 'not-written' });
        return kept;
      }
      const taken = await this.#take(arrived, { type: 'note-recorded', atMs, ...kept.value });
      // Sound that no log names is not kept.
      if (!taken.ok) await removeQuietly(this.#ports.disk, `${arrived.job.folder}/${kept.value.audio}`);
      return taken;
    });
  }

  /** Resolves once everything that waits has been handled. */
  async settled(): Promise<void> {
    await this.#inTurn(async () => undefined);
  }

  // ---- inside -----------------------------------------------------------------------------------------

  #folderPorts(): FolderPorts {
    const { disk, processes, token, clock } = this.#ports;
    return { disk, processes, token, wall: () => wallText(clock) };
  }

  /** One thing after the other: a second input waits until the first is on the disk. */
  #inTurn<T>(work: () => Promise<T>): Promise<T> {
    this.#waiting += 1;
    const result = this.#queue.then(work);
    const done = (): void => {
      this.#waiting -= 1;
    };
    // The caller gets the failure; the queue itself goes on.
    this.#queue = result.then(done, done);
    return result;
  }

  #nowMs(current: Current): number {
    const nowMs = Math.round(this.#ports.clock.monotonicMs() - current.startMs);
    return Math.max(nowMs, current.lastMs);
  }

  /** Time since the last line by the wall clock; it is told and recorded, and in no measured time. */
  #awayMs(job: OpenJob): number {
    const lastWall = epochMsFromTimestamp(job.lines.at(-1)?.wall ?? '');
    return lastWall === undefined ? 0 : Math.max(0, Math.round(this.#ports.clock.wallMs() - lastWall));
  }

  async #install(job: OpenJob, state: JobState, atMs: number): Promise<Current> {
    const language = (await this.#ports.languageOf?.(job.jobFile.plan.language)) ?? ENGLISH;
    const current: Current = {
      job,
      plan: job.jobFile.plan,
      language,
      state,
      end: job.end,
      startMs: this.#ports.clock.monotonicMs() - atMs,
      lastMs: atMs,
      trouble: null,
      unwritten: [],
      stopTicks: this.#ports.clock.every(TICK_MS, () => this.#tick()),
      watch: new UtteranceWatch(),
    };
    this.#current = current;
    this.#ahead = '';
    return current;
  }

  /** A tick is dropped while something waits: the next one comes in a second. */
  #tick(): void {
    const current = this.#current;
    if (current === undefined || this.#waiting > 0) return;
    const silent = current.watch.overdue(this.#nowMs(current));
    if (silent !== undefined) void this.handle({ type: 'spoken', utterance: silent, outcome: 'no-voice' });
    void this.handle({ type: 'tick' });
  }

  async #take(current: Current, input: JobInput): Promise<Result<null, Fault>> {
    current.lastMs = Math.max(current.lastMs, input.atMs);
    if (input.type === 'spoken') {
      current.watch.ended(input.utterance, input.atMs);
      if (input.utterance < 0) return ok(null);
    }
    const earlier = await this.#writeEarlier(current, input.atMs);
    const taken = earlier.ok ? await this.#decide(current, input) : earlier;
    if (taken.ok) return taken;
    const isLasting = input.type === 'spoken' || input.type === 'trouble';
    if (isLasting && current.unwritten.length < MAX_WAITING_INPUTS) current.unwritten.push(input);
    // What nobody has said is told of once; else a full disk would be complained about every second.
    if (!NOBODY_SAID.has(input.type) || current.trouble === null) this.#tellTrouble(current, taken.error);
    return taken;
  }

  /** What could not be written before goes first, so that the job is where its user thinks it is. */
  async #writeEarlier(current: Current, atMs: number): Promise<Result<null, Fault>> {
    for (let first = current.unwritten[0]; first !== undefined; first = current.unwritten[0]) {
      const taken = await this.#decide(current, { ...first, atMs });
      if (!taken.ok) return taken;
      current.unwritten.shift();
    }
    return ok(null);
  }

  async #decide(current: Current, input: JobInput): Promise<Result<null, Fault>> {
    const { records, effects } = decide(current.plan, current.state, input, { words: current.language });
    const recorded = await this.#record(current, records);
    if (!recorded.ok) return recorded;
    this.#perform(current, effects);
    // A finished job is closed at once, and its last view stays on the screen.
    if (effects.some((effect) => effect.type === 'closed') && input.type !== 'left') await this.#close(true);
    return recorded;
  }

  /** Writes and syncs the records as one batch, then lets them change the state. On error nothing has changed. */
  async #record(current: Current, records: readonly JobRecord[]): Promise<Result<null, Fault>> {
    if (records.length === 0) return ok(null);
    const batch = encodeBatch(records, wallText(this.#ports.clock), current.end);
    if (!batch.ok)
      return err({ code: batch.error.code, ...logDiagnosticText(batch.error, current.language) });
    const written = await current.job.writer.append(bytesFromText(batch.value.text));
    if (!written.ok) return written;
    current.end = batch.value.end;
    for (const record of records) current.state = evolve(current.plan, current.state, record);
    current.trouble = null;
    return ok(null);
  }

  #perform(current: Current, effects: readonly Effect[]): void {
    for (const effect of effects) {
      if (effect.type === 'say') current.watch.began(effect.utterance, effect.text, this.#nowMs(current));
      this.#push({ type: 'effect', effect });
    }
    this.#push({ type: 'view', view: this.view() });
    this.#renderAhead(current);
  }

  /** One sentence, what to do, no codes: the technician's eyes are on the work. */
  #tellTrouble(current: Current, found: Fault): void {
    const isDisk = !found.code.startsWith('log/') || found.code === 'log/changed-outside';
    if (isDisk) current.trouble = troubleCodeOf(found);
    this.#push({ type: 'effect', effect: { type: 'chime', chime: 'refused' } });
    this.#say(troubleSentence(found, current.language));
    if (isDisk) {
      const told = faultIn(found, current.language);
      const message = `${told.message} ${told.mend}`;
      this.#push({ type: 'host-trouble', code: troubleCodeOf(found), message });
    }
    this.#push({ type: 'view', view: this.view() });
  }

  /** Something that the host itself has to say; it is in no log. */
  #say(text: string): void {
    this.#hostUtterance -= 1;
    const utterance = this.#hostUtterance;
    this.#push({
      type: 'effect',
      effect: { type: 'say', utterance, text, kind: 'trouble', interruptible: true },
    });
  }

  /** What will probably be said next, once for each set of sentences, so that their sound is made in advance. */
  #renderAhead(current: Current): void {
    const texts = sentencesAhead(current.plan, current.state, current.language);
    const key = texts.join('\n');
    if (texts.length === 0 || key === this.#ahead) return;
    this.#ahead = key;
    this.#push({ type: 'render-ahead', texts });
  }

  async #close(keepsView = false): Promise<Result<null, Fault>> {
    const current = this.#current;
    if (current === undefined) return ok(null);
    this.#current = undefined;
    current.stopTicks();
    const closed = await closeJob(current.job);
    if (!keepsView) this.#push({ type: 'view', view: null });
    return closed;
  }

  #push(push: Push): void {
    for (const listener of this.#listeners) listener(push);
  }
}

function refusalToContinue(job: OpenJob): Fault | undefined {
  if (job.lines.length === 0) {
    return fault('job/not-begun');
  }
  if (job.complete) {
    return fault('job/finished');
  }
  return undefined;
}

/** What is said aloud when a write failed. */
export function troubleSentence(found: Fault, language: Language = ENGLISH): string {
  const words = language.prompts;
  if (found.code === 'disk/enospc') return words['host.disk-full']();
  const isRecord = found.code.startsWith('log/') && found.code !== 'log/changed-outside';
  return isRecord ? words['host.not-recorded']() : words['host.not-written']();
}
