/**
 * The plan proof fault by fault: what exactly it says of one change to a sound plan, and what it lets pass.
 * Random plans and random faults are in `tests/properties/plan-*`.
 */
import { describe, expect, test } from 'vitest';
import type { Plan, PlanCaution, PlanFastener, PlanStep } from '../../../electron/core/plan/model.ts';
import { planJob } from '../../../electron/core/plan/plan-job.ts';
import { provePlan } from '../../../electron/core/plan/proof.ts';
import { fitsPattern } from '../../../electron/core/plan/proof-contents.ts';
import type { Product } from '../../../electron/core/product/model.ts';
import { METER, part, product, screws, step } from './sample-unit.ts';

function planned(unit: Product, ...replace: readonly string[]): Plan {
  const result = planJob(unit, { replace, variants: {} });
  if (!result.ok) throw new Error(JSON.stringify(result.error));
  expect(provePlan(unit, result.value)).toEqual([]);
  return result.value;
}

/** The plan with one step edited. */
function edited(plan: Plan, id: string, edit: (step: PlanStep) => PlanStep): Plan {
  if (!plan.steps.some((s) => s.id === id)) throw new Error(`no step ${id}`);
  return { ...plan, steps: plan.steps.map((s) => (s.id === id ? edit(s) : s)) };
}

function withFastener(plan: Plan, id: string, change: Partial<PlanFastener>): Plan {
  return edited(plan, id, (s) => ({ ...s, fasteners: s.fasteners.map((f) => ({ ...f, ...change })) }));
}

/** The plan with the step put before another one, or at the end. */
function moved(plan: Plan, id: string, before: string | null): Plan {
  const one = plan.steps.find((s) => s.id === id);
  if (one === undefined) throw new Error(`no step ${id}`);
  const steps = plan.steps.filter((s) => s !== one);
  const at = before === null ? steps.length : steps.findIndex((s) => s.id === before);
  return { ...plan, steps: [...steps.slice(0, at), one, ...steps.slice(at)] };
}

const without = (plan: Plan, id: string): Plan => ({ ...plan, steps: plan.steps.filter((s) => s.id !== id) });

/** Codes with the step they show at, each once, sorted. */
const faults = (unit: Product, plan: Plan): readonly string[] =>
  [...new Set(provePlan(unit, plan).map(({ code, step: at }) => `${code.slice(6)} ${at ?? '-'}`))].sort();

const HEAD = planned(METER, 'head');
const BOARD = planned(METER, 'board');
const DISPLAY = planned(METER, 'display');

describe('orders of bolts', () => {
  test('centre-out: outward when tightened, inward when loosened, one after the other', () => {
    expect(fitsPattern([3, 2, 4, 1, 5], 'centre-out', 5, false)).toBe(true);
    expect(fitsPattern([3, 4, 2, 5, 1], 'centre-out', 5, false)).toBe(true);
    expect(fitsPattern([2, 3, 1, 4], 'centre-out', 4, false)).toBe(true);
    expect(fitsPattern([3, 2, 1, 4, 5], 'centre-out', 5, false)).toBe(false);
    expect(fitsPattern([2, 3, 4, 1, 5], 'centre-out', 5, false)).toBe(false);
    expect(fitsPattern([5, 1, 4, 2, 3], 'centre-out', 5, false)).toBe(false);
    expect(fitsPattern([5, 1, 4, 2, 3], 'centre-out', 5, true)).toBe(true);
    expect(fitsPattern([3, 2, 4, 1, 5], 'centre-out', 5, true)).toBe(false);
  });

  test('cross: opposite pairs, and the next pair at a right angle', () => {
    expect(fitsPattern([1, 5, 3, 7, 2, 6, 4, 8], 'cross', 8, false)).toBe(true);
    expect(fitsPattern([1, 5, 2, 6, 3, 7, 4, 8], 'cross', 8, false)).toBe(false);
    expect(fitsPattern([1, 3, 5, 2, 4], 'cross', 5, false)).toBe(true);
    expect(fitsPattern([1, 2, 4, 3, 5], 'cross', 5, false)).toBe(false);
    expect(fitsPattern([1, 5, 3, 2, 4], 'cross', 5, false)).toBe(false);
    expect(fitsPattern([2, 1, 3], 'cross', 3, false)).toBe(true);
  });

  test('numbered and in line: as numbered; each bolt once; none where any order will do', () => {
    for (const pattern of ['numbered', 'in-line'] as const) {
      expect(fitsPattern([1, 2, 3], pattern, 3, true)).toBe(true);
      expect(fitsPattern([1, 3, 2], pattern, 3, false)).toBe(false);
    }
    expect(fitsPattern([1, 1, 3], 'any', 3, false)).toBe(false);
    expect(fitsPattern([1, 2], 'any', 3, false)).toBe(false);
    expect(fitsPattern([0, 1, 2], 'any', 3, false)).toBe(false);
    expect(fitsPattern([2, 3, 4], 'any', 3, false)).toBe(false);
    expect(fitsPattern([3, 1, 2], 'any', 3, false)).toBe(true);
    expect(fitsPattern([], 'any', 3, false)).toBe(true);
    expect(fitsPattern([], 'numbered', 3, false)).toBe(false);
    expect(fitsPattern([], 'numbered', 1, false)).toBe(true);
  });
});

describe('tightening', () => {
  const tighten = 'install.head-bolts.tighten';

  test('a pass may differ by what a display does not show, and by no more', () => {
    expect(faults(METER, withFastener(HEAD, tighten, { passes_nm: [1.2005, 2.4, 4] }))).toEqual([]);
    expect(faults(METER, withFastener(HEAD, tighten, { passes_nm: [1.2, 2.3995, 4] }))).toEqual([]);
    expect(faults(METER, withFastener(HEAD, tighten, { passes_nm: [1.201, 2.4, 4] }))).toEqual([
      `passes-wrong ${tighten}`,
    ]);
    expect(faults(METER, withFastener(HEAD, tighten, { passes_nm: [1.2, 2.4] }))).toEqual([
      `passes-wrong ${tighten}`,
    ]);
    expect(faults(METER, withFastener(HEAD, tighten, { passes_nm: [1.2, 2.4, 4, 4] }))).toEqual([
      `passes-wrong ${tighten}`,
    ]);
  });

  test('the torque itself is kept to the figure, where it is tightened and where it is only started', () => {
    expect(provePlan(METER, withFastener(HEAD, tighten, { torque_nm: 4.0001 }))).toEqual([
      { code: 'proof/torque-wrong', step: tighten, facts: { expected: 4, found: 4.0001 } },
    ]);
    expect(faults(METER, withFastener(HEAD, 'install.head-bolts', { torque_nm: null }))).toEqual([
      'torque-wrong install.head-bolts',
    ]);
  });

  test('the round pass is at full torque', () => {
    expect(provePlan(METER, withFastener(HEAD, tighten, { round_pass_nm: 3.9 }))).toEqual([
      { code: 'proof/round-pass-wrong', step: tighten, facts: { expected: 4, found: 3.9 } },
    ]);
  });

  test('fasteners are started by hand or with their tool, and tightened with their tool only', () => {
    const withTool = (id: string, tool: string | null) => edited(HEAD, id, (s) => ({ ...s, tool }));
    expect(faults(METER, withTool('install.head-bolts', 'hex-4'))).toEqual([]);
    expect(faults(METER, withTool('install.head-bolts', 't8'))).toEqual(['tool-wrong install.head-bolts']);
    expect(faults(METER, withTool(tighten, null))).toEqual([`tool-wrong ${tighten}`]);
    expect(faults(METER, withTool('install.cover-screws.tighten', 't8'))).toEqual([
      'tool-wrong install.cover-screws.tighten',
    ]);
  });

  test('loosened and captive fasteners are tightened in their order, and have no compartment', () => {
    expect(DISPLAY.steps.find((s) => s.id === 'install.door-loosen')).toMatchObject({
      action: 'tighten-fasteners',
      fasteners: [{ order: [1, 2], compartment: null }],
    });
    expect(faults(METER, withFastener(DISPLAY, 'install.door-loosen', { order: [2, 1] }))).toEqual([
      'tightening-order-wrong install.door-loosen',
    ]);
    expect(faults(METER, withFastener(DISPLAY, 'remove.door-loosen', { order: [2, 1] }))).toEqual([
      'loosening-order-wrong remove.door-loosen',
    ]);
    expect(faults(METER, withFastener(DISPLAY, 'install.door-loosen', { compartment: 1 }))).toEqual([
      'compartment-wrong install.door-loosen',
    ]);
  });

  test('the torque is in the sentence', () => {
    const silent = edited(HEAD, tighten, (s) => ({ ...s, say: 'Tighten the bolts.' }));
    expect(faults(METER, silent)).toEqual([`torque-not-said ${tighten}`]);
  });

  test('an author’s one sentence for both may stand for both, with the torque', () => {
    const unit = product({
      tools: METER.tools,
      fasteners: METER.fasteners,
      parts: [
        part('lid', 'lid', {
          steps: [
            screws('lid-screws', 'case-screw', 2, 'lid', {
              say_back: 'Put the two screws in and tighten them.',
              hold: 'A second person looks',
            }),
          ],
        }),
      ],
    });
    const plan = planned(unit, 'lid');
    expect(plan.steps.some((s) => s.action === 'tighten-fasteners')).toBe(false);
    expect(faults(unit, withFastener(plan, 'install.lid-screws', { passes_nm: [] }))).toContain(
      'step-missing -',
    );
    const loose = edited(plan, 'install.lid-screws', (s) => ({ ...s, hold: null }));
    expect(faults(unit, loose)).toEqual(['hold-lost install.lid-screws']);
  });
});

describe('cautions', () => {
  const first = DISPLAY.steps.find((s) => s.id === 'remove.door-open');
  test.each<[string, Partial<PlanCaution>]>([
    ['signal word', { word: 'warning' }],
    ['hazard', { hazard: 'Something else' }],
    ['consequence', { consequence: 'Nothing happens' }],
    ['what to do', { avoid: 'Go on' }],
    ['spoken sentence without its signal word', { say: 'The display can fall.' }],
  ])('another %s', (_what, change) => {
    expect(first?.cautions).toHaveLength(1);
    const other = edited(DISPLAY, 'remove.door-open', (s) => ({
      ...s,
      cautions: s.cautions.map((c) => ({ ...c, ...change })),
    }));
    expect(faults(METER, other)).toEqual(['caution-changed remove.door-open']);
  });

  test('the less severe before the more severe one', () => {
    const turned = edited(BOARD, 'remove.board-lift', (s) => ({ ...s, cautions: s.cautions.toReversed() }));
    expect(faults(METER, turned)).toEqual(['caution-order remove.board-lift']);
  });

  test('a caution that nobody asks for may be read too', () => {
    const more = edited(HEAD, 'remove.head-out', (s) => ({ ...s, cautions: first?.cautions ?? [] }));
    expect(faults(METER, more)).toEqual([]);
  });
});

describe('what comes before what', () => {
  test('the serial number of the unit before the first part', () => {
    const late = moved(HEAD, 'prepare.unit-serial', 'replace.head.old');
    expect(faults(METER, late)).toEqual(
      expect.arrayContaining([
        'record-too-late prepare.unit-serial',
        'serial-not-recorded remove.cover-screws',
      ]),
    );
  });

  test('a new part is fetched, made ready and read before it goes in', () => {
    expect(faults(METER, without(BOARD, 'replace.board-film'))).toEqual([
      'new-part-not-ready install.board-lift',
      'step-missing -',
    ]);
    expect(faults(METER, without(BOARD, 'replace.board.serial'))).toEqual([
      'serial-not-recorded install.board-lift',
    ]);
    expect(faults(METER, moved(BOARD, 'replace.board-film', 'replace.board.new'))).toEqual([
      'new-part-not-fetched replace.board-film',
    ]);
    expect(faults(METER, moved(BOARD, 'replace.board.new', 'remove.board-lift'))).toEqual(
      expect.arrayContaining(['new-part-before-old-off replace.board.new']),
    );
  });

  test('parts that move over go onto the new part', () => {
    expect(faults(METER, moved(BOARD, 'replace.radio-slide.on', 'replace.board.new'))).toEqual([
      'on-old-part replace.radio-slide.on',
    ]);
  });

  test('energy that went last returns first', () => {
    const isolate = (id: string) => step(id, { kind: 'isolate', what: id });
    const unit = product({ prepare: [isolate('mains'), isolate('line')], parts: [part('lid', 'lid')] });
    const plan = planned(unit, 'lid');
    expect(plan.steps.filter((s) => s.action === 'restore-energy').map((s) => s.id)).toEqual([
      'check.line',
      'check.mains',
    ]);
    expect(faults(unit, moved(plan, 'check.mains', 'check.line'))).toContain('out-of-order check.mains');
  });

  test('a hold before what is opened while it is held, on the way back too', () => {
    expect(faults(METER, moved(DISPLAY, 'install.door-open', 'install.door-hold'))).toEqual([
      'out-of-order install.door-open',
    ]);
    expect(faults(METER, moved(BOARD, 'install.pack-out', 'install.pack-strips'))).toContain(
      'out-of-order install.pack-out',
    );
  });

  test('checks of the dead unit before energy, the others after it', () => {
    expect(faults(METER, moved(HEAD, 'check.earth', null))).toContain('check-too-late check.earth');
    expect(faults(METER, moved(HEAD, 'check.output', 'check.mains-off'))).toContain(
      'check-too-early check.output',
    );
  });
});

describe('the way back', () => {
  const lift = { kind: 'lift-out' } as const;

  test('a part goes back after those it has to wait for', () => {
    const unit = product({
      parts: [
        part('lid', 'lid', { install_after: ['fan'] }),
        part('fan', 'fan', { needs: [] }),
        part('core', 'core', { needs: ['lid', 'fan'] }),
      ],
    });
    const plan = planned(unit, 'core');
    expect(faults(unit, moved(plan, 'install.fan-out', null))).toEqual(
      expect.arrayContaining(['install-after install.lid-out']),
    );
  });

  test('an energy source goes back when nothing else is open', () => {
    const unit = product({
      parts: [
        part('cell', 'cell', { energy_source: true }),
        part('fan', 'fan', { needs: ['cell'] }),
        part('core', 'core', { needs: ['cell', 'fan'] }),
        part('clock', 'clock', { needs: [] }),
      ],
    });
    const job = planJob(unit, { replace: ['core', 'clock'], variants: {} });
    if (!job.ok) throw new Error(JSON.stringify(job.error));
    expect(provePlan(unit, job.value)).toEqual([]);
    const early = moved(job.value, 'install.cell-out', 'install.clock-out');
    expect(provePlan(unit, early)).toContainEqual({
      code: 'proof/energy-too-early',
      step: 'install.cell-out',
      facts: { open: ['clock'] },
    });
  });

  test('a part with steps for the way back only counts as open until they are done', () => {
    const unit = product({
      parts: [
        part('seal', 'seal', { steps: [step('seal-in', { kind: 'clean', what: 'groove' }, { way: 'out' })] }),
        part('lid', 'lid', {
          needs: ['seal'],
          steps: [step('lid-a', lift), step('lid-b', { kind: 'slide-out' })],
        }),
      ],
      prepare: [step('mains', { kind: 'isolate', what: 'mains' })],
    });
    const plan = planned(unit, 'lid');
    // Between the two steps of one of them, and after the other: one is open.
    for (const before of ['install.lid-a', 'install.lid-b'])
      expect(faults(unit, moved(plan, 'check.mains', before))).toContain('energy-too-early check.mains');
    const late = moved(plan, 'install.lid-a', null);
    expect(faults(unit, late)).toContain('energy-too-early check.mains');
  });
});

describe('what is said', () => {
  test('what a plan has instead of what it should have', () => {
    const said = (plan: Plan, code: string) =>
      provePlan(METER, plan).find((violation) => violation.code === code)?.facts;
    const fewer = withFastener(HEAD, 'remove.head-bolts', { count: 7 });
    expect(said(fewer, 'proof/fastener-wrong')).toEqual({
      expected: '8 × head-bolt',
      found: '7 × head-bolt',
    });
    const nowhere = withFastener(HEAD, 'remove.head-bolts', { compartment: null });
    expect(said(nowhere, 'proof/compartment-wrong')).toEqual({ expected: 'one', found: 'none' });
    const tray = withFastener(DISPLAY, 'install.door-loosen', { compartment: 1 });
    expect(said(tray, 'proof/compartment-wrong')).toEqual({ expected: 'none', found: 1 });
    const bare = edited(HEAD, 'install.head-bolts.tighten', (s) => ({ ...s, tool: null }));
    expect(said(bare, 'proof/tool-wrong')).toEqual({ expected: 'hex-4', found: 'none' });
    const armed = edited(HEAD, 'remove.head-out', (s) => ({ ...s, tool: 'pick' }));
    expect(said(armed, 'proof/tool-wrong')).toEqual({ expected: 'none', found: 'pick' });
    const limp = withFastener(HEAD, 'install.head-bolts.tighten', { torque_nm: null });
    expect(said(limp, 'proof/torque-wrong')).toEqual({ expected: 4, found: 'none' });
    const bold = withFastener(BOARD, 'install.board-washers', { torque_nm: 2 });
    expect(said(bold, 'proof/torque-wrong')).toEqual({ expected: 'none', found: 2 });
  });

  test('another record than the product’s', () => {
    const unit = product({
      parts: [
        part('lid', 'lid', { steps: [step('code', { kind: 'record', record: { id: 'c', name: 'code' } })] }),
      ],
    });
    const plan = planned(unit, 'lid');
    const other = edited(plan, 'remove.code', (s) => ({ ...s, record: { id: 'c', name: 'date' } }));
    expect(provePlan(unit, other)).toEqual([
      { code: 'proof/record-changed', step: 'remove.code', facts: { step: 'code' } },
    ]);
  });

  test('a plan that was written down and read again is as sound as it was', () => {
    for (const plan of [HEAD, BOARD, DISPLAY])
      expect(provePlan(METER, JSON.parse(JSON.stringify(plan)) as Plan)).toEqual([]);
  });
});

describe('the tray', () => {
  test('two lines with one number, and two lines for one place', () => {
    const [one] = HEAD.tray;
    if (one === undefined) throw new Error('no compartment');
    expect(faults(METER, { ...HEAD, tray: [...HEAD.tray, one] })).toContain('compartment-twice -');
    const other = { ...one, number: HEAD.tray.length + 1 };
    expect(faults(METER, { ...HEAD, tray: [...HEAD.tray, other] })).toEqual([
      'compartment-count -',
      'compartment-twice -',
    ]);
  });

  test('more put back than came out', () => {
    const plan = withFastener(HEAD, 'remove.head-bolts', { count: 7 });
    expect(faults(METER, plan)).toEqual(
      expect.arrayContaining(['compartment-short install.head-bolts', 'fastener-wrong remove.head-bolts']),
    );
  });

  test('counted while something is still in it', () => {
    const early = moved(HEAD, 'check.count-tray', 'install.head-bolts');
    expect(faults(METER, early)).toEqual(
      expect.arrayContaining(['tray-not-empty check.count-tray', 'unit-still-open check.count-tray']),
    );
  });
});
