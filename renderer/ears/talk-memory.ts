/**
 * What was said around that did not count, for telling a command from a word in a conversation. Pure; times are
 * the audio's own.
 */

import { isTalk, type Talk, type Thresholds } from './decision.ts';
import { backgroundDbfs } from './voice-span.ts';

/** Shorter sounds are knocks and coughs, not talk. */
const TALK_MIN_MS = 200;
/** Talk this far below the voice in question is in another part of the room. */
const FAR_BELOW_DB = 12;
/** A phrase that did not count was meant for the ear, if anything, where nobody had talked for this long. */
const ALONE_MS = 3_000;
/** A floor above this is no room at rest: somebody talks on and on, or a machine runs. */
const LOUD_FLOOR_DBFS = -42;
/** As much as a minute of talk in short pieces can hold. */
const HEARD_MAX = 60;

/**
 * `talk`: words that are no phrase. `phrase`: one that did not count. `sound`: no words were found in it, or it was
 * refused for another reason than its words; that is talk too where people keep talking.
 */
export type Heard = 'talk' | 'phrase' | 'sound';

/** Sound as the end-pointer found it. */
export interface Sound {
  readonly startMs: number;
  readonly lastSpeechMs: number;
  readonly peakDbfs: number;
  /** The noise floor beside it. */
  readonly noiseDbfs: number;
}

export interface TalkMemory {
  /** This did not count; `text` is what it seemed to be. */
  heard(heard: Heard, sound: Sound, text: string): void;
  /** What was heard last went on until `endMs`. */
  goesOn(endMs: number): void;
  /** The noise floor at this moment: speech without a gap is taken for one. */
  floor(nowMs: number, noiseDbfs: number): void;
  /** `text` was asked for again. */
  asked(sound: Sound, text: string): void;
  /**
   * Silence between the last talk and this; infinite where there was none as near, and where `text` is the very
   * phrase that did not count: somebody says it again.
   */
  sinceMs(sound: Sound, text: string): number;
  /** Who talks where this is said; `text` is the command that it may be, or empty. */
  at(sound: Sound, text: string): Talk;
}

/** Nobody has talked. */
export function createTalkMemory(thresholds: Thresholds): TalkMemory {
  let all: readonly (Sound & { readonly heard: Heard })[] = [];
  /** A phrase that did not count, said where nobody was talking. */
  let alone: string | undefined;
  let asked = { text: '', endMs: Number.NEGATIVE_INFINITY };
  let loudFloor = { untilMs: Number.NEGATIVE_INFINITY, dbfs: LOUD_FLOOR_DBFS };

  const nearTo = ({ peakDbfs, noiseDbfs }: Sound): typeof all => {
    const leastDbfs = Math.max(peakDbfs - FAR_BELOW_DB, backgroundDbfs(peakDbfs, noiseDbfs));
    return all.filter((one) => one.peakDbfs >= leastDbfs);
  };
  const talksAround = (sound: Sound): typeof all =>
    nearTo(sound).filter(
      ({ heard, lastSpeechMs }) => heard === 'talk' && sound.startMs - lastSpeechMs < thresholds.talkAroundMs,
    );
  const isAround = (sound: Sound): boolean => talksAround(sound).length > 1;
  const isLasting = (sound: Sound): boolean => {
    const talkedMs = talksAround(sound).reduce((sum, one) => sum + one.lastSpeechMs - one.startMs, 0);
    return isAround(sound) && talkedMs >= thresholds.talkLastingMs;
  };
  const quietMs = (sound: Sound): number => {
    const isSoundTalk = isLasting(sound);
    const counted = nearTo(sound).filter(({ heard }) => isSoundTalk || heard !== 'sound');
    const isFloorNear = isSoundTalk && loudFloor.dbfs >= sound.peakDbfs - FAR_BELOW_DB;
    const floorMs = isFloorNear ? loudFloor.untilMs : Number.NEGATIVE_INFINITY;
    const lastMs = Math.max(floorMs, ...counted.map(({ lastSpeechMs }) => lastSpeechMs));
    return Math.max(0, sound.startMs - lastMs);
  };
  const isAgain = (text: string): boolean => text !== '' && text === alone;
  const sinceMs = (sound: Sound, text: string): number =>
    isAgain(text) ? Number.POSITIVE_INFINITY : quietMs(sound);

  return {
    heard: (heard, sound, text) => {
      const { startMs, lastSpeechMs, peakDbfs, noiseDbfs } = sound;
      if (lastSpeechMs - startMs < TALK_MIN_MS) return;
      // Only where nobody was talking before: in a conversation a phrase is said twice by chance.
      if (heard !== 'sound') alone = heard === 'phrase' && quietMs(sound) >= ALONE_MS ? text : undefined;
      all = [...all, { heard, startMs, lastSpeechMs, peakDbfs, noiseDbfs }].slice(-HEARD_MAX);
    },
    goesOn: (endMs) => {
      const last = all.at(-1);
      if (last === undefined) return;
      all = [...all.slice(0, -1), { ...last, lastSpeechMs: Math.max(last.lastSpeechMs, endMs) }];
      if (last.heard === 'talk') alone = undefined;
    },
    floor: (nowMs, noiseDbfs) => {
      if (noiseDbfs > LOUD_FLOOR_DBFS) loudFloor = { untilMs: nowMs, dbfs: noiseDbfs };
    },
    asked: (sound, text) => {
      asked = { text, endMs: sound.lastSpeechMs };
    },
    sinceMs,
    at: (sound, text) => {
      const isSecond = text === asked.text && sound.startMs - asked.endMs < thresholds.talkRepeatMs;
      if (text !== '' && !isAgain(text) && !isSecond && isLasting(sound)) return 'lasting';
      if (isTalk(thresholds, sinceMs(sound, text))) return 'now';
      return isAround(sound) && !isAgain(text) ? 'around' : 'none';
    },
  };
}
