/**
 * The tray: one compartment for each kind of fastener from each place, numbered in the order they are
 * filled; and the ledger, what is out at any step.
 */
import type { Language } from '../base/language.ts';
import type { Fastener } from '../product/model.ts';
import type { Draft, FastenerUse } from './draft.ts';
import type { Compartment, Plan, PlanStep } from './model.ts';
import { mostTogether } from './questions.ts';
import { plural, printedNumber, singular } from './wording.ts';

/** What tells compartments apart. */
export function compartmentKey(fastener: string, place: string): string {
  return `${fastener}\u0000${place}`;
}

/** "M2.5×8", "M4" for nuts and the like. */
export function sizeText(language: Language, thread: string, length_mm: number): string {
  return length_mm > 0 ? `${thread}×${printedNumber(language, length_mm)}` : thread;
}

/** The fastener with its size as it stands in a sentence: "M2.5×8 case screw". */
export function sizedName({ thread, length_mm, name }: Fastener, language: Language): string {
  const size = sizeText(language, thread, length_mm);
  const one = singular(language, name);
  return size === '' || name.includes(size) ? one : language.plan['noun.sized']({ size, name: one });
}

/** True where what comes out goes into the tray; what does not go back has no compartment. */
export function goesToTray(use: FastenerUse): boolean {
  return use.what === 'out' && use.reused;
}

function label(use: FastenerUse, count: number, language: Language): string {
  const { name, thread, length_mm } = use.fastener;
  return language.plan['tray.label']({
    name: count === 1 ? singular(language, name) : plural(language, name),
    size: sizeText(language, thread, length_mm),
    place: language.nouns.withoutArticle(use.place),
  });
}

/** A tray laid out. */
export interface Tray {
  readonly compartments: readonly Compartment[];
  /** Compartment number by key. */
  readonly numberOf: ReadonlyMap<string, number>;
}

/** The tray of a plan. Reads drafts in plan order. */
export function layTray(drafts: readonly Draft[], language: Language): Tray {
  const numberOf = new Map<string, number>();
  const uses: { use: FastenerUse; fills: { count: number; when: Draft['when'] }[] }[] = [];
  for (let i = 0; i < drafts.length; i += 1) {
    const { use, when } = drafts[i] as Draft;
    if (use === null || !goesToTray(use)) continue;
    const known = numberOf.get(use.bin);
    if (known === undefined) {
      numberOf.set(use.bin, uses.length + 1);
      uses.push({ use, fills: [{ count: use.count, when }] });
    } else {
      uses[known - 1]?.fills.push({ count: use.count, when });
    }
  }
  const compartments = uses.map(({ use, fills }, i) => {
    const count = mostTogether(fills);
    return {
      number: i + 1,
      fastener: use.fastener.id,
      name: use.fastener.name,
      place: use.place,
      count,
      label: label(use, count, language),
    };
  });
  return { compartments, numberOf };
}

/** What is out of one compartment's place right now. */
export interface TrayLine {
  readonly compartment: number;
  readonly label: string;
  /** Fasteners in the compartment now, and how many it holds at most. */
  readonly out: number;
  readonly total: number;
}

/** +1 where the step fills compartments, −1 where it empties them, 0 where it does neither. */
export function trayDirection(step: PlanStep): -1 | 0 | 1 {
  if (step.action === 'remove-fasteners') return 1;
  if (step.action === 'install-fasteners') return -1;
  return 0;
}

/**
 * The ledger after the steps named in `doneStepIds` (in any order; unknown ids are ignored): one line for
 * each compartment of the tray. `out` may be negative or above `total` where steps were skipped.
 */
export function ledgerAfter(plan: Plan, doneStepIds: Iterable<string>): readonly TrayLine[] {
  const done = new Set(doneStepIds);
  const out = new Map<number, number>();
  for (const step of plan.steps) {
    const direction = trayDirection(step);
    if (direction === 0 || !done.has(step.id)) continue;
    for (const f of step.fasteners) {
      if (f.compartment !== null) out.set(f.compartment, (out.get(f.compartment) ?? 0) + direction * f.count);
    }
  }
  return plan.tray.map((c) => ({
    compartment: c.number,
    label: c.label,
    out: out.get(c.number) ?? 0,
    total: c.count,
  }));
}
