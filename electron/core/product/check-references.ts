/**
 * Checks of names: every id once, every reference to something that is there.
 */

import type { CheckSubject, PlacedStep } from './check-subject.ts';
import { limitedSuggestions } from './closest-word.ts';
import type { Path } from './yaml-document.ts';

type Kind = 'part' | 'tool' | 'item' | 'fastener' | 'hazard' | 'consumable' | 'variant';

const LISTS: readonly (readonly [
  Kind,
  'parts' | 'tools' | 'items' | 'fasteners' | 'hazards' | 'consumables' | 'variants',
])[] = [
  ['part', 'parts'],
  ['tool', 'tools'],
  ['item', 'items'],
  ['fastener', 'fasteners'],
  ['hazard', 'hazards'],
  ['consumable', 'consumables'],
  ['variant', 'variants'],
];

/** Runs the checks of ids and references. `lineOf` gives the line of a path, for naming the first place. */
export function checkReferences(subject: CheckSubject, lineOf: (path: Path) => number): void {
  checkDuplicates(subject, lineOf);
  const closestWord = limitedSuggestions();
  const known = new Map<Kind, ReadonlySet<string>>(
    LISTS.map(([kind, list]) => [kind, new Set(subject.product[list].map((each) => each.id))]),
  );
  const used = new Map<Kind, Set<string>>(LISTS.map(([kind]) => [kind, new Set<string>()]));
  const refer = (kind: Kind, id: string | undefined, path: Path): void => {
    if (id === undefined) return;
    used.get(kind)?.add(id);
    if (known.get(kind)?.has(id) || subject.unread.has(id)) return;
    const suggestion = closestWord(id, known.get(kind) ?? []);
    subject.report(
      `product/unknown-${kind}`,
      'error',
      { id, ...(suggestion === undefined ? {} : { suggestion }) },
      path,
    );
  };
  const referAll = (kind: Kind, ids: readonly string[] | undefined, path: Path): void => {
    for (const [index, id] of (ids ?? []).entries()) refer(kind, id, [...path, index]);
  };
  const { product } = subject;
  referAll('hazard', product.job_hazards, ['job_hazards']);
  for (const [index, part] of product.parts.entries()) {
    referAll('part', part.needs, ['parts', index, 'needs']);
    referAll('part', part.carries, ['parts', index, 'carries']);
    referAll('part', part.install_after, ['parts', index, 'install_after']);
  }
  for (const [index, fastener] of product.fasteners.entries()) {
    refer('tool', fastener.tool, ['fasteners', index, 'tool']);
    refer('tool', fastener.tighten_tool, ['fasteners', index, 'tighten_tool']);
  }
  for (const [index, item] of product.items.entries())
    referAll('consumable', item.uses, ['items', index, 'uses']);
  for (const placed of subject.steps) referOfStep(placed, refer, referAll);
  checkAnswers(subject);
  if (subject.unread.size === 0) reportUnused(subject, used);
}

function referOfStep(
  { step, path }: PlacedStep,
  refer: (kind: Kind, id: string | undefined, path: Path) => void,
  referAll: (kind: Kind, ids: readonly string[] | undefined, path: Path) => void,
): void {
  referAll('hazard', step.hazards, [...path, 'hazards']);
  referAll('hazard', step.hazards_back, [...path, 'hazards_back']);
  refer('tool', step.tool, [...path, 'tool']);
  refer('part', step.supporting, [...path, 'supporting']);
  refer('variant', step.when?.variant, [...path, 'when', 'variant']);
  refer('variant', step.finds, [...path, 'finds']);
  const { action } = step;
  if ('fastener' in action) refer('fastener', action.fastener, [...path, 'fastener']);
  if ('item' in action) refer('item', action.item, [...path, 'item']);
  if ('uses' in action) referAll('consumable', action.uses, [...path, 'uses']);
}

/** Ids are unique in their list; ids of steps, measurements and records in the whole file. */
function checkDuplicates(subject: CheckSubject, lineOf: (path: Path) => number): void {
  const once = (kind: string, entries: Iterable<readonly [string, Path]>): void => {
    const first = new Map<string, Path>();
    for (const [id, path] of entries) {
      const earlier = first.get(id);
      if (!earlier) first.set(id, path);
      else subject.report('product/duplicate-id', 'error', { kind, id, first_line: lineOf(earlier) }, path);
    }
  };
  for (const [kind, list] of LISTS) {
    once(
      kind,
      subject.product[list].map((each, index) => [each.id, [list, index, 'id']] as const),
    );
  }
  once(
    'step',
    subject.steps.map(({ step, path }) => [step.id, [...path, 'id']] as const),
  );
  once(
    'measurement',
    subject.steps.flatMap(({ step, path }) =>
      'measure' in step.action && step.action.measure && step.mirrors === undefined
        ? [[step.action.measure.id, [...path, 'measure', 'id']] as const]
        : [],
    ),
  );
  const records: (readonly [string, Path])[] = [];
  if (subject.product.unit_serial) records.push([subject.product.unit_serial.id, ['unit_serial', 'id']]);
  for (const [index, part] of subject.product.parts.entries()) {
    if (part.serial) records.push([part.serial.id, ['parts', index, 'serial', 'id']]);
  }
  for (const { step, path } of subject.steps) {
    if (step.action.kind === 'record') records.push([step.action.record.id, [...path, 'record', 'id']]);
  }
  once('record', records);
}

/** `when: {variant, is}` names an answer the variant allows, and its answers are different. */
function checkAnswers(subject: CheckSubject): void {
  const closestWord = limitedSuggestions();
  const variants = new Map(subject.product.variants.map((each) => [each.id, each]));
  for (const { step, path } of subject.steps) {
    const variant = step.when && variants.get(step.when.variant);
    if (!step.when || !variant) continue;
    if (variant.answers.includes(step.when.is)) continue;
    const suggestion = closestWord(step.when.is, variant.answers);
    const facts = { variant: variant.id, answer: step.when.is, allowed: variant.answers };
    const whole = suggestion === undefined ? facts : { ...facts, suggestion };
    subject.report('product/unknown-answer', 'error', whole, [...path, 'when', 'is']);
  }
  for (const [index, variant] of subject.product.variants.entries()) {
    const path: Path = ['variants', index, 'answers'];
    if (new Set(variant.answers.map((each) => each.toLowerCase())).size < variant.answers.length) {
      subject.report('product/same-answer-twice', 'error', { variant: variant.id }, path);
    }
  }
}

/** Things that are described and never used: most likely a reference is missing somewhere. */
function reportUnused(subject: CheckSubject, used: ReadonlyMap<Kind, ReadonlySet<string>>): void {
  for (const [kind, list] of LISTS) {
    if (kind === 'part') continue;
    for (const [index, each] of subject.product[list].entries()) {
      if (used.get(kind)?.has(each.id)) continue;
      subject.report('product/never-used', 'warning', { kind, id: each.id }, [list, index, 'id']);
    }
  }
}
