/**
 * The microphone check before the first job: is this place quiet enough, is this microphone loud enough,
 * are the phrases understood? Pure; `listener.ts` feeds it frames and verdicts for the given time.
 */
import type { FromEar } from '../../electron/ipc/contract.ts';
import type { Verdict } from './decision.ts';
import { type Endpoint, FRAME_MS, LEVEL_MIN_DBFS } from './endpointer.ts';

/** What the screen asks the technician to say, in this order. */
export const CHECK_PHRASES = ['next', 'repeat', 'screw count', 'torque', 'where am i'] as const;

/** What was measured. Levels in dBFS, share of frames from 0 to 1. */
export interface MicrophoneMeasure {
  readonly levelDbfs: number;
  readonly noiseDbfs: number;
  readonly clippedShare: number;
  /** Whether any speech was there. */
  readonly spoken: boolean;
  readonly phrasesHeard: number;
  readonly phrasesAsked: number;
}

export interface MicrophoneCheck {
  /** One frame; the result after the last one. */
  frame(point: Endpoint, clipping: boolean): FromEar | undefined;
  /** What became of an utterance during the check. */
  utterance(verdict: Verdict): void;
}

const SPEECH_LOUD_PERCENTILE = 0.75;
const SILENT_DBFS = -85;
const QUIET_DBFS = -45;
const LOUD_DBFS = -8;
const NOISY_DBFS = -40;
const SNR_GOOD_DB = 20;
const SNR_USABLE_DB = 10;
const CLIPPED_MAX_SHARE = 0.005;
/** Of five phrases: this many for "good", for "usable". */
const PHRASES_GOOD_SHARE = 0.9;
const PHRASES_USABLE_SHARE = 0.6;

/** Measures for `seconds` (at least 1). */
export function createMicrophoneCheck(seconds: number): MicrophoneCheck {
  const framesMax = Math.max(1, Math.round((seconds * 1000) / FRAME_MS));
  const loud: number[] = [];
  const heard = new Set<string>();
  let frames = 0;
  let clipped = 0;
  let noiseDbfs = LEVEL_MIN_DBFS;
  return {
    frame: (point, clipping) => {
      frames += 1;
      if (clipping) clipped += 1;
      noiseDbfs = point.noiseDbfs;
      if (point.speech && point.silenceMs === 0) loud.push(point.levelDbfs);
      if (frames < framesMax) return undefined;
      loud.sort((a, b) => a - b);
      const levelDbfs = loud[Math.floor(loud.length * SPEECH_LOUD_PERCENTILE)] ?? point.levelDbfs;
      const measure: MicrophoneMeasure = {
        levelDbfs,
        noiseDbfs,
        clippedShare: clipped / frames,
        spoken: loud.length > 0,
        phrasesHeard: heard.size,
        phrasesAsked: CHECK_PHRASES.length,
      };
      const { verdict, advice } = judgeMicrophone(measure);
      const snrDb = measure.spoken ? levelDbfs - noiseDbfs : 0;
      return { type: 'microphone-check', levelDbfs, noiseDbfs, snrDb, verdict, advice };
    },
    utterance: (verdict) => {
      if (verdict.kind !== 'heard') return;
      const { understood } = verdict;
      if (understood.type === 'phrase' && (CHECK_PHRASES as readonly string[]).includes(understood.phrase))
        heard.add(understood.phrase);
    },
  };
}

/** Whether this place and this microphone will do, and what to change. The worst finding decides. */
export function judgeMicrophone(measure: MicrophoneMeasure): {
  readonly verdict: 'good' | 'usable' | 'poor';
  readonly advice: readonly string[];
} {
  const advice: string[] = [];
  if (!measure.spoken) {
    const silent = measure.noiseDbfs <= SILENT_DBFS || measure.levelDbfs <= SILENT_DBFS;
    advice.push(
      silent
        ? 'No sound at all comes in. Check that the microphone is plugged in, chosen and not muted.'
        : 'No speech was heard. Speak the phrases at your usual working distance.',
    );
    return { verdict: 'poor', advice };
  }
  const snrDb = measure.levelDbfs - measure.noiseDbfs;
  const share = measure.phrasesHeard / measure.phrasesAsked;
  if (measure.levelDbfs < QUIET_DBFS)
    advice.push('You are too quiet. Move the microphone closer or raise its level.');
  if (measure.clippedShare > CLIPPED_MAX_SHARE || measure.levelDbfs > LOUD_DBFS) {
    advice.push('The sound is overdriven. Lower the level of the microphone or move it away.');
  }
  if (snrDb < SNR_GOOD_DB && measure.noiseDbfs > NOISY_DBFS) {
    advice.push('This place is loud. Use a headset, or switch on the attention word in the settings.');
  } else if (snrDb < SNR_GOOD_DB) {
    advice.push('Your voice stands little above the noise. Speak closer to the microphone.');
  }
  if (share < PHRASES_GOOD_SHARE) {
    advice.push(
      `${measure.phrasesHeard} of ${measure.phrasesAsked} phrases were understood. Say each alone, without a pause inside it.`,
    );
  }
  if (snrDb < SNR_USABLE_DB || share < PHRASES_USABLE_SHARE) return { verdict: 'poor', advice };
  return { verdict: advice.length === 0 ? 'good' : 'usable', advice };
}
