/**
 * What will probably be said next: the engine itself is asked what would follow if all went well. Nothing of
 * it counts; it only lets the mouth make the sound in advance.
 */
import { ENGLISH, type Language } from './core/base/language.ts';
import { type JobState, step } from './core/job/engine.ts';
import type { JobInput } from './core/job/model.ts';
import { waitsFor } from './core/job/state.ts';
import type { Plan } from './core/plan/model.ts';
import { planAsAnswered } from './core/plan/questions.ts';

/** Far enough for a step with several cautions and the step after it. */
const MAX_INPUTS = 12;
const MAX_STEPS = 2;

/** The input with which a job without trouble goes on, or undefined where it waits for a person's answer. */
function likelyInput(plan: Plan, state: JobState): JobInput | undefined {
  const { caution, question, outcome, paused_since_ms, at_ms: atMs } = state;
  if (outcome !== null || state.left || question !== null || paused_since_ms !== null) return undefined;
  if (caution !== null && caution.status !== 'read') {
    return { type: 'spoken', atMs, utterance: caution.utterance, outcome: 'completed' };
  }
  if (caution !== null) return { type: 'phrase', atMs, phrase: 'understood', source: 'script' };
  if (waitsFor(planAsAnswered(plan, state.variants), state) !== null) return undefined;
  return { type: 'phrase', atMs, phrase: 'next', source: 'script' };
}

/** The sentences, in the order in which they would be spoken, each once. Deterministic; empty where unknown. */
export function sentencesAhead(plan: Plan, from: JobState, words: Language = ENGLISH): readonly string[] {
  const texts = new Set<string>();
  let state = from;
  for (let count = 0; count < MAX_INPUTS && state.index <= from.index + MAX_STEPS; count += 1) {
    const input = likelyInput(plan, state);
    if (input === undefined) break;
    const after = step(plan, state, input, { words });
    for (const effect of after.effects) if (effect.type === 'say') texts.add(effect.text);
    if (after.state === state || after.records.length === 0) break;
    state = after.state;
  }
  return [...texts];
}
