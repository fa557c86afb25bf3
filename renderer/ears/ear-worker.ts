/** The browser's worker: model, recogniser and listener; the microphone's samples come in on a port. */
import './worker-silence.ts';
import { ENGLISH, languageOf } from '../../electron/core/base/language.ts';
import type { FromEar } from '../../electron/ipc/contract.ts';
import { SAMPLE_RATE_HZ } from './decoder.ts';
import { listenerGrammar } from './job-grammar.ts';
import { modelFor } from './language-model.ts';
import { createListener } from './listener.ts';
import type { Listener } from './listener-options.ts';
import { messageOf, readModel } from './model-files.ts';
import { createDeadAir } from './sound-watch.ts';
import { createStreamResampler } from './stream-resampler.ts';
import { loadEngine } from './vosk-engine.ts';
import type { FromRecogniser, ToRecogniser } from './worker-messages.ts';
import { onRecogniserMessage } from './worker-silence.ts';

type Load = Extract<ToRecogniser, { type: 'load' }>;
const scope = self as unknown as { postMessage(message: FromRecogniser): void };
let listener: Listener | undefined;
let microphone: MessagePort | undefined;
let deadAir = createDeadAir();
/** What was told before the model was there. */
const early: Extract<ToRecogniser, { type: 'tell' }>[] = [];

const send = (messages: readonly FromEar[]): void => {
  for (const message of messages) scope.postMessage({ type: 'message', message });
};
const fail = (error: unknown): void =>
  scope.postMessage({ type: 'unusable', trouble: { code: 'recogniser-stopped', detail: messageOf(error) } });

async function load({ wasmUrl, modelsUrl, language }: Load): Promise<void> {
  const started = performance.now();
  const model = await modelFor(language?.language.model, async (path) => {
    const response = await fetch(`${modelsUrl}${path}`);
    if (!response.ok) throw new Error(`status ${response.status}`);
    return new Uint8Array(await response.arrayBuffer());
  });
  if (!model.ok) {
    scope.postMessage({ type: 'unusable', trouble: model.error });
    return;
  }
  const { manifest, thresholds, decoys, read } = model.value;
  const files = await readModel(manifest, read, (share) =>
    send([{ type: 'progress', share, what: 'model' }]),
  );
  if (!files.ok) {
    scope.postMessage({ type: 'unusable', trouble: files.error });
    return;
  }
  const maker = await loadEngine(wasmUrl, files.value);
  const made = createListener({
    maker,
    grammar: listenerGrammar(language === null ? ENGLISH : languageOf(language)),
    thresholds,
    decoys,
    computeNow: () => performance.now(),
  });
  listener = made;
  for (const { message } of early.splice(0)) send(made.tell(message));
  send([{ type: 'ready', modelSha256: manifest.sha256, loadMs: Math.round(performance.now() - started) }]);
}

/** Samples that come before the model is ready are let go: nobody was promised to be heard yet. */
function listenTo(port: MessagePort, rateHz: number): void {
  microphone?.close();
  microphone = port;
  const air = createDeadAir();
  deadAir = air;
  const resampler = rateHz === SAMPLE_RATE_HZ ? undefined : createStreamResampler(rateHz, SAMPLE_RATE_HZ);
  port.onmessage = (event: MessageEvent<Float32Array>) => {
    if (listener === undefined) return;
    air.feed(event.data, rateHz);
    try {
      send(listener.feed(resampler?.push(event.data) ?? event.data));
    } catch (error) {
      fail(error);
    }
  };
}

onRecogniserMessage((message) => {
  switch (message.type) {
    case 'load':
      load(message).catch(fail);
      break;
    case 'microphone':
      listenTo(message.port, message.rateHz);
      break;
    case 'tell':
      if (listener === undefined) early.push(message);
      else {
        try {
          send(listener.tell(message.message));
        } catch (error) {
          fail(error);
        }
      }
      break;
    case 'ping':
      scope.postMessage({
        type: 'pong',
        count: message.count,
        heardMs: listener?.nowMs() ?? 0,
        deadMs: deadAir.deadMs(),
      });
      break;
  }
});
