/**
 * A voice and what sounds beside it. Many people at once, and machines, keep near the noise floor; a voice at the
 * microphone stands out of that, where one person's speech alone reaches far above the floor. Pure; levels in dBFS,
 * one a frame.
 */
import type { Decoded } from './decoder.ts';
import { FRAME_MS } from './endpointer.ts';

/** What is so far below a voice, and no farther above the floor than the next, is background to it. */
const FAR_BELOW_VOICE_DB = 6;
const BACKGROUND_ABOVE_FLOOR_DB = 13;
/** Loudness is the mean power of so many frames, about a syllable's core. */
const LOUDNESS_FRAMES = 8;

/** Where a voice stands out, in frames from the first level; `to` is behind the last. */
export interface VoiceSpan {
  readonly from: number;
  readonly to: number;
  /** Whether it sounds between two times, in ms from the first level. */
  sounds(startMs: number, endMs: number): boolean;
}

/** What is no louder than this is background to a voice with that peak. */
export function backgroundDbfs(peakDbfs: number, noiseDbfs: number): number {
  return Math.min(peakDbfs - FAR_BELOW_VOICE_DB, noiseDbfs + BACKGROUND_ABOVE_FLOOR_DB);
}

function loudness(levels: readonly number[]): readonly number[] {
  const sums = [0];
  for (const level of levels) sums.push((sums.at(-1) ?? 0) + 10 ** (level / 10));
  return levels.map((_, index) => {
    const from = Math.max(0, index - LOUDNESS_FRAMES / 2);
    const to = Math.min(levels.length, index + LOUDNESS_FRAMES / 2);
    return 10 * Math.log10(Math.max(1e-9, ((sums[to] ?? 0) - (sums[from] ?? 0)) / (to - from)));
  });
}

/** The voice in `levels`; undefined where nothing stands out of the background. */
export function voiceSpan(levels: readonly number[], noiseDbfs: number): VoiceSpan | undefined {
  const loud = loudness(levels);
  const peakDbfs = Math.max(...loud);
  if (peakDbfs < noiseDbfs + BACKGROUND_ABOVE_FLOOR_DB) return undefined;
  const background = backgroundDbfs(peakDbfs, noiseDbfs);
  const isVoice = loud.map((level) => level > background);
  return {
    from: isVoice.indexOf(true),
    to: isVoice.lastIndexOf(true) + 1,
    sounds: (startMs, endMs) =>
      isVoice.slice(Math.floor(startMs / FRAME_MS), Math.ceil(endMs / FRAME_MS)).includes(true),
  };
}

/** `decoded` from sound of those levels, without the words before and behind those in whose middle half a voice sounds. */
export function withoutBackground(decoded: Decoded, levels: readonly number[], noiseDbfs: number): Decoded {
  const voice = voiceSpan(levels, noiseDbfs);
  if (voice === undefined) return decoded;
  const { words } = decoded;
  const isVoice = words.map(({ startMs, endMs }) => {
    const quarterMs = (endMs - startMs) / 4;
    return voice.sounds(startMs + quarterMs, endMs - quarterMs);
  });
  const kept = words.slice(Math.max(0, isVoice.indexOf(true)), isVoice.lastIndexOf(true) + 1);
  return kept.length === words.length
    ? decoded
    : { text: kept.map(({ word }) => word).join(' '), words: kept };
}
