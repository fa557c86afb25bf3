/** A listener whose decoder is told what to say. Audio is tones and faint noise; its time is the only time. */
import type { Allowed } from '../../electron/core/job/model.ts';
import type { FromEar, ToEar } from '../../electron/ipc/contract.ts';
import {
  type Decoded,
  type Decoder,
  type DecoderMaker,
  SAMPLE_RATE_HZ,
} from '../../renderer/ears/decoder.ts';
import { createListener } from '../../renderer/ears/listener.ts';
import type { Listener } from '../../renderer/ears/listener-options.ts';
import { THRESHOLDS } from '../../renderer/ears/model-files.ts';
import { STAND_IN_GRAMMAR } from './stand-in-grammar.ts';

export const T = {
  ...THRESHOLDS,
  earlySilenceMs: 160,
  lateSilenceMs: 220,
  earlyConf: 0.98,
  hangOverMs: 340,
  continueMs: 480,
  conf: 0.6,
};
export const ALLOWED: Allowed = {
  phrases: ['next', 'stop', 'stop listening', 'finish', 'start listening'],
  number: 'none',
  spelling: false,
  answers: [],
};

/** Decodes any sound as what it was told; counts what became of decoders. */
export class ToldMaker {
  text = 'next';
  /** The text so far, where it is not yet what the final result will be. */
  partial: string | undefined;
  conf = 1;
  made = 0;
  freed = 0;
  grammars: (readonly string[] | null)[] = [];

  decoder(grammar: readonly string[] | null): Decoder {
    this.made += 1;
    this.grammars.push(grammar);
    let loudAt: number[] = [];
    let fed = 0;
    const result = (): Decoded => {
      const [first, last] = [loudAt[0], loudAt.at(-1)];
      if (first === undefined || last === undefined || this.text === '') return { text: '', words: [] };
      const words = this.text.split(' ');
      const width = (last - first) / words.length;
      return {
        text: this.text,
        words: words.map((word, index) => ({
          word,
          conf: this.conf,
          startMs: first + index * width,
          endMs: first + (index + 1) * width,
        })),
      };
    };
    return {
      accept: (samples) => {
        samples.forEach((sample, index) => {
          if (Math.abs(sample) > 0.05) loudAt.push(((fed + index) * 1000) / SAMPLE_RATE_HZ);
        });
        fed += samples.length;
        return { text: this.partial ?? result().text, words: [], ended: false };
      },
      finish: () => {
        const decoded = result();
        loudAt = [];
        fed = 0;
        return decoded;
      },
      free: () => {
        this.freed += 1;
      },
    };
  }
}

/** Decodes what is as loud as `voice` as `said`, other sound as unknown words. */
export const loudnessMaker = (said: string): DecoderMaker => ({
  decoder: () => {
    let samples: number[] = [];
    const decoded = (): Decoded => {
      const words: { word: string; conf: number; startMs: number; endMs: number }[] = [];
      for (let at = 0; at < samples.length; at += SAMPLE_RATE_HZ / 100) {
        const peak = Math.max(...samples.slice(at, at + SAMPLE_RATE_HZ / 100).map(Math.abs));
        const word = peak > 0.2 ? said : peak > 0.01 ? '[unk]' : '';
        const [startMs, last] = [(at * 1000) / SAMPLE_RATE_HZ, words.at(-1)];
        if (last?.word === word && last.endMs === startMs) last.endMs += 10;
        else if (word !== '') words.push({ word, conf: 1, startMs, endMs: startMs + 10 });
      }
      return { text: words.map(({ word }) => word).join(' '), words };
    };
    return {
      accept: (more) => {
        samples.push(...more);
        return { text: decoded().text, words: [], ended: false };
      },
      finish: () => {
        const result = decoded();
        samples = [];
        return result;
      },
      free: () => {},
    };
  },
});

export const ms = (count: number, amplitude: number): Float32Array =>
  Float32Array.from({ length: (count * SAMPLE_RATE_HZ) / 1000 }, (_, n) => amplitude * Math.sin(n * 0.4));
export const quiet = (count: number): Float32Array => ms(count, 0.0005);
export const voice = (count: number): Float32Array => ms(count, 0.3);

/** A listener in a place that was still for half a second. */
export function listenerWith(maker: DecoderMaker, allowed: Allowed = ALLOWED): Listener {
  const listener = createListener({
    maker,
    grammar: STAND_IN_GRAMMAR,
    thresholds: T,
    decoys: [],
    computeNow: () => 0,
  });
  listener.tell({ type: 'grammar', allowed });
  listener.feed(quiet(500));
  return listener;
}

export function setUp(allowed: Allowed = ALLOWED): {
  listener: Listener;
  maker: ToldMaker;
  tell: (m: ToEar) => readonly FromEar[];
} {
  const maker = new ToldMaker();
  const listener = listenerWith(maker, allowed);
  return { listener, maker, tell: (message) => listener.tell(message) };
}

/** Feeds in chunks of 20 ms; what came but levels, with the audio time at which it came. */
export function feed(
  listener: Listener,
  ...sounds: readonly Float32Array[]
): readonly (FromEar & { at: number })[] {
  const found: (FromEar & { at: number })[] = [];
  for (const sound of sounds) {
    for (let at = 0; at < sound.length; at += 320) {
      for (const message of listener.feed(sound.subarray(at, at + 320))) {
        if (message.type !== 'level') found.push({ ...message, at: listener.nowMs() });
      }
    }
  }
  return found;
}
