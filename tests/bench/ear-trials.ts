/**
 * The listening bench's material: situations of a job, everything that may be said in them, and the
 * counting of what the ear made of a recording whose parts are known.
 */
import { SPOKEN_PHRASES, understand } from '../../electron/core/job/grammar.ts';
import type { Allowed, PhraseId, RefusalReason } from '../../electron/core/job/model.ts';
import { PROBLEM_KINDS } from '../../electron/core/job/prompts.ts';
import type { NodeEar } from '../../electron/ear-node/ear.ts';
import type { Observed } from '../../electron/ear-node/messages.ts';
import type { Understood } from '../../electron/ipc/contract.ts';
import { SAMPLE_RATE_HZ } from '../../renderer/ears/decoder.ts';
import { backgroundNoise } from '../sound/noise.ts';
import type { Recording } from '../sound/recording.ts';

export interface Situation {
  readonly name: string;
  readonly allowed: Allowed;
  readonly says: readonly string[];
}

const forms = (phrases: readonly PhraseId[]): readonly string[] =>
  phrases
    .filter((phrase) => phrase !== 'reading' && phrase !== 'serial')
    .flatMap((phrase) => SPOKEN_PHRASES[phrase]);

function situation(
  name: string,
  phrases: readonly PhraseId[],
  more: Partial<Allowed> & { readonly says?: readonly string[] } = {},
): Situation {
  const { says, ...rest } = more;
  return {
    name,
    allowed: { phrases, number: 'none', spelling: false, answers: [], ...rest },
    says: says ?? forms(phrases),
  };
}

const EVERYWHERE: readonly PhraseId[] = ['where am i', 'stop', 'what can i say', 'stop listening'];

/** As `allowedNow` makes them; the numbers are those of the demo units' measurements. */
export const SITUATIONS: readonly Situation[] = [
  situation('step', [
    'next',
    'back',
    'repeat',
    'slower',
    'screw count',
    'which tool',
    'torque',
    'caution',
    'why',
    'how long',
    'pause',
    'problem',
    'note',
    'undo',
    'finish',
    ...EVERYWHERE,
  ]),
  situation('caution', [
    'understood',
    'repeat',
    'slower',
    'caution',
    'back',
    'pause',
    'problem',
    'finish',
    ...EVERYWHERE,
  ]),
  situation('yes or no', ['yes', 'no', 'repeat', 'slower', 'pause', 'problem', ...EVERYWHERE]),
  situation('pause', ['resume', 'finish', ...EVERYWHERE]),
  situation('not listening', ['start listening']),
  situation('problem', ['no', 'repeat', 'slower', 'pause', ...EVERYWHERE], {
    answers: PROBLEM_KINDS,
    says: PROBLEM_KINDS,
  }),
  situation('count', ['no', 'repeat', 'slower', 'pause', ...EVERYWHERE], {
    number: 'bare',
    says: [
      'zero',
      'one',
      'two',
      'three',
      'four',
      'five',
      'six',
      'seven',
      'eight',
      'nine',
      'ten',
      'twelve',
      'sixteen',
      'twenty',
    ],
  }),
  situation('reading', ['back', 'repeat', 'reading', 'pause', 'problem', ...EVERYWHERE], {
    number: 'reading',
    says: [
      'the reading is three point two five',
      'the reading is minus four',
      'the reading is one oh five',
      'the reading is twelve point six volts',
      'the reading is zero point four',
      'the reading is two hundred and thirty volts',
      'the reading is seventeen',
    ],
  }),
  situation('serial', ['back', 'repeat', 'serial', 'pause', 'problem', ...EVERYWHERE], {
    spelling: true,
    says: [
      'serial is alpha four seven bravo',
      'serial is kilo nine zero three',
      'serial is whiskey tango five one two',
      'serial is juliet six eight eight',
    ],
  }),
];

/** What became of one thing said. */
export interface Trial {
  readonly situation: string;
  readonly said: string;
  readonly outcome: 'right' | 'wrong' | RefusalReason | 'nothing';
  /** What was understood instead. */
  readonly heard: string | null;
  readonly confidence: number | null;
  /** From the end of the sound to the decision, in ms; null where there was none. */
  readonly decidedMs: number | null;
  /** The part of it that is audio: what an idle machine would take, less the computing of the last chunk. */
  readonly waitedMs: number | null;
  readonly early: boolean;
}

export interface EarEvent {
  readonly atMs: number;
  readonly text: string | null;
  readonly understood: Understood | null;
  readonly refused: RefusalReason | null;
  readonly confidence: number | null;
  readonly early: boolean;
  readonly computeMs: number;
}

export interface Replay {
  readonly events: readonly EarEvent[];
  readonly observed: readonly (Observed & { readonly atMs: number })[];
  readonly audioMs: number;
  readonly computeMs: number;
  readonly memoryBytes: number;
}

const CHUNK = SAMPLE_RATE_HZ / 50;
const CHUNKS_AHEAD = 50;

/** The key is pressed so long before what is said, and let go so long after it. */
const PRESSED_BEFORE_MS = 300;
const RELEASED_AFTER_MS = 100;

/** What marks a phrase as meant for the ear: a key held around each of some parts, or the attention word before it. */
export interface Marked {
  readonly heldParts?: Recording['parts'] | undefined;
  readonly attentionWord?: boolean;
}

/** Plays samples to the ear as a microphone would, as fast as it goes. */
export async function replay(
  ear: NodeEar,
  allowed: Allowed,
  samples: Float32Array,
  { heldParts, attentionWord = false }: Marked = {},
): Promise<Replay> {
  await ear.fresh();
  await ear.tell({ type: 'attention-word', on: attentionWord });
  await ear.tell({ type: 'grammar', allowed });
  const isHeld = (ms: number): boolean =>
    heldParts?.some(
      (part) => ms >= part.startMs - PRESSED_BEFORE_MS && ms < part.endMs + RELEASED_AFTER_MS,
    ) ?? false;
  let held: boolean | undefined;
  const events: EarEvent[] = [];
  const observed: (Observed & { atMs: number })[] = [];
  let computeMs = 0;
  let memoryBytes = 0;
  for (let at = 0; at < samples.length; at += CHUNK * CHUNKS_AHEAD) {
    const replies = [];
    for (let index = 0; index < CHUNKS_AHEAD && at + index * CHUNK < samples.length; index += 1) {
      const heldNow = isHeld(((at + index * CHUNK) * 1000) / SAMPLE_RATE_HZ);
      if (heldParts !== undefined && heldNow !== held) {
        held = heldNow;
        replies.push(ear.tell({ type: 'hold-to-talk', on: true, held }));
      }
      replies.push(ear.feed(samples.slice(at + index * CHUNK, at + (index + 1) * CHUNK)));
    }
    for (const reply of await Promise.all(replies)) {
      computeMs += reply.computeMs;
      memoryBytes = reply.memoryBytes;
      for (const one of reply.observed) observed.push({ ...one, atMs: reply.nowMs });
      for (const message of reply.messages) {
        const base = { atMs: reply.nowMs, computeMs: reply.computeMs };
        if (message.type === 'heard') {
          const { text, understood, confidence, early } = message;
          events.push({ ...base, text, understood, confidence, early, refused: null });
        } else if (message.type === 'refused') {
          const { reason, confidence } = message;
          events.push({ ...base, text: null, understood: null, confidence, early: false, refused: reason });
        }
      }
    }
  }
  return { events, observed, audioMs: (samples.length * 1000) / SAMPLE_RATE_HZ, computeMs, memoryBytes };
}

/** A decision belongs to the part that began last before it, and not later than this after its end. */
const BELONGS_MS = 1_900;
const BEGUN_MS = 120;

/** One trial for each part of the recording; events that belong to no part, or are understood after another for the same part, are counted as `stray`. */
export function countTrials(
  situation: Situation,
  recording: Recording,
  events: readonly EarEvent[],
): { readonly trials: readonly Trial[]; readonly stray: number } {
  const left = new Set(events);
  let twice = 0;
  const trials = recording.parts.map((part, index): Trial => {
    const nextMs = (recording.parts[index + 1]?.startMs ?? Number.POSITIVE_INFINITY) + BEGUN_MS;
    const untilMs = Math.min(nextMs, part.endMs + BELONGS_MS);
    const wanted = understand(situation.allowed, part.text);
    const mine = [...left].filter((event) => event.atMs > part.startMs + BEGUN_MS && event.atMs <= untilMs);
    for (const event of mine) left.delete(event);
    twice += Math.max(0, mine.filter((one) => one.understood !== null).length - 1);
    const event = mine.find((one) => one.understood !== null) ?? mine[0];
    const base = { situation: situation.name, said: part.text };
    if (event === undefined) {
      return {
        ...base,
        outcome: 'nothing',
        heard: null,
        confidence: null,
        decidedMs: null,
        waitedMs: null,
        early: false,
      };
    }
    const right = event.understood !== null && JSON.stringify(event.understood) === JSON.stringify(wanted);
    return {
      ...base,
      outcome: right ? 'right' : (event.refused ?? 'wrong'),
      heard: event.text,
      confidence: event.confidence,
      decidedMs: event.understood === null ? null : event.atMs - part.endMs + event.computeMs,
      waitedMs: event.understood === null ? null : event.atMs - part.endMs,
      early: event.early,
    };
  });
  return { trials, stray: twice + [...left].filter((event) => event.understood !== null).length };
}

/** Quiet of a still room, for putting between pieces of foreign speech. */
export function quiet(ms: number, seed: number): Float32Array {
  return backgroundNoise('white', Math.round((ms * SAMPLE_RATE_HZ) / 1000), -66, seed);
}
