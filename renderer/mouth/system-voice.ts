/**
 * The voices of the system. Only voices that work on this machine are used: a voice of a remote service
 * would send the text away. Systems differ in what they report: some fail at once, some never tell the end,
 * so every utterance has a watch.
 */

export type SpokenHow = 'completed' | 'stopped' | 'no-voice';

/** Nothing was heard to begin after this long: there is no voice. */
export const BEGIN_TIMEOUT_MS = 5000;
/** A slow voice needs some 110 ms a character; past twice that the end was not told. */
export const PER_CHARACTER_MS = 220;
export const END_SLACK_MS = 3000;
const POLL_MS = 500;

/** An English voice of this machine, the system's default first; `undefined` where there is none. */
export function localVoice(voices: readonly SpeechSynthesisVoice[]): SpeechSynthesisVoice | undefined {
  const usable = voices.filter((voice) => voice.localService && /^en([-_]|$)/i.test(voice.lang));
  return usable.find((voice) => voice.default) ?? usable[0];
}

export class SystemVoice {
  readonly #synthesis: SpeechSynthesis | undefined;
  #stop: (() => void) | undefined;

  constructor(synthesis: SpeechSynthesis | undefined = globalThis.speechSynthesis) {
    this.#synthesis = synthesis;
  }

  /** True where an English voice of this machine is known now; voices may appear late. */
  get works(): boolean {
    return localVoice(this.#synthesis?.getVoices() ?? []) !== undefined;
  }

  /** Speaks a text to its end. `onBegin` is called when the sound begins. Settles exactly once. */
  speak(text: string, rate: number, onBegin: () => void): Promise<SpokenHow> {
    const synthesis = this.#synthesis;
    const voice = localVoice(synthesis?.getVoices() ?? []);
    if (synthesis === undefined || voice === undefined) return Promise.resolve('no-voice');
    return new Promise((resolve) => {
      const utterance = new SpeechSynthesisUtterance(text);
      utterance.voice = voice;
      utterance.lang = voice.lang;
      utterance.rate = rate;
      let begun = false;
      let settled = false;
      const settle = (how: SpokenHow): void => {
        if (settled) return;
        settled = true;
        clearTimeout(watch);
        clearInterval(poll);
        this.#stop = undefined;
        resolve(how);
      };
      const overdue = (): void => {
        // Silent although the end was not told: it was read. Still sounding past all measure: given up.
        const how = begun && !synthesis.speaking ? 'completed' : 'no-voice';
        synthesis.cancel();
        settle(how);
      };
      let watch = setTimeout(() => settle('no-voice'), BEGIN_TIMEOUT_MS);
      const poll = setInterval(() => {
        if (begun && !synthesis.speaking && !synthesis.pending) settle('completed');
      }, POLL_MS);
      utterance.onstart = () => {
        if (begun || settled) return;
        begun = true;
        clearTimeout(watch);
        watch = setTimeout(overdue, END_SLACK_MS + (PER_CHARACTER_MS * text.length) / rate);
        onBegin();
      };
      utterance.onend = () => settle('completed');
      utterance.onerror = (event) =>
        settle(event.error === 'interrupted' || event.error === 'canceled' ? 'stopped' : 'no-voice');
      this.#stop = () => {
        settle('stopped');
        synthesis.cancel();
      };
      synthesis.speak(utterance);
    });
  }

  /** Ends the utterance that sounds now. */
  stop(): void {
    this.#stop?.();
  }
}
