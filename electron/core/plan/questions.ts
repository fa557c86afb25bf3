/**
 * Questions that are left to the job: where they are asked, and what is left of a plan once they are
 * answered. A question is asked at the step that finds it out, else right before the first step that
 * depends on it, or at the start where the product file says so.
 */
import type { Variant } from '../product/model.ts';
import { added, type Draft } from './draft.ts';
import type { Compartment, Plan, PlanStep } from './model.ts';

/** Something counted that may depend on an answer. */
interface Fill {
  readonly count: number;
  readonly when: { readonly variant: string; readonly is: string } | null;
}

/** The most that can come together: of the answers to one question only one is given. */
export function mostTogether(fills: readonly Fill[]): number {
  let most = 0;
  const byAnswer = new Map<string, Map<string, number>>();
  for (const { count, when } of fills) {
    if (when === null) {
      most += count;
      continue;
    }
    const sums = byAnswer.get(when.variant) ?? new Map<string, number>();
    sums.set(when.is, (sums.get(when.is) ?? 0) + count);
    byAnswer.set(when.variant, sums);
  }
  for (const sums of byAnswer.values()) most += Math.max(...sums.values());
  return most;
}

/** Puts the question into the drafts of a whole job. `atStart`: the position for what is asked at the start. */
function withQuestion(drafts: readonly Draft[], variant: Variant, atStart: number): readonly Draft[] {
  const { id, ask, answers } = variant;
  const first = drafts.findIndex((d) => d.when?.variant === id);
  const finder = drafts.findIndex((d) => !d.back && d.when === null && d.step?.finds === id);
  if (finder >= 0 && finder < first) {
    return drafts.map((d, i) => (i === finder ? { ...d, asks: { variant: id, ask, answers } } : d));
  }
  const at = variant.asked === 'start' ? Math.min(atStart, first) : first;
  const before = drafts[at];
  if (first < 0 || before === undefined) return drafts;
  const part = at === first ? before.part : null;
  const question = added(before.stage, `ask-${id}`, 'ask-variant', ask, {
    part,
    asks: { variant: id, ask, answers },
  });
  return [...drafts.slice(0, at), question, ...drafts.slice(at)];
}

/** The drafts with all questions that are left open in their places. */
export function withQuestions(drafts: readonly Draft[], open: readonly Variant[]): readonly Draft[] {
  return open.reduce((asked, variant) => {
    const start = asked.findIndex((d) => d.id === 'prepare.get-tools' || d.id === 'prepare.get-materials');
    return withQuestion(asked, variant, Math.max(0, start));
  }, drafts);
}

/**
 * Expected time of steps in seconds. Of the answers to a question that is still open the longest counts, once:
 * nothing says which is likelier, and a time that only gets shorter when the answer is given can be planned with.
 */
export function expectedSeconds(steps: Iterable<Pick<PlanStep, 'expected_s' | 'when'>>): number {
  const conditional: Fill[] = [];
  let sum = 0;
  for (const { expected_s, when } of steps)
    if (when === undefined) sum += expected_s;
    else conditional.push({ count: expected_s, when });
  return sum + mostTogether(conditional);
}

function trayOf(tray: readonly Compartment[], steps: readonly PlanStep[]): readonly Compartment[] {
  const fills = new Map<number, Fill[]>();
  for (const step of steps)
    if (step.action === 'remove-fasteners')
      for (const { compartment, count } of step.fasteners) {
        if (compartment === null) continue;
        const fill = { count, when: step.when ?? null };
        const known = fills.get(compartment);
        if (known === undefined) fills.set(compartment, [fill]);
        else known.push(fill);
      }
  return tray.map((place) => ({ ...place, count: mostTogether(fills.get(place.number) ?? []) }));
}

/** Plans with some questions answered, by plan and answers: the engine asks for the same one all the time. */
const narrowed = new WeakMap<Plan, Map<string, Plan>>();

/**
 * The plan with the steps that the answers given in the job leave: the others are gone, the rest stays as
 * it is and in its order. Compartments keep their numbers. The plan itself where nothing falls away.
 */
export function planAsAnswered(plan: Plan, answers: Readonly<Record<string, string>>): Plan {
  const given = Object.entries(answers);
  if (given.length === 0) return plan;
  const known = narrowed.get(plan) ?? new Map<string, Plan>();
  narrowed.set(plan, known);
  const key = JSON.stringify(given);
  const made = known.get(key);
  if (made !== undefined) return made;
  const steps = plan.steps.filter(
    ({ when }) => when === undefined || (answers[when.variant] ?? when.is) === when.is,
  );
  const all = steps.length === plan.steps.length;
  const left = all
    ? plan
    : { ...plan, steps, tray: trayOf(plan.tray, steps), expected_s: expectedSeconds(steps) };
  known.set(key, left);
  return left;
}
