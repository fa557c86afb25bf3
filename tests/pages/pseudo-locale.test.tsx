// @vitest-environment jsdom
/**
 * A second language without touching code: a pseudo-locale is generated from the English table, every text
 * in ⟦brackets⟧. Whatever stands outside brackets on a screen must come from the data (product files, host)
 * or be a number, a unit or a key; anything else is a word written into a screen.
 */
import { act, fireEvent, screen } from '@testing-library/react';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { keysFor } from '../../electron/core/job/keys.ts';
import type { PhraseId } from '../../electron/core/job/model.ts';
import { keyCap } from '../../renderer/keys.ts';
import { en } from '../../renderer/words/en.ts';
import { languageFor, languages } from '../../renderer/words/languages.ts';
import type { Words } from '../../renderer/words/words.ts';
import { type Opened, openApp, openBench, playUntil, settle } from './render-app.tsx';

const TAG = 'en-XA';

/** The same table with every text in brackets, functions included. */
function pseudo<T>(value: T, path = ''): T {
  if (path === '.language') return { tag: TAG, name: 'Pseudo', direction: 'ltr' } as T;
  if (typeof value === 'string') return `⟦${value}⟧` as T;
  if (typeof value === 'function')
    return ((...given: never[]) => `⟦${(value as (...a: never[]) => string)(...given)}⟧`) as T;
  if (Array.isArray(value)) return value.map((one, i) => pseudo(one, `${path}.${i}`)) as T;
  return Object.fromEntries(
    Object.entries(value as object).map(([key, one]) => [key, pseudo(one, `${path}.${key}`)]),
  ) as T;
}

const PSEUDO: Words = pseudo(en as Words);
const table = languages as Map<string, Words>;

beforeAll(() => void table.set(TAG, PSEUDO));
afterAll(() => void table.delete(TAG));
afterEach(() => {
  document.body.innerHTML = '';
});

/** Texts a person meets on the screen: text nodes, names, hints, field values aside. */
function texts(): string[] {
  const found: string[] = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node !== null; node = walker.nextNode())
    found.push(node.textContent ?? '');
  for (const element of document.querySelectorAll('*'))
    for (const name of ['aria-label', 'title', 'alt', 'placeholder', 'aria-valuetext']) {
      const value = element.getAttribute(name);
      if (value !== null) found.push(value);
    }
  return found;
}

/** What is left of a text once bracketed pieces (which may hold each other) are taken out. */
function outsideBrackets(text: string): string {
  let depth = 0;
  let rest = '';
  for (const letter of text) {
    if (letter === '⟦') depth += 1;
    else if (letter === '⟧') depth -= 1;
    else if (depth === 0) rest += letter;
  }
  return rest;
}

const CAPS = new Set(
  (Object.keys(en.phrase) as PhraseId[]).flatMap((phrase) => keysFor(phrase).map((key) => keyCap(key))),
);
const LANGUAGE_NAMES = new Set(['English', 'Pseudo']);
/** Symbols of units, and what `Intl` writes for dates and durations: they follow the locale, not the table. */
const BY_LOCALE =
  /\b(N·m|lbf·in|mm|min|sec|hrs?|AM|PM|Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec|M\d+(\.\d+)?|T\d+|s)\b/g;

/** Every text that came from host or core, in one string. */
async function data({ bridge }: Opened): Promise<string> {
  const answers: unknown[] = [bridge.view(), bridge.everAnswered];
  return JSON.stringify(answers).replaceAll('\\"', '"').toLowerCase();
}

async function englishOn(opened: Opened): Promise<string[]> {
  const known = await data(opened);
  const foreign: string[] = [];
  for (const text of texts()) {
    // Times stand behind what they belong to; a language is named in its own words.
    const rest = outsideBrackets(text)
      .replace(/ \d+:\d\d$/, '')
      .replace(/^[\s:]+/, '')
      .trim();
    if (LANGUAGE_NAMES.has(rest)) continue;
    if (!/\p{L}{2,}/u.test(rest.replace(BY_LOCALE, '')) || CAPS.has(rest)) continue;
    // Pieces of data may be joined with signs between them.
    const pieces = rest.split(/ ·|, | → |; |\u00a0|…/u).map((piece) => piece.trim().toLowerCase());
    for (const piece of pieces)
      if (
        /\p{L}{2,}/u.test(piece.replace(BY_LOCALE, '')) &&
        !known.includes(piece) &&
        !known.includes(piece.replaceAll(' ', '-'))
      )
        foreign.push(text);
  }
  return [...new Set(foreign)];
}

const SETTING = { language: TAG, technician: 'A' } as const;
const door = (name: string) => async (): Promise<Opened> => {
  const opened = await openApp(SETTING);
  fireEvent.click(screen.getByRole('button', { name }));
  await settle();
  return opened;
};
const bench =
  (test: Parameters<typeof playUntil>[1], trainee = false) =>
  async (): Promise<Opened> => {
    const opened = await openBench('wt-3.yaml', 'battery-pack', {
      ...SETTING,
      verbosity: trainee ? 'trainee' : 'full',
    });
    await playUntil(opened.bridge, test);
    return opened;
  };

const SCREENS: Readonly<Record<string, () => Promise<Opened>>> = {
  start: () => openApp(SETTING),
  before: async () => {
    const opened = await openApp(SETTING);
    fireEvent.click(screen.getByRole('button', { name: /WT-3/ }));
    await settle();
    fireEvent.click(screen.getByRole('checkbox', { name: 'display' }));
    await settle();
    return opened;
  },
  plan: door(PSEUDO.start.practiceGo),
  'bench, caution': bench((view) => view.phase === 'caution'),
  'bench, step': bench((view) => view.phase === 'step' && view.step.fasteners.length > 0),
  'bench, trainee': bench((view) => view.phase === 'step' && view.step.look_for !== null, true),
  'bench, serial': bench((view) => view.waits_for === 'serial' && view.phase === 'step'),
  'bench, reading': bench((view) => view.waits_for === 'reading' && view.phase === 'step'),
  'bench, question': bench((view) => view.question !== null),
  after: async () => {
    const opened = await openBench('practice.yaml', 'sheet', SETTING);
    await act(async () => opened.bridge.finishByScript(() => 3000));
    fireEvent.click(screen.getByRole('button', { name: PSEUDO.bench.seeJob }));
    await settle();
    return opened;
  },
  review: door(PSEUDO.app.review),
  desk: async () => {
    const opened = await door(PSEUDO.app.desk)();
    fireEvent.click(screen.getByRole('button', { name: /wt-3\.yaml/ }));
    await settle();
    return opened;
  },
  'desk, broken file': async () => {
    const opened = await door(PSEUDO.app.desk)();
    fireEvent.click(screen.getByRole('button', { name: /broken\.yaml/ }));
    await settle();
    return opened;
  },
  settings: door(PSEUDO.app.settings),
  help: door(PSEUDO.app.help),
};

describe('pseudo-locale', () => {
  it('is chosen by the setting, like any language that is added', () => {
    expect(languageFor([TAG])).toBe(PSEUDO);
    expect(languageFor(['xx-YY', 'en-GB'])).toBe(en);
    expect(languageFor([])).toBe(en);
  });

  it('would find a word written into a screen', async () => {
    const opened = await openApp(SETTING);
    document.body.append('Written into the screen');
    expect(await englishOn(opened)).toEqual(['Written into the screen']);
  });

  for (const [name, open] of Object.entries(SCREENS))
    it(`leaves no English of the program on ${name}`, async () => {
      const opened = await open();
      expect(document.body.textContent).toContain('⟦');
      expect(await englishOn(opened)).toEqual([]);
    });
});
