// @vitest-environment jsdom
/** The desk screens by role and name, and what they say when something is wrong. */
import { act, fireEvent, screen, within } from '@testing-library/react';
import { afterEach, describe, expect, it } from 'vitest';
import { longestSentence } from '../../renderer/screens/desk/desk.tsx';
import { depths, directNeeds, place, twoLines } from '../../renderer/screens/desk/precedence-picture.tsx';
import { en } from '../../renderer/words/en.ts';
import { FILES, openApp, PATIENT, playUntil, settle, shipped } from './render-app.tsx';

afterEach(() => {
  document.body.innerHTML = '';
});

const click = async (name: string | RegExp): Promise<void> => {
  fireEvent.click(screen.getByRole('button', { name }));
  await settle();
};

const fill = (name: string | RegExp, value: string): void => {
  fireEvent.change(screen.getByRole('textbox', { name }), { target: { value } });
};

describe('from choosing a unit to the bench', () => {
  it('starts a job with everything that was entered', async () => {
    const { bridge } = await openApp({ technician: '' });
    await click(/WT-3 field water tester/);
    const toPlan = screen.getByRole('button', { name: en.before.toPlan });
    expect(toPlan).toHaveProperty('disabled', true);
    for (const need of ['parts', 'technician'] as const)
      expect(screen.getByText(en.before.need[need])).toBeDefined();

    fireEvent.change(screen.getByRole('searchbox'), { target: { value: 'batt' } });
    fireEvent.click(screen.getByRole('checkbox', { name: 'battery pack' }));
    expect(screen.getByText(/back cover/)).toBeDefined();
    fireEvent.click(screen.getByRole('radio', { name: 'two' }));
    fill(en.settings.technician, 'C');
    fill(en.before.serial, 'WT12345');
    fill(en.before.fault, 'Does not charge');
    expect(toPlan).toHaveProperty('disabled', false);
    await click(en.before.toPlan);

    expect(screen.getByRole('heading', { level: 1, name: 'Replace battery pack' })).toBeDefined();
    expect(screen.getByText(en.plan.safety)).toBeDefined();
    await click(en.plan.start);
    expect(screen.getByRole('progressbar')).toBeDefined();
    expect(bridge.view()?.technician).toBe('C');
    expect(bridge.view()?.product_name).toBe('WT-3 field water tester');
  });

  it('keeps the entry when the user comes back from the plan', async () => {
    await openApp();
    await click(/WT-3/);
    fireEvent.click(screen.getByRole('checkbox', { name: 'speaker' }));
    fireEvent.click(screen.getByRole('radio', { name: 'three' }));
    fill(en.before.workOrder, 'W-7');
    await click(en.before.toPlan);
    await click(en.app.back);
    expect(screen.getByRole('checkbox', { name: 'speaker' })).toHaveProperty('checked', true);
    expect(screen.getByRole('textbox', { name: en.before.workOrder })).toHaveProperty('value', 'W-7');
  });

  it('leaves a question about the unit to the job, which asks it when the unit shows the answer', async () => {
    const { bridge } = await openApp({}, FILES);
    await click(/BP-60/);
    fireEvent.click(screen.getByRole('checkbox', { name: 'heat sink' }));
    fireEvent.click(screen.getByRole('radio', { name: 'six' }));
    fireEvent.click(screen.getByRole('radio', { name: en.before.askLater }));
    await click(en.before.toPlan);
    expect(screen.getAllByText(en.plan.onlyIf('four')).length).toBeGreaterThan(2);
    expect(screen.getAllByText(en.plan.onlyIf('six')).length).toBeGreaterThan(2);
    await click(en.plan.start);

    await playUntil(bridge, (view) => view.question?.kind === 'variant');
    expect(screen.getByText('Does the heat sink have four screws or six?')).toBeDefined();
    await click(/^six/);
    expect(bridge.view()?.steps.some(({ say }) => say.includes('the four M3×12'))).toBe(false);
    expect(bridge.view()?.steps.some(({ say }) => say.includes('the six M3×12'))).toBe(true);
  });

  it('takes a scan into the serial number without sending the form', async () => {
    await openApp();
    await click(/WT-3/);
    const serial = screen.getByRole('textbox', { name: en.before.serial });
    fireEvent.change(serial, { target: { value: 'WT12345' } });
    fireEvent.keyDown(serial, { key: 'Enter' });
    expect(document.activeElement).toBe(screen.getByRole('textbox', { name: en.before.workOrder }));
    expect(screen.getByRole('button', { name: en.before.toPlan })).toBeDefined();
  });

  it('says that no part fits a search', async () => {
    await openApp();
    await click(/WT-3/);
    fireEvent.change(screen.getByRole('searchbox'), { target: { value: 'gearbox' } });
    expect(screen.getByText(en.before.noMatch('gearbox'))).toBeDefined();
  });

  it('starts the practice in two touches, also before anybody has said who works here', async () => {
    const { bridge } = await openApp({ technician: '' });
    await click(en.start.practiceGo);
    await click(en.plan.start);
    expect(bridge.view()?.product_name).toBe('Paper unit for practice');
    const after = await bridge.ask('settings.get', null);
    expect(after.ok && after.value.technician).toBe('');
  });

  it('asks who does the job until somebody has said so', async () => {
    const { bridge } = await openApp({ technician: '' });
    await click(/WT-3/);
    fireEvent.click(screen.getByRole('checkbox', { name: 'battery pack' }));
    const toPlan = screen.getByRole('button', { name: en.before.toPlan }) as HTMLButtonElement;
    expect(toPlan.disabled).toBe(true);
    expect(screen.getByText(en.before.need.technician)).toBeDefined();
    fireEvent.change(screen.getByRole('textbox', { name: en.before.technician }), { target: { value: 'B' } });
    await click(en.before.toPlan);
    await click(en.plan.start);
    const after = await bridge.ask('settings.get', null);
    expect(after.ok && after.value.technician).toBe('B');
  });

  it('does not offer the practice as a unit', async () => {
    await openApp();
    expect(screen.queryByRole('button', { name: /Paper unit/ })).toBeNull();
  });

  it('leads from a broken file to its problems, with place and mend', async () => {
    const { bridge } = await openApp();
    await click(/broken\.yaml/);
    const answer = await bridge.ask('product.open', { file: 'broken.yaml' });
    const finding = answer.ok ? answer.value.findings[0] : undefined;
    expect(finding).toBeDefined();
    expect(screen.getByText(finding?.message ?? '-')).toBeDefined();
    expect(screen.getByText(new RegExp(`line ${finding?.place?.line}, column`))).toBeDefined();
  });
});

describe('refusals', () => {
  it('says in plain words what is wrong and what to do, and asks again', async () => {
    const { bridge } = await openApp();
    const real = bridge.ask.bind(bridge);
    let refuse = true;
    bridge.ask = ((channel: never, argument: never) =>
      channel === 'product.open' && refuse
        ? Promise.resolve({
            ok: false,
            error: {
              code: 'disk/no-permission',
              message: 'The file may not be read.',
              mend: 'Ask for the right to read it.',
            },
          })
        : real(channel, argument)) as typeof bridge.ask;
    await click(/WT-3/);
    const alert = screen.getByRole('alert');
    expect(alert.textContent).toContain('The file may not be read.');
    expect(alert.textContent).toContain('Ask for the right to read it.');
    expect(alert.textContent).not.toContain('disk/no-permission');
    refuse = false;
    await click(en.app.tryAgain);
    expect(screen.getByRole('searchbox')).toBeDefined();
  });

  it('says so when the host is gone', async () => {
    const { bridge } = await openApp();
    bridge.ask = () => Promise.reject(new Error('socket hang up'));
    await click(/WT-3/);
    expect(screen.getByRole('alert').textContent).toContain(en.app.noHost);
    expect(document.body.textContent).not.toContain('hang up');
  });

  it('shows a trouble of the host on any screen until it is hidden', async () => {
    const { bridge } = await openApp();
    const message = 'There is no room at /home/bench/jobs. Make room.';
    await act(async () => bridge.push({ type: 'host-trouble', code: 'disk-full', message }));
    expect(screen.getByRole('alert').textContent).toContain(en.trouble['disk-full'].what);
    expect(screen.getByRole('alert').textContent).toContain(message);
    await click(en.app.dismiss);
    expect(screen.queryByRole('alert')).toBeNull();
  });
});

describe('author’s desk', () => {
  it('reads a file again when it is saved', async () => {
    const { bridge } = await openApp();
    await click(en.app.desk);
    await click(/broken\.yaml/);
    expect(screen.queryByText(en.desk.noProblems)).toBeNull();
    await act(async () => bridge.setFile('broken.yaml', shipped('practice.yaml')));
    await settle();
    expect(screen.getByText(en.desk.noProblems)).toBeDefined();
    expect(screen.getByText(en.desk.reloaded)).toBeDefined();
  });

  it('shows the sentences of the plan for any part', async () => {
    await openApp();
    await click(en.app.desk);
    await click(/wt-3\.yaml/);
    fireEvent.change(screen.getByRole('combobox', { name: en.desk.choosePart }), {
      target: { value: 'display' },
    });
    await settle();
    const sentences = screen.getByRole('region', { name: en.desk.sentences });
    expect(within(sentences).getAllByRole('listitem').length).toBeGreaterThan(30);
    expect(within(sentences).getAllByRole('button', { name: /^Play sentence/ }).length).toBeGreaterThan(30);
  });

  const parts = [
    { id: 'a', name: 'a', needs: [], replaceable: true },
    { id: 'b', name: 'b', needs: ['a'], replaceable: true },
    { id: 'c', name: 'c', needs: ['a', 'b'], replaceable: true },
  ];

  it('puts a part below everything it needs and leaves out what follows', () => {
    expect([...depths(parts).values()]).toEqual([0, 1, 2]);
    expect(directNeeds(parts)).toEqual([
      { from: 'a', to: 'b' },
      { from: 'b', to: 'c' },
    ]);
    const ys = place(parts).map((one) => one.y);
    expect([...ys].sort((x, y) => x - y)).toEqual(ys);
  });

  it('draws a cycle without hanging', () => {
    const cycle = [
      { id: 'a', name: 'a', needs: ['b'], replaceable: true },
      { id: 'b', name: 'b', needs: ['a'], replaceable: true },
    ];
    expect(place(cycle).length).toBe(2);
  });

  it('breaks names between words', () => {
    expect(twoLines('battery pack')).toEqual(['battery pack']);
    expect(twoLines('connector of the leaking sensor')).toEqual(['connector of', 'the leaking…']);
  });

  it('counts the words of the longest sentence', () => {
    expect(longestSentence('Take the T8 screwdriver. Remove it.')).toBe(4);
    expect(longestSentence('')).toBe(0);
  });
});

describe('settings', () => {
  it('keeps a change at once', async () => {
    const { bridge } = await openApp();
    await click(en.app.settings);
    fireEvent.click(screen.getByRole('radio', { name: en.settings.themeOf.dark }));
    await settle();
    const answer = await bridge.ask('settings.get', null);
    expect(answer.ok && answer.value.theme).toBe('dark');
    expect(document.documentElement.dataset.theme).toBe('dark');
    expect(screen.getByText(en.settings.saved)).toBeDefined();
  });

  it('measures the screen by a card', async () => {
    const { bridge } = await openApp();
    await click(en.app.settings);
    fireEvent.change(screen.getByRole('slider', { name: en.settings.scaleBar }), {
      target: { value: '428' },
    });
    await settle();
    const answer = await bridge.ask('settings.get', null);
    expect(answer.ok && answer.value.screen_px_per_mm).toBeCloseTo(428 / 85.6, 6);
  });
});

describe('record', () => {
  it('saves the record in the wanted form and says where', async () => {
    const { bridge } = await openApp();
    await click(en.start.practiceGo);
    await click(en.plan.start);
    await act(async () => bridge.finishByScript(() => 4000));
    await click(en.bench.seeJob);
    await click(en.after.saveAs.csv);
    expect(bridge.saved).toEqual([{ job: 'job-1', as: 'csv' }]);
    expect(screen.getByText(en.after.savedTo('/home/bench/reports/job-1.csv'))).toBeDefined();
  });
});

describe('review', () => {
  it('says that there is nothing yet', async () => {
    await openApp();
    await click(en.app.review);
    expect(await screen.findByText(en.review.empty, {}, PATIENT)).toBeDefined();
  });

  it('has for each picture a sentence and a table with the same figures', async () => {
    const { bridge } = await openApp({}, FILES);
    const opened = await bridge.ask('product.open', { file: 'bp-60.yaml' });
    const questions = opened.ok ? opened.value.variants : [];
    const variants = Object.fromEntries(questions.map((one) => [one.id, one.answers[0] ?? '']));
    for (let n = 0; n < 4; n += 1) {
      await bridge.ask('job.start', {
        file: 'bp-60.yaml',
        replace: ['fan'],
        variants,
        technician: 'B',
        unit_serial: null,
        work_order: null,
        reported_fault: null,
      });
      await act(async () => bridge.finishByScript((step) => 4000 + 700 * ((step * 7 + n * 3) % 5)));
    }
    await settle();
    expect(screen.queryByRole('progressbar')).toBeNull();
    await click(en.app.review);
    const figures = await screen.findAllByRole('figure', {}, PATIENT);
    expect(figures.length).toBeGreaterThan(2);
    for (const figure of figures) {
      expect(within(figure).getByRole('img').getAttribute('aria-label')?.length).toBeGreaterThan(20);
      expect(figure.querySelectorAll('tbody tr').length).toBeGreaterThan(0);
    }
  });
});
