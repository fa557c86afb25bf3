/**
 * Joins ear, mouth and host at the page: what the host wants said goes to the mouth, what the mouth did
 * goes back; what the ear understood goes to the host, what may be said now goes to the ear. It decides
 * nothing about the job. It keeps what only the screen needs (level, last heard) for showing.
 */

import { ENGLISH, heardLanguage, type Language, languageOf } from '../electron/core/base/language.ts';
import type { TalkKey } from '../electron/core/job/keys.ts';
import type { Allowed, BenchView, Effect, TroubleCode } from '../electron/core/job/model.ts';
import type { FromEar, NoteEnd, PageInput, Push, Settings, ToEar } from '../electron/ipc/contract.ts';
import { inputFrom } from './ears/heard-input.ts';
import type { Host } from './host.tsx';
import { base64FromPcm } from './note-sound.ts';
import type { Level } from './parts/meter.tsx';
import { watchTalkKey } from './talk-key.ts';

export type SpokenOutcome = 'completed' | 'interrupted' | 'no-voice';

/** What the loop needs of the mouth. `utterance` comes back with the outcome. */
export interface MouthPort {
  speak(utterance: number, text: string, interruptible: boolean): void;
  hush(): void;
  prepare(texts: readonly string[]): void;
  configure(settings: Pick<Settings, 'voice' | 'rate' | 'units'> & { readonly language: Language }): void;
  chime(chime: Extract<Effect, { type: 'chime' }>['chime']): void;
  onOutcome(listener: (utterance: number, outcome: SpokenOutcome) => void): () => void;
  onSpeaking(listener: (speaking: boolean, text: string) => void): () => void;
  onTrouble(listener: (code: TroubleCode, over: boolean) => void): () => void;
}

/** What the loop needs of the ear. */
export interface EarPort {
  send(message: ToEar): void;
  onMessage(listener: (message: FromEar) => void): () => void;
}

export interface Heard {
  readonly text: string;
  readonly confidence: number;
}
export type MicrophoneCheck = Extract<FromEar, { type: 'microphone-check' }>;

/** What screens show of ear and mouth. */
export interface VoiceState {
  readonly ear: 'absent' | 'loading' | 'ready';
  /** 0…1 while loading. */
  readonly loaded: number;
  readonly level: Level | null;
  readonly heard: Heard | null;
  readonly speaking: boolean;
  /** The key that has to be held while speaking; null where the ear listens all the time. */
  readonly talk: { readonly key: TalkKey; readonly held: boolean } | null;
  /** Whether phrases begin with the attention word. */
  readonly attention: boolean;
  readonly check: MicrophoneCheck | null;
  readonly checking: boolean;
  /** Troubles known to the page, also while no job is open. */
  readonly troubles: readonly TroubleCode[];
}

export const SILENT: VoiceState = {
  ear: 'absent',
  loaded: 0,
  level: null,
  heard: null,
  speaking: false,
  talk: null,
  attention: false,
  check: null,
  checking: false,
  troubles: [],
};

const NOTHING: Allowed = { phrases: [], number: 'none', spelling: false, answers: [] };
/** How much slower each "slower" makes the voice, and the slowest it gets. */
const SLOWER_FACTOR = 0.85;
const RATE_MIN = 0.5;

export interface VoiceLoop {
  state(): VoiceState;
  subscribe(listener: () => void): () => void;
  /** Listens for `seconds` and tells level, noise and a verdict. */
  checkMicrophone(seconds: number): void;
  /** Speaks a sample outside any job; its outcome is not reported to the host. */
  sample(text: string): void;
  hush(): void;
  settings(settings: Settings): void;
  /** The language of the settings. An open job speaks the one its plan was made in. */
  language(language: Language): void;
  stop(): void;
}

/**
 * Utterances made by the page itself (samples) count down from here: the engine's count up from 0, the
 * host's own count down from -1, and neither gets this far.
 */
const OWN_UTTERANCE = -1_000_000_000;

/** Starts the loop. Either port may be missing: the job goes on by keys and touch. */
export function startVoiceLoop(
  host: Host,
  ports: { mouth: MouthPort | null; ear: EarPort | null },
): VoiceLoop {
  const { mouth, ear } = ports;
  let state: VoiceState = { ...SILENT, ear: ear === null ? 'absent' : 'loading' };
  let current: Settings | null = null;
  let pageLanguage = ENGLISH;
  /** That of the open job; undefined where it is the page's. */
  let jobLanguage: Language | undefined;
  let jobTag: string | undefined;
  let heard = ENGLISH;
  /** What came while the language of the job is being opened. */
  let waiting: Push[] | null = null;
  let slowed = 1;
  let jobOpen = false;
  let viewSeen = false;
  let allowedKey = '';
  let own = OWN_UTTERANCE;
  const listeners = new Set<() => void>();
  const endings: (() => void)[] = [];

  const set = (change: Partial<VoiceState>): void => {
    state = { ...state, ...change };
    for (const listener of listeners) listener();
  };
  const input = (what: PageInput): void => {
    // A refusal comes back as a push (view, host-trouble); there is nothing to add here.
    if (jobOpen) void host.ask('job.input', what);
  };
  /**
   * What became of an utterance always goes to the host, also before the first view of a job has come:
   * a caution waits for it, and the host's own watch would take far longer.
   */
  const report = (utterance: number, outcome: SpokenOutcome): void => {
    void host.ask('job.input', { type: 'spoken', utterance, outcome });
  };
  /** The host refuses what it has not asked for; there is nothing to add here. */
  const keepNote = (endedBy: NoteEnd, pcm: Int16Array): void => {
    void host.ask('note.keep', { endedBy, pcm: base64FromPcm(pcm) });
  };
  const applySettings = (): void => {
    if (current !== null)
      mouth?.configure({
        voice: current.voice,
        units: current.units,
        language: jobLanguage ?? pageLanguage,
        rate: Math.max(RATE_MIN, current.rate * slowed),
      });
  };

  const applyLanguage = (): void => {
    applySettings();
    const next = heardLanguage(jobLanguage ?? pageLanguage);
    if (next === heard) return;
    heard = next;
    ear?.send({ type: 'language', table: next === ENGLISH ? null : next.table });
  };
  /** What the job says is in its own language, also after another one was chosen in the settings. */
  const takeJobLanguage = (tag: string | undefined): void => {
    if (tag === jobTag) return;
    jobTag = tag;
    jobLanguage = undefined;
    if (tag === undefined || tag === pageLanguage.tag) {
      jobLanguageKnown();
      return;
    }
    waiting ??= [];
    void host.ask('language.open', { language: tag }).then((answer) => {
      if (jobTag !== tag) return;
      if (answer.ok) jobLanguage = languageOf(answer.value.table);
      jobLanguageKnown();
    });
  };
  const jobLanguageKnown = (): void => {
    applyLanguage();
    const late = waiting ?? [];
    waiting = null;
    for (const push of late) onPush(push);
  };

  const onEffect = (effect: Effect): void => {
    switch (effect.type) {
      case 'say':
        if (mouth === null || current?.voice === 'off') report(effect.utterance, 'no-voice');
        else mouth.speak(effect.utterance, effect.text, effect.interruptible);
        break;
      case 'hush':
        mouth?.hush();
        break;
      case 'chime':
        mouth?.chime(effect.chime);
        break;
      case 'slower':
        slowed *= SLOWER_FACTOR;
        applySettings();
        break;
      case 'listen':
        ear?.send({ type: 'listen', on: effect.on });
        break;
      case 'record-note':
        if (ear !== null) ear.send({ type: 'record-note', on: effect.on, keep: effect.keep });
        else if (effect.on) keepNote('nothing-said', new Int16Array());
        break;
      case 'closed':
        jobOpen = false;
        break;
    }
  };

  const onView = (view: BenchView | null): void => {
    viewSeen = true;
    if (view === null && slowed !== 1) {
      slowed = 1;
      applySettings();
    }
    const opened = !jobOpen && view !== null && view.outcome === null;
    jobOpen = view !== null && view.outcome === null;
    takeJobLanguage(view?.language);
    // Troubles that were there before the job belong into its record and its answers.
    if (opened) for (const code of state.troubles) input({ type: 'trouble', code, over: false });
    const allowed = view?.allowed ?? NOTHING;
    const key = JSON.stringify(allowed);
    if (key !== allowedKey) {
      allowedKey = key;
      ear?.send({ type: 'grammar', allowed });
    }
  };

  const onPush = (push: Push): void => {
    if (waiting !== null) waiting.push(push);
    else if (push.type === 'view') onView(push.view);
    else if (push.type === 'effect') onEffect(push.effect);
    else if (push.type === 'render-ahead') mouth?.prepare(push.texts);
  };

  const onTrouble = (code: TroubleCode, over: boolean): void => {
    const others = state.troubles.filter((one) => one !== code);
    set({ troubles: over ? others : [...others, code] });
    input({ type: 'trouble', code, over });
  };

  const onEar = (message: FromEar): void => {
    switch (message.type) {
      case 'ready':
        set({ ear: 'ready', loaded: 1 });
        break;
      case 'progress':
        set({ ear: 'loading', loaded: message.share });
        break;
      case 'heard':
        set({ heard: { text: message.text, confidence: message.confidence } });
        input(inputFrom(message));
        break;
      case 'refused':
        set({ heard: null });
        input({ type: 'unheard', reason: message.reason });
        break;
      case 'level':
        set({
          level: {
            dbfs: message.dbfs,
            noiseDbfs: message.noiseDbfs,
            clipping: message.clipping,
            speech: message.speech,
          },
        });
        break;
      case 'note':
        keepNote(message.endedBy, message.pcm);
        break;
      case 'microphone-check':
        set({ check: message, checking: false });
        break;
      case 'trouble':
        set({ checking: false });
        onTrouble(message.code, message.over);
        break;
    }
  };

  endings.push(host.onPush(onPush));
  if (ear !== null) endings.push(ear.onMessage(onEar));
  if (mouth !== null) {
    endings.push(
      mouth.onOutcome((utterance, outcome) => {
        if (utterance > OWN_UTTERANCE) report(utterance, outcome);
      }),
      mouth.onSpeaking((speaking, text) => {
        set({ speaking });
        ear?.send({ type: 'mouth', speaking, text });
      }),
      mouth.onTrouble(onTrouble),
    );
  }
  const talkKey = watchTalkKey(window, ({ on, held }) => {
    ear?.send({ type: 'hold-to-talk', on, held });
    set({ talk: on ? { key: current?.talk_key ?? 'none', held } : null });
  });
  endings.push(talkKey.stop);
  // A page that comes back in the middle of a job learns of it here, not from the next push.
  void host.ask('job.view', null).then((answer) => {
    if (answer.ok && !viewSeen) onView(answer.value);
  });

  return {
    state: () => state,
    subscribe: (listener) => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    checkMicrophone: (seconds) => {
      set({ checking: true, check: null });
      ear?.send({ type: 'check-microphone', seconds });
    },
    sample: (text) => {
      mouth?.hush();
      mouth?.speak(own, text, true);
      own -= 1;
    },
    hush: () => mouth?.hush(),
    settings: (settings) => {
      current = settings;
      applySettings();
      ear?.send({ type: 'attention-word', on: settings.attention_word });
      talkKey.configure(settings.talk_key ?? 'none');
      set({ attention: settings.attention_word });
    },
    language: (next) => {
      pageLanguage = next;
      if (jobTag === next.tag) jobLanguage = undefined;
      applyLanguage();
    },
    stop: () => {
      for (const end of endings) end();
      listeners.clear();
    },
  };
}
