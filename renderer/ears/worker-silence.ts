/**
 * Imported before the recogniser's package, which on loading starts a message loop of its own in this
 * worker: our loop is registered first and lets nothing through to it.
 */
import type { ToRecogniser } from './worker-messages.ts';

let handler: ((message: ToRecogniser) => void) | undefined;
const waiting: ToRecogniser[] = [];

self.addEventListener('message', (event: MessageEvent<ToRecogniser>) => {
  event.stopImmediatePropagation();
  if (handler === undefined) waiting.push(event.data);
  else handler(event.data);
});

/** Sets what is done with messages to this worker. */
export function onRecogniserMessage(handle: (message: ToRecogniser) => void): void {
  handler = handle;
  for (const message of waiting.splice(0)) handle(message);
}
