import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { type RandomSource, randomFromSeed } from '../../electron/core/base/random.ts';
import { allowedNow } from '../../electron/core/job/allowed.ts';
import {
  decide,
  evolve,
  type JobState,
  openJob,
  PRESS_AGAIN_MS,
  type Step,
  stateFromRecords,
  step,
} from '../../electron/core/job/engine.ts';
import { SPOKEN_PHRASES } from '../../electron/core/job/grammar.ts';
import type { JobInput, JobRecord, PhraseId } from '../../electron/core/job/model.ts';
import { viewOf } from '../../electron/core/job/view.ts';
import type { Plan } from '../../electron/core/plan/model.ts';
import { unsafe } from './job-safety.ts';
import { randomInput } from './random-input.ts';
import { randomPlan } from './random-plan.ts';

// More runs by hand: JOB_RUNS=20000 npx vitest run tests/properties/job-engine.test.ts
const RUNS = Number(process.env.JOB_RUNS ?? 120);
const INPUTS = 120;
vi.setConfig({ testTimeout: 60_000 + RUNS * 100 });

interface Play {
  readonly plan: Plan;
  readonly records: readonly JobRecord[];
  readonly state: JobState;
}
type Look = (before: JobState, input: JobInput, after: Step, play: Play) => void;

/** Plays a random job; `look` sees every input with what came of it. */
function playJob(seed: number, look: Look): Play {
  const random: RandomSource = randomFromSeed(seed);
  const plan = randomPlan(random);
  const verbosity = random.pick(['full', 'short', 'trainee'] as const);
  const opened = openJob(plan, { technician: 'Technician A', verbosity });
  let state = opened.state;
  const records = [...opened.records];
  let last = newest(opened, 0);
  for (let i = 0; i < INPUTS; i += 1) {
    const input = randomInput(random, plan, state, last);
    const after = step(plan, state, input);
    records.push(...after.records);
    look(state, input, after, { plan, records, state: after.state });
    state = after.state;
    last = newest(after, last);
    // Most lost and finished jobs are not worth playing to the bitter end.
    if (state.outcome !== null && random.next() < 0.3) break;
  }
  return { plan, records, state };
}

function newest(made: Pick<Step, 'effects'>, last: number): number {
  return made.effects.reduce((n, effect) => (effect.type === 'say' ? effect.utterance : n), last);
}

function always(look: Look, end: (play: Play) => void = () => {}): void {
  fc.assert(
    fc.property(fc.integer(), (seed) => {
      end(playJob(seed, look));
    }),
    { numRuns: RUNS },
  );
}

/** Equal as JSON, members in the same order; a plain comparison first, because thousands are made. */
function same(a: unknown, b: unknown): void {
  if (JSON.stringify(a) !== JSON.stringify(b)) expect(a).toEqual(b);
}

const FORWARD = new Set<JobRecord['event']>(['step.confirmed', 'step.skipped']);

/** A moment at which no press can be the echo of an earlier one (S26). */
const laterMs = (state: JobState): number => state.at_ms + PRESS_AGAIN_MS;

describe('any inputs to any plan', () => {
  it('S2 S3 S4 S5 S6 S8 S9 S10 S16 S18 S20 leave records that an independent checker finds safe', () => {
    let completed = 0;
    let givenUp = 0;
    always(
      () => {},
      ({ plan, records, state }) => {
        expect(unsafe(plan, records)).toEqual([]);
        if (state.outcome === 'completed') completed += 1;
        if (state.outcome === 'given-up') givenUp += 1;
      },
    );
    // The property would hold for an engine that never goes anywhere; this one gets to the end.
    expect(completed).toBeGreaterThan(RUNS / 50);
    expect(givenUp).toBeGreaterThan(RUNS / 50);
  });

  it('and that checker does see a record that is missing', () => {
    const needed: readonly JobRecord['event'][] = [
      'caution.read',
      'caution.acknowledged',
      'reading.proposed',
      'reading.confirmed',
      'serial.confirmed',
      'hold.signed',
      'question.asked',
      'question.answered',
      'step.confirmed',
    ];
    const seen = new Set<string>();
    for (let seed = 0; seed < 250; seed += 1) {
      const { plan, records } = playJob(seed, () => {});
      for (const event of needed) {
        const at = records.findIndex((record) => record.event === event);
        const without = records.filter((_, i) => i !== at);
        if (at >= 0 && unsafe(plan, without).length > 0) seen.add(event);
      }
    }
    expect([...seen].sort()).toEqual([...needed].sort());
  });

  it('S1 show the state that the records so far rebuild, for every prefix', () => {
    let of: Plan | null = null;
    let rebuilt: JobState;
    let count = 0;
    always(
      (before, _input, after, { plan, records }) => {
        // Rebuilt record by record beside the job, which is every prefix; from the beginning at a new job.
        if (of !== plan) {
          of = plan;
          count = before.seq;
          rebuilt = stateFromRecords(plan, records.slice(0, count));
        }
        for (const record of records.slice(count)) rebuilt = evolve(plan, rebuilt, record);
        count = records.length;
        same(rebuilt, after.state);
      },
      ({ plan, records, state }) => {
        expect(stateFromRecords(plan, records)).toEqual(state);
      },
    );
  });

  it('S1 keep a state that survives JSON, and goes on from it in the same way', () => {
    always((before, input, after, { plan }) => {
      const copy = JSON.parse(JSON.stringify(before)) as JobState;
      same(copy, before);
      same(step(plan, copy, input), after);
    });
  });

  it('S15 go at most one step forward and acknowledge at most one caution for each input', () => {
    always((before, _input, after) => {
      expect(after.records.filter((record) => FORWARD.has(record.event)).length).toBeLessThanOrEqual(1);
      expect(after.state.frontier - before.frontier).toBeLessThanOrEqual(1);
      expect(
        after.records.filter((record) => record.event === 'caution.acknowledged').length,
      ).toBeLessThanOrEqual(1);
    });
  });

  it('S22 number the utterances upwards, each after the record it follows from; hush comes first', () => {
    let last = 0;
    always((before, _input, after) => {
      if (before.seq <= 4) last = 0;
      after.effects.forEach((effect, i) => {
        if (effect.type === 'hush' && !after.effects.some((other) => other.type === 'closed'))
          expect(i).toBe(0);
        if (effect.type !== 'say') return;
        expect(effect.utterance).toBeGreaterThan(Math.max(last, before.seq));
        expect(effect.utterance).toBeLessThanOrEqual(after.state.seq);
        expect(effect.text.trim()).not.toBe('');
        expect(effect.text).not.toMatch(/undefined|NaN|\{|\}|null/);
        last = effect.utterance;
      });
    });
  });

  it('S14 refuse what is not allowed, and do not refuse what is', () => {
    const phrases = Object.keys(SPOKEN_PHRASES) as PhraseId[];
    always((_before, _input, { state }, { plan }) => {
      // One moment in sixteen is enough: each costs a decision for every phrase.
      if (state.seq % 16 !== 0) return;
      if (!state.opened || state.left || state.outcome !== null) return;
      const allowed = allowedNow(plan, state).phrases;
      for (const phrase of phrases) {
        const made = decide(plan, state, { type: 'phrase', atMs: laterMs(state), phrase, source: 'touch' });
        const refused = made.records.some((record) => record.event === 'phrase.refused');
        const tooEarly = phrase === 'understood' && state.caution?.status !== 'read';
        same([phrase, refused], [phrase, !allowed.includes(phrase) || tooEarly]);
        if (refused) {
          const others = made.records.filter((record) => record.event !== 'phrase.refused');
          // A caution that was cut off may start again; nothing else may happen.
          const event = others.find(
            (record) => !record.event.startsWith('caution.') || record.event === 'caution.acknowledged',
          );
          same([phrase, event], [phrase, undefined]);
        }
      }
    });
  });

  it('S26 let the echo of a press confirm nothing', () => {
    let echoes = 0;
    always((before, input, after, { plan }) => {
      const pressed = 'source' in input && (input.source === 'key' || input.source === 'touch');
      const moved = after.records.some((record) => FORWARD.has(record.event));
      if (!pressed || !moved || before.outcome !== null) return;
      for (const phrase of ['next', 'understood', 'yes'] as const) {
        const echo = decide(plan, after.state, {
          type: 'phrase',
          atMs: input.atMs + 100,
          phrase,
          source: 'touch',
        });
        expect(
          echo.records.filter(
            (record) => record.event !== 'phrase.refused' && !record.event.startsWith('caution.'),
          ),
        ).toEqual([]);
        expect(echo.records.some((record) => record.event === 'caution.acknowledged')).toBe(false);
        echoes += 1;
      }
    });
    expect(echoes).toBeGreaterThan(RUNS / 10);
  });

  it('S12 let nothing by voice count while not listening, except to listen again', () => {
    always((before, input, after) => {
      if (before.listening || !('source' in input) || input.source !== 'voice') return;
      if (input.type === 'phrase' && input.phrase === 'start listening') return;
      expect(after.records).toEqual([]);
    });
  });

  it('S13 do nothing but wait while paused', () => {
    always((before, _input, after) => {
      if (before.paused_since_ms === null || before.question !== null) return;
      const moved = ['step.confirmed', 'step.skipped', 'step.shown', 'step.undone', 'caution.acknowledged'];
      expect(after.records.filter((record) => moved.includes(record.event))).toEqual([]);
    });
  });

  it('S7 let no voice below the needed confidence do anything but be refused', () => {
    always((_before, input, after) => {
      if (!('confidence' in input) || input.confidence === undefined || input.source !== 'voice') return;
      if (input.confidence >= 0.4) return;
      expect(after.records.filter((record) => record.event !== 'utterance.refused')).toEqual([]);
    });
  });

  it('never change the state they were given', () => {
    always((before, input, _after, { plan }) => {
      const copy = JSON.stringify(before);
      decide(plan, before, input);
      expect(JSON.stringify(before) === copy).toBe(true);
    });
  });

  it('give a view at every moment, with numbers that can be shown', () => {
    always((_before, _input, { state }, { plan }) => {
      const view = viewOf(plan, state, state.at_ms + 500);
      for (const value of [view.active_ms, view.step_ms, view.paused_ms, view.expected_left_s]) {
        expect(Number.isFinite(value) && value >= 0).toBe(true);
      }
      expect(view.step_number).toBeLessThanOrEqual(view.step_total);
      expect(view.prompt).not.toMatch(/undefined|NaN|\{|\}/);
      expect(view.question === null || view.question.text !== '').toBe(true);
      expect(view.caution === null || view.caution.index < view.caution.total).toBe(true);
    });
  });
});
