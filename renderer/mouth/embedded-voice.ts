/**
 * Renders sentences with the embedded voice, in order of urgency: what is to be heard now goes before what
 * may be needed next. One sentence is in work at a time; a worker that does not answer is replaced.
 */
import type { Sound } from './flite.ts';
import { SoundCache } from './sound-cache.ts';
import type { RenderReply, RenderRequest } from './voice-worker.ts';

/** The part of a worker that is used here; the real one fits, a test passes its own. */
export interface VoiceWorker {
  postMessage(message: RenderRequest): void;
  onmessage: ((event: MessageEvent<RenderReply>) => void) | null;
  onerror: ((event: ErrorEvent) => void) | null;
  terminate(): void;
}

/** A sentence takes 20 to 150 ms; the first one also compiles the voice (0.1 to 1 s). */
export const RENDER_TIMEOUT_MS = 10_000;
/** Workers that may fail one after the other before the voice counts as missing. */
export const FAILURES_MAX = 3;
/** Sentences waiting to be rendered ahead; a newer list replaces an older one. */
export const AHEAD_MAX = 60;

interface Wanted {
  readonly key: string;
  readonly text: string;
  readonly rate: number;
  readonly settle: ((sound: Sound | undefined) => void)[];
}

export class EmbeddedVoice {
  readonly #cache: SoundCache;
  #worker: VoiceWorker | undefined;
  #now: Wanted[] = [];
  #ahead: Wanted[] = [];
  #inWork: Wanted | undefined;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #lastId = 0;
  #failures = 0;

  constructor(
    readonly newWorker: () => VoiceWorker,
    cache = new SoundCache(),
  ) {
    this.#cache = cache;
  }

  /** False after the worker failed `FAILURES_MAX` times in a row. */
  get works(): boolean {
    return this.#failures < FAILURES_MAX;
  }

  /** The sound of one sentence, before everything that waits. `undefined` where the voice fails. */
  render(text: string, rate: number): Promise<Sound | undefined> {
    const key = `${rate.toFixed(2)} ${text}`;
    const kept = this.#cache.get(key);
    if (kept !== undefined) return Promise.resolve(kept);
    if (!this.works) return Promise.resolve(undefined);
    return new Promise((settle) => {
      const same = [this.#inWork, ...this.#now].find((wanted) => wanted?.key === key);
      if (same === undefined) this.#now.push({ key, text, rate, settle: [settle] });
      else same.settle.push(settle);
      this.#next();
    });
  }

  /** Renders these sentences when there is nothing more urgent. Forgets an earlier list. */
  prepare(texts: readonly string[], rate: number): void {
    this.#ahead = texts
      .slice(0, AHEAD_MAX)
      .map((text) => ({ key: `${rate.toFixed(2)} ${text}`, text, rate, settle: [] }));
    this.#next();
  }

  close(): void {
    clearTimeout(this.#timer);
    this.#worker?.terminate();
    this.#worker = undefined;
    this.#failures = FAILURES_MAX;
    for (const wanted of [this.#inWork, ...this.#now])
      for (const settle of wanted?.settle ?? []) settle(undefined);
    this.#now = [];
    this.#ahead = [];
    this.#inWork = undefined;
  }

  #next(): void {
    if (this.#inWork !== undefined || !this.works) return;
    let wanted = this.#now.shift() ?? this.#ahead.shift();
    while (wanted !== undefined) {
      const kept = this.#cache.get(wanted.key);
      if (kept === undefined) break;
      for (const settle of wanted.settle) settle(kept);
      wanted = this.#now.shift() ?? this.#ahead.shift();
    }
    if (wanted === undefined) return;
    this.#inWork = wanted;
    this.#lastId += 1;
    this.#timer = setTimeout(() => this.#fail(), RENDER_TIMEOUT_MS);
    this.#ready().postMessage({ id: this.#lastId, text: wanted.text, rate: wanted.rate });
  }

  #ready(): VoiceWorker {
    if (this.#worker !== undefined) return this.#worker;
    const worker = this.newWorker();
    worker.onmessage = (event) => this.#receive(event.data);
    worker.onerror = () => this.#fail();
    this.#worker = worker;
    return worker;
  }

  #receive(reply: RenderReply): void {
    if (reply.id !== this.#lastId || this.#inWork === undefined) return;
    if ('fault' in reply) {
      this.#fail();
      return;
    }
    clearTimeout(this.#timer);
    const wanted = this.#inWork;
    const sound: Sound = { samples: reply.samples, sampleRateHz: reply.sampleRateHz };
    this.#failures = 0;
    this.#inWork = undefined;
    this.#cache.set(wanted.key, sound);
    for (const settle of wanted.settle) settle(sound);
    this.#next();
  }

  /** Gives up the sentence in work and the worker with it; the next one gets a new worker. */
  #fail(): void {
    clearTimeout(this.#timer);
    this.#worker?.terminate();
    this.#worker = undefined;
    this.#failures += 1;
    const lost = this.works ? [this.#inWork] : [this.#inWork, ...this.#now.splice(0)];
    this.#inWork = undefined;
    for (const wanted of lost) for (const settle of wanted?.settle ?? []) settle(undefined);
    this.#next();
  }
}
