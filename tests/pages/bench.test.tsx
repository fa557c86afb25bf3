// @vitest-environment jsdom
/** The bench by role and name: cautions, questions, entries by hand, troubles, the end of the job. */
import { act, fireEvent, screen, within } from '@testing-library/react';
import { afterEach, describe, expect, it } from 'vitest';
import { benchSizes } from '../../renderer/screens/bench/bench.tsx';
import { withoutList } from '../../renderer/screens/bench/work-card.tsx';
import { en } from '../../renderer/words/en.ts';
import { SETTINGS } from './core-bridge.ts';
import { openBench, playUntil, settle } from './render-app.tsx';

afterEach(() => {
  document.body.innerHTML = '';
});

const click = async (name: string | RegExp): Promise<void> => {
  fireEvent.click(screen.getByRole('button', { name }));
  await settle();
};

describe('caution', () => {
  it('opens “understood” only when the caution has been read', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack');
    await playUntil(bridge, (view) => view.phase === 'step');
    bridge.readsAtOnce = false;
    await act(async () => {
      for (let i = 0; i < 60 && bridge.view()?.phase !== 'caution'; i += 1) bridge.oneByScript(5000);
    });
    await settle();
    const understood = screen.getByRole('button', { name: en.phrase.understood });
    expect(understood).toHaveProperty('disabled', true);
    expect(screen.getByText(en.bench.readFirst)).toBeDefined();
    const utterance = bridge.lastUtterance;
    await act(async () => bridge.input({ type: 'spoken', utterance, outcome: 'completed' }));
    expect(screen.getByRole('button', { name: en.phrase.understood })).toHaveProperty('disabled', false);
    await click(en.phrase.understood);
    expect(bridge.inputs.at(-1)).toEqual({ type: 'phrase', phrase: 'understood', source: 'touch' });
    expect(bridge.view()?.phase).not.toBe('caution');
  });

  it('shows signal word, hazard, consequence and how to avoid it, in this order', async () => {
    const { bridge } = await openBench('bp-60.yaml', 'fan');
    await playUntil(bridge, (view) => view.caution?.word === 'danger');
    const panel = screen.getByRole('region', { name: new RegExp(`^${en.signal.danger}`) });
    const { hazard = '', consequence = '', avoid = '' } = bridge.view()?.caution ?? {};
    const text = panel.textContent ?? '';
    const places = [en.signal.danger, hazard, consequence, avoid].map((part) => text.indexOf(part));
    expect(places.every((at) => at >= 0)).toBe(true);
    expect([...places].sort((a, b) => a - b)).toEqual(places);
    expect(panel.querySelector('.alert-symbol')).not.toBeNull();
    expect(within(panel).getByRole('img')).toBeDefined();
  });

  it('shows no safety-alert symbol with a notice', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack');
    await playUntil(bridge, (view) => view.caution?.word === 'notice');
    const panel = screen.getByRole('region', { name: new RegExp(`^${en.signal.notice}`) });
    expect(panel.querySelector('.alert-symbol')).toBeNull();
    expect(panel.querySelector('.hazard-symbol.people')).toBeNull();
  });
});

describe('entries by hand', () => {
  it('takes a reading from the number pad', async () => {
    const { bridge } = await openBench('bp-60.yaml', 'fan');
    await playUntil(bridge, (view) => view.phase === 'step' && view.waits_for === 'reading');
    for (const key of ['3', en.bench.point, '2', '5', en.bench.minus]) await click(key);
    expect(screen.getByRole('textbox')).toHaveProperty('value', '-3.25');
    await click(en.bench.minus);
    await click(en.bench.enter);
    expect(bridge.inputs.at(-1)).toEqual({ type: 'reading', value: 3.25, source: 'touch' });
    expect(bridge.view()?.value_proposed).toContain('3.25');
    await click(en.phrase.yes);
    expect(bridge.view()?.value_proposed).toBeNull();
  });

  it('leaves letters pressed in the number pad to the phrases', async () => {
    const { bridge } = await openBench('bp-60.yaml', 'fan');
    await playUntil(bridge, (view) => view.phase === 'step' && view.waits_for === 'reading');
    bridge.inputs.length = 0;
    const field = screen.getByRole('textbox');
    expect(document.activeElement).toBe(field);
    fireEvent.keyDown(field, { key: 'r' });
    fireEvent.keyDown(field, { key: '7' });
    await settle();
    expect(bridge.inputs).toEqual([{ type: 'phrase', phrase: 'repeat', source: 'key' }]);
  });

  it('takes a serial number from a scanner that types and ends with Enter', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack');
    await playUntil(bridge, (view) => view.phase === 'step' && view.waits_for === 'serial');
    bridge.inputs.length = 0;
    const field = screen.getByRole('textbox');
    expect(document.activeElement).toBe(field);
    fireEvent.keyDown(field, { key: 'p' });
    fireEvent.change(field, { target: { value: 'ab1234' } });
    fireEvent.submit(field);
    await settle();
    expect(bridge.inputs).toEqual([{ type: 'serial', value: 'AB1234', source: 'touch' }]);
  });

  it('spells a serial number by touch', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack');
    await playUntil(bridge, (view) => view.phase === 'step' && view.waits_for === 'serial');
    for (const key of ['Q', '7', 'X', en.bench.erase, '-', '4', '2']) await click(key);
    await click(en.bench.enter);
    expect(bridge.inputs.at(-1)).toEqual({ type: 'serial', value: 'Q7-42', source: 'touch' });
  });

  it('asks a trainee how many are in the tray and takes the number', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack', { verbosity: 'trainee' });
    await playUntil(bridge, (view) => view.question?.kind === 'count');
    expect(screen.getByRole('button', { name: en.bench.minus })).toHaveProperty('disabled', true);
    await click('1');
    await click(en.bench.enter);
    expect(bridge.inputs.at(-1)).toEqual({ type: 'number', value: 1, source: 'touch' });
  });

  it('hands the job over to a colleague', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack');
    await playUntil(bridge, (view) => view.phase === 'step');
    await click(en.bench.handOver);
    fireEvent.change(screen.getByRole('textbox', { name: en.bench.handOverTo }), { target: { value: 'B' } });
    await click(en.bench.handOverDo);
    expect(bridge.view()?.technician).toBe('B');
  });

  it('takes a written note', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack');
    await playUntil(bridge, (view) => view.phase === 'step' && view.step_number > 3);
    await click(en.phrase.note);
    fireEvent.change(screen.getByRole('textbox', { name: en.bench.note }), {
      target: { value: 'Scratch on the case' },
    });
    await click(en.bench.noteSave);
    expect(bridge.inputs.at(-1)).toEqual({ type: 'text', value: 'Scratch on the case', source: 'touch' });
  });
});

describe('questions', () => {
  it('offers the kinds of problem as buttons and by number key', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack');
    await playUntil(bridge, (view) => view.phase === 'step' && view.step_number > 8);
    await click(en.phrase.problem);
    const kinds = bridge.view()?.question?.answers.filter((one) => one !== 'no') ?? [];
    expect(kinds.length).toBeGreaterThan(4);
    for (const kind of kinds) expect(screen.getByRole('button', { name: kind })).toBeDefined();
    fireEvent.keyDown(window, { key: '1' });
    await settle();
    expect(bridge.inputs.at(-1)).toEqual({ type: 'answer', value: kinds[0], source: 'key' });
    await click('go on');
    expect(bridge.view()?.phase).toBe('step');
  });

  it('shows a question without the list that is read aloud', () => {
    expect(withoutList('What is the problem? lost screw, or no?')).toBe('What is the problem?');
    expect(withoutList('Is that right')).toBe('Is that right');
  });
});

describe('what the bench shows', () => {
  it('names step, stage and progress', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack');
    await playUntil(bridge, (view) => view.phase === 'step' && view.step_number === 9);
    const total = bridge.view()?.step_total ?? 0;
    const rule = screen.getByRole('progressbar');
    expect(rule.getAttribute('aria-valuetext')).toBe(en.bench.stepOf(9, total, en.stage.remove));
    expect(rule.querySelectorAll('.division').length).toBe(total);
    expect(rule.querySelectorAll('.division.done').length).toBe(8);
  });

  it('lights the compartment of the step and counts what lies in it', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack');
    await playUntil(bridge, (view) => view.phase === 'step' && view.lit_compartments.length > 0);
    const tray = screen.getByRole('region', { name: en.bench.trayPicture('1') });
    expect(tray.querySelectorAll('.compartment.lit').length).toBe(1);
    await playUntil(bridge, (view) => (view.ledger[0]?.out ?? 0) > 0);
    const { out = 0, total = 0 } = bridge.view()?.ledger[0] ?? {};
    const holding = screen.getByRole('region', { name: /^Tray/ }).querySelector('.compartment.holds');
    expect(holding?.textContent).toContain(en.bench.outOf(out, total));
  });

  it('says what was heard and how sure, and why something was refused', async () => {
    const { bridge, ear } = await openBench('wt-3.yaml', 'battery-pack');
    await playUntil(bridge, (view) => view.phase === 'step');
    await act(async () => {
      ear.tell({ type: 'ready', modelSha256: '', loadMs: 1 });
      ear.tell({
        type: 'heard',
        text: 'repeat',
        understood: { type: 'phrase', phrase: 'repeat' },
        confidence: 0.91,
        decidedMs: 1,
        early: true,
      });
    });
    const panel = screen.getByRole('region', { name: en.bench.heard });
    expect(panel.textContent).toContain('repeat');
    expect(panel.textContent).toContain(en.bench.sure(91));
    await act(async () => ear.tell({ type: 'refused', reason: 'too-noisy', confidence: null }));
    expect(panel.textContent).toContain(en.bench.notTaken);
    expect(panel.textContent).toContain(bridge.view()?.refusal_text ?? '');
  });

  it('says what is wrong with the microphone and what to do, and goes on by touch', async () => {
    const { bridge, ear } = await openBench('wt-3.yaml', 'battery-pack');
    await playUntil(bridge, (view) => view.phase === 'step');
    await act(async () => ear.tell({ type: 'trouble', code: 'microphone-lost', over: false, detail: 'x' }));
    const alert = screen.getByRole('note');
    expect(alert.textContent).toContain(en.trouble['microphone-lost'].what);
    expect(alert.textContent).toContain(en.trouble['microphone-lost'].mend);
    const before = bridge.view()?.step_number ?? 0;
    await click(en.phrase.next);
    expect(bridge.view()?.step_number).toBe(before + 1);
  });

  it('sets its text by distance and screen', () => {
    const near = benchSizes({ ...SETTINGS, viewing_distance_m: 0.7 });
    const far = benchSizes({ ...SETTINGS, viewing_distance_m: 1.5 });
    expect(far.preferred_px / near.preferred_px).toBeCloseTo(1.5 / 0.7, 3);
    expect(benchSizes({ ...SETTINGS, screen_px_per_mm: 8 }).minimum_px).toBeCloseTo((6.981 * 8) / 0.7, 1);
  });

  it('has no live region that repeats what the mouth says, and all of them with the voice off', async () => {
    for (const [voice, regions] of [
      ['embedded', ['status']],
      ['off', ['alert', 'status', 'status']],
    ] as const) {
      document.body.innerHTML = '';
      const { bridge, ear } = await openBench('wt-3.yaml', 'battery-pack', { voice, verbosity: 'trainee' });
      await playUntil(bridge, (view) => view.question?.kind === 'count');
      await act(async () => bridge.input({ type: 'number', value: 99, source: 'touch' }));
      await act(async () => ear.tell({ type: 'trouble', code: 'microphone-lost', over: false, detail: '' }));
      const live = [
        ...document.querySelectorAll('.bench [role=alert], .bench [role=status], .bench [aria-live]'),
      ];
      expect(live.map((one) => one.getAttribute('role')).sort()).toEqual([...regions]);
    }
  });

  it('announces the place of the job only while the mouth is silent', async () => {
    const { bridge, mouth } = await openBench('wt-3.yaml', 'battery-pack');
    await playUntil(bridge, (view) => view.phase === 'step' && view.step_number > 2);
    const said = (): string => screen.getByRole('status').textContent ?? '';
    const before = said();
    expect(before).toContain(`${bridge.view()?.step_number} of`);
    await act(async () => mouth.speaking(true, 'x'));
    await act(async () => bridge.input({ type: 'phrase', phrase: 'next', source: 'voice', confidence: 1 }));
    expect(said()).toBe(before);
    await act(async () => mouth.speaking(false, ''));
    expect(said()).not.toBe(before);
    expect(said()).not.toContain(bridge.view()?.prompt ?? '-');
  });

  it('announces what to do as well where there is no voice', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack', { voice: 'off' });
    await playUntil(bridge, (view) => view.phase === 'step');
    expect(
      screen.getAllByRole('status').some((one) => one.textContent?.includes(bridge.view()?.prompt ?? '-')),
    ).toBe(true);
  });

  it('names the tool of a job that is gone on with', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack');
    await playUntil(bridge, (view) => view.phase === 'step' && view.step.tool === 't8-driver');
    expect(screen.getByText('T8 screwdriver')).toBeDefined();
  });

  it('shows imperial torque where wanted', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack', { units: 'imperial' });
    await playUntil(
      bridge,
      (view) => view.phase === 'step' && view.step.fasteners.some((one) => one.torque_nm !== null),
    );
    // 0.35 N·m ÷ 0.1129848 = 3.1 lbf·in.
    expect(screen.getByText('3.1 lbf·in')).toBeDefined();
  });
});

describe('the end of the job', () => {
  it('goes through a whole job by touch alone, to its record', async () => {
    const { bridge } = await openBench('practice.yaml', 'sheet');
    for (let guard = 0; guard < 80; guard += 1) {
      const view = bridge.view();
      if (view === null) break;
      const large = document.querySelector<HTMLElement>('.phrase-key.large');
      expect(large, `a large key at step ${view.step_number}, ${view.phase}`).not.toBeNull();
      await act(async () => bridge.advance(4000));
      fireEvent.click(large as HTMLElement);
      await settle();
    }
    expect(
      bridge.inputs.every((one) => one.type === 'spoken' || ('source' in one && one.source === 'touch')),
    ).toBe(true);
    expect(screen.getByText(en.bench.finished)).toBeDefined();
    await click(en.bench.seeJob);
    expect((await screen.findAllByRole('table')).length).toBeGreaterThan(0);
    expect(screen.getByText(en.after.verified)).toBeDefined();
    expect(screen.getByText(en.after.completed)).toBeDefined();
  });

  it('leaves a job for later and offers to go on at the same step', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack');
    await playUntil(bridge, (view) => view.phase === 'step' && view.step_number === 14);
    const total = bridge.view()?.step_total ?? 0;
    await click(en.bench.leave);
    await click(en.start.goOnAt(14, total));
    expect(bridge.view()?.step_number).toBe(14);
    expect(screen.getByRole('progressbar')).toBeDefined();
  });
});
