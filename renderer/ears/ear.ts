/**
 * The ears page's own life: starts the recogniser's worker, opens the microphone when it is first wanted,
 * starts either anew when it stops, and says so. `ears.ts` ties it to the port.
 */

import wasmUrl from '@lichess-org/vosk-browser/dist/vosk.wasm?url';
import type { TroubleCode } from '../../electron/core/job/model.ts';
import type { FromEar, ToEar } from '../../electron/ipc/contract.ts';
import { type Microphone, MicrophoneFault, openMicrophone } from './microphone.ts';
import { messageOf } from './model-files.ts';
import type { FromRecogniser, ToRecogniser } from './worker-messages.ts';

const PING_EVERY_MS = 500;
/** Without an answer for this long the worker is taken for dead. With the ping: told within 2 s. */
const SILENT_MAX_MS = 1_400;
/** Loading and compiling may block the worker for this long. */
const LOAD_MAX_MS = 30_000;
/** The microphone's samples must not stop for longer than this. */
const NO_AUDIO_MAX_MS = 1_400;
const REOPEN_EVERY_MS = 3_000;
/** The recogniser is started anew this often; after that something is really wrong. */
const RESTARTS_MAX = 5;

export interface Ear {
  tell(message: ToEar): void;
  /** Frees worker, microphone and timers. */
  release(): Promise<void>;
}

export interface EarEvents {
  readonly onMessage: (message: FromEar) => void;
  /** The worker answered: the ear lives. */
  readonly onBeat: () => void;
}

/** Starts the ear; the model's files lie under `modelsUrl`. */
export function startEar(modelsUrl: string, events: EarEvents): Ear {
  return new LiveEar(modelsUrl, events);
}

class LiveEar implements Ear {
  readonly #modelsUrl: string;
  readonly #events: EarEvents;
  readonly #troubles = new Set<TroubleCode>();
  /** The last message of each kind, for a worker that is started anew. */
  readonly #told = new Map<ToEar['type'], ToEar>();
  readonly #timer: ReturnType<typeof setInterval>;
  #worker: Worker | undefined;
  #ready = false;
  #startedAt = 0;
  #answeredAt = 0;
  #restarts = 0;
  #unusable = false;
  #heardMs = 0;
  #heardAt = 0;
  #microphone: Microphone | undefined;
  #opening = false;
  #wanted = false;
  #triedAt = 0;
  #released = false;

  constructor(modelsUrl: string, events: EarEvents) {
    this.#modelsUrl = modelsUrl;
    this.#events = events;
    navigator.mediaDevices?.addEventListener('devicechange', this.#onDeviceChange);
    this.#timer = setInterval(() => this.#watch(), PING_EVERY_MS);
    this.#startWorker();
  }

  tell(message: ToEar): void {
    if (this.#released) return;
    if (message.type !== 'check-microphone') this.#told.set(message.type, message);
    this.#send({ type: 'tell', message });
    const asks = message.type === 'check-microphone' || message.type === 'grammar';
    if (asks || (message.type === 'listen' && message.on)) {
      this.#wanted = true;
      this.#openMicrophone();
    }
  }

  async release(): Promise<void> {
    this.#released = true;
    clearInterval(this.#timer);
    navigator.mediaDevices?.removeEventListener('devicechange', this.#onDeviceChange);
    this.#worker?.terminate();
    this.#worker = undefined;
    await this.#microphone?.release();
    this.#microphone = undefined;
  }

  // ---- recogniser ----

  #startWorker(): void {
    this.#worker?.terminate();
    this.#ready = false;
    this.#startedAt = performance.now();
    this.#answeredAt = this.#startedAt;
    const worker = new Worker(new URL('./ear-worker.ts', import.meta.url), { type: 'module' });
    this.#worker = worker;
    worker.onmessage = (event: MessageEvent<FromRecogniser>) => this.#fromWorker(worker, event.data);
    worker.onerror = (event) => {
      if (this.#worker === worker) this.#restart(event.message || 'the recogniser failed');
    };
    this.#send({ type: 'load', wasmUrl: new URL(wasmUrl, location.href).href, modelsUrl: this.#modelsUrl });
    for (const message of this.#told.values()) this.#send({ type: 'tell', message });
  }

  #fromWorker(worker: Worker, message: FromRecogniser): void {
    if (this.#worker !== worker || this.#released) return;
    this.#answeredAt = performance.now();
    if (message.type === 'pong') {
      this.#events.onBeat();
      if (message.heardMs !== this.#heardMs) this.#heardAt = this.#answeredAt;
      this.#heardMs = message.heardMs;
    } else if (message.type === 'unusable') {
      this.#unusableModel(message.trouble.code, message.trouble.detail);
    } else {
      if (message.message.type === 'ready') this.#isReady();
      this.#events.onMessage(message.message);
    }
  }

  #isReady(): void {
    this.#ready = true;
    this.#heardAt = performance.now();
    this.#trouble('recogniser-stopped', true, '');
    this.#trouble('model-missing', true, '');
    this.#trouble('model-damaged', true, '');
    this.#handMicrophone();
  }

  #unusableModel(code: TroubleCode, detail: string): void {
    if (code === 'recogniser-stopped') {
      this.#restart(detail);
      return;
    }
    // Loading the same files again would not help.
    this.#unusable = true;
    this.#trouble(code, false, detail);
  }

  #restart(detail: string): void {
    this.#trouble('recogniser-stopped', false, detail);
    this.#restarts += 1;
    if (this.#restarts > RESTARTS_MAX) {
      this.#unusable = true;
      this.#worker?.terminate();
      this.#worker = undefined;
      return;
    }
    this.#startWorker();
    // The samples' port went to the worker that is gone.
    this.#reopenMicrophone();
  }

  #send(message: ToRecogniser, transfer: Transferable[] = []): void {
    this.#worker?.postMessage(message, transfer);
  }

  // ---- watching ----

  #watch(): void {
    const now = performance.now();
    if (this.#unusable) {
      // The page itself is well; the trouble has been told.
      this.#events.onBeat();
    } else {
      this.#send({ type: 'ping', count: 0 });
      if (!this.#ready) this.#events.onBeat();
      const patience = this.#ready ? SILENT_MAX_MS : LOAD_MAX_MS;
      if (now - this.#answeredAt > patience) this.#restart('the recogniser does not answer');
    }
    const flowing = this.#ready && this.#microphone !== undefined && !this.#troubles.has('audio-suspended');
    if (flowing && now - this.#heardAt > NO_AUDIO_MAX_MS) {
      this.#heardAt = now;
      this.#trouble('microphone-lost', false, 'no sound comes from the microphone');
      this.#reopenMicrophone();
    }
    const gone = this.#wanted && this.#microphone === undefined && !this.#opening;
    if (gone && now - this.#triedAt > REOPEN_EVERY_MS && !this.#troubles.has('microphone-refused')) {
      this.#openMicrophone();
    }
  }

  #trouble(code: TroubleCode, over: boolean, detail: string): void {
    if (over ? !this.#troubles.delete(code) : this.#troubles.has(code)) return;
    if (!over) this.#troubles.add(code);
    this.#events.onMessage({ type: 'trouble', code, over, detail });
  }

  // ---- microphone ----

  #onDeviceChange = (): void => {
    if (this.#wanted && this.#microphone === undefined) this.#openMicrophone();
  };

  #openMicrophone(): void {
    if (this.#microphone !== undefined || this.#opening || this.#released) return;
    this.#opening = true;
    this.#triedAt = performance.now();
    this.#tryMicrophone().finally(() => {
      this.#opening = false;
    });
  }

  async #tryMicrophone(): Promise<void> {
    try {
      const microphone = await openMicrophone({
        onTrouble: (code, over, detail) => {
          this.#trouble(code, over, detail);
          if (code === 'microphone-lost' && !over) this.#reopenMicrophone();
        },
      });
      if (this.#released) {
        await microphone.release();
        return;
      }
      this.#microphone = microphone;
      for (const code of ['no-microphone', 'microphone-refused', 'microphone-lost'] as const) {
        this.#trouble(code, true, '');
      }
      if (this.#ready) this.#handMicrophone();
    } catch (error) {
      const code = error instanceof MicrophoneFault ? error.code : 'no-microphone';
      this.#trouble(code, false, messageOf(error));
      if (code === 'microphone-refused') this.#awaitPermission();
    }
  }

  #handMicrophone(): void {
    const microphone = this.#microphone;
    if (microphone === undefined) return;
    this.#heardAt = performance.now();
    this.#send({ type: 'microphone', port: microphone.port, rateHz: microphone.rateHz }, [microphone.port]);
  }

  #reopenMicrophone(): void {
    const old = this.#microphone;
    this.#microphone = undefined;
    old?.release().catch(() => {
      // The context was closed already: nothing is left to free.
    });
    this.#triedAt = performance.now() - REOPEN_EVERY_MS + PING_EVERY_MS;
  }

  /** A refusal is final until the user changes it in the browser; that is an event. */
  #awaitPermission(): void {
    navigator.permissions
      ?.query({ name: 'microphone' as PermissionName })
      .then((status) => {
        status.onchange = () => {
          if (status.state !== 'granted') return;
          this.#trouble('microphone-refused', true, '');
          this.#openMicrophone();
        };
      })
      .catch(() => {
        // This browser does not know the permission's name: the user has to reload.
      });
  }
}
