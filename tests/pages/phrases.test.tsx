// @vitest-environment jsdom
/** Each voice action also by key and by touch. */
import { act, fireEvent, screen, within } from '@testing-library/react';
import { afterEach, describe, expect, it } from 'vitest';
import { keysFor } from '../../electron/core/job/keys.ts';
import type { BenchView, PhraseId } from '../../electron/core/job/model.ts';
import { phraseOrder } from '../../renderer/screens/bench/phrase-keys.tsx';
import { en } from '../../renderer/words/en.ts';
import { type Opened, openBench, playUntil, settle } from './render-app.tsx';

afterEach(() => {
  document.body.innerHTML = '';
});

const ALL = Object.keys(en.phrase) as PhraseId[];
/** These carry a value; they are entered with a pad (tests in `bench.test.tsx`). */
const WITH_VALUE: readonly PhraseId[] = ['reading', 'serial'];

/** Moments of a job which together allow every phrase. */
const MOMENTS: readonly { readonly name: string; readonly reach: (opened: Opened) => Promise<void> }[] = [
  { name: 'a caution', reach: async ({ bridge }) => playUntil(bridge, (view) => view.phase === 'caution') },
  {
    name: 'a step',
    reach: async ({ bridge }) => playUntil(bridge, (view) => view.phase === 'step' && view.step_number > 8),
  },
  {
    name: 'a pause',
    reach: async ({ bridge }) => {
      await playUntil(bridge, (view) => view.phase === 'step');
      await act(async () => bridge.input({ type: 'phrase', phrase: 'pause', source: 'script' }));
    },
  },
  {
    name: 'a question',
    reach: async ({ bridge }) => {
      await playUntil(bridge, (view) => view.phase === 'step' && view.step_number > 3);
      await act(async () => bridge.input({ type: 'phrase', phrase: 'finish', source: 'script' }));
    },
  },
  {
    name: 'a deaf ear',
    reach: async ({ bridge }) => {
      await playUntil(bridge, (view) => view.phase === 'step');
      await act(async () => bridge.input({ type: 'phrase', phrase: 'stop listening', source: 'script' }));
    },
  },
];

const buttonOf = (phrase: PhraseId): HTMLElement =>
  within(screen.getByRole('region', { name: en.bench.say })).getByRole('button', {
    name: (name) => name === en.phrase[phrase],
  });

describe('phrases by touch and by key', () => {
  const seen = new Set<PhraseId>();

  for (const moment of MOMENTS)
    it(`has a button and a key for everything that can be said at ${moment.name}`, async () => {
      const opened = await openBench('wt-3.yaml', 'battery-pack');
      await moment.reach(opened);
      await settle();
      const allowed = (opened.bridge.view() as BenchView).allowed.phrases.filter(
        (phrase) => !WITH_VALUE.includes(phrase),
      );
      expect(allowed.length).toBeGreaterThan(3);
      for (const phrase of allowed) {
        seen.add(phrase);
        expect(buttonOf(phrase)).toBeDefined();
        expect(keysFor(phrase).length).toBeGreaterThan(0);
      }
    });

  it('meets every phrase in these moments, but for those of optional steps', () => {
    const missing = ALL.filter((phrase) => !seen.has(phrase) && !WITH_VALUE.includes(phrase));
    expect(missing).toEqual(['skip']);
    expect(phraseOrder({ phrases: ['skip'], number: 'none', spelling: false, answers: [] }).others).toEqual([
      'skip',
    ]);
  });

  it('makes “no” a large key only beside “yes”', () => {
    const asked = { number: 'none', spelling: false, answers: [] } as const;
    expect(phraseOrder({ ...asked, phrases: ['no', 'yes', 'stop'] }).large).toEqual(['yes', 'no']);
    expect(phraseOrder({ ...asked, phrases: ['no', 'stop'] })).toEqual({ large: [], others: ['no', 'stop'] });
  });

  for (const phrase of [
    'next',
    'back',
    'repeat',
    'screw count',
    'which tool',
    'torque',
    'caution',
    'why',
    'where am i',
    'how long',
    'pause',
    'problem',
    'note',
    'undo',
    'stop',
    'stop listening',
    'finish',
    'slower',
    'what can i say',
  ] as const) {
    it(`does “${phrase}” by touch`, async () => {
      const { bridge } = await openBench('wt-3.yaml', 'battery-pack');
      await playUntil(bridge, (view) => view.phase === 'step' && view.step_number > 8);
      fireEvent.click(buttonOf(phrase));
      await settle();
      expect(bridge.inputs.filter((one) => one.type === 'phrase')).toEqual([
        { type: 'phrase', phrase, source: 'touch' },
      ]);
    });
  }

  it('does every phrase by each of its keys', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack');
    await playUntil(bridge, (view) => view.phase === 'step' && view.step_number > 8);
    for (const phrase of ALL)
      for (const key of keysFor(phrase)) {
        bridge.inputs.length = 0;
        // Answering a question by number comes before a phrase on the same key.
        if (bridge.view()?.question !== null)
          bridge.input({ type: 'phrase', phrase: 'no', source: 'script' });
        fireEvent.keyDown(window, { key });
        await settle();
        expect(bridge.inputs[0], `key ${key} of ${phrase}`).toEqual({
          type: 'phrase',
          phrase,
          source: 'key',
        });
      }
  });

  it('leaves keys with Ctrl, Alt or Meta and keys held down to the system', async () => {
    const { bridge } = await openBench('wt-3.yaml', 'battery-pack');
    for (const change of [{ ctrlKey: true }, { altKey: true }, { metaKey: true }, { repeat: true }])
      fireEvent.keyDown(window, { key: 'r', ...change });
    await settle();
    expect(bridge.inputs.filter((one) => one.type === 'phrase')).toEqual([]);
  });
});
