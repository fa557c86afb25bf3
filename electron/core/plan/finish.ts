/** From drafts in their final order to the steps of a plan: sentences, cautions, compartments, times. */
import type { Language } from '../base/language.ts';
import type { Hazard, Part, Product } from '../product/model.ts';
import type { Draft } from './draft.ts';
import { FastenerNames } from './fastener-sentences.ts';
import type { JobStep } from './job-step.ts';
import type { PlanCaution, PlanConsumable, PlanFastener, PlanStep, PlanTool } from './model.ts';
import { bySeverity, cautionOf, type SentenceContext, stepText } from './sentences.ts';
import { looseningOrder, needsRoundPass, passTorques, tighteningOrder } from './tightening.ts';
import type { Tray } from './tray.ts';
import { the } from './wording.ts';

const NO_CAUTIONS: readonly PlanCaution[] = [];
const NO_FASTENERS: readonly PlanFastener[] = [];
const NO_FIGURES: readonly number[] = [];

type Named = readonly { readonly id: string; readonly name: string }[];

function addNames(names: Map<string, string>, list: Named): void {
  for (const { id, name } of list) names.set(id, name);
}

/** Names and cautions by id. */
class Lookup {
  private readonly product: Product;
  private readonly names = new Map<string, string>();
  /** Names of parts and items: a unit has thousands, and few jobs ask for one. */
  private bulk: Map<string, string> | undefined;
  /** By hazard id each caution in a list of its own; by several ids in a row what was asked for before. */
  private readonly cautions = new Map<string, readonly PlanCaution[]>();
  constructor(product: Product, language: Language) {
    this.product = product;
    for (const list of [product.fasteners, product.consumables, product.tools]) addNames(this.names, list);
    for (const hazard of product.hazards)
      this.cautions.set(hazard.id, [cautionOf(hazard satisfies Hazard, language)]);
  }
  readonly nameOf = (id: string): string => this.names.get(id) ?? this.bulkNames().get(id) ?? id;
  private bulkNames(): ReadonlyMap<string, string> {
    if (this.bulk === undefined) {
      this.bulk = new Map();
      addNames(this.bulk, this.product.parts);
      addNames(this.bulk, this.product.items);
    }
    return this.bulk;
  }
  cautionsOf(ids: readonly string[]): readonly PlanCaution[] {
    const first = ids[0];
    if (first === undefined) return NO_CAUTIONS;
    if (ids.length === 1) return this.cautions.get(first) ?? NO_CAUTIONS;
    const key = ids.join('\u0000');
    const known = this.cautions.get(key);
    if (known !== undefined) return known;
    const sorted = bySeverity([...new Set(ids)].flatMap((id) => this.cautions.get(id) ?? []));
    this.cautions.set(key, sorted);
    return sorted;
  }
}

/** Cautions of a list of hazard ids, most severe first; unknown ids are left out. */
export function cautionsOf(
  product: Product,
  ids: readonly string[],
  language: Language,
): readonly PlanCaution[] {
  return new Lookup(product, language).cautionsOf(ids);
}

function compartmentOf(draft: Draft, numberOf: ReadonlyMap<string, number>): number | null {
  const { use } = draft;
  if (use === null || use.what === 'tighten' || use.what === 'loosen') return null;
  if (!use.reused) return null;
  return numberOf.get(use.bin) ?? null;
}

function fastenersOf(draft: Draft, compartment: number | null): readonly PlanFastener[] {
  const { use } = draft;
  if (use === null) return NO_FASTENERS;
  const { fastener, count, place, pattern } = use;
  const out = use.what === 'out' || use.what === 'loosen';
  const tight = use.what === 'tighten' || use.what === 'in-and-tight';
  const passes_nm = tight ? passTorques(fastener.torque_nm ?? null, use.passes) : NO_FIGURES;
  const entry: { -readonly [K in keyof PlanFastener]: PlanFastener[K] } = {
    fastener: fastener.id,
    name: fastener.name,
    count,
    thread: fastener.thread,
    length_mm: fastener.length_mm,
    drive: fastener.drive,
    torque_nm: fastener.torque_nm ?? null,
    compartment,
    place,
    order: out ? looseningOrder(pattern, count) : tight ? tighteningOrder(pattern, count) : NO_FIGURES,
    passes_nm,
  };
  if (tight && needsRoundPass(pattern, passes_nm.length))
    entry.round_pass_nm = passes_nm[passes_nm.length - 1] ?? 0;
  return [entry];
}

/** What sentences need, for one draft after the other. */
class NewContext implements SentenceContext {
  readonly language: Language;
  readonly nameOf: (id: string) => string;
  readonly fasteners: FastenerNames;
  part: string;
  compartment: number | null = null;
  turnTo: string | null = null;
  take: string | null = null;
  /** The part that was spoken of last: mostly it is the next one too. */
  private known: Part | null = null;

  constructor(language: Language, nameOf: (id: string) => string) {
    this.language = language;
    this.nameOf = nameOf;
    this.fasteners = new FastenerNames(language);
    this.part = the(language, language.plan.unit());
  }

  speakOf(part: Part | null): void {
    if (part === this.known) return;
    this.known = part;
    this.part = the(this.language, part?.name ?? this.language.plan.unit());
  }
}

/** Gives every draft its words. Tools and sides are named where they change. */
export function finishDrafts(
  product: Product,
  drafts: readonly Draft[],
  { numberOf }: Tray,
  language: Language,
): readonly PlanStep[] {
  const lookup = new Lookup(product, language);
  let tool: string | null = null;
  let side: string | null = product.start_side === '' ? null : product.start_side;
  const context = new NewContext(language, lookup.nameOf);
  return drafts.map((draft): PlanStep => {
    const compartment = compartmentOf(draft, numberOf);
    const take: string | null = draft.tool !== null && draft.tool !== tool ? draft.tool : null;
    const turnTo: string | null = draft.side !== null && draft.side !== side ? draft.side : null;
    // After a step that may not take place nobody knows what is in the hand or which side is up.
    const certain = draft.when === null;
    if (draft.tool !== null && draft.tool !== tool) tool = certain ? draft.tool : null;
    if (draft.side !== null && draft.side !== side) side = certain ? draft.side : null;
    context.speakOf(draft.part);
    context.compartment = compartment;
    context.turnTo = turnTo;
    context.take = take === null ? null : lookup.nameOf(take);
    const text = stepText(draft, context);
    const say = draft.asks === null || draft.step === null ? text : `${text} ${draft.asks.ask}`;
    return planStep(draft, say, lookup.cautionsOf(draft.hazards), compartment);
  });
}

/** True where the draft undoes its step, rather than being written for the way back. */
function undoes({ back }: Draft, step: JobStep): boolean {
  return back && step.way === 'both';
}

/** What to look for when a part comes off is seldom what to look for when it goes back; where fasteners are is. */
function lookFor(draft: Draft, step: JobStep): string | null {
  if (!undoes(draft, step)) return step.look_for;
  return step.look_for_back ?? (draft.use === null ? null : step.look_for);
}

/** The reason of a step mostly holds both ways, but never for bringing energy back. */
function why(draft: Draft, step: JobStep): string | null {
  if (!undoes(draft, step)) return step.why;
  return step.why_back ?? (draft.action === 'restore-energy' ? null : step.why);
}

function planStep(
  draft: Draft,
  say: string,
  cautions: readonly PlanCaution[],
  compartment: number | null,
): PlanStep {
  const { step, part } = draft;
  const made: { -readonly [K in keyof PlanStep]: PlanStep[K] } = {
    id: draft.id,
    stage: draft.stage,
    part: part === null ? null : part.id,
    part_name: part === null ? null : part.name,
    action: draft.action,
    say,
    look_for: step === null ? null : lookFor(draft, step),
    why: step === null ? null : why(draft, step),
    cautions,
    fasteners: fastenersOf(draft, compartment),
    tool: draft.tool,
    measure: draft.measure,
    record: draft.record,
    renew: draft.renew,
    side: draft.side,
    hold: draft.hold,
    optional: step === null ? false : step.optional,
    note_item: draft.noteItem,
    picture: step === null ? null : step.picture,
    expected_s: draft.expected_s,
    source: step === null ? '' : step.id,
  };
  if (draft.asks !== null) made.asks = draft.asks;
  if (draft.when !== null) made.when = draft.when;
  if (step !== null) return made;
  const { source: _, ...addedStep } = made;
  return addedStep;
}

/** What a job takes from the shelf. */
export interface Supplies {
  readonly tools: readonly PlanTool[];
  readonly consumables: readonly PlanConsumable[];
}

/** Tools used and things renewed or used up by the drafts, in the order of the product file. */
export function suppliesOf(product: Product, drafts: readonly Draft[]): Supplies {
  const used = new Set<string>();
  let before: string | null = null;
  for (let i = 0; i < drafts.length; i += 1) {
    const { tool } = drafts[i] as Draft;
    if (tool === null || tool === before) continue;
    used.add(tool);
    before = tool;
  }
  const tools = product.tools.filter((t) => used.has(t.id)).map(({ id, name }) => ({ id, name }));
  return { tools, consumables: consumablesOf(product, drafts) };
}

/** Consumables first, then items and single-use fasteners. */
function consumablesOf(product: Product, drafts: readonly Draft[]): readonly PlanConsumable[] {
  const counts = new Map<string, number>();
  for (let i = 0; i < drafts.length; i += 1) {
    const draft = drafts[i] as Draft;
    for (const id of draft.renew)
      if (!(draft.item?.id === id && draft.item.kind === 'compound' && draft.renew.length > 1))
        counts.set(id, (counts.get(id) ?? 0) + renewedCount(draft, id));
  }
  const consumables: PlanConsumable[] = [];
  const take = (id: string, name: string, amount: string | null): void => {
    const count = counts.get(id);
    if (count === undefined) return;
    counts.delete(id);
    consumables.push({ id, name, amount, count });
  };
  for (const { id, name, amount } of product.consumables) take(id, name, amount ?? null);
  for (const { id, name } of product.items) take(id, name, null);
  for (const { id, name } of product.fasteners) take(id, name, null);
  return consumables;
}

function renewedCount(draft: Draft, id: string): number {
  if (draft.use !== null && draft.use.fastener.id === id) return draft.use.count;
  const action = draft.step?.action;
  return action?.kind === 'pull-strips' && action.item === id ? action.count : 1;
}

/** New parts to have at hand. */
export function newPartsOf(
  replaced: readonly Part[],
): readonly { readonly id: string; readonly name: string }[] {
  return replaced.map(({ id, name }) => ({ id, name }));
}
