/**
 * Questions that a plan leaves to the job, as the plan proof sees them. Shares no code with the planner.
 */
import type { Product, Variant } from '../product/model.ts';
import type { Plan } from './model.ts';
import type { Violation } from './proof-contents.ts';

/** More ways to answer than this are not gone through. */
const WAYS_MAX = 64;

/**
 * What is wrong with the questions alone: each is the product's, asked once, before every step that depends on
 * it; nothing depends on a question that is not asked.
 */
export function checkQuestions(
  product: Product,
  plan: Plan,
): { readonly asked: readonly Variant[]; readonly violations: readonly Violation[] } {
  const asked: Variant[] = [];
  const violations: Violation[] = [];
  let ways = 1;
  for (const step of plan.steps) {
    const { asks, when, id } = step;
    if (when !== undefined && !asked.some((v) => v.id === when.variant)) {
      violations.push({ code: 'proof/asked-too-late', step: id, facts: { variant: when.variant } });
    }
    if (asks === undefined) continue;
    const variant = product.variants.find((v) => v.id === asks.variant);
    const kept =
      variant !== undefined &&
      variant.ask === asks.ask &&
      JSON.stringify(variant.answers) === JSON.stringify(asks.answers) &&
      step.say.includes(asks.ask) &&
      when === undefined;
    const once = !asked.some((v) => v.id === asks.variant) && !Object.hasOwn(plan.variants, asks.variant);
    if (!kept || !once) {
      violations.push({ code: 'proof/question-changed', step: id, facts: { variant: asks.variant } });
    } else {
      asked.push(variant);
      ways *= variant.answers.length;
    }
  }
  if (ways > WAYS_MAX) {
    violations.push({ code: 'proof/too-many-questions', step: null, facts: { ways, limit: WAYS_MAX } });
    return { asked: [], violations };
  }
  return { asked, violations };
}

/** Every way to answer. */
export function everyAnswer(asked: readonly Variant[]): readonly Readonly<Record<string, string>>[] {
  return asked.reduce<readonly Readonly<Record<string, string>>[]>(
    (ways, { id, answers }) => ways.flatMap((way) => answers.map((answer) => ({ ...way, [id]: answer }))),
    [{}],
  );
}

/** The steps of one way to answer, in their order. The tray stays as it is laid out. */
export function answeredPlan(plan: Plan, answers: Readonly<Record<string, string>>): Plan {
  return {
    ...plan,
    variants: { ...plan.variants, ...answers },
    steps: plan.steps.filter((s) => s.when === undefined || answers[s.when.variant] === s.when.is),
  };
}
