/**
 * The page with the buttons holds the ear by this: it makes the hidden frame, hands it a port, passes
 * messages, and starts the frame anew when it falls silent. The user is told within 2 s.
 */
import type { FromEar, ToEar } from '../../electron/ipc/contract.ts';
import { EARS_FRAME_ALLOW } from './policy.ts';
import { CONNECT, type EarBeat } from './worker-messages.ts';

const WATCH_EVERY_MS = 250;
/** The ears page beats every 500 ms; without a sign for this long the user is told. */
const SILENT_TELL_MS = 1_600;
/** After this long the frame is made anew; a machine that is only busy would lose more by it sooner. */
const SILENT_RESTART_MS = 5_000;
/** A page that has not connected yet has this long to load. */
const LOAD_MAX_MS = 10_000;
const RESTARTS_MAX = 5;
/** After this long without trouble a restart counts no more. */
const RESTARTS_FORGET_MS = 60_000;

export interface EarClientOptions {
  /** Address of `ears.html` without query ("app://ears/ears/ears.html"). */
  readonly url: string;
  /** Base of the model's files under the ears origin; "/models/" where not given. */
  readonly models?: string;
}

export interface EarClient {
  send(message: ToEar): void;
  /** Adds a listener; the function given back takes it away. */
  onMessage(listener: (message: FromEar) => void): () => void;
  /** Removes the frame; nothing is told any more. */
  release(): void;
}

/** Makes the frame in this document and keeps it alive. */
export function createEarClient(options: EarClientOptions): EarClient {
  return new FrameEar(options);
}

class FrameEar implements EarClient {
  readonly #origin: string;
  readonly #address: string;
  readonly #timer: ReturnType<typeof setInterval>;
  readonly #listeners = new Set<(message: FromEar) => void>();
  readonly #told = new Map<ToEar['type'], ToEar>();
  #frame: HTMLIFrameElement | undefined;
  #port: MessagePort | undefined;
  #connected = false;
  #stopped = false;
  #lastSign = 0;
  #restarts = 0;
  #restartedAt = 0;
  #remade = false;
  #gaveUp = false;

  constructor(options: EarClientOptions) {
    const address = new URL(options.url, location.href);
    // A custom scheme's `origin` is "null" in some engines: put together by hand then.
    this.#origin = address.origin === 'null' ? `${address.protocol}//${address.host}` : address.origin;
    address.searchParams.set('parent', ownOrigin());
    if (options.models !== undefined) address.searchParams.set('models', options.models);
    this.#address = address.href;
    this.#timer = setInterval(() => this.#watch(), WATCH_EVERY_MS);
    this.#makeFrame();
  }

  send(message: ToEar): void {
    if (message.type !== 'check-microphone' && message.type !== 'record-note')
      this.#told.set(message.type, message);
    this.#port?.postMessage(message);
  }

  onMessage(listener: (message: FromEar) => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  release(): void {
    this.#listeners.clear();
    clearInterval(this.#timer);
    this.#removeFrame();
  }

  #emit(message: FromEar): void {
    for (const listener of this.#listeners) listener(message);
  }

  #makeFrame(): void {
    this.#removeFrame();
    this.#connected = false;
    this.#lastSign = performance.now();
    const frame = document.createElement('iframe');
    frame.src = this.#address;
    frame.allow = EARS_FRAME_ALLOW;
    frame.title = 'Ears';
    frame.setAttribute('aria-hidden', 'true');
    frame.tabIndex = -1;
    // Not `display: none`: some engines hold back what is not rendered.
    frame.width = '1';
    frame.height = '1';
    frame.className = 'ears-frame';
    frame.addEventListener('load', () => this.#connect(frame));
    document.body.append(frame);
    this.#frame = frame;
  }

  #connect(frame: HTMLIFrameElement): void {
    if (this.#frame !== frame) return;
    this.#port?.close();
    const channel = new MessageChannel();
    this.#port = channel.port1;
    channel.port1.onmessage = (event: MessageEvent<FromEar | EarBeat>) => this.#received(event.data);
    // Only a page of the ears origin receives the port, whatever the frame may have become.
    frame.contentWindow?.postMessage(CONNECT, this.#origin, [channel.port2]);
    for (const message of this.#told.values()) channel.port1.postMessage(message);
  }

  #received(message: FromEar | EarBeat): void {
    this.#lastSign = performance.now();
    this.#connected = true;
    // A frame that was made anew is well again when it is ready, one that was only slow at its first sign.
    if (this.#stopped && (!this.#remade || (message.type !== 'beat' && message.type === 'ready'))) {
      this.#stopped = false;
      this.#remade = false;
      this.#emit({ type: 'trouble', code: 'recogniser-stopped', over: true, detail: '' });
    }
    if (message.type === 'beat') return;
    this.#emit(message);
  }

  #watch(): void {
    if (this.#gaveUp) return;
    const silentMs = performance.now() - this.#lastSign;
    if (silentMs <= (this.#connected ? SILENT_TELL_MS : LOAD_MAX_MS)) {
      this.#forgetRestarts();
      return;
    }
    if (!this.#stopped) {
      this.#stopped = true;
      const detail = this.#connected ? 'the ears page fell silent' : 'the ears page did not load';
      this.#emit({ type: 'trouble', code: 'recogniser-stopped', over: false, detail });
    }
    if (this.#connected && silentMs <= SILENT_RESTART_MS) return;
    this.#remade = true;
    this.#restarts += 1;
    this.#restartedAt = performance.now();
    if (this.#restarts > RESTARTS_MAX) {
      this.#gaveUp = true;
      this.#removeFrame();
    } else this.#makeFrame();
  }

  #forgetRestarts(): void {
    if (this.#restarts > 0 && performance.now() - this.#restartedAt > RESTARTS_FORGET_MS) this.#restarts = 0;
  }

  #removeFrame(): void {
    this.#port?.close();
    this.#port = undefined;
    this.#frame?.remove();
    this.#frame = undefined;
  }
}

function ownOrigin(): string {
  return location.origin === 'null' ? `${location.protocol}//${location.host}` : location.origin;
}
