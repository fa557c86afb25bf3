/**
 * A technician who hears and speaks: waits until the program is silent, looks at what the bench shows, says
 * what is due with one of several synthetic voices, and says it again, with another voice, when nothing
 * came of it. Touches nothing.
 */
import type { BenchView } from '../../electron/core/job/model.ts';
import { speakCode } from '../../electron/core/job/spelled-codes.ts';
import { speakNumber } from '../../electron/core/job/spoken-numbers.ts';
import type { PageInput } from '../../electron/ipc/contract.ts';
import { SyntheticTechnician } from '../../electron/synthetic-technician.ts';
import { SAMPLE_RATE_HZ } from '../../renderer/ears/decoder.ts';
import { installedVoices, speak, type Voice } from '../sound/voices.ts';
import type { Room } from './room.ts';

/** The program counts as done speaking after this much silence: longer than its pause between sentences. */
const SILENCE_MS = 700;
/** After an effect the program usually answers aloud; it has begun to within this time. */
const ANSWER_BEGINS_MS = 1200;
/** How long a phrase may take to show an effect before it is said again. */
const EFFECT_MS = 2000;
const LOOK_EVERY_MS = 60;
/** A job that was started is on the bench within this time. */
const BEGIN_MS = 30_000;
/** Tries of one phrase before the journey fails. */
const TRIES_MAX = 8;

/** The words for an input, as a person would speak them. */
export function wordsFor(input: PageInput): string {
  switch (input.type) {
    case 'phrase':
      return input.phrase;
    case 'number':
      return speakNumber(input.value);
    case 'reading':
      return `the reading is ${speakNumber(input.value)}`;
    case 'serial':
      return `serial is ${speakCode(input.value)}`;
    case 'answer':
      return input.value;
    default:
      throw new Error(`the voice cannot make ${JSON.stringify(input)}`);
  }
}

/** What is watched for an effect: anything but the running clocks. */
function stateOf(view: BenchView | null): string {
  if (view === null) return 'no job';
  const { step, phase, caution, question, value_proposed, outcome, listening } = view;
  return JSON.stringify([
    step.id,
    phase,
    caution?.id,
    caution?.read,
    question?.kind,
    value_proposed,
    outcome,
    listening,
  ]);
}

export interface Said {
  readonly words: string;
  readonly voice: string;
  readonly tries: number;
}

export interface TechnicianOptions {
  readonly room: Room;
  /** What the bench shows now. */
  readonly view: () => Promise<BenchView | null>;
  readonly seed: number;
  /** Stops after the step with this id was left; the whole job where not given. */
  readonly until?: (view: BenchView) => boolean;
}

const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** Voices of at least two synthesisers, one of each; rejects where fewer are installed. */
function voicesOfTheRoom(): readonly Voice[] {
  const voices = installedVoices('report');
  const one = (engine: Voice['engine']): Voice[] =>
    voices.filter((voice) => voice.engine === engine).slice(0, 1);
  const chosen = [...one('pico'), ...one('flite'), ...one('espeak-ng')];
  if (chosen.length < 2) throw new Error('the journeys need at least two of pico2wave, flite and espeak-ng');
  return chosen;
}

/** Listens until the program has said what it has to say since `effectAt`. */
async function listenToTheEnd(room: Room, effectAt: number): Promise<void> {
  while (!room.wasHeardSince(effectAt) && Date.now() < effectAt + ANSWER_BEGINS_MS)
    await pause(LOOK_EVERY_MS);
  while (room.quietForMs() < SILENCE_MS) await pause(LOOK_EVERY_MS);
}

/** Says one thing until the bench shows an effect. */
async function sayUntilDone(
  options: TechnicianOptions,
  words: string,
  before: string,
  turn: number,
  effectAt: number,
): Promise<Said> {
  const voices = voicesOfTheRoom();
  let listenFrom = effectAt;
  for (let tries = 1; tries <= TRIES_MAX; tries++) {
    const voice = voices[(turn + tries - 1) % voices.length] as Voice;
    await listenToTheEnd(options.room, listenFrom);
    if (stateOf(await options.view()) !== before) return { words, voice: voice.id, tries: tries - 1 };
    await options.room.say(await speak(voice, words), SAMPLE_RATE_HZ);
    listenFrom = Date.now();
    while (Date.now() < listenFrom + EFFECT_MS) {
      if (stateOf(await options.view()) !== before) return { words, voice: voice.id, tries };
      await pause(LOOK_EVERY_MS);
    }
  }
  throw new Error(`“${words}” had no effect after ${TRIES_MAX} tries at ${before}`);
}

/** Works until the job has an outcome, or `until` says so. Gives what was said, in order. */
export async function workByVoice(options: TechnicianOptions): Promise<readonly Said[]> {
  const technician = new SyntheticTechnician(options.seed, { straying: 0, pace: 0 });
  const said: Said[] = [];
  const until = Date.now() + BEGIN_MS;
  let effectAt = Date.now();
  while ((await options.view()) === null && Date.now() < until) await pause(LOOK_EVERY_MS);
  for (;;) {
    const view = await options.view();
    if (view === null || view.outcome !== null || options.until?.(view) === true) return said;
    // A caution that is not read yet is listened to.
    const listens = view.caution !== null && !view.caution.read && view.question === null;
    if (listens) {
      await pause(LOOK_EVERY_MS);
      continue;
    }
    const { input } = technician.next(view);
    said.push(await sayUntilDone(options, wordsFor(input), stateOf(view), said.length, effectAt));
    effectAt = Date.now();
  }
}
