/**
 * The ear in Node: the recogniser's WebAssembly in a worker thread, with the same listener and decision
 * code as behind the microphone. For recordings (`hear.ts`), the demo, tests and the listening bench.
 */
import { createRequire } from 'node:module';
import { Worker } from 'node:worker_threads';
import type { Thresholds } from '../../renderer/ears/decision.ts';
import type { ModelTrouble } from '../../renderer/ears/model-files.ts';
import { err, ok, type Result } from '../core/base/result.ts';
import type { FromEar, ToEar } from '../ipc/contract.ts';
import type { FromWorker, Observed, ToWorker, WorkerSettings } from './messages.ts';
import { MODELS_FOLDER } from './vocabulary.ts';

const START_TIMEOUT_MS = 30_000;
const require = createRequire(import.meta.url);

export interface NodeEarOptions {
  /** Folder with `manifest.json` and the model's folder; the project's own where not given. */
  readonly modelsFolder?: string;
  readonly thresholds?: Partial<Thresholds>;
  readonly decoys?: readonly string[];
  readonly observe?: boolean;
}

/** What a message to the ear brought. */
export interface EarReply {
  readonly messages: readonly FromEar[];
  /** Every closed utterance as the decision saw it, where `observe` was asked for. */
  readonly observed: readonly Observed[];
  /** Milliseconds of audio fed since the ear was made or made afresh. */
  readonly nowMs: number;
  readonly computeMs: number;
  readonly memoryBytes: number;
}

export interface NodeEar {
  readonly loadMs: number;
  tell(message: ToEar): Promise<EarReply>;
  /** Mono samples at 16 kHz in [-1, 1]. */
  feed(samples: Float32Array): Promise<EarReply>;
  /** Closes an utterance in progress, as at the end of a recording. */
  flush(): Promise<EarReply>;
  /** Forgets grammar, noise floor and mouth; the model stays loaded. */
  fresh(): Promise<EarReply>;
  close(): Promise<void>;
}

export type EarTrouble = ModelTrouble | { readonly code: 'recogniser-stopped'; readonly detail: string };

/** Starts the thread and loads the model. Fails with a code when the model is missing or damaged. */
export async function openEar(options: NodeEarOptions = {}): Promise<Result<NodeEar, EarTrouble>> {
  const workerData: WorkerSettings = {
    modelsFolder: options.modelsFolder ?? MODELS_FOLDER,
    wasmFile: require.resolve('@lichess-org/vosk-browser/dist/vosk.wasm'),
    ...(options.thresholds === undefined ? {} : { thresholds: options.thresholds }),
    ...(options.decoys === undefined ? {} : { decoys: options.decoys }),
    ...(options.observe === undefined ? {} : { observe: options.observe }),
  };
  const worker = new Worker(new URL('./worker-entry.mjs', import.meta.url), { workerData });
  const started = await firstMessage(worker);
  if (started.type !== 'ready') {
    await worker.terminate();
    if (started.type === 'trouble') return err(started.trouble);
    return err({
      code: 'recogniser-stopped',
      detail: started.type === 'failed' ? started.detail : started.type,
    });
  }
  return ok(clientOf(worker, started.loadMs));
}

function firstMessage(worker: Worker): Promise<FromWorker> {
  return new Promise((resolve) => {
    const failed = (detail: string): void => resolve({ type: 'failed', id: 0, detail });
    const timer = setTimeout(() => failed('no answer while loading the model'), START_TIMEOUT_MS);
    worker.once('message', (message: FromWorker) => {
      clearTimeout(timer);
      resolve(message);
    });
    worker.once('error', (error) => {
      clearTimeout(timer);
      failed(error instanceof Error ? error.message : String(error));
    });
  });
}

function clientOf(worker: Worker, loadMs: number): NodeEar {
  const waiting = new Map<number, { resolve(reply: EarReply): void; reject(error: Error): void }>();
  let lastId = 0;
  const failAll = (error: Error): void => {
    for (const one of waiting.values()) one.reject(error);
    waiting.clear();
  };
  worker.on('message', (message: FromWorker) => {
    if (message.type !== 'done' && message.type !== 'failed') return;
    const one = waiting.get(message.id);
    waiting.delete(message.id);
    if (message.type === 'done') one?.resolve(message);
    else one?.reject(new Error(`the recogniser failed: ${message.detail}`));
  });
  worker.on('error', (error) => failAll(error instanceof Error ? error : new Error(String(error))));
  worker.on('exit', () => failAll(new Error('the recogniser stopped')));
  type WithoutId = ToWorker extends infer M ? (M extends { id: number } ? Omit<M, 'id'> : never) : never;
  const ask = (message: WithoutId): Promise<EarReply> =>
    new Promise((resolve, reject) => {
      lastId += 1;
      waiting.set(lastId, { resolve, reject });
      worker.postMessage({ ...message, id: lastId });
    });
  return {
    loadMs,
    tell: (message) => ask({ type: 'tell', message }),
    feed: (samples) => ask({ type: 'feed', samples }),
    flush: () => ask({ type: 'flush' }),
    fresh: () => ask({ type: 'fresh' }),
    close: async () => {
      await worker.terminate();
    },
  };
}
