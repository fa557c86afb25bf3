/**
 * The ears page's own life: starts the recogniser's worker, opens the microphone when it is first wanted,
 * starts either anew when it stops, and says so. `ears.ts` ties it to the port.
 */

import wasmUrl from '@lichess-org/vosk-browser/dist/vosk.wasm?url';
import type { LanguageTable } from '../../electron/core/base/language-table.ts';
import type { TroubleCode } from '../../electron/core/job/model.ts';
import type { FromEar, ToEar } from '../../electron/ipc/contract.ts';
import { type Microphone, MicrophoneFault, openMicrophone } from './microphone.ts';
import { messageOf } from './model-files.ts';
import { createSoundWatch, type SoundState } from './sound-watch.ts';
import type { FromRecogniser, ToRecogniser } from './worker-messages.ts';

const PING_EVERY_MS = 250;
/** After this many unanswered pings the user is told: within 2 s. Counted, because a timer of a busy page fires late. */
const UNANSWERED_TELL = 5;
/** After this many the worker is started anew; a machine that is only busy would lose more by it sooner. */
const UNANSWERED_RESTART = 20;
/** Loading and compiling may block the worker for this long. */
const LOAD_MAX_MS = 30_000;
/** Audio may take this long to start. */
const AUDIO_START_MS = 3_000;
const REOPEN_EVERY_MS = 3_000;
/** A microphone that stays silent is opened anew ever more seldom: a headset stutters each time. */
const REOPEN_SILENT_MAX_MS = 60_000;
/** The recogniser is started anew this often; after that something is really wrong. */
const RESTARTS_MAX = 5;
/** After this long a restart counts no more. */
const RESTARTS_FORGET_MS = 60_000;

const LOST_BECAUSE: Readonly<Record<Extract<SoundState, 'still' | 'dead'>, string>> = {
  still: 'no samples come from the microphone',
  dead: 'only exact silence comes from the microphone: it is unplugged, or muted',
};

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
  #language: LanguageTable | null = null;
  #worker: Worker | undefined;
  #ready = false;
  #startedAt = 0;
  #unanswered = 0;
  readonly #sound = createSoundWatch(AUDIO_START_MS);
  #restarts = 0;
  #restartedAt = 0;
  #unusable = false;
  #microphone: Microphone | undefined;
  #reopenSilentMs = REOPEN_EVERY_MS;
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
    if (message.type !== 'check-microphone' && message.type !== 'record-note' && message.type !== 'language')
      this.#told.set(message.type, message);
    if (message.type === 'language') {
      this.#hearLanguage(message.table);
      return;
    }
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
    this.#unanswered = 0;
    const worker = new Worker(new URL('./ear-worker.ts', import.meta.url), { type: 'module' });
    this.#worker = worker;
    worker.onmessage = (event: MessageEvent<FromRecogniser>) => this.#fromWorker(worker, event.data);
    worker.onerror = (event) => {
      if (this.#worker === worker) this.#restart(event.message || 'the recogniser failed');
    };
    this.#send({
      type: 'load',
      wasmUrl: new URL(wasmUrl, location.href).href,
      modelsUrl: this.#modelsUrl,
      language: this.#language,
    });
    for (const message of this.#told.values()) this.#send({ type: 'tell', message });
  }

  /** Another language is another model: the recogniser is started anew with it. */
  #hearLanguage(table: LanguageTable | null): void {
    if (JSON.stringify(table) === JSON.stringify(this.#language)) return;
    this.#language = table;
    this.#unusable = false;
    this.#startWorker();
    // The samples' port went to the worker that is gone.
    this.#reopenMicrophone();
  }

  #fromWorker(worker: Worker, message: FromRecogniser): void {
    if (this.#worker !== worker || this.#released) return;
    this.#unanswered = 0;
    if (this.#ready) this.#trouble('recogniser-stopped', true, '');
    if (message.type === 'pong') {
      this.#events.onBeat();
      this.#watchSound(message.heardMs, message.deadMs);
    } else if (message.type === 'unusable') {
      this.#unusableModel(message.trouble.code, message.trouble.detail);
    } else {
      if (message.message.type === 'ready') this.#isReady();
      this.#events.onMessage(message.message);
    }
  }

  /** Lost sound is told at once, and the microphone opened anew; it is well again with the first sound. */
  #watchSound(heardMs: number, deadMs: number): void {
    if (!this.#ready || this.#microphone === undefined || this.#troubles.has('audio-suspended')) return;
    const now = performance.now();
    const state = this.#sound.sign(now, heardMs, deadMs);
    if (state === 'sound') {
      this.#reopenSilentMs = REOPEN_EVERY_MS;
      this.#trouble('microphone-lost', true, '');
    }
    if (state !== 'still' && state !== 'dead') return;
    this.#trouble('microphone-lost', false, LOST_BECAUSE[state]);
    if (now - this.#triedAt < this.#reopenSilentMs) return;
    this.#reopenSilentMs = Math.min(REOPEN_SILENT_MAX_MS, this.#reopenSilentMs * 2);
    this.#reopenMicrophone();
  }

  #isReady(): void {
    this.#ready = true;
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
    const now = performance.now();
    if (now - this.#restartedAt > RESTARTS_FORGET_MS) this.#restarts = 0;
    this.#restartedAt = now;
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
      this.#unanswered += 1;
      this.#judgeSilence(now);
    }
    // Refused where nobody has touched the page yet, or while the system holds sound back.
    if (this.#troubles.has('audio-suspended')) this.#microphone?.resume();
    const gone = this.#wanted && this.#microphone === undefined && !this.#opening;
    if (gone && now - this.#triedAt > REOPEN_EVERY_MS && !this.#troubles.has('microphone-refused')) {
      this.#openMicrophone();
    }
  }

  #judgeSilence(now: number): void {
    if (!this.#ready) {
      // Loading and compiling block the worker; the page itself lives.
      this.#events.onBeat();
      if (now - this.#startedAt > LOAD_MAX_MS) this.#restart('the recogniser does not load');
      return;
    }
    if (this.#unanswered > UNANSWERED_TELL) {
      this.#trouble('recogniser-stopped', false, 'the recogniser does not answer');
      this.#events.onBeat();
    }
    if (this.#unanswered > UNANSWERED_RESTART) this.#restart('the recogniser does not answer');
  }

  #trouble(code: TroubleCode, over: boolean, detail: string): void {
    if (over ? !this.#troubles.delete(code) : this.#troubles.has(code)) return;
    if (!over) this.#troubles.add(code);
    this.#events.onMessage({ type: 'trouble', code, over, detail });
  }

  // ---- microphone ----

  #onDeviceChange = (): void => {
    if (!this.#wanted) return;
    const microphone = this.#microphone;
    if (microphone === undefined) this.#openMicrophone();
    else if (this.#troubles.has('microphone-lost')) this.#reopenMicrophone();
    else this.#loseIfGone(microphone);
  };

  /** Some systems tell that a device has gone by the list of devices alone. */
  #loseIfGone(microphone: Microphone): void {
    if (microphone.deviceId === undefined) return;
    navigator.mediaDevices
      .enumerateDevices()
      .then((devices) => {
        const inputs = devices.filter((device) => device.kind === 'audioinput');
        if (inputs.some((device) => device.deviceId === microphone.deviceId)) return;
        if (this.#microphone !== microphone) return;
        this.#trouble('microphone-lost', false, 'the microphone is no longer among the devices');
        this.#reopenMicrophone();
      })
      .catch(() => {
        // Without a list the watch over the sound itself has to do.
      });
  }

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
          if (code === 'audio-suspended' && over) this.#sound.opened(performance.now());
          if (code === 'microphone-lost' && !over) this.#reopenMicrophone();
        },
      });
      if (this.#released) {
        await microphone.release();
        return;
      }
      this.#microphone = microphone;
      // That it opened does not say that anything is heard: `microphone-lost` is over with the first sound.
      this.#trouble('no-microphone', true, '');
      this.#trouble('microphone-refused', true, '');
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
    this.#sound.opened(performance.now());
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
