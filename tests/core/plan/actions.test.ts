/**
 * The table of ways in and out: every action has its own sentence in each direction, its inverse, and what a
 * plain reversal forgets. The proof has to hold for each, and has to miss the way back where it is taken out.
 */
import { describe, expect, test } from 'vitest';
import type { PlanStep } from '../../../electron/core/plan/model.ts';
import { planJob } from '../../../electron/core/plan/plan-job.ts';
import { provePlan } from '../../../electron/core/plan/proof.ts';
import type { Action, Item, Product } from '../../../electron/core/product/model.ts';
import { part, product, step } from './sample-unit.ts';

const ITEMS: readonly Item[] = [
  { id: 'plug', kind: 'connector', name: 'fan plug', seated: 'the latch clicks' },
  { id: 'ribbon', kind: 'ribbon-connector', name: 'display ribbon' },
  { id: 'tape', kind: 'tape', name: 'copper tape', renew: 'if-needed' },
  { id: 'strips', kind: 'strip', name: 'adhesive strips', orientation: 'tabs up' },
  { id: 'seal', kind: 'seal', name: 'lid ring', uses: ['grease'] },
  { id: 'lead', kind: 'cable', name: 'fan lead', route: 'under the clip' },
  { id: 'paste', kind: 'compound', name: 'thermal compound', uses: ['compound'] },
];

function unitWith(action: Action): Product {
  return product({
    tools: [{ id: 't8', name: 'T8 screwdriver' }],
    consumables: [
      { id: 'grease', name: 'silicone grease' },
      { id: 'compound', name: 'new compound' },
    ],
    fasteners: [
      {
        id: 'screw',
        name: 'lid screw',
        kind: 'screw',
        thread: 'M3',
        length_mm: 8,
        drive: { kind: 'hexalobular', size: 8 },
        torque_nm: 0.5,
        tool: 't8',
      },
    ],
    items: ITEMS,
    parts: [part('lid', 'lid', { steps: [step('act', action)] })],
  });
}

const MEASURE = { id: 'volts', name: 'voltage', unit: 'V', max: 5 };
const SCREWS = { fastener: 'screw', count: 4, place: 'lid', pattern: 'numbered', passes: [50, 100] } as const;

/** Action, words of the way in, then for each step of the way back its action and words. */
const TABLE: readonly (readonly [Action, string, readonly (readonly [PlanStep['action'], string])[]])[] = [
  [
    { kind: 'remove-fasteners', ...SCREWS },
    'First loosen the four lid screws in this order: 1, 2, 3, 4. Remove the four M3×8 lid screws from the lid. Put them in compartment one.',
    [
      [
        'install-fasteners',
        'Take the four M3×8 lid screws from compartment one. Start them by hand in the lid.',
      ],
      [
        'tighten-fasteners',
        'in two passes. Keep to this order in each pass: 1, 2, 3, 4. First pass: 0.25 N·m. Second pass: 0.5 N·m.',
      ],
    ],
  ],
  [
    { kind: 'loosen-fasteners', ...SCREWS },
    'Loosen them in this order: 1, 2, 3, 4. Do not remove them.',
    [['tighten-fasteners', 'Keep to this order in each pass: 1, 2, 3, 4.']],
  ],
  [
    { kind: 'disconnect', item: 'plug' },
    'Disconnect the fan plug.',
    [['connect', 'Connect the fan plug. Push it in until it is fully seated. Check this: the latch clicks.']],
  ],
  [
    { kind: 'release-ribbon', item: 'ribbon' },
    'Look which side the contacts face. Lift the locking bar of the display ribbon.',
    [
      [
        'insert-ribbon',
        'face the correct side. Insert the ribbon square, up to its depth line. Close the locking bar.',
      ],
    ],
  ],
  [
    { kind: 'peel-tape', item: 'tape' },
    'Peel off the copper tape slowly.',
    [['apply-tape', 'If it does not hold, use new tape.']],
  ],
  [
    { kind: 'pull-strips', item: 'strips', count: 2 },
    'one at a time. Pull slowly, at a low angle. Discard them.',
    [
      ['clean', 'Clean the two bonding faces of the lid.'],
      ['bond-strips', 'Use this orientation: tabs up.'],
    ],
  ],
  [
    { kind: 'take-out-seal', item: 'seal' },
    'Take out the lid ring. Discard it. Do not scratch the groove.',
    [['fit-seal', 'Put silicone grease on the new lid ring. Fit the new lid ring.']],
  ],
  [
    { kind: 'unroute', item: 'lead', partly: true, note_route: true },
    'Take a part of the fan lead out of its channel. Leave the rest in place.',
    [['route', 'The route: under the clip. Compare it with the route that you noted.']],
  ],
  [
    { kind: 'lift-off-pins' },
    'straight off its alignment pins.',
    [['seat-on-pins', 'Align the lid with the alignment pins.']],
  ],
  [
    { kind: 'open-arms' },
    'Push the two arms outward. Pull out the lid by the edges.',
    [['press-in', 'Align the notch of the lid with the key.']],
  ],
  [{ kind: 'slide-out' }, 'Slide out the lid.', [['slide-in', 'Slide in the lid fully.']]],
  [
    { kind: 'unclip', count: 3 },
    'Release the three clips of the lid.',
    [['clip', 'Make sure that all three clips lock.']],
  ],
  [
    { kind: 'part-edges' },
    'Open a gap at the edges of the lid.',
    [['press-edges', 'Make sure that there is no gap.']],
  ],
  [{ kind: 'lift-out' }, 'Lift out the lid.', [['put-in', 'Put the lid in place.']]],
  [
    { kind: 'separate-heat-sink', item: 'paste' },
    'Separate the lid with a slow twist. Remove the old thermal compound from the two faces.',
    [
      ['clean', 'Clean the two faces of the lid.'],
      ['fit-heat-sink', 'Apply new'],
    ],
  ],
  [
    { kind: 'open-to-angle', angle_deg: 60 },
    'Open the lid to 60°. Do not open it further.',
    [['close', 'Close the lid.']],
  ],
  [{ kind: 'support' }, 'Hold the lid so that it cannot fall.', [['support', 'Hold the lid']]],
  [{ kind: 'isolate', what: 'supply' }, 'Isolate the supply.', [['restore-energy', 'Restore the supply.']]],
  [
    { kind: 'do', what: 'Open the valve', back: 'Close the valve' },
    'Open the valve.',
    [['do', 'Close the valve.']],
  ],
  [{ kind: 'do', what: 'Open the valve' }, 'Open the valve.', []],
  [{ kind: 'discharge', what: 'bank', measure: MEASURE }, 'Discharge the bank. Measure the voltage.', []],
  [{ kind: 'verify-dead', what: 'bank' }, 'Make sure that the bank is dead.', []],
  [{ kind: 'inspect', what: 'groove' }, 'Examine the groove.', []],
  [{ kind: 'clean', what: 'groove', uses: ['grease'] }, 'Clean the groove with silicone grease.', []],
  [{ kind: 'measure', measure: MEASURE }, 'It must be at most 5 V. Say the reading.', []],
  [{ kind: 'record', record: { id: 'r', name: 'date code' } }, 'Read the date code.', []],
];

describe('ways in and out', () => {
  test.each(TABLE.map((row) => [row[0].kind, ...row] as const))('%s', (_kind, action, wayIn, back) => {
    const unit = unitWith(action);
    const made = planJob(unit, { replace: ['lid'], variants: {} });
    if (!made.ok) throw new Error(JSON.stringify(made.error));
    const plan = made.value;
    expect(provePlan(unit, plan)).toEqual([]);
    const own = plan.steps.filter((s) => s.source === 'act');
    const removal = own.filter((s) => s.stage === 'remove');
    expect(removal.at(-1)?.action).toBe(action.kind);
    expect(removal.at(-1)?.say).toContain(wayIn);
    const returns = own.filter((s) => s.stage !== 'remove');
    expect(returns.map((s) => s.action)).toEqual(back.map(([kind]) => kind));
    for (const [i, [, words]] of back.entries()) expect(returns[i]?.say).toContain(words);
    for (const gone of own) {
      const without = { ...plan, steps: plan.steps.filter((s) => s !== gone) };
      expect(provePlan(unit, without).length, `without ${gone.id}`).toBeGreaterThan(0);
    }
  });

  test('the route is noted before the cable leaves its channel', () => {
    const unit = unitWith({ kind: 'unroute', item: 'lead', partly: false, note_route: true });
    const made = planJob(unit, { replace: ['lid'], variants: {} });
    expect(made.ok && made.value.steps.flatMap((s) => (s.note_item === 'lead' ? [s.action] : []))).toEqual([
      'note-route',
      'route',
    ]);
  });

  test('tape that does not hold twice is renewed each time, and fetched before', () => {
    const renewed = ITEMS.map((item) => (item.id === 'tape' ? { ...item, renew: 'always' as const } : item));
    const unit = { ...unitWith({ kind: 'peel-tape', item: 'tape' }), items: renewed };
    const made = planJob(unit, { replace: ['lid'], variants: {} });
    if (!made.ok) throw new Error(JSON.stringify(made.error));
    const own = made.value.steps.filter((s) => s.source === 'act');
    expect(own.map((s) => [s.action, s.say, s.renew])).toEqual([
      ['peel-tape', 'Peel off the copper tape slowly. Discard it.', []],
      ['apply-tape', 'Apply a new copper tape. Press it down firmly.', ['tape']],
    ]);
    expect(made.value.consumables).toEqual([{ id: 'tape', name: 'copper tape', amount: null, count: 1 }]);
    expect(provePlan(unit, made.value)).toEqual([]);
  });

  test('the same step on the other side names its side in both directions', () => {
    const arm = (id: string, side: string, mirrors?: string) =>
      step(
        id,
        { kind: 'remove-fasteners', fastener: 'screw', count: 2, place: `${side} arm`, pattern: 'any' },
        { side, side_word: side, ...(mirrors === undefined ? {} : { mirrors }) },
      );
    const unit = {
      ...unitWith({ kind: 'lift-out' }),
      parts: [
        part('arms', 'arms', { plural: true, steps: [arm('left', 'left'), arm('right', 'right', 'left')] }),
      ],
    };
    const made = planJob(unit, { replace: ['arms'], variants: {} });
    if (!made.ok) throw new Error(JSON.stringify(made.error));
    const says = (id: string) => made.value.steps.find((s) => s.id === id)?.say ?? '';
    expect(says('remove.left')).toContain('from the left arm');
    expect(says('remove.right')).toContain('from the right arm');
    expect(says('install.right')).toContain('in the right arm');
    expect(made.value.tray.map((c) => [c.place, c.count])).toEqual([
      ['left arm', 2],
      ['right arm', 2],
    ]);
    expect(provePlan(unit, made.value)).toEqual([]);
  });

  test('every action of the product file is in the table', () => {
    const kinds = new Set(TABLE.map(([action]) => action.kind));
    expect(kinds.size).toBe(25);
  });
});
