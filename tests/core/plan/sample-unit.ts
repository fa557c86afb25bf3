/** A small unit for tests of the planner: every action kind at least once. Our own invention. */
import type { Action, Part, Product, ProductStep } from '../../../electron/core/product/model.ts';

/** A step with defaults. */
export function step(id: string, action: Action, more: Partial<ProductStep> = {}): ProductStep {
  return { id, action, hazards: [], way: 'both', ...more };
}

/** A part with defaults. */
export function part(id: string, name: string, more: Partial<Part> = {}): Part {
  return {
    id,
    name,
    plural: false,
    needs: [],
    carries: [],
    replaceable: true,
    steps: [step(`${id}-out`, { kind: 'lift-out' })],
    install_after: [],
    new_part_steps: [],
    energy_source: false,
    ...more,
  };
}

/** A product with defaults. */
export function product(more: Partial<Product> = {}): Product {
  return {
    format: 1,
    id: 'unit-1',
    name: 'test unit',
    revision: 1,
    summary: 'A unit for tests.',
    start_side: 'front',
    tools: [],
    consumables: [],
    hazards: [],
    fasteners: [],
    items: [],
    variants: [],
    job_hazards: [],
    prepare: [],
    parts: [],
    checks: [],
    ...more,
  };
}

/** Removal of fasteners. */
export function screws(
  id: string,
  fastener: string,
  count: number,
  place: string,
  more: Partial<ProductStep> = {},
): ProductStep {
  return step(id, { kind: 'remove-fasteners', fastener, count, place, pattern: 'any' }, more);
}

/** A bench meter with a pack, a board on carriers, a sealed head and a heat sink. */
export const METER: Product = product({
  id: 'meter-1',
  name: 'bench meter',
  tools: [
    { id: 't8', name: 'T8 screwdriver', drive: { kind: 'hexalobular', size: 8 } },
    { id: 't8-torque', name: 'T8 torque screwdriver', drive: { kind: 'hexalobular', size: 8 } },
    { id: 'hex-4', name: '4 mm hex key', drive: { kind: 'hex', size: 4 } },
    { id: 'pick', name: 'plastic pick' },
  ],
  consumables: [
    { id: 'compound', name: 'thermal compound', amount: 'a rice grain' },
    { id: 'grease', name: 'silicone grease' },
    { id: 'alcohol', name: 'cleaning alcohol', amount: '2 ml' },
  ],
  hazards: [
    {
      id: 'charge',
      word: 'warning',
      hazard: 'The capacitors hold a charge',
      consequence: 'A shock can kill you',
      avoid: 'Discharge them before you touch the board',
      symbol: 'stored-energy',
    },
    {
      id: 'esd',
      word: 'notice',
      hazard: 'Static charge destroys the board',
      consequence: 'The unit fails later',
      avoid: 'Wear a wrist strap',
      symbol: 'esd',
    },
    {
      id: 'pinch',
      word: 'caution',
      hazard: 'The display can fall',
      consequence: 'It can hurt your fingers',
      avoid: 'Hold it with one hand',
      symbol: 'pinch',
    },
  ],
  fasteners: [
    {
      id: 'case-screw',
      name: 'case screw',
      kind: 'screw',
      thread: 'M2.5',
      length_mm: 8,
      drive: { kind: 'hexalobular', size: 8 },
      torque_nm: 0.4,
      tool: 't8',
      tighten_tool: 't8-torque',
    },
    {
      id: 'head-bolt',
      name: 'head bolt',
      kind: 'bolt',
      thread: 'M5',
      length_mm: 25,
      drive: { kind: 'hex', size: 4 },
      torque_nm: 4,
      tool: 'hex-4',
    },
    {
      id: 'door-screw',
      name: 'door screw',
      kind: 'captive-screw',
      thread: 'M3',
      length_mm: 10,
      drive: { kind: 'hexalobular', size: 8 },
      tool: 't8',
    },
    {
      id: 'lock-nut',
      name: 'lock nut',
      kind: 'nut',
      thread: 'M3',
      length_mm: 0,
      drive: { kind: 'hex-head', size: 5.5 },
      single_use: true,
    },
    {
      id: 'flat-washer',
      name: 'flat washer',
      kind: 'washer',
      thread: 'M3',
      length_mm: 0,
      drive: { kind: 'none', size: 0 },
    },
  ],
  items: [
    { id: 'pack-plug', kind: 'connector', name: 'pack connector', seated: 'the latch clicks' },
    { id: 'ribbon', kind: 'ribbon-connector', name: 'display ribbon', seated: 'the white line is level' },
    { id: 'tape', kind: 'tape', name: 'retention tape', renew: 'if-needed' },
    { id: 'strips', kind: 'strip', name: 'stretch strips', orientation: 'tabs toward the pack' },
    { id: 'ring', kind: 'seal', name: 'O-ring', uses: ['grease'] },
    { id: 'lead', kind: 'cable', name: 'antenna lead', route: 'under the clip, left of the pack' },
    { id: 'pad', kind: 'compound', name: 'thermal compound', uses: ['compound'] },
  ],
  variants: [
    { id: 'sink-screws', ask: 'Does the heat sink have four screws or six?', answers: ['four', 'six'] },
  ],
  job_hazards: ['esd'],
  unit_serial: { id: 'unit', name: 'serial number of the unit' },
  prepare: [
    step('mains-off', { kind: 'isolate', what: 'mains supply' }, { hazards: ['charge'] }),
    step('drain', { kind: 'discharge', what: 'capacitors' }, { hazards: ['charge'] }),
    step('dead', {
      kind: 'verify-dead',
      what: 'supply rails',
      measure: { id: 'rail', name: 'rail voltage', unit: 'V', max: 5 },
    }),
  ],
  parts: [
    part('cover', 'back cover', {
      steps: [
        screws('cover-screws', 'case-screw', 4, 'back cover', { side: 'back' }),
        step('cover-edges', { kind: 'part-edges' }, { tool: 'pick', side: 'back' }),
        step('cover-seal', { kind: 'take-out-seal', item: 'ring' }),
      ],
    }),
    part('door', 'service door', {
      needs: ['cover'],
      steps: [
        step('door-loosen', {
          kind: 'loosen-fasteners',
          fastener: 'door-screw',
          count: 2,
          place: 'service door',
          pattern: 'numbered',
        }),
        step('door-hold', { kind: 'support' }),
        step('door-open', { kind: 'open-to-angle', angle_deg: 90 }, { hazards: ['pinch'] }),
      ],
    }),
    part('pack', 'battery pack', {
      needs: ['cover'],
      energy_source: true,
      serial: { id: 'pack-serial', name: 'serial number', check: 'none' },
      steps: [
        step('pack-unplug', { kind: 'disconnect', item: 'pack-plug' }),
        step('pack-strips', { kind: 'pull-strips', item: 'strips', count: 2 }),
        step('pack-out', { kind: 'lift-out' }),
      ],
    }),
    part('display', 'display', {
      needs: ['cover', 'door'],
      steps: [
        step('display-ribbon', { kind: 'release-ribbon', item: 'ribbon' }),
        step('display-tape', { kind: 'peel-tape', item: 'tape' }),
        step('display-clips', { kind: 'unclip', count: 3 }, { supporting: 'cover' }),
      ],
    }),
    part('sink', 'heat sink', {
      needs: ['door'],
      steps: [
        step(
          'sink-four',
          {
            kind: 'remove-fasteners',
            fastener: 'case-screw',
            count: 4,
            place: 'heat sink',
            pattern: 'cross',
          },
          { when: { variant: 'sink-screws', is: 'four' } },
        ),
        step(
          'sink-six',
          {
            kind: 'remove-fasteners',
            fastener: 'case-screw',
            count: 6,
            place: 'heat sink',
            pattern: 'cross',
          },
          { when: { variant: 'sink-screws', is: 'six' } },
        ),
        step('sink-off', { kind: 'separate-heat-sink', item: 'pad' }),
      ],
    }),
    part('board', 'main board', {
      needs: ['door', 'pack'],
      carries: ['radio', 'memory'],
      serial: { id: 'board-serial', name: 'serial number', check: 'none' },
      steps: [
        step('board-lead', { kind: 'unroute', item: 'lead', partly: false, note_route: true }),
        screws('board-nuts', 'lock-nut', 3, 'main board'),
        screws('board-washers', 'flat-washer', 3, 'main board'),
        step('board-lift', { kind: 'lift-off-pins' }, { hazards: ['charge', 'esd'] }),
      ],
      new_part_steps: [step('board-film', { kind: 'do', what: 'Remove the film from the new board' })],
    }),
    part('radio', 'radio module', { needs: [], steps: [step('radio-slide', { kind: 'slide-out' })] }),
    part('memory', 'memory module', { needs: [], steps: [step('memory-arms', { kind: 'open-arms' })] }),
    part('head', 'pump head', {
      needs: ['cover'],
      steps: [
        step('head-bolts', {
          kind: 'remove-fasteners',
          fastener: 'head-bolt',
          count: 8,
          place: 'pump head',
          pattern: 'cross',
          passes: [30, 60, 100],
        }),
        step('head-out', { kind: 'lift-out' }),
        step(
          'head-clean',
          { kind: 'clean', what: 'sealing faces', uses: ['alcohol'] },
          { way: 'out', why: 'Dirt makes the head leak.' },
        ),
      ],
    }),
  ],
  checks: [
    step(
      'earth',
      { kind: 'measure', measure: { id: 'earth', name: 'earth resistance', unit: 'Ω', max: 0.1 } },
      { way: 'in' },
    ),
    step('output', {
      kind: 'measure',
      measure: { id: 'out', name: 'output voltage', unit: 'V', min: 4.9, max: 5.1 },
    }),
  ],
});
