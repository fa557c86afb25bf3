/** The worker thread of the ear in Node: the browser's listener and recogniser, fed by messages. */
import './shims.ts';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { parentPort, workerData } from 'node:worker_threads';
import { JOB_GRAMMAR } from '../../renderer/ears/job-grammar.ts';
import { createListener } from '../../renderer/ears/listener.ts';
import type { Listener } from '../../renderer/ears/listener-options.ts';
import { DECOYS, MANIFEST, messageOf, readModel, THRESHOLDS } from '../../renderer/ears/model-files.ts';
import { type Engine, loadEngine } from '../../renderer/ears/vosk-engine.ts';
import { assert, unreachable } from '../core/base/result.ts';
import type { FromEar } from '../ipc/contract.ts';
import type { FromWorker, Observed, ToWorker, WorkerSettings } from './messages.ts';

assert(parentPort !== null, 'the ear runs in a worker thread');
const port = parentPort;
const settings = workerData as WorkerSettings;
const send = (message: FromWorker): void => port.postMessage(message);

let observed: Observed[] = [];

function freshListener(engine: Engine): Listener {
  return createListener({
    maker: engine,
    grammar: JOB_GRAMMAR,
    thresholds: { ...THRESHOLDS, ...settings.thresholds },
    decoys: settings.decoys ?? DECOYS,
    computeNow: () => performance.now(),
    ...(settings.observe === true
      ? { observe: (utterance, verdict, early) => observed.push({ utterance, verdict, early }) }
      : {}),
  });
}

function serve(engine: Engine): void {
  let listener = freshListener(engine);
  const perform = (message: ToWorker): readonly FromEar[] => {
    switch (message.type) {
      case 'tell':
        return listener.tell(message.message);
      case 'feed':
        return listener.feed(message.samples);
      case 'flush':
        return listener.flush();
      case 'fresh':
        listener.release();
        listener = freshListener(engine);
        return [];
      case 'measure':
        return [];
      default:
        return unreachable(message, 'ear worker');
    }
  };
  port.on('message', (message: ToWorker) => {
    const started = performance.now();
    try {
      const messages = perform(message);
      const computeMs = performance.now() - started;
      const memoryBytes = engine.memoryBytes();
      const seen = observed;
      observed = [];
      send({
        type: 'done',
        id: message.id,
        messages,
        observed: seen,
        nowMs: listener.nowMs(),
        computeMs,
        memoryBytes,
      });
    } catch (error) {
      send({ type: 'failed', id: message.id, detail: messageOf(error) });
    }
  });
}

async function start(): Promise<void> {
  const started = performance.now();
  const folder = join(settings.modelsFolder, MANIFEST.folder);
  const files = await readModel(
    MANIFEST,
    async (path) => new Uint8Array(await readFile(join(folder, path))),
    () => {},
  );
  if (!files.ok) {
    send({ type: 'trouble', trouble: files.error });
    return;
  }
  serve(await loadEngine(pathToFileURL(settings.wasmFile).href, files.value));
  send({ type: 'ready', loadMs: performance.now() - started });
}

await start();
