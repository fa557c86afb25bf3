/** Random inputs for the step engine: mostly what a person would do, often nonsense, sometimes rubbish. */
import type { RandomSource } from '../../electron/core/base/random.ts';
import { allowedNow } from '../../electron/core/job/allowed.ts';
import { checkCharacter } from '../../electron/core/job/check-digits.ts';
import type { JobState } from '../../electron/core/job/engine.ts';
import { SPOKEN_PHRASES } from '../../electron/core/job/grammar.ts';
import type {
  JobInput,
  PhraseId,
  RefusalReason,
  Source,
  TroubleCode,
} from '../../electron/core/job/model.ts';
import { waitsFor } from '../../electron/core/job/state.ts';
import type { Plan } from '../../electron/core/plan/model.ts';

const PHRASES = Object.keys(SPOKEN_PHRASES) as PhraseId[];
const SOURCES: readonly Source[] = ['voice', 'voice', 'key', 'touch', 'script'];
const REASONS: readonly RefusalReason[] = [
  'too-quiet',
  'too-noisy',
  'not-sure',
  'not-possible-now',
  'unknown-words',
];
const TROUBLES: readonly TroubleCode[] = ['no-microphone', 'microphone-lost', 'no-voice', 'disk-full'];
const PEOPLE = ['Technician A', 'technician a', 'Technician B', 'Technician C', '', '  '];

/** The next input. `last` is the number of the newest utterance. */
export function randomInput(random: RandomSource, plan: Plan, state: JobState, last: number): JobInput {
  const atMs = state.at_ms + random.pick([0, 1, 40, 900, 30_000]);
  const source = random.pick(SOURCES);
  const said = { atMs, source, ...confidence(random) };
  const allowed = allowedNow(plan, state);
  if (random.next() < 0.2) {
    const wanted = whatIsWanted(random, plan, state, atMs);
    if (wanted !== undefined) return wanted;
  }
  const roll = random.next();
  if (roll < 0.3) {
    const utterance = random.next() < 0.85 ? last : random.integer(-1, last + 2);
    const outcome = random.pick(['completed', 'completed', 'completed', 'interrupted', 'no-voice'] as const);
    return { type: 'spoken', atMs, utterance, outcome };
  }
  if (roll < 0.6 && allowed.phrases.length > 0) {
    const forward = allowed.phrases.filter((phrase) =>
      ['next', 'understood', 'yes', 'resume'].includes(phrase),
    );
    const phrase = random.pick(forward.length > 0 && random.next() < 0.7 ? forward : allowed.phrases);
    return { type: 'phrase', phrase, ...said };
  }
  if (roll < 0.66) return { type: 'phrase', phrase: random.pick(PHRASES), ...said };
  if (roll < 0.74) {
    const low = plan.steps[state.index]?.measure?.min ?? plan.steps[state.index]?.measure?.max ?? 0;
    const value = random.pick([low, low + 1, low - 1, 1e12, Number.NaN, 0]);
    const unit = random.pick(['', '', 'V', 'mV', 'nonsense']);
    return { type: 'reading', value, ...(unit === '' ? {} : { unit }), ...said };
  }
  if (roll < 0.8) {
    return {
      type: 'serial',
      value: random.pick(['79927398713', 'AB12', 'AB12C', '', 'ÄÖ', 'A-1', '__proto__']),
      ...said,
    };
  }
  if (roll < 0.84)
    return {
      type: 'number',
      value: random.pick([0, 1, 2, 3, 4, 5, 6, 8, -1, 1.5, Number.POSITIVE_INFINITY]),
      ...said,
    };
  if (roll < 0.88) {
    const value =
      allowed.answers.length > 0 ? random.pick(allowed.answers) : random.pick(['yes', 'no', 'go on', 'x']);
    return { type: 'answer', value, ...said };
  }
  return rarer(random, plan, atMs, source);
}

/** What a careful technician would give now, where the step waits for something. */
function whatIsWanted(random: RandomSource, plan: Plan, state: JobState, atMs: number): JobInput | undefined {
  const step = plan.steps[state.index];
  const source = random.pick(['key', 'touch'] as const);
  switch (waitsFor(plan, state)) {
    case 'reading':
      return { type: 'reading', atMs, value: step?.measure?.min ?? step?.measure?.max ?? 0, source };
    case 'serial': {
      const check = step?.record?.check ?? 'none';
      return {
        type: 'serial',
        atMs,
        value: `123${check === 'none' ? '' : checkCharacter(check, '123')}`,
        source,
      };
    }
    case 'sign-off':
      return { type: 'sign-off', atMs, person: 'Technician C', source };
    default:
      return undefined;
  }
}

function confidence(random: RandomSource): { confidence?: number } {
  const roll = random.next();
  if (roll < 0.5) return { confidence: 0.95 };
  if (roll < 0.8) return {};
  return { confidence: random.pick([0, 0.3, 0.65, Number.NaN, 1]) };
}

function rarer(random: RandomSource, plan: Plan, atMs: number, source: Source): JobInput {
  switch (random.integer(0, 9)) {
    case 0:
      return {
        type: 'text',
        atMs,
        value: random.pick(['left of the post', '', '\u0000\n']),
        source: 'touch',
      };
    case 1:
    case 2:
      return { type: 'sign-off', atMs, person: random.pick(PEOPLE), source };
    case 3:
      return { type: 'unheard', atMs, reason: random.pick(REASONS) };
    case 4:
      return { type: 'trouble', atMs, code: random.pick(TROUBLES), over: random.next() < 0.6 };
    case 5:
      return { type: 'reopened', atMs, awayMs: random.pick([0, 5000, -4, Number.NaN]) };
    case 6:
      return random.next() < 0.5 ? { type: 'left', atMs } : { type: 'tick', atMs: atMs + 700_000 };
    case 7:
      return { type: 'hand-over', atMs, person: random.pick(PEOPLE), source };
    case 8:
      if (random.next() < 0.3)
        return { type: 'note-recorded', atMs, audio: 'note-1.wav', sha256: 'ab', lengthMs: 900 };
      if (random.next() < 0.3) return { type: 'note-failed', atMs, why: 'nothing-said' };
      return { type: 'go-to', atMs, step: random.pick(plan.steps).id, source };
    default:
      return rubbish(random, atMs);
  }
}

/** What no caller should send; the engine is total all the same. */
function rubbish(random: RandomSource, atMs: number): JobInput {
  const made: unknown = random.pick([
    { type: 'nothing', atMs },
    { type: 'phrase', atMs, phrase: '__proto__', source: 'voice' },
    { type: 'phrase', atMs, phrase: 'constructor', source: 'key' },
    { type: 'phrase', atMs: Number.NaN, phrase: 'next', source: 'voice' },
    { type: 'phrase', atMs: -1, phrase: 'back', source: 'touch' },
    { type: 'phrase', atMs: Number.POSITIVE_INFINITY, phrase: 'repeat', source: 'touch' },
    { type: 'go-to', atMs, step: '__proto__', source: 'touch' },
    { type: 'trouble', atMs, code: 'toString', over: false },
    { type: 'trouble', atMs, code: 'over', over: false },
    { type: 'unheard', atMs, reason: 'constructor' },
    { type: 'answer', atMs, value: 'toString', source: 'voice' },
    { type: 'spoken', atMs, utterance: Number.NaN, outcome: 'completed' },
  ]);
  return made as JobInput;
}
