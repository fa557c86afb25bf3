/**
 * Ways to break a plan, each of them a real fault: a step dropped, two dependent steps swapped, a fastener
 * in another compartment, a caution gone … A mutation returns undefined where the plan has nothing to
 * break in that way.
 */
import type { RandomSource } from '../../electron/core/base/random.ts';
import type { Plan, PlanFastener, PlanStep } from '../../electron/core/plan/model.ts';
import type { Product } from '../../electron/core/product/model.ts';

export type Mutation = (plan: Plan, product: Product, random: RandomSource) => Plan | undefined;

function withSteps(plan: Plan, steps: readonly PlanStep[]): Plan {
  return { ...plan, steps };
}

/** Positions of the steps that fit. */
function where(plan: Plan, fits: (step: PlanStep, at: number) => boolean): readonly number[] {
  return plan.steps.flatMap((step, at) => (fits(step, at) ? [at] : []));
}

function change(
  plan: Plan,
  random: RandomSource,
  fits: (step: PlanStep, at: number) => boolean,
  edit: (step: PlanStep) => PlanStep,
): Plan | undefined {
  const places = where(plan, fits);
  if (places.length === 0) return undefined;
  const at = random.pick(places);
  return withSteps(
    plan,
    plan.steps.map((step, i) => (i === at ? edit(step) : step)),
  );
}

function changeFastener(
  plan: Plan,
  random: RandomSource,
  fits: (step: PlanStep, fastener: PlanFastener) => boolean,
  edit: (fastener: PlanFastener) => PlanFastener,
): Plan | undefined {
  return change(
    plan,
    random,
    (step) => step.fasteners.some((f) => fits(step, f)),
    (step) => ({ ...step, fasteners: step.fasteners.map(edit) }),
  );
}

function drop(plan: Plan, random: RandomSource, fits: (step: PlanStep) => boolean): Plan | undefined {
  const places = where(plan, fits);
  if (places.length === 0) return undefined;
  const at = random.pick(places);
  return withSteps(
    plan,
    plan.steps.filter((_, i) => i !== at),
  );
}

/** Takes the step at `from` out and puts it in so that it stands before the step that was at `to`. */
function moved(plan: Plan, from: number, to: number): Plan {
  const steps = [...plan.steps];
  const [step] = steps.splice(from, 1);
  if (step === undefined) return plan;
  steps.splice(to > from ? to - 1 : to, 0, step);
  return withSteps(plan, steps);
}

const isTightening = (step: PlanStep): boolean =>
  step.fasteners.some((f) => f.passes_nm.length > 0 || f.order.length > 0) &&
  step.stage !== 'remove' &&
  !isLoosening(step);
const isLoosening = (step: PlanStep): boolean =>
  step.action === 'remove-fasteners' || step.action === 'loosen-fasteners';

/** Steps for different answers never meet, so their order is no fault: only certain steps are moved. */
const isCertain = (step: PlanStep): boolean => step.when === undefined;

/** A pair of parts, one needing the other, that both have steps in this stage; positions of those steps. */
function neededPairs(plan: Plan, product: Product, stage: 'remove' | 'install') {
  const at = new Map<string, number[]>();
  for (const [i, step] of plan.steps.entries()) {
    if (step.stage !== stage || step.part === null || step.source === undefined || !isCertain(step)) continue;
    const list = at.get(step.part);
    if (list === undefined) at.set(step.part, [i]);
    else list.push(i);
  }
  return product.parts.flatMap((part) =>
    part.needs.flatMap((need) => {
      const own = at.get(part.id);
      const other = at.get(need);
      return own === undefined || other === undefined ? [] : [{ own, other }];
    }),
  );
}

const swapInPart: Mutation = (plan, _product, random) => {
  const pairs = where(plan, (step, at) => {
    const next = plan.steps[at + 1];
    return (
      step.source !== undefined &&
      isCertain(step) &&
      next?.source !== undefined &&
      isCertain(next) &&
      step.part !== null &&
      next.part === step.part &&
      next.stage === step.stage &&
      step.stage !== 'check'
    );
  });
  if (pairs.length === 0) return undefined;
  const at = random.pick(pairs);
  return moved(plan, at + 1, at);
};

const throughAnotherPart: Mutation = (plan, product, random) => {
  const pairs = neededPairs(plan, product, 'remove');
  if (pairs.length === 0) return undefined;
  const { own, other } = random.pick(pairs);
  return moved(plan, own[0] ?? 0, other[other.length - 1] ?? 0);
};

const overOpenPart: Mutation = (plan, product, random) => {
  const pairs = neededPairs(plan, product, 'install');
  if (pairs.length === 0) return undefined;
  const { own, other } = random.pick(pairs);
  return moved(plan, other[0] ?? 0, own[own.length - 1] ?? 0);
};

const sourceBackFirst: Mutation = (plan, product) => {
  const sources = product.parts.filter((p) => p.energy_source);
  const free = sources.find(
    (p) => p.needs.length === 0 && !product.parts.some((q) => q.install_after.includes(p.id)),
  );
  if (free === undefined) return undefined;
  const installs = where(plan, (s) => s.stage === 'install');
  const own = installs.filter((i) => plan.steps[i]?.part === free.id);
  // Parts that wait for another source may well be open then; a part that waits for none must exist.
  if (sources.length > 1 || own.length === 0) return undefined;
  const first = installs[0] ?? 0;
  if (plan.steps[first]?.part === free.id) return undefined;
  const steps = own.flatMap((i) => plan.steps[i] ?? []);
  const rest = plan.steps.filter((_, i) => !own.includes(i));
  return withSteps(plan, [...rest.slice(0, first), ...steps, ...rest.slice(first)]);
};

const restoreEarly: Mutation = (plan) => {
  const from = plan.steps.findIndex((s) => s.action === 'restore-energy');
  const installs = where(plan, (s) => s.stage === 'install');
  const last = installs[installs.length - 1];
  return from < 0 || last === undefined ? undefined : moved(plan, from, last);
};

const cautionAfter: Mutation = (plan, _product, random) => {
  const places = where(
    plan,
    (s, i) => s.cautions.length > 0 && s.source !== undefined && i + 1 < plan.steps.length,
  );
  if (places.length === 0) return undefined;
  const at = random.pick(places);
  const late = plan.steps[at]?.cautions ?? [];
  return withSteps(
    plan,
    plan.steps.map((s, i) =>
      i === at ? { ...s, cautions: [] } : i === at + 1 ? { ...s, cautions: late } : s,
    ),
  );
};

const leaveCarried: Mutation = (plan, product, random) => {
  const carried = new Set(product.parts.filter((p) => plan.replace.includes(p.id)).flatMap((p) => p.carries));
  const moving = [...carried].filter((id) => plan.steps.some((s) => s.stage === 'replace' && s.part === id));
  if (moving.length === 0) return undefined;
  const id = random.pick(moving);
  if (plan.replace.includes(id)) return undefined;
  return withSteps(
    plan,
    plan.steps.filter((s) => s.stage !== 'replace' || s.part !== id),
  );
};

const otherVariant: Mutation = (plan, product, random) => {
  const planned = new Set(plan.steps.flatMap((s) => s.part ?? []));
  const foreign = product.parts
    .filter((p) => planned.has(p.id))
    .flatMap((p) => p.steps.map((step) => ({ part: p, step })))
    .filter(({ step }) => step.when !== undefined && plan.variants[step.when.variant] !== step.when.is);
  const removal = plan.steps.find((s) => s.stage === 'remove' && s.source !== undefined);
  if (foreign.length === 0 || removal === undefined) return undefined;
  const { part, step } = random.pick(foreign);
  const at = plan.steps.indexOf(removal);
  const extra = {
    ...removal,
    id: `remove.${step.id}`,
    source: step.id,
    part: part.id,
    action: step.action.kind,
  };
  return withSteps(plan, [...plan.steps.slice(0, at), extra, ...plan.steps.slice(at)]);
};

/** All mutations by name. */
export const MUTATIONS: Readonly<Record<string, Mutation>> = {
  'drop a step': (plan, _p, random) => drop(plan, random, (s) => s.source !== undefined),
  'drop fetching the new part': (plan, _p, random) =>
    drop(plan, random, (s) => s.action === 'fetch-new-part'),
  'drop moving a part over': (plan, _p, random) => drop(plan, random, (s) => s.action === 'move-over'),
  'drop a serial number': (plan, _p, random) =>
    drop(plan, random, (s) => s.action === 'record' && s.source === undefined),
  'drop the tray count': (plan, _p, random) => drop(plan, random, (s) => s.action === 'count-tray'),
  'drop a final check': (plan, _p, random) =>
    drop(plan, random, (s) => s.stage === 'check' && s.source !== undefined && s.part === null),
  'repeat a step': (plan, _p, random) => {
    const places = where(plan, (s) => s.source !== undefined);
    if (places.length === 0) return undefined;
    const at = random.pick(places);
    const again = { ...(plan.steps[at] as PlanStep), id: 'again' };
    return withSteps(plan, [...plan.steps.slice(0, at + 1), again, ...plan.steps.slice(at + 1)]);
  },
  'swap two dependent steps of a part': swapInPart,
  'take a part off through another': throughAnotherPart,
  'put a part back over an open one': overOpenPart,
  'put a fastener into another compartment': (plan, _p, random) =>
    plan.tray.length < 2
      ? undefined
      : changeFastener(
          plan,
          random,
          (_s, f) => f.compartment !== null,
          (f) => ({ ...f, compartment: ((f.compartment ?? 0) % plan.tray.length) + 1 }),
        ),
  'put a fastener into another place': (plan, _p, random) =>
    changeFastener(
      plan,
      random,
      () => true,
      (f) => ({ ...f, place: `${f.place}, other end` }),
    ),
  'forget a fastener': (plan, _p, random) =>
    changeFastener(
      plan,
      random,
      () => true,
      (f) => ({ ...f, count: f.count - 1 }),
    ),
  'use a longer fastener': (plan, _p, random) =>
    changeFastener(
      plan,
      random,
      () => true,
      (f) => ({ ...f, length_mm: f.length_mm + 2 }),
    ),
  'give two places one compartment': (plan, _p, random) => {
    if (plan.tray.length < 2) return undefined;
    const gone = random.integer(2, plan.tray.length);
    return {
      ...plan,
      tray: plan.tray.filter((c) => c.number !== gone),
      steps: plan.steps.map((s) => ({
        ...s,
        fasteners: s.fasteners.map((f) => (f.compartment === gone ? { ...f, compartment: 1 } : f)),
      })),
    };
  },
  'remove a caution': (plan, _p, random) =>
    change(
      plan,
      random,
      (s) => s.cautions.length > 0,
      (s) => ({ ...s, cautions: s.cautions.slice(1) }),
    ),
  'read a caution after its step': cautionAfter,
  'weaken a signal word': (plan, _p, random) =>
    change(
      plan,
      random,
      (s) => s.cautions.some((c) => c.word !== 'notice'),
      (s) => ({ ...s, cautions: s.cautions.map((c) => ({ ...c, word: 'notice' as const })) }),
    ),
  'change a torque': (plan, _p, random) =>
    changeFastener(
      plan,
      random,
      (s, f) => f.torque_nm !== null && isTightening(s),
      (f) => ({ ...f, torque_nm: (f.torque_nm ?? 0) * 1.1 }),
    ),
  'change the last pass': (plan, _p, random) =>
    changeFastener(
      plan,
      random,
      (_s, f) => f.passes_nm.length > 0,
      (f) => ({
        ...f,
        passes_nm: f.passes_nm.map((nm, i) => (i === f.passes_nm.length - 1 ? nm * 0.9 : nm)),
      }),
    ),
  'leave a pass out': (plan, _p, random) =>
    changeFastener(
      plan,
      random,
      (_s, f) => f.passes_nm.length > 1,
      (f) => ({ ...f, passes_nm: f.passes_nm.slice(1) }),
    ),
  'leave the round pass out': (plan, _p, random) =>
    changeFastener(
      plan,
      random,
      (_s, f) => f.round_pass_nm !== undefined,
      ({ round_pass_nm: _gone, ...f }) => f,
    ),
  'tighten a cross joint all round': (plan, _p, random) =>
    changeFastener(
      plan,
      random,
      (s, f) => isTightening(s) && f.order.length >= 4 && f.order[1] !== 2 && f.order[0] === 1,
      (f) => ({ ...f, order: f.order.map((_, i) => i + 1) }),
    ),
  'forget the tightening order': (plan, _p, random) =>
    changeFastener(
      plan,
      random,
      (s, f) => isTightening(s) && f.order.length > 1,
      (f) => ({ ...f, order: [] }),
    ),
  'forget the loosening order': (plan, _p, random) =>
    changeFastener(
      plan,
      random,
      (s, f) => isLoosening(s) && f.order.length > 1,
      (f) => ({ ...f, order: [] }),
    ),
  'do not renew': (plan, _p, random) =>
    change(
      plan,
      random,
      (s) => s.source !== undefined && s.renew.length > 0,
      (s) => ({ ...s, renew: s.renew.slice(1) }),
    ),
  'leave a consumable off the list': (plan, _p, random) => {
    if (plan.consumables.length === 0) return undefined;
    const gone = random.pick(plan.consumables).id;
    return { ...plan, consumables: plan.consumables.filter((c) => c.id !== gone) };
  },
  'restore energy early': restoreEarly,
  'put an energy source back first': sourceBackFirst,
  'take a part off before the preparation': (plan) => {
    const from = plan.steps.findIndex((s) => s.stage === 'remove' && s.source !== undefined);
    const to = plan.steps.findIndex((s) => s.stage === 'prepare' && s.source !== undefined);
    return from < 0 || to < 0 ? undefined : moved(plan, from, to);
  },
  'leave a carried part on the old one': leaveCarried,
  'use another tool': (plan, _p, random) =>
    change(
      plan,
      random,
      (s) => s.source !== undefined && s.tool !== null,
      (s) => ({ ...s, tool: 'hammer' }),
    ),
  'leave a tool off the list': (plan, _p, random) => {
    if (plan.tools.length === 0) return undefined;
    const gone = random.pick(plan.tools).id;
    return { ...plan, tools: plan.tools.filter((t) => t.id !== gone) };
  },
  'widen a limit': (plan, _p, random) =>
    change(
      plan,
      random,
      (s) => s.measure?.max !== undefined,
      (s) => (s.measure === null ? s : { ...s, measure: { ...s.measure, max: (s.measure.max ?? 0) * 2 } }),
    ),
  'lose a hold point': (plan, _p, random) =>
    change(
      plan,
      random,
      (s) => s.hold !== null,
      (s) => ({ ...s, hold: null }),
    ),
  'lose the noted route': (plan, _p, random) =>
    change(
      plan,
      random,
      (s) => s.note_item !== null,
      (s) => ({ ...s, note_item: null }),
    ),
  'let a needed step be skipped': (plan, _p, random) =>
    change(
      plan,
      random,
      (s) => s.source !== undefined && !s.optional,
      (s) => ({ ...s, optional: true }),
    ),
  'insert a step of another variant': otherVariant,
  'drop a question': (plan, _p, random) => drop(plan, random, (s) => s.action === 'ask-variant'),
  'ask after the first step that depends on it': (plan) => {
    const asks = plan.steps.findIndex((s) => s.action === 'ask-variant');
    const variant = plan.steps[asks]?.asks?.variant;
    const first = plan.steps.findIndex((s) => s.when !== undefined && s.when.variant === variant);
    return asks < 0 || first < 0 ? undefined : moved(plan, asks, first + 1);
  },
  'ask another question': (plan, _p, random) =>
    change(
      plan,
      random,
      (s) => s.asks !== undefined,
      (s) =>
        s.asks === undefined ? s : { ...s, asks: { ...s.asks, answers: [...s.asks.answers, 'three'] } },
    ),
  'turn a condition round': (plan, product, random) =>
    change(
      plan,
      random,
      (s) => s.when !== undefined && s.source !== undefined,
      (s) => {
        if (s.when === undefined) return s;
        const { variant, is } = s.when;
        const other = product.variants.find((v) => v.id === variant)?.answers.find((a) => a !== is) ?? is;
        return { ...s, when: { variant, is: other } };
      },
    ),
  'forget a condition': (plan, _p, random) =>
    change(
      plan,
      random,
      (s) => s.when !== undefined && s.source !== undefined,
      ({ when: _gone, ...s }) => s,
    ),
  'make a step depend on an answer': (plan, _p, random) => {
    const asks = plan.steps.findIndex((s) => s.asks !== undefined);
    const question = plan.steps[asks]?.asks;
    if (question === undefined) return undefined;
    const is = question.answers[0] ?? '';
    return change(
      plan,
      random,
      (s) => s.when === undefined && s.source !== undefined && plan.steps.indexOf(s) > asks,
      (s) => ({ ...s, when: { variant: question.variant, is } }),
    );
  },
  'lay the tray out for the smaller answer': (plan, _p, random) => {
    const places = plan.tray.filter((c) =>
      plan.steps.some((s) => s.when !== undefined && s.fasteners.some((f) => f.compartment === c.number)),
    );
    if (places.length === 0) return undefined;
    const { number } = random.pick(places);
    return {
      ...plan,
      tray: plan.tray.map((c) => (c.number === number ? { ...c, count: c.count - 1 } : c)),
    };
  },
  'say nothing': (plan, _p, random) =>
    change(
      plan,
      random,
      () => true,
      (s) => ({ ...s, say: ' ' }),
    ),
};
