// @vitest-environment jsdom
/** Hold points, trainees, the list of steps, and what the host tells of log and disk. */
import { act, fireEvent, screen, within } from '@testing-library/react';
import { afterEach, describe, expect, it } from 'vitest';
import { rowAfter } from '../../renderer/screens/bench/step-list.tsx';
import { en } from '../../renderer/words/en.ts';
import type { CoreBridge } from './core-bridge.ts';
import { openBench, playUntil, settle } from './render-app.tsx';

afterEach(() => {
  document.body.innerHTML = '';
});

const click = async (name: string | RegExp, within_: HTMLElement = document.body): Promise<void> => {
  fireEvent.click(within(within_).getByRole('button', { name }), { detail: 1 });
  await settle();
};
const press = async (key: string, target: Element | Window = window): Promise<void> => {
  fireEvent.keyDown(target, { key });
  await settle();
};

describe('hold point', () => {
  const atHold = async () => {
    const opened = await openBench('bp-60.yaml', 'fan');
    await playUntil(opened.bridge, (view) => view.phase === 'step' && view.waits_for === 'sign-off');
    opened.bridge.inputs.length = 0;
    return opened;
  };
  const stepNow = (bridge: CoreBridge): string | undefined => bridge.view()?.step.id;

  it('says what is to be confirmed, and “next” does not pass it', async () => {
    const { bridge } = await atHold();
    const before = stepNow(bridge);
    expect(screen.getByText(en.bench.hold)).toBeDefined();
    expect(screen.getByText(bridge.view()?.step.hold ?? '-', { exact: true })).toBeDefined();
    await act(async () => bridge.input({ type: 'phrase', phrase: 'next', source: 'voice' }));
    expect(stepNow(bridge)).toBe(before);
    expect(screen.getByText(/A second person must sign off first/)).toBeDefined();
  });

  it('takes the code of a second person by the pad alone', async () => {
    const { bridge } = await atHold();
    const pad = screen.getByRole('form', { name: en.bench.holdPad });
    expect(within(pad).getByRole('button', { name: en.bench.holdSign })).toHaveProperty('disabled', true);
    for (const key of ['E', '7']) await click(key, pad);
    await click(en.bench.holdSign, pad);
    expect(bridge.inputs).toEqual([{ type: 'sign-off', person: 'E7', source: 'touch' }]);
    expect(bridge.view()?.waits_for).not.toBe('sign-off');
    expect(screen.queryByRole('form', { name: en.bench.holdPad })).toBeNull();
  });

  it('takes a code that is typed or scanned, as it was typed', async () => {
    const { bridge } = await atHold();
    const field = screen.getByRole('textbox', { name: en.bench.holdCode });
    expect(document.activeElement).toBe(field);
    await press('n', field);
    fireEvent.change(field, { target: { value: 'Technician E' } });
    fireEvent.submit(field);
    await settle();
    expect(bridge.inputs).toEqual([{ type: 'sign-off', person: 'Technician E', source: 'touch' }]);
    expect(bridge.view()?.waits_for).not.toBe('sign-off');
  });

  it('refuses the technician who did the work, and says why', async () => {
    const { bridge } = await atHold();
    const { technician = '' } = bridge.view() ?? {};
    const pad = screen.getByRole('form', { name: en.bench.holdPad });
    await click(technician, pad);
    await click(en.bench.holdSign, pad);
    expect(bridge.view()?.waits_for).toBe('sign-off');
    expect(screen.getByRole('form', { name: en.bench.holdPad })).toBeDefined();
    expect(screen.getByText(/must come from another person/)).toBeDefined();
    expect(bridge.said.at(-1)).toMatch(/another person/);
  });
});

describe('trainee', () => {
  it('shows why and what to look for, and others are not bothered with it', async () => {
    const wanted = (view: NonNullable<ReturnType<CoreBridge['view']>>): boolean =>
      view.phase === 'step' && view.step.look_for !== null;
    const trainee = await openBench('bp-60.yaml', 'fan', { verbosity: 'trainee' });
    await playUntil(trainee.bridge, (view) => view.phase === 'step' && view.step.why !== null);
    const { why } = trainee.bridge.view()?.step ?? {};
    expect(screen.getByText(why ?? '-', { exact: false }).textContent).toContain(en.bench.why);
    await playUntil(trainee.bridge, wanted);
    const { look_for } = trainee.bridge.view()?.step ?? {};
    expect(screen.getByText(look_for ?? '-', { exact: false }).textContent).toContain(en.bench.lookFor);
    const full = await openBench('bp-60.yaml', 'fan');
    await playUntil(full.bridge, wanted);
    expect(screen.queryByText(`${en.bench.lookFor}:`)).toBeNull();
  });

  it('does not go on before the count is told, and says when it is wrong', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack', { verbosity: 'trainee' });
    await playUntil(bridge, (view) => view.question?.kind === 'count');
    const step = bridge.view()?.step.id;
    const { text = '' } = bridge.view()?.question ?? {};
    expect(screen.getByText(text.slice(0, text.indexOf('?') + 1))).toBeDefined();
    await press('PageDown');
    await act(async () => bridge.advance(600_000));
    expect(bridge.view()?.step.id).toBe(step);
    const pad = screen.getByRole('form', { name: en.bench.numberPad });
    await click('9', pad);
    await click(en.bench.enter, pad);
    expect(bridge.view()?.step.id).toBe(step);
    expect(bridge.said.at(-1)).toMatch(/I expected \d, you counted 9/);
    expect(bridge.view()?.question).not.toBeNull();
    expect(screen.getByText(/I expected \d, you counted 9/)).toBeDefined();
  });
});

describe('all steps', () => {
  const atStep = async (number: number) => {
    const opened = await openBench('wt-3.yaml', 'battery-pack');
    await playUntil(opened.bridge, (view) => view.phase === 'step' && view.step_number === number);
    opened.bridge.inputs.length = 0;
    return opened;
  };
  const list = (): HTMLElement => screen.getByRole('region', { name: en.bench.steps });

  it('offers the steps that were reached, and no others', async () => {
    const { bridge } = await atStep(9);
    await click(new RegExp(`^${en.bench.stepsOpen}`));
    const rows = [...list().querySelectorAll('.step-row')];
    expect(rows.length).toBe(9);
    expect(list().querySelectorAll('.step-ahead').length).toBe((bridge.view()?.step_total ?? 0) - 9);
    expect(document.activeElement).toBe(rows[8]);
    await click(en.app.close, list());
    expect(screen.queryByRole('region', { name: en.bench.steps })).toBeNull();
  });

  it('is opened by “where am I” without taking the keys, and closes with the next question', async () => {
    const { bridge } = await atStep(9);
    await press('i');
    expect(list().querySelectorAll('.step-row').length).toBe(9);
    expect(list().contains(document.activeElement)).toBe(false);
    await press('t');
    expect(screen.queryByRole('region', { name: en.bench.steps })).toBeNull();
    await press('i');
    await press(' ');
    expect(bridge.view()?.step_number).toBe(10);
    expect(screen.queryByRole('region', { name: en.bench.steps })).toBeNull();
  });

  it('asks back before it goes, by touch', async () => {
    const { bridge } = await atStep(9);
    const wanted = bridge.view()?.steps[3]?.id ?? '';
    await click(new RegExp(`^${en.bench.stepsOpen}`));
    fireEvent.click(list().querySelectorAll('.step-row')[3] as Element, { detail: 1 });
    await settle();
    expect(bridge.inputs).toEqual([{ type: 'go-to', step: wanted, source: 'touch' }]);
    expect(bridge.view()?.question?.kind).toBe('go-back');
    expect(bridge.view()?.step_number).toBe(9);
    await click(new RegExp(`^${en.phrase.no}`));
    expect(bridge.view()?.step_number).toBe(9);
    await click(new RegExp(`^${en.bench.stepsOpen}`));
    fireEvent.click(list().querySelectorAll('.step-row')[3] as Element, { detail: 1 });
    await settle();
    await click(new RegExp(`^${en.phrase.yes}`));
    expect(bridge.view()?.step_number).toBe(4);
    // The steps between remain reached: one may go forward again to where the job was.
    await playUntil(bridge, (view) => view.phase === 'step');
    await click(new RegExp(`^${en.bench.stepsOpen}`));
    expect(list().querySelectorAll('.step-row').length).toBe(9);
  });

  it('works by keys alone, and its keys are no phrases meanwhile', async () => {
    const { bridge } = await atStep(9);
    const wanted = bridge.view()?.steps[6]?.id ?? '';
    await press('j');
    const now = (): Element => document.activeElement as Element;
    await press('ArrowUp', now());
    await press('PageUp', now());
    expect(now().textContent).toContain('7');
    expect(bridge.inputs).toEqual([]);
    fireEvent.click(now(), { detail: 0 });
    await settle();
    expect(bridge.inputs).toEqual([{ type: 'go-to', step: wanted, source: 'key' }]);
    await press('y');
    expect(bridge.view()?.step_number).toBe(7);
  });

  it('closes by its key, by Escape, and when the job moves on under it', async () => {
    const { bridge } = await atStep(9);
    await press('j');
    await press('j');
    expect(screen.queryByRole('region', { name: en.bench.steps })).toBeNull();
    await press('j');
    await press('Escape', document.activeElement as Element);
    expect(screen.queryByRole('region', { name: en.bench.steps })).toBeNull();
    await press('j');
    await act(async () => bridge.input({ type: 'phrase', phrase: 'next', source: 'voice' }));
    expect(screen.queryByRole('region', { name: en.bench.steps })).toBeNull();
  });

  it('keeps the highlight inside the list', () => {
    expect(rowAfter('ArrowUp', 0, 5)).toBe(0);
    expect(rowAfter('ArrowDown', 4, 5)).toBe(4);
    expect(rowAfter('Home', 3, 5)).toBe(0);
    expect(rowAfter('End', 1, 5)).toBe(4);
    expect(rowAfter('r', 1, 5)).toBeUndefined();
  });
});

describe('what the host tells', () => {
  it('says that the end of the log was cut off, until it is hidden', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack');
    await playUntil(bridge, (view) => view.phase === 'step' && view.step_number === 5);
    const total = bridge.view()?.step_total ?? 0;
    await click(en.bench.leave);
    bridge.recovered = 'The last line of log.jsonl was not whole.';
    await click(en.start.goOnAt(5, total));
    const alert = screen.getByRole('note');
    expect(alert.textContent).toContain(en.bench.recovered);
    expect(alert.textContent).toContain(bridge.recovered);
    await click(en.app.dismiss, alert);
    expect(screen.queryByText(en.bench.recovered)).toBeNull();
  });

  it('shows path and cause of a disk fault besides the words for it', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack');
    await playUntil(bridge, (view) => view.phase === 'step');
    const message = 'There is no room at /home/bench/jobs/one/log.jsonl. Make room.';
    await act(async () => {
      bridge.push({ type: 'host-trouble', code: 'disk-full', message });
      const view = bridge.view();
      if (view !== null) bridge.push({ type: 'view', view: { ...view, troubles: ['disk-full'] } });
    });
    expect(screen.getByRole('note').textContent).toContain(en.trouble['disk-full'].what);
    expect(screen.getByRole('note').textContent).toContain(message);
    await act(async () => bridge.push({ type: 'view', view: bridge.view() }));
    expect(screen.queryByRole('note')).toBeNull();
  });

  it('shows it on the other screens too, where it can be hidden', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack');
    await click(en.bench.leave);
    const message = 'EACCES: /home/bench/reports';
    await act(async () => bridge.push({ type: 'host-trouble', code: 'log-not-written', message }));
    const alert = screen.getByRole('alert');
    expect(alert.textContent).toContain(en.trouble['log-not-written'].mend);
    expect(alert.textContent).toContain(message);
    await click(en.app.dismiss, alert);
    expect(screen.queryByRole('alert')).toBeNull();
  });
});
