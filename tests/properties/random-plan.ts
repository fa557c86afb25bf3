/**
 * Random plans for property tests: small, but with everything the step engine has to look at. They need
 * not make mechanical sense; the engine must hold its rules on any plan.
 */
import type { RandomSource } from '../../electron/core/base/random.ts';
import type {
  Compartment,
  Plan,
  PlanAction,
  PlanCaution,
  PlanFastener,
  PlanStep,
  Stage,
} from '../../electron/core/plan/model.ts';

const WORDS = ['danger', 'warning', 'caution', 'notice'] as const;
const STAGES: readonly Stage[] = ['prepare', 'remove', 'replace', 'install', 'check'];

export function randomCaution(random: RandomSource, id: string): PlanCaution {
  const word = random.pick(WORDS);
  return {
    id,
    word,
    hazard: `Hazard ${id}.`,
    consequence: 'It can hurt you.',
    avoid: 'Keep away.',
    symbol: 'general',
    say: `${word}. Hazard ${id}. It can hurt you. Keep away.`,
  };
}

function fastenersOf(random: RandomSource, tray: readonly Compartment[]): readonly PlanFastener[] {
  if (random.next() < 0.5 || tray.length === 0) return [];
  return Array.from({ length: random.integer(1, 2) }, () => {
    const place = random.pick(tray);
    return {
      fastener: place.fastener,
      name: place.name,
      count: place.count,
      thread: 'M3',
      length_mm: random.integer(0, 12),
      drive: { kind: 'hexalobular', size: 10 },
      torque_nm: random.next() < 0.5 ? 1.2 : null,
      compartment: random.next() < 0.8 ? place.number : null,
      place: place.place,
      order: random.next() < 0.3 ? [1, 3, 2, 4] : [],
      passes_nm: random.next() < 0.3 ? [0.4, 0.8, 1.2] : [],
    };
  });
}

const ACTIONS: readonly PlanAction[] = [
  'remove-fasteners',
  'install-fasteners',
  'tighten-fasteners',
  'lift-out',
  'verify-dead',
  'measure',
  'record',
  'route',
  'note-route',
  'count-tray',
  'do',
];

/** A step as a test wants it: an ordinary one with what is given in place. */
export function planStep(id: string, given: Partial<PlanStep> = {}): PlanStep {
  return {
    id,
    stage: 'remove',
    part: null,
    part_name: null,
    action: 'do',
    say: `Do ${id}.`,
    look_for: null,
    why: null,
    cautions: [],
    fasteners: [],
    tool: null,
    measure: null,
    record: null,
    renew: [],
    side: null,
    hold: null,
    optional: false,
    note_item: null,
    picture: null,
    expected_s: 20,
    ...given,
  };
}

/** A plan as a test wants it, with these steps. */
export function planOf(steps: readonly PlanStep[], given: Partial<Plan> = {}): Plan {
  return {
    format: 1,
    product: 'test-unit',
    product_name: 'test unit',
    product_revision: 1,
    replace: ['part'],
    variants: {},
    start_side: 'front',
    steps,
    tools: [{ id: 't10', name: 'T10 driver' }],
    consumables: [],
    new_parts: [],
    tray: [],
    expected_s: 100,
    order: { cost: 0, lower_bound: 0, exact: true },
    unit_serial: null,
    job_cautions: [],
    ...given,
  };
}

function randomStep(
  random: RandomSource,
  index: number,
  tray: readonly Compartment[],
  shared: PlanCaution,
): PlanStep {
  const share = (part: number): boolean => random.next() < part;
  const id = `${random.pick(STAGES)}.s${index}`;
  const step = planStep(id, {
    stage: STAGES[Math.min(4, Math.floor(index / 2))] ?? 'check',
    action: random.pick(ACTIONS),
    look_for: share(0.3) ? 'A click.' : null,
    why: share(0.3) ? 'It must be so.' : null,
    cautions: share(0.4)
      ? Array.from({ length: random.integer(1, 3) }, (_, i) =>
          share(0.3) ? shared : randomCaution(random, `h${index}-${i}`),
        )
      : [],
    fasteners: fastenersOf(random, tray),
    tool: share(0.5) ? 't10' : null,
    record: share(0.15) ? randomRecord(random, index) : null,
    hold: share(0.1) ? 'A second person looks at it.' : null,
    optional: share(0.2),
    note_item: share(0.2) ? 'cable' : null,
  });
  return share(0.25) ? { ...step, measure: randomMeasure(random, index) } : step;
}

function randomRecord(random: RandomSource, index: number): PlanStep['record'] {
  const check = random.pick(['none', 'luhn', 'iso7064-mod37-36', 'absent'] as const);
  return {
    id: `r${index}`,
    name: 'serial number',
    ...(check === 'absent' ? {} : { check }),
    max_length: 12,
  };
}

function randomMeasure(random: RandomSource, index: number): PlanStep['measure'] {
  const low = random.integer(-5, 5);
  const kind = random.integer(0, 2);
  return {
    id: `m${index}`,
    name: 'voltage',
    unit: random.pick(['V', 'N·m', 'mm']),
    ...(kind === 0 ? {} : { min: low }),
    ...(kind === 1 ? {} : { max: low + 4 }),
  };
}

/** A random plan of 1 to 8 steps. */
export function randomPlan(random: RandomSource): Plan {
  const tray: readonly Compartment[] = Array.from({ length: random.integer(0, 3) }, (_, i) => ({
    number: i + 1,
    fastener: `f${i}`,
    name: 'case screw',
    place: `place ${i}`,
    count: random.integer(1, 4),
    label: `case screw, place ${i}`,
  }));
  const shared = randomCaution(random, 'shared');
  const count = random.integer(1, 8);
  return planOf(
    Array.from({ length: count }, (_, index) => randomStep(random, index, tray, shared)),
    {
      tray,
      job_cautions: random.next() < 0.4 ? [randomCaution(random, 'job'), shared] : [],
    },
  );
}
