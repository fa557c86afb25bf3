/** Checks of a job's request: parts that exist and may be replaced, variant answers, reasons that close. */
import type { Diagnostic } from '../base/diagnostic.ts';
import type { Part, Product, ProductStep, Variant } from '../product/model.ts';
import { findCycle, type PartIndex, partWith, type Scope } from './closure.ts';
import { isAcyclic } from './progress.ts';

/** What a job is asked to do. */
export interface JobRequest {
  /** Part ids; each may be named more than once. */
  readonly replace: readonly string[];
  /** Answers by variant id. What is left out and matters is asked during the job. */
  readonly variants: Readonly<Record<string, string>>;
}

function error(code: string, facts: Diagnostic['facts']): Diagnostic {
  return { code, severity: 'error', facts };
}

/** Findings about the parts asked for. */
export function checkParts(index: PartIndex, replace: readonly string[]): readonly Diagnostic[] {
  if (replace.length === 0) return [error('plan/nothing-to-replace', {})];
  const findings: Diagnostic[] = [];
  for (const id of new Set(replace)) {
    const part = partWith(index, id);
    if (part === undefined) {
      const known = index.parts.filter((p) => p.replaceable).map((p) => p.id);
      findings.push(error('plan/unknown-part', { part: id, known }));
    } else if (!part.replaceable) {
      findings.push(error('plan/part-not-replaceable', { part: id, name: part.name }));
    }
  }
  return findings;
}

/** Findings about the answers given: each for a variant that exists, and one of its answers. */
export function checkAnswers(
  product: Product,
  variants: Readonly<Record<string, string>>,
): readonly Diagnostic[] {
  const findings: Diagnostic[] = [];
  for (const [id, answer] of Object.entries(variants)) {
    const variant = product.variants.find((v) => v.id === id);
    if (variant === undefined) {
      findings.push(error('plan/unknown-variant', { variant: id, known: product.variants.map((v) => v.id) }));
    } else if (!variant.answers.includes(answer)) {
      findings.push(
        error('plan/variant-answer-not-allowed', {
          variant: id,
          answer,
          ask: variant.ask,
          allowed: variant.answers,
        }),
      );
    }
  }
  return findings;
}

/** Ways to answer the questions left to one job at most: each of them is a plan of its own to be proven. */
export const OPEN_ANSWERS_MAX = 64;

/** Variants that the steps depend on and that have no answer, in the order of the product file. */
export function openVariants(
  product: Product,
  steps: Iterable<ProductStep>,
  answers: Readonly<Record<string, string>>,
): readonly Variant[] {
  if (product.variants.every((v) => Object.hasOwn(answers, v.id))) return [];
  const needed = new Set<string>();
  for (const { when } of steps) if (when !== undefined) needed.add(when.variant);
  return product.variants.filter((v) => needed.has(v.id) && !Object.hasOwn(answers, v.id));
}

/** A finding for each question too many to be left to the job. */
export function checkOpenVariants(open: readonly Variant[]): readonly Diagnostic[] {
  let ways = 1;
  return open.flatMap((variant) => {
    ways *= variant.answers.length;
    if (ways <= OPEN_ANSWERS_MAX) return [];
    const { id, ask, answers } = variant;
    return [error('plan/variant-answer-missing', { variant: id, ask, allowed: answers })];
  });
}

/** A finding where a part can never come off: the chain of reasons ends where it has been before. */
export function checkComesOff(index: PartIndex, targets: readonly string[]): readonly Diagnostic[] {
  const { needs } = index;
  const areKnown = needs.every((list) => !list.includes(-1));
  if (areKnown && isAcyclic(needs)) return [];
  const safe = new Set<string>();
  const seen = new Set<string>();
  for (const id of targets) {
    const unknown = unknownNeed(index, id, seen);
    if (unknown !== undefined) return [unknown];
    const cycle = findCycle(id, (p) => partWith(index, p)?.needs ?? [], safe);
    if (cycle !== undefined) return [error('plan/part-never-comes-off', { part: id, chain: cycle })];
  }
  return [];
}

function unknownNeed(index: PartIndex, target: string, seen: Set<string>): Diagnostic | undefined {
  const open = [target];
  for (let id = open.pop(); id !== undefined; id = open.pop()) {
    if (seen.has(id)) continue;
    seen.add(id);
    for (const need of partWith(index, id)?.needs ?? []) {
      if (partWith(index, need) === undefined)
        return error('plan/unknown-needed-part', { part: id, needs: need });
      open.push(need);
    }
  }
  return undefined;
}

/** A finding where parts of `list` wait for each other on the way back, by the `reasons` of each. */
export function checkGoesBack(
  index: PartIndex,
  list: readonly number[],
  reasons: readonly (readonly number[])[],
): readonly Diagnostic[] {
  if (isAcyclic(reasons)) return [];
  const ids = list.map((at) => index.parts[at]?.id ?? '');
  const waitsFor = (id: string): readonly string[] =>
    (reasons[ids.indexOf(id)] ?? []).flatMap((i) => ids[i] ?? []);
  const safe = new Set<string>();
  for (const id of ids) {
    const cycle = findCycle(id, waitsFor, safe);
    if (cycle !== undefined) return [error('plan/part-never-goes-back', { part: id, chain: cycle })];
  }
  return [];
}

/** All product steps that a job may use. */
export function* stepsInScope(
  product: Product,
  index: PartIndex,
  scope: Scope,
  replaced: readonly Part[],
): Generator<ProductStep> {
  yield* product.prepare;
  for (const at of scope.removed) yield* index.parts[at]?.steps ?? [];
  for (const at of scope.moved) yield* index.parts[at]?.steps ?? [];
  for (const part of replaced) yield* part.new_part_steps;
  yield* product.checks;
}
