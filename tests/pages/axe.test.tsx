// @vitest-environment jsdom
/**
 * Every screen through axe-core, in both themes. Layout and colour cannot be seen here; the pictures
 * (`tests/screens`) run axe again in a real browser.
 */
import { act, fireEvent, screen } from '@testing-library/react';
import axe from 'axe-core';
import { afterEach, describe, expect, it } from 'vitest';
import { en } from '../../renderer/words/en.ts';
import { openApp, openBench, playUntil, settle } from './render-app.tsx';

afterEach(() => {
  document.body.innerHTML = '';
});

async function violations(): Promise<string[]> {
  const result = await axe.run(document, { rules: { 'color-contrast': { enabled: false } } });
  return result.violations.flatMap((one) => one.nodes.map((node) => `${one.id}: ${node.html.slice(0, 160)}`));
}

const door = (name: string) => async (): Promise<void> => {
  await openApp();
  fireEvent.click(screen.getByRole('button', { name }));
  await settle();
};

const bench =
  (test: Parameters<typeof playUntil>[1], trainee = false) =>
  async (): Promise<void> => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack', trainee ? { verbosity: 'trainee' } : {});
    await playUntil(bridge, test);
  };

const SCREENS: Readonly<Record<string, () => Promise<void>>> = {
  start: async () => void (await openApp()),
  before: async () => {
    await openApp();
    fireEvent.click(screen.getByRole('button', { name: /WT-3/ }));
    await settle();
  },
  plan: async () => {
    await openApp();
    fireEvent.click(screen.getByRole('button', { name: en.start.practiceGo }));
    await settle();
  },
  'bench, caution': bench((view) => view.phase === 'caution'),
  'bench, step': bench((view) => view.phase === 'step' && view.step.fasteners.length > 0),
  'bench, serial': bench((view) => view.waits_for === 'serial' && view.phase === 'step'),
  'bench, reading': bench((view) => view.waits_for === 'reading' && view.phase === 'step'),
  'bench, question': bench((view) => view.question !== null),
  'bench, count': bench((view) => view.question?.kind === 'count', true),
  after: async () => {
    const { bridge } = await openBench('practice.yaml', 'sheet');
    await act(async () => bridge.finishByScript(() => 3000));
    fireEvent.click(screen.getByRole('button', { name: en.bench.seeJob }));
    await settle();
  },
  review: door(en.app.review),
  desk: async () => {
    await door(en.app.desk)();
    fireEvent.click(screen.getByRole('button', { name: /wt-3\.yaml/ }));
    await settle();
  },
  'desk, broken file': async () => {
    await door(en.app.desk)();
    fireEvent.click(screen.getByRole('button', { name: /broken\.yaml/ }));
    await settle();
  },
  settings: door(en.app.settings),
  help: door(en.app.help),
};

describe('axe', () => {
  it('finds what is wrong where something is wrong', async () => {
    document.body.innerHTML = '<main><h1>x</h1><img src="x.png"><button></button></main>';
    expect((await violations()).length).toBeGreaterThan(1);
  });

  for (const [name, open] of Object.entries(SCREENS))
    it(`finds nothing on ${name}`, async () => {
      await open();
      for (const theme of ['light', 'dark']) {
        document.documentElement.dataset.theme = theme;
        expect(await violations(), theme).toEqual([]);
      }
    });
});
