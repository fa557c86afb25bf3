/** Every sentence of a step in full: singular and plural, renewed or not, with and without what may be given. */
import { expect, test } from 'vitest';
import { ENGLISH } from '../../../electron/core/base/language.ts';
import { getSentences } from '../../../electron/core/plan/added-sentences.ts';
import { planJob } from '../../../electron/core/plan/plan-job.ts';
import { provePlan } from '../../../electron/core/plan/proof.ts';
import { spokenText } from '../../../electron/core/plan/spoken-text.ts';
import type {
  Action,
  Fastener,
  Item,
  Part,
  Product,
  ProductStep,
} from '../../../electron/core/product/model.ts';
import { part, product, step } from './sample-unit.ts';

/** What is said on the way in and on the way back about the step `act` of the part `lid`, or of what is given. */
function said(
  action: Action,
  given: {
    readonly step?: Partial<ProductStep>;
    readonly part?: Partial<Part>;
    readonly items?: readonly Item[];
    readonly fastener?: Partial<Fastener>;
    readonly steps?: readonly ProductStep[];
  } = {},
): { readonly in: readonly string[]; readonly back: readonly string[] } {
  const fastener: Fastener = {
    id: 'screw',
    name: 'lid screw',
    kind: 'screw',
    thread: 'M3',
    length_mm: 8,
    drive: { kind: 'hexalobular', size: 8 },
    ...given.fastener,
  };
  const unit: Product = product({
    tools: [{ id: 't8', name: 'T8 screwdriver' }],
    consumables: [
      { id: 'grease', name: 'silicone grease' },
      { id: 'cloth', name: 'lint-free cloth' },
      { id: 'compound', name: 'thermal compound' },
      {
        id: 'cleaner',
        name: 'isopropyl alcohol of at least seventy per cent that leaves no film of any kind on the faces',
      },
    ],
    fasteners: [fastener],
    items: given.items ?? [],
    parts: [
      part('frame', 'frame', { steps: [] }),
      part('lid', 'lid', { steps: [step('act', action, given.step), ...(given.steps ?? [])], ...given.part }),
    ],
  });
  const made = planJob(unit, { replace: ['lid'], variants: {} });
  if (!made.ok) throw new Error(JSON.stringify(made.error));
  expect(provePlan(unit, made.value)).toEqual([]);
  const own = made.value.steps.filter((s) => s.source === 'act');
  const way = (back: boolean): readonly string[] =>
    own.filter((s) => (s.stage !== 'remove') === back).map((s) => s.say);
  return { in: way(false), back: way(true) };
}

test.each<readonly [string, Action, Parameters<typeof said>[1], readonly string[], readonly string[]]>([
  [
    'a plug says nothing of its seat where nothing is known',
    { kind: 'disconnect', item: 'i' },
    { items: [{ id: 'i', kind: 'connector', name: 'fan plug' }] },
    ['Disconnect the fan plug.'],
    ['Connect the fan plug. Push it in until it is fully seated.'],
  ],
  [
    'several leads are them',
    { kind: 'disconnect', item: 'i' },
    { items: [{ id: 'i', kind: 'connector', name: 'antenna leads', seated: 'both click' }] },
    ['Disconnect the antenna leads.'],
    ['Connect the antenna leads. Push them in until they are fully seated. Check this: both click.'],
  ],
  [
    'a ribbon is seated by what there is to see',
    { kind: 'release-ribbon', item: 'i' },
    { items: [{ id: 'i', kind: 'ribbon-connector', name: 'ribbon', seated: 'the line is level' }] },
    ['Look which side the contacts face. Lift the locking bar of the ribbon. Pull the ribbon straight out.'],
    [
      'Make sure that the contacts of the ribbon face the correct side. Insert the ribbon square, up to its depth line. Close the locking bar. Check this: the line is level.',
    ],
  ],
  [
    'tape that always holds is applied again',
    { kind: 'peel-tape', item: 'i' },
    {
      items: [{ id: 'i', kind: 'tape', name: 'strip of tape', renew: 'never', seated: 'no edge stands up' }],
    },
    ['Peel off the strip of tape slowly.'],
    ['Apply the strip of tape again. Press it down firmly. Check this: no edge stands up.'],
  ],
  [
    'tape of which nothing is said',
    { kind: 'peel-tape', item: 'i' },
    { items: [{ id: 'i', kind: 'tape', name: 'copper tape' }] },
    ['Peel off the copper tape slowly.'],
    ['Apply the copper tape again. Press it down firmly.'],
  ],
  [
    'tape that may hold again',
    { kind: 'peel-tape', item: 'i' },
    { items: [{ id: 'i', kind: 'tape', name: 'tapes', renew: 'if-needed' }] },
    ['Peel off the tapes slowly.'],
    ['Apply the tapes again. If they do not hold, use new tape. Press them down firmly.'],
  ],
  [
    'new tape each time',
    { kind: 'peel-tape', item: 'i' },
    { items: [{ id: 'i', kind: 'tape', name: 'tapes', renew: 'always', seated: 'no edge stands up' }] },
    ['Peel off the tapes slowly. Discard them.'],
    ['Apply new tapes. Press them down firmly. Check this: no edge stands up.'],
  ],
  [
    'one strip',
    { kind: 'pull-strips', item: 'i', count: 1 },
    { items: [{ id: 'i', kind: 'strip', name: 'strip' }] },
    ['Pull out the strip. Pull slowly, at a low angle. Discard it.'],
    [
      'Clean the two bonding faces of the lid. Let them dry.',
      'Bond a new strip to the lid. Press the lid down firmly.',
    ],
  ],
  [
    'two strips, of which one is named',
    { kind: 'pull-strips', item: 'i', count: 2 },
    {
      items: [
        { id: 'i', kind: 'strip', name: 'adhesive strip', orientation: 'tabs up', seated: 'nothing moves' },
      ],
    },
    ['Pull out the two adhesive strips one at a time. Pull slowly, at a low angle. Discard them.'],
    [
      'Clean the two bonding faces of the lid. Let them dry.',
      'Bond two new adhesive strips to the lid. Use this orientation: tabs up. Press the lid down firmly. Check this: nothing moves.',
    ],
  ],
  [
    'a part that is put down on its strips',
    { kind: 'pull-strips', item: 'i', count: 2 },
    { items: [{ id: 'i', kind: 'strip', name: 'strips' }], steps: [step('out', { kind: 'lift-out' })] },
    ['Pull out the two strips one at a time. Pull slowly, at a low angle. Discard them.'],
    ['Clean the two bonding faces of the lid. Let them dry.', 'Bond two new strips to the lid.'],
  ],
  [
    'putting it down presses it down',
    { kind: 'lift-out' },
    {
      items: [{ id: 'i', kind: 'strip', name: 'strips' }],
      part: {
        steps: [
          step('pull', { kind: 'pull-strips', item: 'i', count: 2 }),
          step('act', { kind: 'lift-out' }),
        ],
      },
    },
    ['Lift out the lid.'],
    ['Put the lid in place. Press it down firmly.'],
  ],
  [
    'parts that are put down on their strips',
    { kind: 'lift-out' },
    {
      items: [{ id: 'i', kind: 'strip', name: 'strips' }],
      part: {
        name: 'speakers',
        plural: true,
        steps: [
          step('pull', { kind: 'pull-strips', item: 'i', count: 2 }),
          step('act', { kind: 'lift-out' }),
        ],
      },
    },
    ['Lift out the speakers.'],
    ['Put the speakers in place. Press them down firmly.'],
  ],
  [
    'a seal without lubricant',
    { kind: 'take-out-seal', item: 'i' },
    { items: [{ id: 'i', kind: 'seal', name: 'lid ring', seated: 'no edge stands up' }] },
    ['Take out the lid ring. Discard it. Do not scratch the groove.'],
    [
      'Make sure that the groove is clean. Fit a new lid ring. Make sure that it is not twisted. Check this: no edge stands up.',
    ],
  ],
  [
    'a seal that stays good',
    { kind: 'take-out-seal', item: 'i' },
    { items: [{ id: 'i', kind: 'seal', name: 'lid ring', renew: 'never', uses: ['grease'] }] },
    ['Take out the lid ring. Do not scratch the groove.'],
    [
      'Make sure that the groove is clean. Put silicone grease on the lid ring. Fit the lid ring. Make sure that it is not twisted.',
    ],
  ],
  [
    'a seal that is looked at',
    { kind: 'take-out-seal', item: 'i' },
    { items: [{ id: 'i', kind: 'seal', name: 'lid ring', renew: 'if-needed' }] },
    ['Take out the lid ring. Do not scratch the groove.'],
    ['Make sure that the groove is clean. Fit the lid ring. Make sure that it is not twisted.'],
  ],
  [
    'seals, always new, with lubricant',
    { kind: 'take-out-seal', item: 'i' },
    { items: [{ id: 'i', kind: 'seal', name: 'O-rings', renew: 'always', uses: ['grease'] }] },
    ['Take out the O-rings. Discard them. Do not scratch the groove.'],
    [
      'Make sure that the groove is clean. Put silicone grease on the new O-rings. Fit the new O-rings. Make sure that they are not twisted.',
    ],
  ],
  [
    'a cable that is taken out whole',
    { kind: 'unroute', item: 'i', partly: false, note_route: false },
    { items: [{ id: 'i', kind: 'cable', name: 'fan lead' }] },
    ['Take the fan lead out of its channel.'],
    ['Put the fan lead back in its channel. Make sure that it is not pinched.'],
  ],
  [
    'cables with a route, noted',
    { kind: 'unroute', item: 'i', partly: false, note_route: true },
    {
      items: [
        {
          id: 'i',
          kind: 'cable',
          name: 'antenna leads',
          route: 'left of the pack',
          seated: 'nothing is above the edge',
        },
      ],
    },
    [
      'Look at the route of the antenna leads. Say “note” and describe the route.',
      'Take the antenna leads out of their channel.',
    ],
    [
      'Put the antenna leads back in their channel. The route: left of the pack. Compare it with the route that you noted. Make sure that they are not pinched. Check this: nothing is above the edge.',
    ],
  ],
  [
    'cables, partly',
    { kind: 'unroute', item: 'i', partly: true, note_route: false },
    { items: [{ id: 'i', kind: 'cable', name: 'antenna leads' }] },
    ['Take a part of the antenna leads out of their channel. Leave the rest in place.'],
    ['Put the antenna leads back in their channel. Make sure that they are not pinched.'],
  ],
  [
    'pins of several parts',
    { kind: 'lift-off-pins' },
    { part: { name: 'boards', plural: true } },
    ['Lift the boards straight off their alignment pins.'],
    ['Align the boards with the alignment pins. Push them down until they are seated.'],
  ],
  [
    'pins of one part',
    { kind: 'lift-off-pins' },
    {},
    ['Lift the lid straight off its alignment pins.'],
    ['Align the lid with the alignment pins. Push it down until it is seated.'],
  ],
  [
    'arms',
    { kind: 'open-arms' },
    {},
    ['Push the two arms outward. Pull out the lid by the edges.'],
    ['Align the notch of the lid with the key. Press it in until the two arms lock.'],
  ],
  [
    'arms of several parts',
    { kind: 'open-arms' },
    { part: { name: 'memory modules', plural: true } },
    ['Push the two arms outward. Pull out the memory modules by the edges.'],
    ['Align the notch of the memory modules with the key. Press them in until the two arms lock.'],
  ],
  ['sliding', { kind: 'slide-out' }, {}, ['Slide out the lid.'], ['Slide in the lid fully.']],
  [
    'one clip',
    { kind: 'unclip', count: 1 },
    {},
    ['Release the clip of the lid.'],
    ['Clip the lid in place. Make sure that the clip locks.'],
  ],
  [
    'two clips',
    { kind: 'unclip', count: 2 },
    {},
    ['Release the two clips of the lid.'],
    ['Clip the lid in place. Make sure that the two clips lock.'],
  ],
  [
    'edges',
    { kind: 'part-edges' },
    {},
    ['Open a gap at the edges of the lid. Work round slowly.'],
    ['Press the edges of the lid together all round. Make sure that there is no gap.'],
  ],
  [
    'lifting a part with a name of its own',
    { kind: 'lift-out' },
    { part: { name: 'the two covers', plural: true } },
    ['Lift out the two covers.'],
    ['Put the two covers in place.'],
  ],
  [
    'a heat sink',
    { kind: 'separate-heat-sink', item: 'i' },
    { items: [{ id: 'i', kind: 'compound', name: 'thermal pad', seated: 'it lies flat' }] },
    ['Separate the lid with a slow twist. Remove the old thermal pad from the two faces.'],
    [
      'Clean the two faces of the lid. Let them dry.',
      'Apply new thermal pad. Seat the lid flat. Check this: it lies flat.',
    ],
  ],
  [
    'a heat sink with a compound from the shelf',
    { kind: 'separate-heat-sink', item: 'i' },
    { items: [{ id: 'i', kind: 'compound', name: 'paste', uses: ['compound', 'grease'] }] },
    ['Separate the lid with a slow twist. Remove the old paste from the two faces.'],
    ['Clean the two faces of the lid. Let them dry.', 'Apply new thermal compound. Seat the lid flat.'],
  ],
  [
    'an angle with a fraction',
    { kind: 'open-to-angle', angle_deg: 22.5 },
    { part: { name: 'doors', plural: true } },
    ['Open the doors to 22.5°. Do not open them further.'],
    ['Close the doors.'],
  ],
  [
    'support of several',
    { kind: 'support' },
    { part: { name: 'doors', plural: true } },
    ['Hold the doors so that they cannot fall.'],
    ['Hold the doors so that they cannot fall.'],
  ],
  [
    'isolating several',
    { kind: 'isolate', what: 'mains leads' },
    {},
    ['Isolate the mains leads. Make sure that they cannot come on again.'],
    ['Restore the mains leads.'],
  ],
  [
    'discharging without a measurement',
    { kind: 'discharge', what: 'capacitors' },
    {},
    ['Discharge the capacitors.'],
    [],
  ],
  [
    'dead with a measurement',
    { kind: 'verify-dead', what: 'rails', measure: { id: 'm', name: 'rail voltage', unit: 'V', max: 5 } },
    {},
    ['Measure the rail voltage. It must be at most 5 V. Say the reading.'],
    [],
  ],
  ['dead, several', { kind: 'verify-dead', what: 'rails' }, {}, ['Make sure that the rails are dead.'], []],
  [
    'at least',
    { kind: 'measure', measure: { id: 'm', name: 'resistance', unit: 'MΩ', min: 2 } },
    {},
    ['Measure the resistance. It must be at least 2 MΩ. Say the reading.'],
    [],
  ],
  [
    'at most',
    { kind: 'measure', measure: { id: 'm', name: 'current', unit: 'A', max: 0.0125, decimals: 4 } },
    {},
    ['Measure the current. It must be at most 0.0125 A. Say the reading.'],
    [],
  ],
  [
    'between',
    { kind: 'measure', measure: { id: 'm', name: 'the output voltage', unit: 'V', min: 4.9, max: 5.1 } },
    {},
    ['Measure the output voltage. It must be from 4.9 V to 5.1 V. Say the reading.'],
    [],
  ],
  [
    'without limits',
    { kind: 'measure', measure: { id: 'm', name: 'speed', unit: 'rpm' } },
    {},
    ['Measure the speed. Say the reading.'],
    [],
  ],
  [
    'record',
    { kind: 'record', record: { id: 'r', name: 'date code' } },
    {},
    ['Read the date code. Say “serial is” and spell it.'],
    [],
  ],
  ['inspect', { kind: 'inspect', what: 'groove' }, {}, ['Examine the groove.'], []],
  ['clean with nothing', { kind: 'clean', what: 'groove' }, {}, ['Clean the groove.'], []],
  [
    'clean with two things',
    { kind: 'clean', what: 'sealing faces', uses: ['grease', 'cloth'] },
    {},
    ['Clean the sealing faces with silicone grease and lint-free cloth.'],
    [],
  ],
  [
    'clean with what takes long to say',
    { kind: 'clean', what: 'two sealing faces', uses: ['cleaner'] },
    {},
    [
      'Clean the two sealing faces. Use isopropyl alcohol of at least seventy per cent that leaves no film of any kind on the faces.',
    ],
    [],
  ],
  [
    'clean on the way back only',
    { kind: 'clean', what: 'groove', uses: ['cloth'] },
    { step: { way: 'out' } },
    [],
    ['Clean the groove with lint-free cloth.'],
  ],
  [
    'do on the way back only',
    { kind: 'do', what: 'wipe the lid' },
    { step: { way: 'out' } },
    [],
    ['Wipe the lid.'],
  ],
  [
    'do there and back, in other words on the way back',
    { kind: 'do', what: 'open the valve', back: 'close the valve' },
    { step: { say_back: 'Close the valve by a quarter turn' } },
    ['Open the valve.'],
    ['Close the valve by a quarter turn.'],
  ],
  [
    'one screw',
    { kind: 'remove-fasteners', fastener: 'screw', count: 1, place: 'lid', pattern: 'any' },
    {},
    ['Remove the M3×8 lid screw from the lid. Put it in compartment one.'],
    ['Take the M3×8 lid screw from compartment one. Start it by hand in the lid. Tighten it.'],
  ],
  [
    'four screws behind something',
    { kind: 'remove-fasteners', fastener: 'screw', count: 4, place: 'behind the fan', pattern: 'any' },
    {},
    ['Remove the four M3×8 lid screws behind the fan. Put them in compartment one.'],
    ['Take the four M3×8 lid screws from compartment one. Start them by hand behind the fan. Tighten them.'],
  ],
  [
    'screws with a torque, no order',
    { kind: 'remove-fasteners', fastener: 'screw', count: 4, place: 'lid', pattern: 'any' },
    { fastener: { torque_nm: 0.5, tool: 't8' } },
    ['Take the T8 screwdriver. Remove the four M3×8 lid screws from the lid. Put them in compartment one.'],
    [
      'Take the four M3×8 lid screws from compartment one. Start them by hand in the lid.',
      'Tighten the four M3×8 lid screws to 0.5 N·m.',
    ],
  ],
  [
    'one screw with a torque in numbered order',
    { kind: 'remove-fasteners', fastener: 'screw', count: 1, place: 'lid', pattern: 'numbered' },
    { fastener: { torque_nm: 0.5 } },
    ['Remove the M3×8 lid screw from the lid. Put it in compartment one.'],
    [
      'Take the M3×8 lid screw from compartment one. Start it by hand in the lid.',
      'Tighten the M3×8 lid screw to 0.5 N·m.',
    ],
  ],
  [
    'an order without a torque',
    { kind: 'remove-fasteners', fastener: 'screw', count: 6, place: 'lid', pattern: 'cross' },
    {},
    [
      'First loosen the six lid screws in this order: 1, 4, 2, 5, 3, 6. Remove the six M3×8 lid screws from the lid. Put them in compartment one.',
    ],
    [
      'Take the six M3×8 lid screws from compartment one. Start them by hand in the lid.',
      'Tighten the six M3×8 lid screws. Keep to this order: 1, 4, 2, 5, 3, 6.',
    ],
  ],
  [
    'passes without a torque',
    {
      kind: 'remove-fasteners',
      fastener: 'screw',
      count: 4,
      place: 'lid',
      pattern: 'numbered',
      passes: [50, 100],
    },
    {},
    [
      'First loosen the four lid screws in this order: 1, 2, 3, 4. Remove the four M3×8 lid screws from the lid. Put them in compartment one.',
    ],
    [
      'Take the four M3×8 lid screws from compartment one. Start them by hand in the lid.',
      'Tighten the four M3×8 lid screws. Keep to this order: 1, 2, 3, 4. Tighten in even steps.',
    ],
  ],
  [
    'passes in a row from the middle',
    {
      kind: 'remove-fasteners',
      fastener: 'screw',
      count: 5,
      place: 'lid',
      pattern: 'centre-out',
      passes: [50, 100],
    },
    { fastener: { torque_nm: 2 } },
    [
      'First loosen the five lid screws in this order: 5, 1, 4, 2, 3. Remove the five M3×8 lid screws from the lid. Put them in compartment one.',
    ],
    [
      'Take the five M3×8 lid screws from compartment one. Start them by hand in the lid.',
      'Tighten the five M3×8 lid screws in two passes. Keep to this order in each pass: 3, 2, 4, 1, 5. First pass: 1 N·m. Second pass: 2 N·m.',
    ],
  ],
  [
    'passes in a cross, and round once more',
    {
      kind: 'remove-fasteners',
      fastener: 'screw',
      count: 8,
      place: 'lid',
      pattern: 'cross',
      passes: [30, 60, 100],
    },
    { fastener: { kind: 'bolt', name: 'head bolt', thread: 'M5', length_mm: 25, torque_nm: 4 } },
    [
      'First loosen the eight head bolts in this order: 1, 5, 3, 7, 2, 6, 4, 8. Remove the eight M5×25 head bolts from the lid. Put them in compartment one.',
    ],
    [
      'Take the eight M5×25 head bolts from compartment one. Start them by hand in the lid.',
      'Tighten the eight M5×25 head bolts in three passes. Keep to this order in each pass: 1, 5, 3, 7, 2, 6, 4, 8. First pass: 1.2 N·m. Second pass: 2.4 N·m. Third pass: 4 N·m. Then go round once more in number order at 4 N·m.',
    ],
  ],
  [
    'twelve bolts: four figures in a sentence',
    { kind: 'remove-fasteners', fastener: 'screw', count: 12, place: 'lid', pattern: 'cross' },
    { fastener: { torque_nm: 4 } },
    [
      'First loosen the twelve lid screws in this order: 1, 7, 4, 10. Then 2, 8, 5, 11. Then 3, 9, 6, 12. Remove the twelve M3×8 lid screws from the lid. Put them in compartment one.',
    ],
    [
      'Take the twelve M3×8 lid screws from compartment one. Start them by hand in the lid.',
      'Tighten the twelve M3×8 lid screws to 4 N·m. Keep to this order: 1, 7, 4, 10. Then 2, 8, 5, 11. Then 3, 9, 6, 12.',
    ],
  ],
  [
    'ten bolts: eight figures in a sentence',
    { kind: 'remove-fasteners', fastener: 'screw', count: 10, place: 'lid', pattern: 'numbered' },
    { fastener: { torque_nm: 4 } },
    [
      'First loosen the ten lid screws in this order: 1, 2, 3, 4, 5, 6, 7, 8. Then 9, 10. Remove the ten M3×8 lid screws from the lid. Put them in compartment one.',
    ],
    [
      'Take the ten M3×8 lid screws from compartment one. Start them by hand in the lid.',
      'Tighten the ten M3×8 lid screws to 4 N·m. Keep to this order: 1, 2, 3, 4, 5, 6, 7, 8. Then 9, 10.',
    ],
  ],
  [
    'nuts are put on, and new where they are used once',
    { kind: 'remove-fasteners', fastener: 'screw', count: 3, place: 'frame', pattern: 'any' },
    { fastener: { kind: 'nut', name: 'lock nut', thread: 'M4', length_mm: 0, single_use: true } },
    ['Remove the three M4 lock nuts from the frame. Discard them.'],
    ['Get three new M4 lock nuts. Start them by hand on the frame. Tighten them.'],
  ],
  [
    'one new nut',
    { kind: 'remove-fasteners', fastener: 'screw', count: 1, place: 'frame', pattern: 'any' },
    {
      fastener: {
        kind: 'nut',
        name: 'lock nut',
        thread: 'M4',
        length_mm: 0,
        single_use: true,
        torque_nm: 1.5,
      },
    },
    ['Remove the M4 lock nut from the frame. Discard it.'],
    ['Get a new M4 lock nut. Start it by hand on the frame.', 'Tighten the M4 lock nut to 1.5 N·m.'],
  ],
  [
    'washers are not tightened',
    { kind: 'remove-fasteners', fastener: 'screw', count: 3, place: 'frame', pattern: 'any' },
    { fastener: { kind: 'washer', name: 'flat washer', thread: 'M4', length_mm: 0 } },
    ['Remove the three M4 flat washers from the frame. Put them in compartment one.'],
    ['Take the three M4 flat washers from compartment one. Put them in place on the frame.'],
  ],
  [
    'captive screws stay',
    { kind: 'remove-fasteners', fastener: 'screw', count: 2, place: 'door', pattern: 'any' },
    { fastener: { kind: 'captive-screw', name: 'door screw', torque_nm: 0.9 } },
    ['Loosen the two M3×8 door screws on the door. Do not remove them.'],
    ['Tighten the two M3×8 door screws to 0.9 N·m.'],
  ],
  [
    'loosened in order',
    { kind: 'loosen-fasteners', fastener: 'screw', count: 2, place: 'door', pattern: 'numbered' },
    { fastener: { torque_nm: 0.9 } },
    ['Loosen the two M3×8 lid screws on the door. Loosen them in this order: 1, 2. Do not remove them.'],
    ['Tighten the two M3×8 lid screws to 0.9 N·m. Keep to this order: 1, 2.'],
  ],
  [
    'one is loosened',
    { kind: 'loosen-fasteners', fastener: 'screw', count: 1, place: 'door', pattern: 'any' },
    {},
    ['Loosen the M3×8 lid screw on the door. Do not remove it.'],
    ['Tighten the M3×8 lid screw.'],
  ],
  [
    'a name that has its size in it',
    { kind: 'remove-fasteners', fastener: 'screw', count: 2, place: 'lid', pattern: 'any' },
    { fastener: { name: 'M3×8 screw' } },
    ['Remove the two M3×8 screws from the lid. Put them in compartment one.'],
    ['Take the two M3×8 screws from compartment one. Start them by hand in the lid. Tighten them.'],
  ],
  [
    'fasteners that only come out',
    { kind: 'remove-fasteners', fastener: 'screw', count: 2, place: 'lid', pattern: 'any' },
    { step: { way: 'in' } },
    ['Remove the two M3×8 lid screws from the lid.'],
    [],
  ],
  [
    'a place that takes long to say',
    {
      kind: 'remove-fasteners',
      fastener: 'screw',
      count: 4,
      place: 'the lower edge of the left side plate behind the second row of the cooling fins of the lid',
      pattern: 'any',
    },
    {},
    [
      'Remove the four M3×8 lid screws. They are on the lower edge of the left side plate behind the second row of the cooling fins of the lid. Put them in compartment one.',
    ],
    [
      'Take the four M3×8 lid screws from compartment one. Start them by hand. The place: the lower edge of the left side plate behind the second row of the cooling fins of the lid. Tighten them.',
    ],
  ],
  [
    'a place that takes long to say, loosened',
    {
      kind: 'loosen-fasteners',
      fastener: 'screw',
      count: 4,
      place: 'the lower edge of the left side plate behind the second row of the cooling fins of the lid',
      pattern: 'any',
    },
    {},
    [
      'Loosen the four M3×8 lid screws. They are on the lower edge of the left side plate behind the second row of the cooling fins of the lid. Do not remove them.',
    ],
    ['Tighten the four M3×8 lid screws.'],
  ],
  [
    'a washer in a place that takes long to say',
    {
      kind: 'remove-fasteners',
      fastener: 'screw',
      count: 1,
      place: 'the lower edge of the left side plate behind the second row of the cooling fins of the lid',
      pattern: 'any',
    },
    { fastener: { kind: 'washer', name: 'washer', length_mm: 0 } },
    [
      'Remove the M3 washer. It is on the lower edge of the left side plate behind the second row of the cooling fins of the lid. Put it in compartment one.',
    ],
    [
      'Take the M3 washer from compartment one. Put it in place. The place: the lower edge of the left side plate behind the second row of the cooling fins of the lid.',
    ],
  ],
  [
    "an author's sentence for both",
    { kind: 'remove-fasteners', fastener: 'screw', count: 4, place: 'lid', pattern: 'any' },
    {
      fastener: { torque_nm: 0.5 },
      step: { say: 'remove the screws', say_back: 'Put the screws in and tighten them to 0.5 N·m.' },
    },
    ['Remove the screws.'],
    ['Put the screws in and tighten them to 0.5 N·m.'],
  ],
  [
    'while the part is held',
    { kind: 'disconnect', item: 'i' },
    { items: [{ id: 'i', kind: 'connector', name: 'fan plug' }], step: { supporting: 'frame' } },
    ['While you hold the frame, disconnect the fan plug.'],
    ['While you hold the frame, connect the fan plug. Push it in until it is fully seated.'],
  ],
  [
    'the part that is held is not named twice',
    { kind: 'slide-out' },
    { step: { supporting: 'lid' } },
    ['While you hold the lid, slide it out.'],
    ['While you hold the lid, slide it in fully.'],
  ],
  [
    'held parts are them',
    { kind: 'slide-out' },
    { step: { supporting: 'lid' }, part: { name: 'drawers', plural: true } },
    ['While you hold the drawers, slide them out.'],
    ['While you hold the drawers, slide them in fully.'],
  ],
  [
    'screws while a part is held',
    { kind: 'remove-fasteners', fastener: 'screw', count: 2, place: 'lid', pattern: 'any' },
    { step: { supporting: 'frame' }, fastener: { torque_nm: 0.5 } },
    ['While you hold the frame, remove the two M3×8 lid screws from the lid. Put them in compartment one.'],
    [
      'Take the two M3×8 lid screws from compartment one. While you hold the frame, start them by hand in the lid.',
      'While you hold the frame, tighten the two M3×8 lid screws to 0.5 N·m.',
    ],
  ],
  [
    'held apart where one sentence gets too long',
    {
      kind: 'remove-fasteners',
      fastener: 'screw',
      count: 4,
      place: 'lower edge of the left side plate behind the fins',
      pattern: 'any',
    },
    { step: { supporting: 'frame' } },
    [
      'Hold the frame. Remove the four M3×8 lid screws from the lower edge of the left side plate behind the fins. Put them in compartment one.',
    ],
    [
      'Take the four M3×8 lid screws from compartment one. Hold the frame. Start them by hand in the lower edge of the left side plate behind the fins. Tighten them.',
    ],
  ],
  [
    'side and tool first',
    { kind: 'part-edges' },
    { step: { side: 'back', tool: 't8' } },
    [
      'Turn the unit so that the back faces you. Take the T8 screwdriver. Open a gap at the edges of the lid. Work round slowly.',
    ],
    ['Press the edges of the lid together all round. Make sure that there is no gap.'],
  ],
])('%s', (_name, action, given, wayIn, back) => {
  expect(said(action, given)).toEqual({ in: wayIn, back });
});

test.each([
  ['5–7 mm', 'five to seven millimetres'],
  ['≤5 V', 'at most five volts'],
  ['≥ 2 V', 'at least two volts'],
  ['±2 V', 'plus or minus two volts'],
  ['2 × 4 mm', 'two by four millimetres'],
])('%s is spoken as %s, with blanks and without', (printed, spoken) => {
  expect(spokenText(printed)).toBe(spoken);
});

test('things to get are told in sentences of twenty words, one too long for it in a sentence of its own', () => {
  const long = Array.from({ length: 22 }, (_, i) => `word${String.fromCharCode(97 + i)}`).join(' ');
  expect(getSentences(ENGLISH, 'job.get-tools', [])).toBe('');
  expect(getSentences(ENGLISH, 'job.get-tools', [long])).toBe(`Get these tools: ${long}.`);
  expect(getSentences(ENGLISH, 'job.get-materials', ['grease', long, 'tape', 'a lid'])).toBe(
    `Get these materials: grease. Also get these: ${long}. Also get these: tape and a lid.`,
  );
  // Nine names of two words with an "and" have nineteen words, ten have twenty-one.
  const names = Array.from({ length: 10 }, (_, i) => `tool ${i + 1}`);
  expect(getSentences(ENGLISH, 'job.get-tools', names)).toBe(
    `Get these tools: ${names.slice(0, 8).join(', ')} and tool 9. Also get these: tool 10.`,
  );
});
