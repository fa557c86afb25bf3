import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import {
  BEGIN_TIMEOUT_MS,
  END_SLACK_MS,
  localVoice,
  PER_CHARACTER_MS,
  SystemVoice,
} from '../../renderer/mouth/system-voice.ts';

class Utterance {
  voice: unknown;
  lang = '';
  rate = 1;
  onstart: (() => void) | null = null;
  onend: (() => void) | null = null;
  onerror: ((event: { error: string }) => void) | null = null;
  constructor(readonly text: string) {}
}

/** The system's speech as far as it is used here, moved by hand. */
class HandSpeech {
  speaking = false;
  pending = false;
  last: Utterance | undefined;
  voices = [voice('en-GB', true)];
  getVoices() {
    return this.voices;
  }
  speak(utterance: Utterance) {
    this.last = utterance;
  }
  begin() {
    this.speaking = true;
    this.last?.onstart?.();
  }
  cancel() {
    this.speaking = false;
  }
}

function voice(lang: string, localService: boolean, isDefault = false): SpeechSynthesisVoice {
  return { lang, localService, default: isDefault, name: lang, voiceURI: lang };
}

beforeEach(() => {
  vi.useFakeTimers();
  vi.stubGlobal('SpeechSynthesisUtterance', Utterance);
});
afterEach(() => {
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

function make() {
  const speech = new HandSpeech();
  return { speech, system: new SystemVoice(speech as unknown as SpeechSynthesis) };
}

describe('localVoice', () => {
  it('never takes a voice of a remote service, nor of another language', () => {
    expect(localVoice([voice('en-US', false), voice('de-DE', true)])).toBeUndefined();
    expect(localVoice([voice('en-US', false), voice('en-IE', true)])?.lang).toBe('en-IE');
    expect(localVoice([voice('en-IE', true), voice('en-AU', true, true)])?.lang).toBe('en-AU');
  });
});

describe('SystemVoice', () => {
  it('completes when the system tells the end', async () => {
    const { speech, system } = make();
    const begun = vi.fn();
    const how = system.speak('One.', 1, begun);
    speech.begin();
    speech.last?.onend?.();
    expect(await how).toBe('completed');
    expect(begun).toHaveBeenCalledTimes(1);
  });

  it('counts as no voice when nothing begins, or when it fails at once', async () => {
    const silent = make();
    const how = silent.system.speak('One.', 1, () => undefined);
    await vi.advanceTimersByTimeAsync(BEGIN_TIMEOUT_MS);
    expect(await how).toBe('no-voice');
    const failing = make();
    const failed = failing.system.speak('One.', 1, () => undefined);
    failing.speech.last?.onerror?.({ error: 'synthesis-failed' });
    expect(await failed).toBe('no-voice');
  });

  it('notices by itself that the sound is over when the end is never told', async () => {
    const { speech, system } = make();
    const how = system.speak('One.', 1, () => undefined);
    speech.begin();
    await vi.advanceTimersByTimeAsync(1000);
    speech.speaking = false;
    await vi.advanceTimersByTimeAsync(1000);
    expect(await how).toBe('completed');
  });

  it('gives up a voice that goes on past all measure', async () => {
    const { speech, system } = make();
    const how = system.speak('One.', 1, () => undefined);
    speech.begin();
    await vi.advanceTimersByTimeAsync(END_SLACK_MS + PER_CHARACTER_MS * 'One.'.length);
    expect(await how).toBe('no-voice');
    expect(speech.speaking).toBe(false);
  });

  it('stops when told to, once', async () => {
    const { speech, system } = make();
    const how = system.speak('One.', 1, () => undefined);
    speech.begin();
    system.stop();
    speech.last?.onend?.();
    expect(await how).toBe('stopped');
  });

  it('says no-voice at once where the system has none', async () => {
    expect(await new SystemVoice(undefined).speak('One.', 1, () => undefined)).toBe('no-voice');
    const { speech, system } = make();
    speech.voices = [];
    expect(system.works).toBe(false);
  });
});
