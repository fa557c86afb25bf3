/**
 * Random but valid units for property tests: acyclic `needs`, every reference defined, every action kind
 * reachable, hazards, variants, parts that move over, energy sources. The same seed gives the same unit.
 */
import { type RandomSource, randomFromSeed } from '../../electron/core/base/random.ts';
import type {
  Action,
  Consumable,
  Fastener,
  Hazard,
  Item,
  ItemKind,
  Part,
  Pattern,
  Product,
  ProductStep,
  Tool,
  Variant,
} from '../../electron/core/product/model.ts';

export interface RandomProductOptions {
  /** Number of parts, at least 1. */
  readonly parts: number;
  /** Chance that a part is an energy source; default 0.08. */
  readonly energy?: number;
}

const TOOLS: readonly Tool[] = [
  { id: 't8', name: 'T8 screwdriver', drive: { kind: 'hexalobular', size: 8 } },
  { id: 't10', name: 'T10 screwdriver', drive: { kind: 'hexalobular', size: 10 } },
  { id: 'hex-4', name: '4 mm hex key', drive: { kind: 'hex', size: 4 } },
  { id: 'torque', name: 'torque screwdriver', torque_range_nm: [0.1, 6] },
  { id: 'pick', name: 'plastic pick' },
  { id: 'tweezers', name: 'tweezers' },
];

const CONSUMABLES: readonly Consumable[] = [
  { id: 'compound', name: 'thermal compound', amount: 'a rice grain' },
  { id: 'grease', name: 'silicone grease' },
  { id: 'alcohol', name: 'cleaning alcohol', amount: '2 ml' },
];

const HAZARDS: readonly Hazard[] = (['danger', 'warning', 'caution', 'notice'] as const).flatMap((word, i) =>
  [1, 2].map((n) => ({
    id: `${word}-${n}`,
    word,
    hazard: `Hazard number ${n} of this kind is here`,
    consequence: i < 3 ? 'It can hurt you' : 'It can damage the unit',
    avoid: 'Keep clear of it',
    symbol: 'general' as const,
  })),
);

const FASTENERS: readonly Fastener[] = [
  ['case-screw', 'case screw', 'screw', 'M2.5', 8, 't8', 0.4],
  ['board-screw', 'board screw', 'screw', 'M3', 6, 't10', undefined],
  ['head-bolt', 'head bolt', 'bolt', 'M5', 25, 'hex-4', 4],
  ['door-screw', 'door screw', 'captive-screw', 'M3', 10, 't10', 0.9],
  ['plain-nut', 'plain nut', 'nut', 'M3', 0, undefined, 0.7],
  ['lock-nut', 'lock nut', 'nut', 'M4', 0, undefined, 1.5],
  ['washer', 'flat washer', 'washer', 'M4', 0, undefined, undefined],
  ['standoff', 'standoff', 'standoff', 'M3', 12, undefined, undefined],
].map(([id, name, kind, thread, length_mm, tool, torque_nm]) => ({
  id: id as string,
  name: name as string,
  kind: kind as Fastener['kind'],
  thread: thread as string,
  length_mm: length_mm as number,
  drive: { kind: 'hexalobular' as const, size: 8 },
  ...(tool === undefined ? {} : { tool: tool as string }),
  ...(torque_nm === undefined ? {} : { torque_nm: torque_nm as number }),
  ...(id === 'lock-nut' ? { single_use: true } : {}),
  ...(id === 'case-screw' ? { tighten_tool: 'torque' } : {}),
}));

const VARIANTS: readonly Variant[] = [
  { id: 'screws', ask: 'Does the bracket have four screws or six?', answers: ['four', 'six'] },
  { id: 'fan', ask: 'Is there a fan?', answers: ['yes', 'no'] },
];

const ITEM_NAMES: Readonly<Record<ItemKind, string>> = {
  connector: 'connector',
  'ribbon-connector': 'ribbon',
  tape: 'tape',
  strip: 'strips',
  seal: 'seal',
  cable: 'lead',
  clip: 'clip',
  compound: 'compound',
  module: 'module',
};

class Builder {
  readonly items: Item[] = [];
  private readonly random: RandomSource;
  private steps = 0;
  constructor(random: RandomSource) {
    this.random = random;
  }
  chance(p: number): boolean {
    return this.random.next() < p;
  }

  private item(kind: ItemKind): string {
    const { random } = this;
    const id = `item-${this.items.length + 1}`;
    const renew = random.pick(['always', 'if-needed', 'never', 'unsaid'] as const);
    this.items.push({
      id,
      kind,
      name: `${ITEM_NAMES[kind]} ${this.items.length + 1}`,
      ...(renew === 'unsaid' ? {} : { renew }),
      ...(kind === 'seal' && this.chance(0.6) ? { uses: ['grease'] } : {}),
      ...(kind === 'compound' ? { uses: ['compound'] } : {}),
      ...(kind === 'strip' ? { orientation: 'tabs up' } : {}),
      ...(kind === 'cable' ? { route: 'under the clip' } : {}),
      ...(this.chance(0.4) ? { seated: 'the latch clicks' } : {}),
    });
    return id;
  }

  private fastenerAction(place: string): Action {
    const { random } = this;
    const pattern = random.pick<Pattern>(['any', 'any', 'numbered', 'cross', 'centre-out', 'in-line']);
    const passes = this.chance(0.3)
      ? {
          passes: random.pick([
            [30, 60, 100],
            [50, 100],
            [20, 40, 80, 100],
          ]),
        }
      : {};
    return {
      kind: this.chance(0.8) ? 'remove-fasteners' : 'loosen-fasteners',
      fastener: random.pick(FASTENERS).id,
      count: random.integer(1, 12),
      place,
      pattern,
      ...passes,
    };
  }

  private action(place: string): Action {
    const { random } = this;
    const what = `spot ${random.integer(1, 99)}`;
    const makers: readonly (() => Action)[] = [
      () => this.fastenerAction(place),
      () => this.fastenerAction(place),
      () => this.fastenerAction(place),
      () => ({ kind: 'disconnect', item: this.item('connector') }),
      () => ({ kind: 'release-ribbon', item: this.item('ribbon-connector') }),
      () => ({ kind: 'peel-tape', item: this.item('tape') }),
      () => ({ kind: 'pull-strips', item: this.item('strip'), count: random.integer(1, 4) }),
      () => ({ kind: 'take-out-seal', item: this.item('seal') }),
      () => ({
        kind: 'unroute',
        item: this.item('cable'),
        partly: this.chance(0.4),
        note_route: this.chance(0.6),
      }),
      () => ({ kind: 'lift-off-pins' }),
      () => ({ kind: 'open-arms' }),
      () => ({ kind: 'slide-out' }),
      () => ({ kind: 'unclip', count: random.integer(1, 5) }),
      () => ({ kind: 'part-edges' }),
      () => ({ kind: 'lift-out' }),
      () => ({ kind: 'separate-heat-sink', item: this.item('compound') }),
      () => ({ kind: 'open-to-angle', angle_deg: random.integer(20, 120) }),
      () => ({ kind: 'support' }),
      () => ({ kind: 'inspect', what }),
      () => ({ kind: 'clean', what, uses: ['alcohol'] }),
      () => ({ kind: 'measure', measure: { id: `m-${this.steps}`, name: 'voltage', unit: 'V', max: 5 } }),
      () => ({ kind: 'record', record: { id: `r-${this.steps}`, name: 'code' } }),
      () => ({
        kind: 'do',
        what: `Turn ${what}`,
        ...(this.chance(0.5) ? { back: `Turn ${what} back` } : {}),
      }),
      () => ({ kind: 'isolate', what }),
      () => ({ kind: 'discharge', what }),
    ];
    // Isolation inside a part is rare.
    return random.pick(this.chance(0.9) ? makers.slice(0, -2) : makers)();
  }

  step(place: string, action: Action = this.action(place)): ProductStep {
    const { random } = this;
    this.steps += 1;
    const variant = random.pick(VARIANTS);
    return {
      id: `step-${this.steps}`,
      action,
      hazards: this.chance(0.2) ? [random.pick(HAZARDS).id, random.pick(HAZARDS).id] : [],
      ...(this.chance(0.1) ? { hazards_back: [random.pick(HAZARDS).id] } : {}),
      ...(this.chance(0.3) ? { side: random.pick(['front', 'back', 'left']) } : {}),
      ...(this.chance(0.2) ? { tool: random.pick(TOOLS).id } : {}),
      ...(this.chance(0.1) ? { expected_s: random.integer(5, 90) } : {}),
      ...(this.chance(0.1) ? { hold: 'Second person checks' } : {}),
      ...(this.chance(0.15) ? { when: { variant: variant.id, is: random.pick(variant.answers) } } : {}),
      ...(this.chance(0.1) ? { optional: true } : {}),
      ...(this.chance(0.05) ? { say_back: 'Put this back with 3 turns.' } : {}),
      way: random.pick(['both', 'both', 'both', 'both', 'both', 'in', 'out'] as const),
    };
  }
}

/** A random unit. Parts later in the list need only earlier ones; `install_after` never contradicts that. */
export function randomProduct(seed: number, options: RandomProductOptions): Product {
  const random = randomFromSeed(seed);
  const builder = new Builder(random);
  const count = Math.max(1, options.parts);
  const partId = (i: number): string => `part-${i + 1}`;
  const parts: Part[] = [];
  for (let i = 0; i < count; i += 1) {
    const place = builder.chance(0.25) ? 'frame' : `place ${i + 1}`;
    const needs = new Set<string>();
    if (i > 0) {
      const wanted = random.integer(0, 3);
      // Mostly neighbours, so that closures of large units do not become the whole unit.
      for (let n = 0; n < wanted; n += 1) needs.add(partId(Math.max(0, i - random.integer(1, 6))));
    }
    const carries = i + 1 < count && builder.chance(0.25) ? [partId(random.integer(0, count - 1))] : [];
    const after = i + 1 < count && builder.chance(0.15) ? [partId(random.integer(i + 1, count - 1))] : [];
    parts.push({
      id: partId(i),
      name: `${random.pick(['cover', 'board', 'bracket', 'frame', 'module', 'shield'])} ${i + 1}`,
      plural: builder.chance(0.1),
      needs: [...needs],
      carries: carries.filter((c) => c !== partId(i)),
      replaceable: true,
      ...(builder.chance(0.2) ? { serial: { id: `serial-${i + 1}`, name: 'serial number' } } : {}),
      steps: Array.from({ length: random.integer(builder.chance(0.1) ? 0 : 1, 5) }, () =>
        builder.step(place),
      ),
      install_after: after,
      new_part_steps: builder.chance(0.2)
        ? [builder.step(place, { kind: 'do', what: 'Remove the film' })]
        : [],
      energy_source: builder.chance(options.energy ?? 0.08),
    });
  }
  const prepare = builder.chance(0.6)
    ? [
        builder.step('unit', { kind: 'isolate', what: 'mains supply' }),
        builder.step('unit', { kind: 'discharge', what: 'capacitors' }),
        builder.step('unit'),
      ]
    : [];
  const checks = [
    builder.step('unit', { kind: 'inspect', what: 'unit' }),
    builder.step('unit', {
      kind: 'measure',
      measure: { id: 'final', name: 'output voltage', unit: 'V', min: 4.9, max: 5.1 },
    }),
  ].map((s) => (s.way === 'out' ? { ...s, way: 'both' as const } : s));
  return {
    format: 1,
    id: `unit-${seed}`,
    name: 'random unit',
    revision: 1,
    summary: 'A random unit for tests.',
    start_side: 'front',
    tools: TOOLS,
    consumables: CONSUMABLES,
    hazards: HAZARDS,
    fasteners: FASTENERS,
    items: builder.items,
    variants: VARIANTS,
    job_hazards: builder.chance(0.5) ? [random.pick(HAZARDS).id] : [],
    prepare,
    parts,
    checks,
    ...(builder.chance(0.5) ? { unit_serial: { id: 'unit', name: 'serial number' } } : {}),
  };
}

/** A job for a random unit: one to three parts, and an answer to each variant. */
export function randomRequest(
  product: Product,
  seed: number,
): { readonly replace: readonly string[]; readonly variants: Readonly<Record<string, string>> } {
  const random = randomFromSeed(seed ^ 0x5bd1e995);
  const wanted = random.integer(1, Math.min(3, product.parts.length));
  const replace = Array.from({ length: wanted }, () => random.pick(product.parts).id);
  return {
    replace: [...new Set(replace)],
    variants: Object.fromEntries(product.variants.map((v) => [v.id, random.pick(v.answers)])),
  };
}
