/**
 * Whether sound comes from the microphone, and when not, since when. Pure; the times are handed in.
 *
 * A microphone that is unplugged, or muted at the device, may be neither ended nor muted for the browser:
 * it then gives exact silence for ever (measured: no event, the level falls to nothing within 250 ms). A
 * microphone that works never does: its own noise is above the last bit. Some headsets, though, close a
 * gate between words. So silence that ends by itself makes this watch more patient with this microphone.
 */

/** No sample above this (a third of the last of 16 bits) is no sound at all. */
const DEAD_PEAK = 1e-5;
/** With the pace of the signs (250 ms) and the way of the samples, the user is told within 2 s. */
export const DEAD_TELL_MS = 1_000;
/** The most patience with a microphone that closes a gate between words. */
export const DEAD_TELL_MAX_MS = 60_000;
/** Samples that stop coming, by the page's clock; and signs in that time, as a busy page gets none. */
export const STILL_TELL_MS = 1_400;
const STILL_SIGNS_MIN = 4;

/** How long the sound at the end of a stream has been exact silence, in ms of audio. */
export interface DeadAir {
  feed(samples: Float32Array, rateHz: number): void;
  deadMs(): number;
}

export function createDeadAir(): DeadAir {
  let deadMs = 0;
  return {
    feed: (samples, rateHz) => {
      if (samples.some((sample) => sample > DEAD_PEAK || sample < -DEAD_PEAK)) deadMs = 0;
      else deadMs += (samples.length * 1000) / rateHz;
    },
    deadMs: () => deadMs,
  };
}

/** `unknown`: too early to say. `still`: no samples come. `dead`: they come, and hold nothing. */
export type SoundState = 'unknown' | 'sound' | 'still' | 'dead';

export interface SoundWatch {
  /** Another microphone is listened to: nothing is known of it, but what was learnt of gates is kept. */
  opened(nowMs: number): void;
  /** A sign of the recogniser: how much audio has been heard, and how much of its end is exact silence. */
  sign(nowMs: number, heardMs: number, deadMs: number): SoundState;
}

/** `startMs`: how long audio may take to begin after `opened`. */
export function createSoundWatch(startMs: number): SoundWatch {
  let openedAt = Number.NEGATIVE_INFINITY;
  let heard: number | undefined;
  let grownAt = 0;
  let signs = 0;
  let tellMs = DEAD_TELL_MS;
  let state: SoundState = 'unknown';

  const judge = (nowMs: number, heardMs: number, deadMs: number): SoundState => {
    if (heardMs !== heard) {
      heard = heardMs;
      grownAt = nowMs;
      signs = 0;
      if (deadMs === 0) return 'sound';
      return deadMs >= tellMs ? 'dead' : state;
    }
    signs += 1;
    const since = nowMs - Math.max(grownAt, openedAt + startMs);
    return since >= STILL_TELL_MS && signs >= STILL_SIGNS_MIN ? 'still' : state;
  };

  return {
    opened: (nowMs) => {
      openedAt = nowMs;
      grownAt = nowMs;
      signs = 0;
      state = 'unknown';
    },
    sign: (nowMs, heardMs, deadMs) => {
      const before = state;
      state = judge(nowMs, heardMs, deadMs);
      // Sound came back without the microphone being opened anew: a gate, or a mute switch.
      if (before === 'dead' && state === 'sound') tellMs = Math.min(DEAD_TELL_MAX_MS, tellMs * 2);
      return state;
    },
  };
}
