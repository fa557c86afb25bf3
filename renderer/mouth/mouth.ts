/**
 * The mouth: text to sound. Utterances are spoken one after the other; each ends with exactly one outcome:
 * `completed` (heard to its end), `interrupted` (by `hush`), `no-voice` (nothing could be heard; the screen
 * alone shows it). It decides nothing about the job.
 */
import { ENGLISH, type Language } from '../../electron/core/base/language.ts';
import { spokenText } from '../../electron/core/plan/spoken-text.ts';
import type { Settings } from '../../electron/ipc/contract.ts';
import { type Chime, soundChime } from './earcons.ts';
import { EmbeddedVoice, type VoiceWorker } from './embedded-voice.ts';
import { RATE_MAX, RATE_MIN, type Sound } from './flite.ts';
import { PAUSE_S, sentencesOf } from './sentences.ts';
import { type SoundOutput, webAudioOutput } from './sound-output.ts';
import { SystemVoice } from './system-voice.ts';

export type SpokenOutcome = 'completed' | 'interrupted' | 'no-voice';
export type MouthTrouble = 'no-voice' | 'audio-suspended';

/** Utterances that may wait; the engine gives a handful at most. The oldest gives way as interrupted. */
export const QUEUE_MAX = 32;

/** How and in which language it speaks; English without one. */
export type MouthSettings = Pick<Settings, 'voice' | 'rate'> & {
  readonly units?: Settings['units'];
  readonly language?: Language;
};

export interface Mouth {
  /** Speaks `text` after what is being spoken. `interruptible` is for the ear; `hush` ends either kind. */
  speak(utterance: number, text: string, interruptible: boolean): void;
  /** Ends what is spoken and forgets what waits; each ends as `interrupted`. */
  hush(): void;
  /** Renders what will probably be spoken next. A newer list replaces an older one. */
  prepare(texts: readonly string[]): void;
  /** Takes effect with the next utterance. `rate` 1 is normal. */
  configure(settings: MouthSettings): void;
  chime(chime: Chime): void;
  onOutcome(listener: (utterance: number, outcome: SpokenOutcome) => void): () => void;
  /** `text` is as it is pronounced (numbers in words), for the ear to know its own words. */
  onSpeaking(listener: (speaking: boolean, text: string) => void): () => void;
  /** A trouble of the mouth begins or is over. */
  onTrouble(listener: (code: MouthTrouble, over: boolean) => void): () => void;
  close(): void;
}

/** The outside of the mouth; the defaults are the page's own. */
export interface MouthPorts {
  readonly output: (onSuspended: (suspended: boolean) => void) => SoundOutput;
  readonly newWorker: () => VoiceWorker;
  readonly system: Pick<SystemVoice, 'works' | 'speak' | 'stop'>;
}

interface Utterance {
  readonly number: number;
  readonly spoken: string;
  hushed: boolean;
}

function pagePorts(): MouthPorts {
  return {
    output: webAudioOutput,
    newWorker: () =>
      new Worker(new URL('./voice-worker.ts', import.meta.url), {
        type: 'module',
        name: 'voice-worker',
      }) as unknown as VoiceWorker,
    system: new SystemVoice(),
  };
}

/** Makes the mouth of this page. Nothing sounds before the first `speak`. */
export function createMouth(ports: MouthPorts = pagePorts()): Mouth {
  return new PageMouth(ports);
}

class Listeners<A extends unknown[]> {
  readonly #all = new Set<(...args: A) => void>();
  add(listener: (...args: A) => void): () => void {
    this.#all.add(listener);
    return () => {
      this.#all.delete(listener);
    };
  }
  tell(...args: A): void {
    for (const listener of this.#all) listener(...args);
  }
}

class PageMouth implements Mouth {
  readonly #output: SoundOutput;
  readonly #embedded: EmbeddedVoice;
  readonly #system: MouthPorts['system'];
  readonly #outcomes = new Listeners<[number, SpokenOutcome]>();
  readonly #speaking = new Listeners<[boolean, string]>();
  readonly #troubles = new Listeners<[MouthTrouble, boolean]>();
  #queue: Utterance[] = [];
  #current: Utterance | undefined;
  #voice: Settings['voice'] = 'embedded';
  #rate = 1;
  #imperial = false;
  #language = ENGLISH;
  #mute = false;

  constructor(ports: MouthPorts) {
    this.#output = ports.output((suspended) => this.#troubles.tell('audio-suspended', !suspended));
    this.#embedded = new EmbeddedVoice(ports.newWorker);
    this.#system = ports.system;
  }

  speak(utterance: number, text: string): void {
    this.#queue.push({ number: utterance, spoken: this.#spoken(text), hushed: false });
    if (this.#queue.length > QUEUE_MAX) this.#end(this.#queue.shift(), 'interrupted');
    void this.#pump();
  }

  hush(): void {
    const waiting = this.#queue.splice(0);
    if (this.#current !== undefined) {
      this.#current.hushed = true;
      this.#output.stop();
      this.#system.stop();
    }
    for (const utterance of waiting) this.#end(utterance, 'interrupted');
  }

  prepare(texts: readonly string[]): void {
    if (this.#voice === 'off' || this.#usesSystem()) return;
    this.#embedded.prepare(
      texts.flatMap((text) => sentencesOf(this.#spoken(text))),
      this.#rate,
    );
  }

  configure(settings: MouthSettings): void {
    this.#voice = settings.voice;
    this.#rate = Math.min(RATE_MAX, Math.max(RATE_MIN, settings.rate));
    this.#imperial = settings.units === 'imperial';
    this.#language = settings.language ?? ENGLISH;
    if (settings.voice === 'off') this.hush();
  }

  chime(chime: Chime): void {
    const context = this.#output.context();
    if (context !== undefined) soundChime(context, chime);
  }

  onOutcome(listener: (utterance: number, outcome: SpokenOutcome) => void): () => void {
    return this.#outcomes.add(listener);
  }

  onSpeaking(listener: (speaking: boolean, text: string) => void): () => void {
    return this.#speaking.add(listener);
  }

  onTrouble(listener: (code: MouthTrouble, over: boolean) => void): () => void {
    return this.#troubles.add(listener);
  }

  close(): void {
    this.hush();
    this.#embedded.close();
    this.#output.close();
  }

  #spoken(text: string): string {
    return spokenText(text, { imperial: this.#imperial }, this.#language);
  }

  #usesSystem(): boolean {
    return (this.#voice === 'system' || !this.#embedded.works) && this.#system.works;
  }

  #end(utterance: Utterance | undefined, outcome: SpokenOutcome): void {
    if (utterance !== undefined) this.#outcomes.tell(utterance.number, outcome);
  }

  /** Speaks what waits, one after the other. Only one run is active at a time. */
  async #pump(): Promise<void> {
    if (this.#current !== undefined) return;
    // Not in the same turn as `speak`: whoever asked has then returned before any outcome.
    for (;;) {
      const utterance = this.#queue.shift();
      if (utterance === undefined) return;
      this.#current = utterance;
      await Promise.resolve();
      let outcome: SpokenOutcome = 'no-voice';
      try {
        outcome = await this.#say(utterance);
      } finally {
        this.#current = undefined;
      }
      const final = utterance.hushed ? 'interrupted' : outcome;
      if (this.#voice !== 'off') this.#tellVoice(final);
      this.#end(utterance, final);
    }
  }

  #tellVoice(outcome: SpokenOutcome): void {
    const mute = outcome === 'no-voice' && !this.#usesSystem() && !this.#embedded.works;
    if (outcome === 'interrupted' || mute === this.#mute) return;
    this.#mute = mute;
    this.#troubles.tell('no-voice', !mute);
  }

  async #say(utterance: Utterance): Promise<SpokenOutcome> {
    if (this.#voice === 'off') return 'no-voice';
    let sounding = false;
    const begin = (): void => {
      if (sounding) return;
      sounding = true;
      this.#speaking.tell(true, utterance.spoken);
    };
    try {
      if (this.#voice === 'system' && this.#system.works) {
        const how = await this.#system.speak(utterance.spoken, this.#rate, begin);
        if (how === 'completed') return 'completed';
        if (how === 'stopped' || utterance.hushed) return 'interrupted';
      }
      const outcome = await this.#sayEmbedded(utterance, begin);
      if (outcome !== 'no-voice' || utterance.hushed || this.#embedded.works || !this.#system.works)
        return outcome;
      const how = await this.#system.speak(utterance.spoken, this.#rate, begin);
      return how === 'stopped' ? 'interrupted' : how;
    } finally {
      if (sounding) this.#speaking.tell(false, utterance.spoken);
    }
  }

  async #sayEmbedded(utterance: Utterance, begin: () => void): Promise<SpokenOutcome> {
    const pieces = sentencesOf(utterance.spoken);
    const rate = this.#rate;
    // All are asked for at once: the second is rendered while the first sounds.
    const sounds = pieces.map((piece) => this.#embedded.render(piece, rate));
    for (const [index, coming] of sounds.entries()) {
      const sound = await coming;
      if (utterance.hushed) return 'interrupted';
      if (sound === undefined) return 'no-voice';
      begin();
      // The pause between sentences is part of the second one's sound, so that it is as long as it should be.
      const how = await this.#output.play(index === 0 ? sound : afterPause(sound));
      if (utterance.hushed || how === 'stopped') return 'interrupted';
      if (how === 'no-sound') return 'no-voice';
    }
    return 'completed';
  }
}

/** The sound with the pause between two sentences in front. */
function afterPause(sound: Sound): Sound {
  const silence = Math.round(PAUSE_S * sound.sampleRateHz);
  const samples = new Float32Array(silence + sound.samples.length);
  samples.set(sound.samples, silence);
  return { samples, sampleRateHz: sound.sampleRateHz };
}
