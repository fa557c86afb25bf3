/**
 * Hold to talk: in a loud room the ear listens only while a key or pedal is held. Pure; times are the audio's own.
 */

/** People let go with the last sound: this much after it still belongs to what they said. */
export const RELEASE_TAIL_MS = 250;

export interface TalkGate {
  /** `on`: whether a key has to be held at all. */
  set(on: boolean, held: boolean, nowMs: number): void;
  isOn(): boolean;
  /** Whether what is heard now counts. */
  isOpen(nowMs: number): boolean;
}

/** A gate that stands open until it is told that a key has to be held. */
export function createTalkGate(): TalkGate {
  let on = false;
  let held = false;
  let untilMs = Number.NEGATIVE_INFINITY;
  return {
    set: (newOn, newHeld, nowMs) => {
      if (held && !newHeld) untilMs = nowMs + RELEASE_TAIL_MS;
      on = newOn;
      held = newHeld;
    },
    isOn: () => on,
    isOpen: (nowMs) => !on || held || nowMs < untilMs,
  };
}
