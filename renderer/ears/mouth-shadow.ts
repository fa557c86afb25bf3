/**
 * What the ear does while the mouth speaks, and shortly after. The recogniser gets the sentence that is
 * being spoken (`own-voice.ts`); only a few words are heard over it, and only when they are steady, sure
 * and louder than the mouth itself has been. Amid the sentence its own words are far more likely to the recogniser
 * than any other, so a burst that rises out of the mouth's loudness is also decoded by itself.
 */
import type { PhraseId } from '../../electron/core/job/model.ts';
import type { SpokenGrammar, Thresholds } from './decision.ts';
import type { Decoded, Decoder, DecoderMaker } from './decoder.ts';
import { FRAME_MS } from './endpointer.ts';
import { concatenate } from './frames.ts';
import { type Burst, type BurstFinder, createBurstFinder } from './loud-burst.ts';
import { containsPhrase, grammarOverMouth, spokenWords, wordsOverMouth } from './own-voice.ts';

/** After the mouth's last sound its own words are refused for this long. */
export const TAIL_MS = 450;
/** A word over the mouth must stand at the end of the partial text for this long. */
const STEADY_MS = 120;
const BATCH_FRAMES = 6;
const WORD_MIN_MS = 150;
const WORD_MAX_MS = 900;
/** A mouth that never says it has ended must not leave the ear deaf: slow speech takes no longer than this. */
const SPEAKING_MAX_MS_PER_CHARACTER = 160;
const SPEAKING_SLACK_MS = 6_000;
/** Weak sounds of a word before and after its loud ones; so many frames are kept for that. */
const BURST_BEFORE_FRAMES = 25;
const BURST_AFTER_FRAMES = 18;
const KEPT_FRAMES = 150;
/** Least confidence of a word in a burst by itself, where it is likely from the outset. */
const BURST_CONF = 0.7;
/** The mouth's own loudness is known after this much of it. */
const OWN_LEVEL_FRAMES_MIN = 60;

export interface OverMouth {
  readonly word: string;
  readonly phrase: PhraseId;
  readonly confidence: number;
  /** Audio time of the end of the word. */
  readonly endMs: number;
}

export interface MouthShadow {
  speaking(): boolean;
  begin(sentence: string, nowMs: number): void;
  end(nowMs: number): void;
  /** One frame while the mouth speaks; a phrase when one was said over it. */
  frame(samples: Float32Array, levelDbfs: number, nowMs: number): OverMouth | undefined;
  /** Whether speech that began at `startMs` may be the last of the mouth in the room. */
  isTail(startMs: number): boolean;
  /** Whether `text`, said in speech that began at `startMs`, is likely the mouth's own. */
  isOwnWord(text: string, startMs: number): boolean;
  release(): void;
}

interface ShadowOptions {
  readonly maker: DecoderMaker;
  readonly grammar: SpokenGrammar;
  readonly thresholds: Thresholds;
}

export function createMouthShadow(options: ShadowOptions): MouthShadow {
  return new Shadow(options);
}

class Shadow implements MouthShadow {
  readonly #options: ShadowOptions;
  #decoder: Decoder | undefined;
  #words: readonly string[] = [];
  #over: ReadonlyMap<string, PhraseId> = new Map();
  #on = false;
  #untilMs = 0;
  #tailEndMs = -1;
  #batch: Float32Array[] = [];
  #bursts: BurstFinder = createBurstFinder();
  /** The last frames. */
  #kept: Float32Array[] = [];
  #levels: number[] = [];
  #originMs = 0;
  #steady = { word: '', sinceMs: 0 };

  constructor(options: ShadowOptions) {
    this.#options = options;
  }

  speaking(): boolean {
    return this.#on;
  }

  begin(sentence: string, nowMs: number): void {
    this.#decoder?.free();
    const { maker, grammar } = this.#options;
    this.#words = spokenWords(sentence, grammar.digitWords);
    this.#over = wordsOverMouth(this.#words, grammar.formsOf);
    const entries = grammarOverMouth(this.#words, this.#over.keys());
    this.#decoder = this.#over.size === 0 ? undefined : maker.decoder(entries);
    this.#on = true;
    this.#untilMs = nowMs + sentence.length * SPEAKING_MAX_MS_PER_CHARACTER + SPEAKING_SLACK_MS;
    this.#batch = [];
    this.#bursts = createBurstFinder();
    this.#kept = [];
    this.#levels = [];
    this.#originMs = nowMs;
    this.#steady = { word: '', sinceMs: nowMs };
  }

  end(nowMs: number): void {
    if (!this.#on) return;
    this.#on = false;
    this.#tailEndMs = nowMs + TAIL_MS;
    this.#decoder?.free();
    this.#decoder = undefined;
  }

  isTail(startMs: number): boolean {
    return startMs <= this.#tailEndMs;
  }

  isOwnWord(text: string, startMs: number): boolean {
    return this.isTail(startMs) && containsPhrase(this.#words, text);
  }

  release(): void {
    this.#decoder?.free();
    this.#decoder = undefined;
    this.#on = false;
  }

  frame(samples: Float32Array, levelDbfs: number, nowMs: number): OverMouth | undefined {
    if (nowMs > this.#untilMs) this.end(nowMs);
    const decoder = this.#decoder;
    if (decoder === undefined) return undefined;
    this.#levels.push(levelDbfs);
    this.#batch.push(samples);
    this.#kept.push(samples);
    if (this.#kept.length > KEPT_FRAMES) this.#kept.shift();
    const burst = this.#bursts.frame(levelDbfs);
    if (burst !== undefined) return this.#inBurst(decoder, burst, nowMs);
    if (this.#batch.length < BATCH_FRAMES) return undefined;
    const decoded = decoder.accept(concatenate(this.#batch));
    this.#batch = [];
    if (decoded.ended) return this.#found(decoded, nowMs);
    // Anywhere, not only at the end: the mouth goes on speaking after the word.
    const said = decoded.text.split(' ').find((word) => this.#over.has(word)) ?? '';
    if (this.#steady.word !== said) this.#steady = { word: said, sinceMs: nowMs };
    if (said === '' || nowMs - this.#steady.sinceMs < STEADY_MS) return undefined;
    return this.#found(decoder.finish(), nowMs);
  }

  /** What was said in a burst that has just ended. */
  #inBurst(decoder: Decoder, { from, to }: Burst, nowMs: number): OverMouth | undefined {
    decoder.accept(concatenate(this.#batch));
    this.#batch = [];
    const amid = this.#found(decoder.finish(), nowMs);
    if (amid !== undefined) return amid;
    const first = this.#levels.length - this.#kept.length;
    const begin = Math.max(0, from - BURST_BEFORE_FRAMES - first);
    decoder.accept(concatenate(this.#kept.slice(begin, to + BURST_AFTER_FRAMES - first)));
    const originMs = nowMs - (this.#kept.length - begin) * FRAME_MS;
    return this.#overIn(decoder.finish(), originMs, BURST_CONF, () => true);
  }

  /** Looks for the phrase in a closed result; the decoder begins anew afterwards. */
  #found(decoded: Decoded, nowMs: number): OverMouth | undefined {
    const originMs = this.#originMs;
    this.#originMs = nowMs;
    this.#steady = { word: '', sinceMs: nowMs };
    return this.#overIn(decoded, originMs, this.#options.thresholds.overMouthConf, (fromMs, toMs) =>
      this.#isLouder(fromMs, toMs, nowMs),
    );
  }

  /** The first word of `decoded`, which began at `originMs`, that may be heard over the mouth and passes. */
  #overIn(
    { words }: Decoded,
    originMs: number,
    leastConf: number,
    isLoud: (startMs: number, endMs: number) => boolean,
  ): OverMouth | undefined {
    for (const { word, conf: confidence, startMs, endMs } of words) {
      const phrase = this.#over.get(word);
      const lengthMs = endMs - startMs;
      if (phrase === undefined || confidence < leastConf) continue;
      if (lengthMs < WORD_MIN_MS || lengthMs > WORD_MAX_MS) continue;
      if (isLoud(originMs + startMs, originMs + endMs))
        return { word, phrase, confidence, endMs: originMs + endMs };
    }
    return undefined;
  }

  /** Whether the word's peak stands out of what the mouth has been until then. */
  #isLouder(startMs: number, endMs: number, nowMs: number): boolean {
    const frameAt = (ms: number): number => this.#levels.length - Math.round((nowMs - ms) / FRAME_MS);
    const before = this.#levels.slice(0, Math.max(0, frameAt(startMs)));
    if (before.length < OWN_LEVEL_FRAMES_MIN) return true;
    const during = this.#levels.slice(Math.max(0, frameAt(startMs)), frameAt(endMs));
    if (during.length === 0) return false;
    const loud = (levels: readonly number[]): number =>
      [...levels].sort((a, b) => a - b)[Math.floor(levels.length * 0.9)] ?? 0;
    return loud(during) >= loud(before) + this.#options.thresholds.overMouthLouderDb;
  }
}
