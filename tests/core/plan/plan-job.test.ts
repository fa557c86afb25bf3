import { describe, expect, test } from 'vitest';
import type { Plan, PlanStep } from '../../../electron/core/plan/model.ts';
import { type JobRequest, partsAlsoOff, planJob } from '../../../electron/core/plan/plan-job.ts';
import { proofText, provePlan } from '../../../electron/core/plan/proof.ts';
import { planAsAnswered } from '../../../electron/core/plan/questions.ts';
import { diagnosticText, PLAN_CODES } from '../../../electron/core/plan/words.ts';
import type { Product, ProductStep } from '../../../electron/core/product/model.ts';
import { METER, part, product, screws, step } from './sample-unit.ts';

function plan(unit: Product, request: JobRequest): Plan {
  const result = planJob(unit, request);
  if (!result.ok) throw new Error(result.error.map((d) => diagnosticText(d).message).join('\n'));
  expect(provePlan(unit, result.value).map((violation) => proofText(violation))).toEqual([]);
  return result.value;
}

function ids(steps: readonly PlanStep[], stage: string): readonly string[] {
  return steps.filter((s) => s.stage === stage).map((s) => s.id.slice(stage.length + 1));
}

function say(made: Plan, id: string): string {
  const found = made.steps.find((s) => s.id === id);
  if (found === undefined) throw new Error(`no step ${id} among ${made.steps.map((s) => s.id).join(' ')}`);
  return found.say;
}

function refusal(
  unit: Product,
  request: JobRequest,
): { code: string; facts: object; message: string; mend: string } {
  const result = planJob(unit, request);
  if (result.ok) throw new Error('a plan was made');
  const first = result.error[0];
  if (first === undefined) throw new Error('refused without a reason');
  return { code: first.code, facts: first.facts, ...diagnosticText(first) };
}

const FOUR = { 'sink-screws': 'four' };

describe('what comes off', () => {
  test('the closure of needs, without the part itself, in the author’s order', () => {
    expect(partsAlsoOff(METER, 'board')).toEqual(['cover', 'door', 'pack']);
    expect(partsAlsoOff(METER, 'cover')).toEqual([]);
    expect(partsAlsoOff(METER, 'nothing')).toEqual([]);
  });

  test('several parts: the union, each part off and back once', () => {
    const made = plan(METER, { replace: ['head', 'board', 'head'], variants: FOUR });
    expect(made.replace).toEqual(['board', 'head']);
    for (const id of ['cover-screws', 'door-open', 'pack-out', 'head-out', 'board-lift']) {
      expect(ids(made.steps, 'remove').filter((x) => x === id)).toHaveLength(1);
      expect(ids(made.steps, 'install').filter((x) => x === id)).toHaveLength(1);
    }
  });

  test('of two parts with one id the first counts', () => {
    const unit = product({
      parts: [part('a', 'lid'), part('a', 'other lid', { steps: [step('b', { kind: 'slide-out' })] })],
    });
    const made = planJob(unit, { replace: ['a'], variants: {} });
    expect(made.ok && ids(made.value.steps, 'remove')).toEqual(['a-out']);
    expect(made.ok && made.value.new_parts).toEqual([{ id: 'a', name: 'lid' }]);
  });

  test('a diamond of needs is counted once', () => {
    const unit = product({
      parts: [
        part('a', 'lid'),
        part('b', 'left', { needs: ['a'] }),
        part('c', 'right', { needs: ['a'] }),
        part('d', 'core', { needs: ['b', 'c'] }),
      ],
    });
    expect(ids(plan(unit, { replace: ['d'], variants: {} }).steps, 'remove')).toEqual([
      'a-out',
      'b-out',
      'c-out',
      'd-out',
    ]);
  });
});

describe('stages', () => {
  const made = plan(METER, { replace: ['board'], variants: FOUR });

  test('prepare: job cautions first, then records, things to fetch, and the product’s own steps', () => {
    expect(ids(made.steps, 'prepare')).toEqual([
      'job-cautions',
      'unit-serial',
      'get-tools',
      'get-materials',
      'set-out-tray',
      'mains-off',
      'drain',
      'dead',
    ]);
    expect(made.steps[0]?.cautions.map((c) => c.id)).toEqual(['esd']);
  });

  test('replace: old part aside, parts moved over with their own steps, new part made ready', () => {
    expect(ids(made.steps, 'replace')).toEqual([
      'board.old',
      'radio-slide',
      'memory-arms',
      'board.new',
      'memory-arms.on',
      'radio-slide.on',
      'board-film',
      'board.serial',
    ]);
  });

  test('install: the energy source after everything that does not cover it', () => {
    const back = ids(made.steps, 'install');
    expect(back.indexOf('pack-unplug')).toBeGreaterThan(back.indexOf('board-lift'));
    expect(back.indexOf('pack-unplug')).toBeGreaterThan(back.indexOf('door-open'));
    expect(back.indexOf('cover-edges')).toBeGreaterThan(back.indexOf('pack-unplug'));
  });

  test('check: tray, checks of the dead unit, energy, checks under power', () => {
    expect(ids(made.steps, 'check')).toEqual(['count-tray', 'earth', 'mains-off', 'output']);
  });

  test('expected time is the sum of its steps', () => {
    expect(made.expected_s).toBe(made.steps.reduce((sum, s) => sum + s.expected_s, 0));
  });
});

describe('what a plain reversal forgets', () => {
  const made = plan(METER, { replace: ['board', 'sink', 'head', 'display', 'pack'], variants: FOUR });

  test('start by hand, then torque, order and passes', () => {
    expect(say(made, 'install.head-bolts')).toBe(
      'Take the eight M5×25 head bolts from compartment two. Start them by hand in the pump head.',
    );
    expect(say(made, 'install.head-bolts.tighten')).toContain(
      'Keep to this order in each pass: 1, 5, 3, 7, 2, 6, 4, 8. First pass: 1.2 N·m. Second pass: 2.4 N·m. Third pass: 4 N·m. Then go round once more in number order at 4 N·m.',
    );
  });

  test('the tightening tool is not the one that loosened', () => {
    const off = made.steps.find((s) => s.id === 'remove.cover-screws');
    const tight = made.steps.find((s) => s.id === 'install.cover-screws.tighten');
    expect([off?.tool, tight?.tool]).toEqual(['t8', 't8-torque']);
  });

  test('a part is held before it is closed', () => {
    const back = ids(made.steps, 'install');
    expect(back.indexOf('door-hold')).toBe(back.indexOf('door-open') - 1);
  });

  test('strips: faces cleaned, new strips bonded, then the part put down', () => {
    const back = ids(made.steps, 'install');
    const at = back.indexOf('pack-strips.clean');
    expect(back.slice(at, at + 3)).toEqual(['pack-strips.clean', 'pack-strips', 'pack-out']);
    expect(say(made, 'install.pack-strips')).toContain('Use this orientation: tabs toward the pack.');
    expect(say(made, 'install.pack-out')).toBe('Put the battery pack in place. Press it down firmly.');
  });

  test('heat sink: both faces cleaned and new compound each time', () => {
    const back = ids(made.steps, 'install');
    expect(back.indexOf('sink-off.clean')).toBe(back.indexOf('sink-off') - 1);
    expect(made.steps.find((s) => s.id === 'install.sink-off')?.renew).toEqual(['pad', 'compound']);
  });

  test('seal renewed and lubricated; tape only where it no longer holds; single-use nuts new', () => {
    expect(say(made, 'install.cover-seal')).toContain(
      'Put silicone grease on the new O-ring. Fit the new O-ring.',
    );
    expect(say(made, 'install.display-tape')).toContain('If it does not hold, use new tape.');
    expect(say(made, 'install.board-nuts')).toContain('Get three new M3 lock nuts.');
    expect(made.consumables.find((c) => c.id === 'lock-nut')?.count).toBe(3);
  });

  test('the route noted on the way in is read back', () => {
    expect(made.steps.find((s) => s.id === 'remove.board-lead.note')?.note_item).toBe('lead');
    expect(made.steps.find((s) => s.id === 'install.board-lead')?.note_item).toBe('lead');
    expect(say(made, 'install.board-lead')).toContain('The route: under the clip, left of the pack.');
  });

  test('seating is checked by what there is to see or hear', () => {
    expect(say(made, 'install.pack-unplug')).toContain('Check this: the latch clicks.');
  });
});

test('a hold is for both ways, at the end of each; on a step for one way it is for that way', () => {
  const hold = 'A second person looks';
  const lid = part('lid', 'lid', {
    steps: [
      step('gap', { kind: 'inspect', what: 'gap' }, { way: 'in', hold }),
      screws('lid-screws', 'case-screw', 4, 'lid', { hold }),
      step('seam', { kind: 'inspect', what: 'seam' }, { way: 'out', hold }),
    ],
  });
  const made = plan({ ...METER, parts: [lid], checks: [], prepare: [] }, { replace: ['lid'], variants: {} });
  const held = made.steps.filter((s) => s.hold === hold).map((s) => s.id);
  expect(held).toEqual(['remove.gap', 'remove.lid-screws', 'install.seam', 'install.lid-screws.tighten']);
});

test('what to look for on the way in is said on the way back for fasteners only, unless it is given', () => {
  const said = { look_for: 'It twists.', why: 'It is glued.' };
  const off = { kind: 'lift-out' } as const;
  const on = (more: Partial<ProductStep>): PlanStep | undefined => {
    const unit = product({
      parts: [part('lid', 'lid', { steps: [step('lid-off', off, { ...said, ...more })] })],
    });
    return plan(unit, { replace: ['lid'], variants: {} }).steps.find((s) => s.id === 'install.lid-off');
  };
  expect(on({})).toMatchObject({ look_for: null, why: 'It is glued.' });
  expect(on({ look_for_back: 'It clicks.', why_back: 'It holds.' })).toMatchObject({
    look_for: 'It clicks.',
    why: 'It holds.',
  });
  const lid = part('lid', 'lid', { steps: [screws('lid-screws', 'case-screw', 4, 'lid', said)] });
  const unit = { ...METER, parts: [lid], checks: [], prepare: [] };
  const back = plan(unit, { replace: ['lid'], variants: {} }).steps.filter((s) => s.stage === 'install');
  expect(back.map((s) => s.look_for)).toEqual(back.map(() => 'It twists.'));
});

describe('variants', () => {
  test('only the steps of the answer given', () => {
    const made = plan(METER, { replace: ['sink'], variants: { 'sink-screws': 'six' } });
    expect(ids(made.steps, 'remove')).toContain('sink-six');
    expect(ids(made.steps, 'remove')).not.toContain('sink-four');
  });
  test('a missing answer is asked for right before the first step that depends on it', () => {
    const made = plan(METER, { replace: ['sink'], variants: {} });
    const asks = made.steps.findIndex((s) => s.asks !== undefined);
    expect(made.steps[asks]).toMatchObject({
      id: 'remove.ask-sink-screws',
      action: 'ask-variant',
      asks: { variant: 'sink-screws', answers: ['four', 'six'] },
    });
    expect(made.steps[asks + 1]).toMatchObject({ id: 'remove.sink-four', when: { is: 'four' } });
    expect(made.tray.find((c) => c.place === 'heat sink')?.count).toBe(6);
    expect(provePlan(METER, made)).toEqual([]);
    const four = planAsAnswered(made, { 'sink-screws': 'four' });
    expect(four.tray.find((c) => c.place === 'heat sink')?.count).toBe(4);
    expect(ids(four.steps, 'install')).not.toContain('sink-six');
    expect(planAsAnswered(made, {})).toBe(made);
  });
  test('nothing is asked where no step depends on it', () => {
    const made = plan(METER, { replace: ['head'], variants: {} });
    expect(made.steps.some((s) => s.asks !== undefined)).toBe(false);
  });
  test('at the start where the file says so, and by the step that finds it out', () => {
    const asked = { ...METER, variants: METER.variants.map((v) => ({ ...v, asked: 'start' as const })) };
    const early = plan(asked, { replace: ['sink'], variants: {} });
    const at = early.steps.findIndex((s) => s.asks !== undefined);
    expect(early.steps[at]?.part).toBeNull();
    expect(early.steps[at + 1]?.id).toBe('prepare.get-tools');
    const look: ProductStep = {
      id: 'sink-look',
      action: { kind: 'inspect', what: 'heat sink' },
      finds: 'sink-screws',
      hazards: [],
      way: 'in',
    };
    const found = {
      ...METER,
      parts: METER.parts.map((p) => (p.id === 'sink' ? { ...p, steps: [look, ...p.steps] } : p)),
    };
    const late = plan(found, { replace: ['sink'], variants: {} });
    const asks = late.steps.filter((s) => s.asks !== undefined);
    expect(asks.map((s) => s.id)).toEqual(['remove.sink-look']);
    expect(asks[0]?.say).toMatch(/^Examine the heat sink\. .*\?$/);
    expect(provePlan(found, late)).toEqual([]);
  });
  test('more questions than can be proven are refused', () => {
    const many = Array.from({ length: 7 }, (_, i) => ({
      id: `q-${i}`,
      ask: `Is number ${i} there?`,
      answers: ['here', 'gone'],
    }));
    const steps = many.map(
      ({ id }): ProductStep => ({
        id: `do-${id}`,
        action: { kind: 'do', what: 'Look at it' },
        when: { variant: id, is: 'here' },
        hazards: [],
        way: 'in',
      }),
    );
    const unit = { ...METER, variants: many, prepare: steps };
    expect(
      refusal(
        { ...unit, parts: METER.parts.map((p) => ({ ...p, steps: [] })) },
        { replace: ['head'], variants: {} },
      ),
    ).toMatchObject({
      code: 'plan/variant-answer-missing',
      facts: { variant: 'q-6' },
    });
  });
});

describe('refusals name the reason', () => {
  test('an empty job', () => {
    expect(refusal(METER, { replace: [], variants: {} }).code).toBe('plan/nothing-to-replace');
  });
  test('a part that is not there', () => {
    expect(refusal(METER, { replace: ['boiler'], variants: {} })).toMatchObject({
      code: 'plan/unknown-part',
      facts: { part: 'boiler', known: METER.parts.map((p) => p.id) },
    });
  });
  test('a part that is not replaceable', () => {
    const unit = product({ parts: [part('a', 'lid', { replaceable: false })] });
    expect(refusal(unit, { replace: ['a'], variants: {} })).toMatchObject({
      code: 'plan/part-not-replaceable',
      facts: { part: 'a', name: 'lid' },
    });
  });
  test('an answer that is not allowed, and a question that is not asked', () => {
    expect(refusal(METER, { replace: ['head'], variants: { 'sink-screws': 'five' } })).toMatchObject({
      code: 'plan/variant-answer-not-allowed',
      facts: {
        variant: 'sink-screws',
        answer: 'five',
        ask: 'Does the heat sink have four screws or six?',
        allowed: ['four', 'six'],
      },
      mend: 'Give one of these answers: four, six.',
    });
    expect(refusal(METER, { replace: ['head'], variants: { colour: 'red' } })).toMatchObject({
      code: 'plan/unknown-variant',
      facts: { variant: 'colour', known: ['sink-screws'] },
    });
  });
  test('a part that can never come off, with the chain of reasons', () => {
    const unit = product({
      parts: [
        part('a', 'a', { needs: ['b'] }),
        part('b', 'b', { needs: ['c'] }),
        part('c', 'c', { needs: ['d'] }),
        part('d', 'd', { needs: ['b'] }),
      ],
    });
    const { code, facts, message } = refusal(unit, { replace: ['a'], variants: {} });
    expect(code).toBe('plan/part-never-comes-off');
    expect(facts).toEqual({ part: 'a', chain: ['a', 'b', 'c', 'd', 'b'] });
    expect(message).toBe('The part "a" can never come off: a needs b needs c needs d needs b.');
  });
  test('a part that needs itself', () => {
    const unit = product({ parts: [part('a', 'a', { needs: ['a'] })] });
    expect(refusal(unit, { replace: ['a'], variants: {} }).facts).toEqual({ part: 'a', chain: ['a', 'a'] });
  });
  test('a cycle behind a chain of 5,000 parts', () => {
    const parts = Array.from({ length: 5_000 }, (_, i) =>
      part(`p${i}`, 'p', { needs: [`p${i === 4_999 ? 4_998 : i + 1}`] }),
    );
    expect(refusal(product({ parts }), { replace: ['p0'], variants: {} }).code).toBe(
      'plan/part-never-comes-off',
    );
  });
  test('a cycle elsewhere does not stop a job that has nothing to do with it', () => {
    const unit = product({
      parts: [part('a', 'a'), part('b', 'b', { needs: ['c'] }), part('c', 'c', { needs: ['b'] })],
    });
    expect(planJob(unit, { replace: ['a'], variants: {} }).ok).toBe(true);
  });
  test('a need that does not exist', () => {
    const unit = product({ parts: [part('a', 'a', { needs: ['ghost'] })] });
    expect(refusal(unit, { replace: ['a'], variants: {} })).toMatchObject({
      code: 'plan/unknown-needed-part',
      facts: { part: 'a', needs: 'ghost' },
    });
  });
  test('parts that wait for each other on the way back', () => {
    const unit = product({
      parts: [part('a', 'a', { install_after: [] }), part('b', 'b', { needs: ['a'], install_after: ['a'] })],
    });
    expect(refusal(unit, { replace: ['b'], variants: {} })).toMatchObject({
      code: 'plan/part-never-goes-back',
      facts: { chain: ['a', 'b', 'a'] },
    });
  });
  test('every code has words of its own', () => {
    for (const code of PLAN_CODES) {
      const { message, mend } = diagnosticText({ code, severity: 'error', facts: {} });
      expect(message).not.toContain(code);
      expect(mend).not.toBe('');
    }
  });
});

describe('order of parts', () => {
  const tools = [
    { id: 'a', name: 'tool a' },
    { id: 'b', name: 'tool b' },
  ];
  test('keeps a tool in the hand where precedence allows it', () => {
    const parts = ['a', 'b', 'a', 'b'].map((tool, i) =>
      part(`p${i}`, `part ${i}`, { steps: [step(`s${i}`, { kind: 'lift-out' }, { tool })] }),
    );
    const last = part('end', 'end', { needs: parts.map((p) => p.id) });
    const made = plan(product({ tools, parts: [...parts, last] }), { replace: ['end'], variants: {} });
    expect(ids(made.steps, 'remove')).toEqual(['s0', 's2', 's1', 's3', 'end-out']);
    expect(made.order).toEqual({ cost: 15, lower_bound: 15, exact: true });
  });

  test('turns the unit over as seldom as it can', () => {
    const sides = ['front', 'back', 'front', 'back'];
    const parts = sides.map((side, i) =>
      part(`p${i}`, `part ${i}`, { steps: [step(`s${i}`, { kind: 'lift-out' }, { side })] }),
    );
    const last = part('end', 'end', { needs: parts.map((p) => p.id) });
    const made = plan(product({ parts: [...parts, last] }), { replace: ['end'], variants: {} });
    expect(ids(made.steps, 'remove')).toEqual(['s0', 's2', 's1', 's3', 'end-out']);
    expect(say(made, 'remove.s1')).toBe('Turn the unit so that the back faces you. Lift out the part 1.');
  });

  test('install_after is kept against the plain reversal', () => {
    const unit = product({
      parts: [
        part('a', 'a', { install_after: ['b'] }),
        part('b', 'b', { install_after: [] }),
        part('end', 'end', { needs: ['a', 'b'] }),
      ],
    });
    const reversed = product({
      ...unit,
      parts: unit.parts.map((p) => ({ ...p, install_after: p.id === 'b' ? ['a'] : [] })),
    });
    expect(ids(plan(unit, { replace: ['end'], variants: {} }).steps, 'install')).toEqual([
      'end-out',
      'b-out',
      'a-out',
    ]);
    expect(ids(plan(reversed, { replace: ['end'], variants: {} }).steps, 'install')).toEqual([
      'end-out',
      'a-out',
      'b-out',
    ]);
  });
});

test('what is measured on the way in is not asked for again when energy returns', () => {
  const measure = { id: 'volts', name: 'voltage', unit: 'V', max: 5 };
  const unit = product({
    parts: [part('a', 'lid')],
    prepare: [step('off', { kind: 'isolate', what: 'supply', measure })],
    checks: [step('dark', { kind: 'record', record: { id: 'r', name: 'date code' } }, { way: 'in' })],
  });
  const made = plan(unit, { replace: ['a'], variants: {} });
  const find = (id: string) => made.steps.find((s) => s.id === id);
  expect(find('prepare.off')?.measure).toEqual(measure);
  expect(find('check.off')).toMatchObject({ action: 'restore-energy', measure: null });
  expect(find('check.dark')?.record).toEqual({ id: 'r', name: 'date code' });
});

describe('ids', () => {
  test('a product step named like one of the planner’s own keeps its id, the planner’s gets a number', () => {
    const unit = product({
      parts: [part('a', 'a')],
      prepare: [step('get-materials', { kind: 'do', what: 'Look' })],
    });
    const found = ids(plan(unit, { replace: ['a'], variants: {} }).steps, 'prepare');
    expect(new Set(found).size).toBe(found.length);
    expect(found).toContain('get-materials');
  });
  test.each([
    ['count-tray', 'check'],
    ['ask-size', 'prepare'],
  ])('also where it is named %s', (id, stage) => {
    const what = { kind: 'do', what: 'Look' } as const;
    const big = step('big', what, { when: { variant: 'size', is: 'large' } });
    const unit = product({
      fasteners: METER.fasteners,
      tools: METER.tools,
      variants: [{ id: 'size', ask: 'Is it large or small?', answers: ['large', 'small'], asked: 'start' }],
      prepare: [step(id, { kind: 'support' })],
      parts: [part('a', 'lid', { steps: [screws('s', 'case-screw', 4, 'lid'), big] })],
    });
    const found = ids(plan(unit, { replace: ['a'], variants: {} }).steps, stage);
    expect(new Set(found).size).toBe(found.length);
    expect(found).toEqual(expect.arrayContaining([id, `${id}.2`]));
  });
  test('a product step named like the second draft of another', () => {
    const unit = product({
      fasteners: METER.fasteners,
      tools: METER.tools,
      parts: [
        part('a', 'lid', {
          steps: [step('s.tighten', { kind: 'slide-out' }), screws('s', 'case-screw', 4, 'lid')],
        }),
      ],
    });
    const found = ids(plan(unit, { replace: ['a'], variants: {} }).steps, 'install');
    expect(found).toEqual(['s', 's.tighten', 's.tighten.2']);
  });
  test('ids do not change when texts do', () => {
    const other = { ...METER, parts: METER.parts.map((p) => ({ ...p, name: `${p.name} new` })) };
    const a = plan(METER, { replace: ['board'], variants: FOUR });
    const b = plan(other, { replace: ['board'], variants: FOUR });
    expect(b.steps.map((s) => s.id)).toEqual(a.steps.map((s) => s.id));
  });
});

test('an author’s own sentence stands in both directions', () => {
  const unit = product({
    fasteners: METER.fasteners,
    tools: METER.tools,
    parts: [
      part('a', 'lid', {
        steps: [
          screws('s', 'case-screw', 4, 'lid', {
            say: 'Undo all four',
            say_back: 'Put all four back to 0.4 N·m',
          }),
        ],
      }),
    ],
  });
  const made = plan(unit, { replace: ['a'], variants: {} });
  expect(say(made, 'remove.s')).toBe('Take the T8 screwdriver. Undo all four.');
  expect(say(made, 'install.s')).toBe('Take the T8 torque screwdriver. Put all four back to 0.4 N·m.');
});
