/** An utterance in progress: its audio, and how far the decoder has got with it. Kept by `listener.ts`. */
import type { Decoded } from './decoder.ts';
import { type Endpoint, FRAME_MS, levelDbfs, loudBetweenMs, loudSpan } from './endpointer.ts';
import type { Sound } from './talk-memory.ts';
import { backgroundDbfs, type VoiceSpan, voiceSpan } from './voice-span.ts';

/** Shorter sound before or behind a voice is its own. */
const BESIDE_VOICE_MS = 100;
/** So much before and behind a voice goes with it: soft first and last sounds. */
const AROUND_VOICE_FRAMES = 28;

export interface OpenUtterance {
  /** Audio time of the first frame fed to the decoder. */
  readonly originMs: number;
  readonly startMs: number;
  readonly frames: Float32Array[];
  /** Level of each frame. */
  readonly levels: number[];
  readonly parts: Decoded[];
  /** Frames already given to the decoder. */
  given: number;
  partial: string;
  /** Since when the partial text has been what it is. */
  steadySinceMs: number;
  /** The final result of a close that did not end the utterance; void once speech goes on. */
  closed: Decoded | undefined;
  /** Whether `closed` was judged already. */
  judged: boolean;
  /** Whether `closed` was made before the decoder had shown a phrase. */
  unseen: boolean;
  /** What was acted on although more may follow. */
  acted: string | undefined;
}

/** An utterance that has just begun; `preRoll` is the sound before that. */
export function openUtterance(point: Endpoint, preRoll: readonly Float32Array[]): OpenUtterance {
  return {
    originMs: point.nowMs - preRoll.length * FRAME_MS,
    startMs: point.startMs,
    frames: [...preRoll],
    levels: preRoll.map(levelDbfs),
    parts: [],
    given: 0,
    partial: '',
    steadySinceMs: point.nowMs,
    closed: undefined,
    judged: false,
    unseen: false,
    acted: undefined,
  };
}

/** Speech went on after a close: the decoder has forgotten, so it will get the whole again. */
export function reopen(utterance: OpenUtterance): void {
  utterance.closed = undefined;
  utterance.unseen = false;
  utterance.parts.length = 0;
  utterance.given = 0;
}

/** What sounded of it until `endMs`, where something louder began. */
export function soundUntil(
  { originMs, startMs, levels }: OpenUtterance,
  { startMs: endMs, noiseDbfs }: Sound,
): Sound {
  const before = levels.slice(0, Math.round((endMs - originMs) / FRAME_MS));
  return { startMs, lastSpeechMs: endMs, peakDbfs: Math.max(...before), noiseDbfs };
}

/** How long it has lasted from where a voice stands out of the background; undefined where none does, in ms. */
export function fromVoiceMs({ levels }: OpenUtterance, { noiseDbfs }: Sound): number | undefined {
  const voice = voiceSpan(levels, noiseDbfs);
  return voice === undefined ? undefined : (levels.length - voice.from) * FRAME_MS;
}

/** How long ago the voice ended that stood out of what goes on; 0 where none did, in ms. */
export function sinceVoiceMs({ levels }: OpenUtterance, { noiseDbfs }: Sound): number {
  const voice = voiceSpan(levels, noiseDbfs);
  return voice === undefined ? 0 : (levels.length - voice.to) * FRAME_MS;
}

/** The voice in it, where something sounds before or behind that as well. */
export function voiceAmidOthers({ originMs, levels }: OpenUtterance, sound: Sound): VoiceSpan | undefined {
  const voice = voiceSpan(levels, sound.noiseDbfs);
  if (voice === undefined) return undefined;
  const beforeMs = originMs + voice.from * FRAME_MS - sound.startMs;
  const behindMs = sound.lastSpeechMs - originMs - voice.to * FRAME_MS;
  return Math.max(beforeMs, behindMs) < BESIDE_VOICE_MS ? undefined : voice;
}

/** The voice in it alone, with a little around; undecoded. */
export function cutToVoice(utterance: OpenUtterance, { from, to }: VoiceSpan): OpenUtterance {
  const [first, end] = [Math.max(0, from - AROUND_VOICE_FRAMES), to + AROUND_VOICE_FRAMES];
  const originMs = utterance.originMs + first * FRAME_MS;
  return {
    ...utterance,
    originMs,
    startMs: Math.max(utterance.startMs, originMs),
    frames: utterance.frames.slice(first, end),
    levels: utterance.levels.slice(first, end),
    parts: [],
    given: 0,
    closed: undefined,
  };
}

/** Its loudness, where its speech is, and how much of it lies between `words`, in ms from its first frame. */
export function speechIn({ levels }: OpenUtterance, point: Endpoint, words: Decoded['words']) {
  const { peakDbfs, noiseDbfs } = point;
  const besideDbfs = Math.max(point.noiseBeforeDbfs, backgroundDbfs(peakDbfs, noiseDbfs));
  const span = loudSpan(levels, peakDbfs, besideDbfs);
  return {
    speechStartMs: (span?.from ?? 0) * FRAME_MS,
    peakDbfs,
    noiseDbfs,
    speechEndMs: (span?.to ?? 0) * FRAME_MS,
    betweenWordsMs: loudBetweenMs(levels, words, peakDbfs, point.noiseBeforeDbfs),
  };
}
