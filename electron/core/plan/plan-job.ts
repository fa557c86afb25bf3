/**
 * The plan of a job: which parts come off, in which order, what happens on the bench, how everything goes
 * back, and the final checks. `planJob` is the face of this folder.
 *
 * Stages: prepare (job cautions, unit serial, tools, materials, tray, the product's own preparation),
 * remove (the closure), replace (old part aside, parts moved over, new part made ready, its serial),
 * install (the inverse, under its own precedence), check (tray empty, energy restored, final checks).
 * A final check with `way: in` comes before energy is restored, the others after it.
 */
import type { Diagnostic } from '../base/diagnostic.ts';
import { ENGLISH, type Language } from '../base/language.ts';
import { err, ok, type Result } from '../base/result.ts';
import type { Part, Product, Variant } from '../product/model.ts';
import {
  getSentences,
  materialText,
  moveSentence,
  newPartSentences,
  newSerialSentences,
  oldPartSentence,
  traySentence,
  unitSerialSentences,
} from './added-sentences.ts';
import { indexParts, type PartIndex, type Scope, scopeOf } from './closure.ts';
import { added, type Blocks, type Draft, mayShareId } from './draft.ts';
import { cautionsOf, finishDrafts, newPartsOf, type Supplies, suppliesOf } from './finish.ts';
import {
  addDraftsIn,
  addWayBack,
  addWayIn,
  type DraftPlace,
  restoreDraft,
  restoresEnergy,
} from './inverse.ts';
import { type Definitions, definitionsOf, type JobStep, stepsFor } from './job-step.ts';
import type { Plan, Stage } from './model.ts';
import { installPrecedence, installReasons, orderBlocks, removalPrecedence } from './part-order.ts';
import { expectedSeconds, withQuestions } from './questions.ts';
import {
  checkAnswers,
  checkComesOff,
  checkGoesBack,
  checkOpenVariants,
  checkParts,
  type JobRequest,
  openVariants,
  stepsInScope,
} from './request.ts';
import { goesToTray, layTray, type Tray } from './tray.ts';
import { the, theNew } from './wording.ts';

export { partsAlsoOff } from './closure.ts';
export type { JobRequest } from './request.ts';

type Reasons = readonly (readonly number[])[];

interface Job {
  readonly language: Language;
  readonly product: Product;
  readonly definitions: Definitions;
  readonly index: PartIndex;
  readonly scope: Scope;
  /** Why parts of the scope have to wait on the way back, by their places in its lists. */
  readonly reasons: { readonly removed: Reasons; readonly moved: Reasons };
  readonly replaced: readonly Part[];
  readonly variants: Readonly<Record<string, string>>;
  /** Questions that are left to the job. */
  readonly open: readonly Variant[];
}

const HEADS: Readonly<Record<Stage, string>> = {
  prepare: 'prepare.',
  remove: 'remove.',
  replace: 'replace.',
  install: 'install.',
  check: 'check.',
};

function place(stage: Stage, part: Part | null, tail = ''): DraftPlace {
  return { stage, head: HEADS[stage], part, tail };
}

/** A part that comes off in the job, with its steps. */
interface JobPart {
  readonly part: Part;
  readonly steps: readonly JobStep[];
}

function jobParts({ index, definitions }: Job, list: readonly number[]): readonly JobPart[] {
  return list.map((at) => {
    const part = index.parts[at] as Part;
    return { part, steps: stepsFor(definitions, part.steps) };
  });
}

/** Getting ready: `own` are the product's steps of it. */
function prepareDrafts(job: Job, own: readonly Draft[], tray: Tray, supplies: Supplies): readonly Draft[] {
  const { language, product, replaced } = job;
  const tools = supplies.tools.map((t) => the(language, t.name));
  const materials = [
    ...newPartsOf(replaced).map((p) => theNew(language, p.name)),
    ...supplies.consumables.map((c) => materialText(language, product, c)),
  ];
  const compartments = tray.compartments.length;
  const drafts: Draft[] = [];
  if (product.job_hazards.length > 0) {
    const more = { hazards: product.job_hazards };
    drafts.push(added('prepare', 'job-cautions', 'do', language.plan['job.read-cautions'](), more));
  }
  if (product.unit_serial !== undefined) {
    const say = unitSerialSentences(language, product.unit_serial.name);
    drafts.push(
      added('prepare', 'unit-serial', 'record', say, { record: product.unit_serial, expected_s: 20 }),
    );
  }
  if (tools.length > 0)
    drafts.push(added('prepare', 'get-tools', 'do', getSentences(language, 'job.get-tools', tools)));
  drafts.push(
    added('prepare', 'get-materials', 'do', getSentences(language, 'job.get-materials', materials)),
  );
  if (compartments > 0) {
    drafts.push(added('prepare', 'set-out-tray', 'do', traySentence(language, compartments)));
  }
  return [...drafts, ...own];
}

type AddWay = typeof addWayIn;

/** The drafts of each part, in one list. */
function blocksOf(parts: readonly JobPart[], add: AddWay, stage: Stage, tail = ''): Blocks {
  const drafts: Draft[] = [];
  const begin = new Int32Array(parts.length + 1);
  for (let i = 0; i < parts.length; i += 1) {
    const { part, steps } = parts[i] as JobPart;
    add(drafts, place(stage, part, tail), steps);
    begin[i + 1] = drafts.length;
  }
  return { drafts, begin };
}

/** Side, tool, place and compartment at the end of lists of drafts, for the next ordering. */
function endOf(lists: readonly (readonly Draft[])[], startSide: string | null): readonly (string | null)[] {
  let side: string | null = null;
  let tool: string | null = null;
  for (let n = lists.length - 1; n >= 0 && (side === null || tool === null); n -= 1) {
    const drafts = lists[n] as readonly Draft[];
    for (let i = drafts.length - 1; i >= 0 && (side === null || tool === null); i -= 1) {
      side ??= drafts[i]?.side ?? null;
      tool ??= drafts[i]?.tool ?? null;
    }
  }
  return [side ?? startSide, tool, null, null];
}

/** The drafts of blocks in this order. */
function inOrder({ drafts, begin }: Blocks, places: readonly number[]): readonly Draft[] {
  const all = new Array<Draft>(drafts.length);
  let count = 0;
  for (let n = 0; n < places.length; n += 1) {
    const block = places[n] as number;
    for (let i = begin[block] as number; i < (begin[block + 1] as number); i += 1, count += 1)
      all[count] = drafts[i] as Draft;
  }
  return all;
}

function fillsTray({ use }: Draft): boolean {
  return use !== null && goesToTray(use);
}

function moveDrafts(
  job: Job,
  moved: readonly JobPart[],
  start: readonly (string | null)[],
): { off: readonly Draft[]; on: readonly Draft[] } {
  if (moved.length === 0) return { off: [], on: [] };
  const { index, scope, reasons } = job;
  const coming = blocksOf(moved, addWayIn, 'replace');
  const off = orderBlocks(coming, removalPrecedence(index, scope.moved), start);
  const going = blocksOf(moved, addWayBack, 'replace', '.on');
  const before = installPrecedence(index, scope.moved, reasons.moved);
  const on = orderBlocks(going, before, start, [...off.places].reverse());
  return { off: inOrder(coming, off.places), on: inOrder(going, on.places) };
}

/** A step for each carried part that has no steps of its own on the way in, whatever is answered. */
function bareMoves(job: Job): readonly Draft[] {
  const { definitions, replaced } = job;
  const carried = new Set(replaced.flatMap((p) => p.carries));
  for (const part of replaced) carried.delete(part.id);
  return job.product.parts
    .filter((p) => carried.has(p.id))
    .filter((part) => stepsFor(definitions, part.steps).every((step) => step.way === 'out' || step.open))
    .map((part) =>
      added('replace', `${part.id}.move`, 'move-over', moveSentence(job.language, part), { part }),
    );
}

function replaceDrafts(
  job: Job,
  moved: readonly JobPart[],
  start: readonly (string | null)[],
): readonly Draft[] {
  const { language, definitions, replaced } = job;
  const move = moveDrafts(job, moved, start);
  const aside = replaced.map((part) =>
    added('replace', `${part.id}.old`, 'do', oldPartSentence(language, part), { part, expected_s: 5 }),
  );
  const fetch = replaced.map((part) => {
    return added('replace', `${part.id}.new`, 'fetch-new-part', newPartSentences(language, part), { part });
  });
  const ready: Draft[] = [];
  for (const part of replaced)
    for (const step of stepsFor(definitions, part.new_part_steps))
      addDraftsIn(ready, place('replace', part), step);
  const serials = replaced.flatMap((part) => {
    if (part.serial === undefined) return [];
    const say = newSerialSentences(language, part.serial.name, part);
    const more = { part, record: part.serial, expected_s: 20 };
    return [added('replace', `${part.id}.serial`, 'record', say, more)];
  });
  return [...aside, ...move.off, ...fetch, ...bareMoves(job), ...move.on, ...ready, ...serials];
}

/** After all parts are back. `taken`: the parts that came off, in the order in which they did. */
function checkDrafts(
  job: Job,
  prepared: readonly JobStep[],
  taken: readonly JobPart[],
  trayUsed: boolean,
): readonly Draft[] {
  const here = place('check', null);
  const checks = stepsFor(job.definitions, job.product.checks);
  const isolated: { readonly step: JobStep; readonly part: Part | null }[] = [];
  for (const step of prepared) if (restoresEnergy(step)) isolated.push({ step, part: null });
  for (const { part, steps } of taken)
    for (const step of steps) if (restoresEnergy(step)) isolated.push({ step, part });
  const undone: Draft[] = [];
  const dead: Draft[] = [];
  const live: Draft[] = [];
  addWayBack(undone, here, prepared);
  for (const step of checks) addDraftsIn(step.way === 'in' ? dead : live, here, step);
  return [
    ...undone,
    ...(trayUsed ? [added('check', 'count-tray', 'count-tray', job.language.plan['job.count-tray']())] : []),
    ...dead,
    ...isolated.reverse().map(({ step, part }) => restoreDraft(place('check', part), step)),
    ...live,
  ];
}

/** Makes ids unique; only a product step named like one of the planner's own can collide. */
function withUniqueIds(drafts: readonly Draft[]): readonly Draft[] {
  if (!drafts.some(mayShareId)) return drafts;
  const seen = new Set<string>();
  return drafts.map((draft) => {
    const before = seen.size;
    if (seen.add(draft.id).size > before) return draft;
    let n = 2;
    while (seen.has(`${draft.id}.${n}`)) n += 1;
    const id = `${draft.id}.${n}`;
    seen.add(id);
    return { ...draft, id };
  });
}

function build(job: Job): Plan {
  const { product, index, scope, replaced, variants } = job;
  const startSide = product.start_side === '' ? null : product.start_side;
  const preparation = stepsFor(job.definitions, product.prepare);
  const prepared: Draft[] = [];
  addWayIn(prepared, place('prepare', null), preparation);
  const removed = jobParts(job, scope.removed);
  const moved = jobParts(job, scope.moved);
  const coming = blocksOf(removed, addWayIn, 'remove');
  const removal = orderBlocks(coming, removalPrecedence(index, scope.removed), endOf([prepared], startSide));
  const off = inOrder(coming, removal.places);
  const bench = replaceDrafts(job, moved, endOf([prepared, off], startSide));
  const going = blocksOf(removed, addWayBack, 'install');
  const installation = orderBlocks(
    going,
    installPrecedence(index, scope.removed, job.reasons.removed),
    endOf([prepared, off, bench], startSide),
    [...removal.places].reverse(),
  );
  const later = off.concat(bench, inOrder(going, installation.places));
  const closing = checkDrafts(
    job,
    preparation,
    [...removal.places.map((at) => removed[at] as JobPart), ...moved],
    prepared.some(fillsTray) || later.some(fillsTray),
  );
  const all = prepared.concat(later, closing);
  const supplies = suppliesOf(product, all);
  const tray = layTray(all, job.language);
  const whole = prepareDrafts(job, prepared, tray, supplies).concat(later, closing);
  const drafts = withUniqueIds(withQuestions(whole, job.open));
  const steps = finishDrafts(product, drafts, tray, job.language);
  return {
    format: 1,
    ...(job.language.tag === ENGLISH.tag ? {} : { language: job.language.tag }),
    product: product.id,
    product_name: product.name,
    product_revision: product.revision,
    replace: replaced.map((p) => p.id),
    variants,
    start_side: product.start_side,
    steps,
    ...supplies,
    new_parts: newPartsOf(replaced),
    tray: tray.compartments,
    expected_s: expectedSeconds(steps),
    order: {
      cost: removal.cost + installation.cost,
      lower_bound: removal.lower_bound + installation.lower_bound,
      exact: removal.exact && installation.exact,
    },
    unit_serial: product.unit_serial ?? null,
    job_cautions: cautionsOf(product, product.job_hazards, job.language),
  };
}

/**
 * The plan of a job, or why there is none (codes `plan/…`, words in `words.ts`). Pure and deterministic.
 * `replace` may name a part twice; parts are replaced in the author's order. The product must have passed
 * its own checks (every reference to a tool, item or fastener exists). `language` is that of the sentences; names
 * and sentences of the product file stay as they are.
 */
export function planJob(
  product: Product,
  request: JobRequest,
  language: Language = ENGLISH,
): Result<Plan, readonly Diagnostic[]> {
  const index = indexParts(product);
  const findings = [...checkParts(index, request.replace), ...checkAnswers(product, request.variants)];
  if (findings.length > 0) return err(findings);
  const wanted = new Set(request.replace);
  const replaced = index.parts.filter((p) => wanted.has(p.id));
  const targets = [...replaced.map((p) => p.id), ...replaced.flatMap((p) => p.carries)];
  const never = checkComesOff(index, targets);
  if (never.length > 0) return err(never);
  const scope = scopeOf(index, replaced);
  const reasons = {
    removed: installReasons(index, scope.removed),
    moved: installReasons(index, scope.moved),
  };
  const open = openVariants(product, stepsInScope(product, index, scope, replaced), request.variants);
  const blocked = [
    ...checkGoesBack(index, scope.removed, reasons.removed),
    ...checkGoesBack(index, scope.moved, reasons.moved),
    ...checkOpenVariants(open),
  ];
  if (blocked.length > 0) return err(blocked);
  const variants = Object.fromEntries(Object.entries(request.variants).sort(([a], [b]) => (a < b ? -1 : 1)));
  return ok(
    build({
      language,
      product,
      definitions: definitionsOf(product, variants),
      index,
      scope,
      reasons,
      replaced,
      variants,
      open,
    }),
  );
}
