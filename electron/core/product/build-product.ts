/**
 * From the file's shape to the product: flat steps become `action: {kind, …}`, defaults are filled in,
 * cautions standing alone are moved into the step they belong to, and mirrored steps are written out.
 * What cannot be built (a mirror of nothing, a caution after its step) becomes a finding.
 */
import type { Diagnostic } from '../base/diagnostic.ts';
import { limitedSuggestions } from './closest-word.ts';
import type { Action, Item, Measure, Part, Product, ProductStep, RecordField } from './model.ts';
import type { FileAnyStep, FileCaution, FileMirror, FilePart, FileStep, ProductFile } from './schema.ts';
import type { Path } from './yaml-document.ts';

/** A product with the path in the file of each of its steps. */
export interface BuiltProduct {
  readonly product: Product;
  readonly stepPaths: ReadonlyMap<ProductStep, Path>;
  readonly findings: readonly (Omit<Diagnostic, 'place'> & { readonly path: Path })[];
}

/** Builds a product. `readable` lists step ids that stand in the file but could not be read themselves. */
export function buildProduct(file: ProductFile, readable: ReadonlySet<string> = new Set()): BuiltProduct {
  const builder = new Builder(file, readable);
  return builder.build();
}

class Builder {
  readonly #file: ProductFile;
  readonly #unread: ReadonlySet<string>;
  readonly #closestWord = limitedSuggestions();
  readonly #stepPaths = new Map<ProductStep, Path>();
  readonly #findings: (Omit<Diagnostic, 'place'> & { readonly path: Path })[] = [];
  /** Every plainly written step with the place it would have by default, for mirrors. */
  readonly #written = new Map<string, { step: FileStep; place: string }>();

  constructor(file: ProductFile, unread: ReadonlySet<string>) {
    this.#file = file;
    this.#unread = unread;
  }

  build(): BuiltProduct {
    const file = this.#file;
    this.#collect(file.prepare, 'unit');
    for (const part of file.parts) {
      this.#collect(part.steps, part.name);
      this.#collect(part.new_part_steps, part.name);
    }
    this.#collect(file.checks, 'unit');
    const product: Product = {
      format: 1,
      id: file.id,
      name: file.name,
      revision: file.revision,
      summary: file.summary,
      start_side: file.start_side,
      tools: (file.tools ?? []).map(defined),
      consumables: (file.consumables ?? []).map(defined),
      hazards: file.hazards ?? [],
      fasteners: (file.fasteners ?? []).map(defined),
      items: (file.items ?? []).map((item) => ({
        ...defined(item),
        renew: item.renew ?? usualRenewal(item.kind),
      })),
      variants: (file.variants ?? []).map(({ asked, ...variant }) =>
        asked === undefined ? variant : { ...variant, asked },
      ),
      job_hazards: file.job_hazards ?? [],
      prepare: this.#steps(file.prepare, ['prepare'], 'unit'),
      parts: file.parts.map((part, index) => this.#part(part, ['parts', index])),
      checks: this.#steps(file.checks, ['checks'], 'unit'),
      ...(file.unit_serial ? { unit_serial: recordField(file.unit_serial) } : {}),
    };
    return { product, stepPaths: this.#stepPaths, findings: this.#findings };
  }

  #collect(steps: readonly FileAnyStep[] | undefined, place: string): void {
    for (const step of steps ?? []) {
      if ('do' in step && step.do !== 'caution' && !this.#written.has(step.id)) {
        this.#written.set(step.id, { step, place });
      }
    }
  }

  #part(part: FilePart, path: Path): Part {
    return {
      id: part.id,
      name: part.name,
      plural: part.plural ?? false,
      needs: part.needs ?? [],
      carries: part.carries ?? [],
      replaceable: part.replaceable ?? true,
      ...(part.serial ? { serial: recordField(part.serial) } : {}),
      steps: this.#steps(part.steps, [...path, 'steps'], part.name),
      install_after: part.install_after ?? [],
      new_part_steps: this.#steps(part.new_part_steps, [...path, 'new_part_steps'], part.name),
      energy_source: part.energy_source ?? false,
    };
  }

  #steps(steps: readonly FileAnyStep[] | undefined, path: Path, place: string): ProductStep[] {
    const list = steps ?? [];
    const cautions = this.#cautionsByStep(list, path);
    const built: ProductStep[] = [];
    for (const [index, raw] of list.entries()) {
      if (isCaution(raw)) continue;
      const here = [...path, index];
      const step = 'do' in raw ? stepOf(raw, place) : this.#mirror(raw, here);
      if (!step) continue;
      const added = cautions.get(raw.id) ?? [];
      const whole =
        added.length === 0 ? step : { ...step, hazards: [...new Set([...added, ...step.hazards])] };
      this.#stepPaths.set(whole, here);
      built.push(whole);
    }
    return built;
  }

  /** Hazards of the cautions that stand alone, by the step they come before. */
  #cautionsByStep(list: readonly FileAnyStep[], path: Path): Map<string, string[]> {
    const result = new Map<string, string[]>();
    for (const [index, raw] of list.entries()) {
      if (!isCaution(raw)) continue;
      const here = [...path, index];
      const following = list.slice(index + 1).find((each) => !isCaution(each));
      const target = raw.before ?? (following && !isCaution(following) ? following.id : undefined);
      const position = list.findIndex((each) => !isCaution(each) && each.id === target);
      if (target === undefined || (position >= 0 && position < index)) {
        const facts = { hazard: raw.hazard, step: target ?? '' };
        this.#findings.push({ code: 'product/caution-after-step', severity: 'error', facts, path: here });
      } else if (position < 0) {
        this.#unknownStep(
          target,
          list.flatMap((each) => (isCaution(each) ? [] : [each.id])),
          [...here, 'before'],
        );
      } else {
        result.set(target, [...(result.get(target) ?? []), raw.hazard]);
      }
    }
    return result;
  }

  #unknownStep(id: string, known: Iterable<string>, path: Path): void {
    if (this.#unread.has(id)) return;
    const suggestion = this.#closestWord(id, known);
    const facts = { id, ...(suggestion === undefined ? {} : { suggestion }) };
    this.#findings.push({ code: 'product/unknown-step', severity: 'error', facts, path });
  }

  #mirror(raw: FileMirror, path: Path): ProductStep | undefined {
    const original = this.#written.get(raw.mirrors);
    if (!original) {
      this.#unknownStep(raw.mirrors, this.#written.keys(), [...path, 'mirrors']);
      return undefined;
    }
    const first = stepOf(original.step, original.place);
    const side = raw.side_word;
    const action = this.#mirrorAction(first.action, raw, path);
    const texts = Object.fromEntries(
      (['say', 'say_back', 'why', 'why_back', 'look_for', 'look_for_back'] as const).flatMap((key) =>
        first[key] === undefined ? [] : [[key, otherSide(first[key], side) ?? first[key]]],
      ),
    );
    const own = commonFields(raw);
    return {
      ...first,
      ...texts,
      ...own,
      hazards: raw.hazards ?? first.hazards,
      way: raw.way ?? first.way,
      action,
      id: raw.id,
      mirrors: raw.mirrors,
      side_word: side,
    };
  }

  #mirrorAction(action: Action, raw: FileMirror, path: Path): Action {
    if ('place' in action) {
      const place = raw.place ?? otherSide(action.place, raw.side_word) ?? `${raw.side_word} ${action.place}`;
      return { ...action, place };
    }
    if ('item' in action) {
      const guess = otherSide(action.item, raw.side_word);
      const known = (this.#file.items ?? []).some((item) => item.id === guess);
      const item = raw.item ?? (known ? guess : undefined);
      if (item !== undefined) return { ...action, item };
      const facts = { step: raw.id, mirrors: raw.mirrors, item: action.item };
      this.#findings.push({ code: 'product/mirror-without-item', severity: 'error', facts, path });
      return action;
    }
    if ('what' in action) {
      return { ...action, what: raw.what ?? otherSide(action.what, raw.side_word) ?? action.what };
    }
    return action;
  }
}

const OPPOSITE: Readonly<Record<string, string>> = {
  left: 'right',
  right: 'left',
  front: 'rear',
  rear: 'front',
  back: 'front',
  top: 'bottom',
  bottom: 'top',
  upper: 'lower',
  lower: 'upper',
  inner: 'outer',
  outer: 'inner',
  first: 'second',
  second: 'first',
};

/** The text with the opposite of the side word replaced by it, or undefined where it does not occur. */
function otherSide(text: string, side: string): string | undefined {
  const from = OPPOSITE[side];
  if (from === undefined) return undefined;
  let found = false;
  const words = text.split(/([a-zA-Z]+)/).map((piece) => {
    if (piece.toLowerCase() !== from) return piece;
    found = true;
    return piece[0] === piece[0]?.toUpperCase() ? side.charAt(0).toUpperCase() + side.slice(1) : side;
  });
  return found ? words.join('') : undefined;
}

function isCaution(step: FileAnyStep): step is FileCaution {
  return 'do' in step && step.do === 'caution';
}

/** What is renewed at every removal where the author does not say: single-use things always. */
export function usualRenewal(kind: Item['kind']): NonNullable<Item['renew']> {
  if (kind === 'strip' || kind === 'seal' || kind === 'compound') return 'always';
  return kind === 'tape' ? 'if-needed' : 'never';
}

/** A copy without keys whose value is undefined (zod leaves them out, its types do not say so). */
type Defined<T> = { [K in keyof T]: Exclude<T[K], undefined> };
function defined<T extends object>(value: T): Defined<T> {
  return Object.fromEntries(Object.entries(value).filter(([, each]) => each !== undefined)) as Defined<T>;
}

function recordField(raw: NonNullable<ProductFile['unit_serial']>): RecordField {
  return { check: 'none', ...defined(raw) };
}

function measureOf(
  raw: { readonly [K in keyof Measure]: Measure[K] | undefined } & Pick<Measure, 'id' | 'name' | 'unit'>,
): Measure {
  return { decimals: 2, ...defined(raw) };
}

function commonFields(raw: FileStep | FileMirror): Partial<ProductStep> {
  const { say, say_back, tool, supporting, hazards_back, side, expected_s, expected_back_s } = raw;
  const { why, why_back, look_for, look_for_back, hold, picture, when, optional } = raw;
  return defined({
    say,
    say_back,
    tool,
    supporting,
    hazards_back,
    side,
    expected_s,
    expected_back_s,
    why,
    why_back,
    look_for,
    look_for_back,
    hold,
    when,
    optional,
    picture: picture && { file: picture.file, alt: picture.alt, marks: picture.marks ?? [] },
  }) as Partial<ProductStep>;
}

function stepOf(raw: FileStep, place: string): ProductStep {
  return {
    id: raw.id,
    action: actionOf(raw, place),
    ...commonFields(raw),
    ...('finds' in raw && raw.finds !== undefined ? { finds: raw.finds } : {}),
    hazards: raw.hazards ?? [],
    way: raw.way ?? 'both',
  };
}

function actionOf(raw: FileStep, place: string): Action {
  switch (raw.do) {
    case 'remove-fasteners':
    case 'loosen-fasteners': {
      const { fastener, count, passes } = raw;
      const base = {
        kind: raw.do,
        fastener,
        count,
        place: raw.place ?? place,
        pattern: raw.pattern ?? 'any',
      } as const;
      return passes ? { ...base, passes } : base;
    }
    case 'disconnect':
    case 'release-ribbon':
    case 'peel-tape':
    case 'take-out-seal':
    case 'separate-heat-sink':
      return { kind: raw.do, item: raw.item };
    case 'pull-strips':
      return { kind: raw.do, item: raw.item, count: raw.count };
    case 'unroute':
      return {
        kind: raw.do,
        item: raw.item,
        partly: raw.partly ?? false,
        note_route: raw.note_route ?? true,
      };
    case 'unclip':
      return { kind: raw.do, count: raw.count };
    case 'open-to-angle':
      return { kind: raw.do, angle_deg: raw.angle_deg };
    case 'isolate':
    case 'discharge':
    case 'verify-dead':
      return raw.measure
        ? { kind: raw.do, what: raw.what, measure: measureOf(raw.measure) }
        : { kind: raw.do, what: raw.what };
    case 'inspect':
    case 'clean':
      return raw.uses ? { kind: raw.do, what: raw.what, uses: raw.uses } : { kind: raw.do, what: raw.what };
    case 'measure':
      return { kind: raw.do, measure: measureOf(raw.measure) };
    case 'record':
      return { kind: raw.do, record: recordField(raw.record) };
    case 'do':
      return raw.back === undefined
        ? { kind: raw.do, what: raw.what }
        : { kind: raw.do, what: raw.what, back: raw.back };
    default:
      return { kind: raw.do };
  }
}
