/**
 * Keys for every phrase. A foot pedal is a keyboard: most send Space, Enter, Page Down or Page Up, so
 * these do the commonest things. Names are those of `KeyboardEvent.key`; letters work in either case.
 */
import type { PhraseId } from './model.ts';

const KEYS: Readonly<Record<PhraseId, readonly string[]>> = {
  next: ['PageDown', 'ArrowRight', ' ', 'Enter'],
  back: ['PageUp', 'ArrowLeft'],
  repeat: ['r', 'ArrowUp'],
  slower: ['-'],
  'screw count': ['c'],
  'which tool': ['t'],
  torque: ['q'],
  caution: ['!'],
  why: ['w'],
  'where am i': ['i'],
  'how long': ['l'],
  pause: ['p'],
  resume: ['g'],
  understood: ['u'],
  yes: ['y'],
  no: ['n'],
  problem: ['x'],
  note: ['o'],
  reading: ['m'],
  serial: ['s'],
  undo: ['z'],
  skip: ['k'],
  stop: ['.', 'Escape'],
  'stop listening': ['0'],
  'start listening': ['1'],
  finish: ['f'],
  'what can i say': ['?', 'h'],
};

const PHRASE_OF_KEY: ReadonlyMap<string, PhraseId> = new Map(
  (Object.keys(KEYS) as PhraseId[]).flatMap((phrase) => KEYS[phrase].map((key) => [key, phrase] as const)),
);

/** The keys of a phrase, the one to show first. */
export function keysFor(phrase: PhraseId): readonly string[] {
  return KEYS[phrase];
}

/** The key to show beside a phrase. */
export function keyFor(phrase: PhraseId): string {
  return KEYS[phrase][0] ?? '';
}

/** The phrase of a pressed key, or undefined. */
export function phraseForKey(key: string): PhraseId | undefined {
  return PHRASE_OF_KEY.get(key.length === 1 ? key.toLowerCase() : key);
}

/** Keys that may be held to talk; none of them stands for a phrase. `none`: the ear listens all the time. */
export const TALK_KEYS = ['none', 'F8', 'F9', 'Insert', 'Pause', 'Control', 'Shift', 'b'] as const;
export type TalkKey = (typeof TALK_KEYS)[number];
