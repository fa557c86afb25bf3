/**
 * The ears page: a hidden frame with its own policy, no bridge, and the only one that may use the
 * microphone. It takes one port from its parent and speaks `ToEar` / `FromEar` over it.
 */
import type { FromEar, ToEar } from '../../electron/ipc/contract.ts';
import { type Ear, startEar } from './ear.ts';
import { CONNECT, type EarBeat } from './worker-messages.ts';

const query = new URLSearchParams(location.search);
const parentOrigin = query.get('parent');
const modelsUrl = new URL(query.get('models') ?? '/models/', location.href).href;
let ear: Ear | undefined;

function connect(port: MessagePort): void {
  ear?.release().catch(() => {
    // Replaced by a new one below; what could not be freed goes with the page.
  });
  const post = (message: FromEar | EarBeat): void => port.postMessage(message);
  const made = startEar(modelsUrl, { onMessage: post, onBeat: () => post({ type: 'beat' }) });
  ear = made;
  port.onmessage = (event: MessageEvent<ToEar>) => made.tell(event.data);
}

window.addEventListener('message', (event) => {
  const fromParent = event.source === window.parent && window.parent !== window;
  if (!fromParent || event.origin !== parentOrigin || event.data !== CONNECT) return;
  const port = event.ports[0];
  if (port !== undefined) connect(port);
});

window.addEventListener('pagehide', () => {
  ear?.release().catch(() => {
    // The page goes away and takes the rest with it.
  });
});
