// @vitest-environment jsdom
/**
 * A second language without touching code: a pseudo-locale is generated from the English table, every text
 * in ⟦brackets⟧. Whatever stands outside brackets on a screen must be from the product files, or be a number,
 * a unit, a key or a path; anything else is a word written into code.
 */
import { act, fireEvent, screen } from '@testing-library/react';
import { afterEach, describe, expect, it } from 'vitest';
import { ENGLISH_TABLE } from '../../electron/core/base/language-table.ts';
import { keysFor, TALK_KEYS } from '../../electron/core/job/keys.ts';
import type { PhraseId } from '../../electron/core/job/model.ts';
import { readProduct } from '../../electron/core/product/read-product.ts';
import { keyCap } from '../../renderer/keys.ts';
import { pageWords } from '../../renderer/words/page-words.ts';
import { outsideBrackets, pseudoTable } from '../language/pseudo-locale.ts';
import { FILES, type Opened, openApp, openBench, playUntil, settle } from './render-app.tsx';

const TAG = 'en-XA';
const TABLE = pseudoTable(TAG);
const PSEUDO = pageWords(TABLE);

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

const CAPS = new Set(
  [
    ...TALK_KEYS,
    ...(Object.keys(ENGLISH_TABLE.page.phrase) as PhraseId[]).flatMap((phrase) => keysFor(phrase)),
  ].map(keyCap),
);
const LANGUAGE_NAMES = new Set(['English', 'Pseudo']);
/** Symbols of units, and what `Intl` writes for dates and durations: they follow the locale, not the table. */
const BY_LOCALE =
  /\b(N·m|lbf·in|mm|min|sec|hrs?|AM|PM|Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec|M\d+(\.\d+)?|T\d+|s)\b/g;

/** Every text in a value read from a product file. */
function textsIn(value: unknown): readonly string[] {
  if (typeof value === 'string') return [value];
  return typeof value === 'object' && value !== null ? Object.values(value).flatMap(textsIn) : [];
}

/** What authors and the test itself have written, and what is a name of a file or a folder. */
const GIVEN = [
  ...Object.entries(FILES).flatMap(([file, text]) => [
    file,
    text,
    ...textsIn(readProduct(text, file).product),
  ]),
  '/home/bench/jobs /home/bench/procedures /home/bench/reports job-1 0.1.0 AB1234',
]
  .join('\n')
  .replaceAll(/\s+/g, ' ')
  .toLowerCase();
/** Ids of steps ("prepare.get-tools") and codes of findings ("yaml/not-yaml"), the same in every language. */
const CODE = /^[a-z]+([./][a-z0-9-]+)+$/;

function englishOn(): string[] {
  const foreign: string[] = [];
  for (const text of texts()) {
    // Times stand behind what they belong to; a language is named in its own words.
    const rest = outsideBrackets(text)
      .replace(/ \d+:\d\d$/, '')
      .replace(/^[\s:]+/, '')
      .trim();
    if (LANGUAGE_NAMES.has(rest) || CODE.test(rest)) continue;
    if (!/\p{L}{2,}/u.test(rest.replace(BY_LOCALE, '')) || CAPS.has(rest)) continue;
    // Pieces of data may be joined with signs between them.
    const pieces = rest
      .split(/ ·|, | → |; |\u00a0|…|[.?!](?= |$)/u)
      .map((piece) => piece.trim().toLowerCase());
    for (const piece of pieces)
      if (
        /\p{L}{2,}/u.test(piece.replace(BY_LOCALE, '')) &&
        !GIVEN.includes(piece) &&
        !GIVEN.includes(piece.replaceAll(' ', '-'))
      )
        foreign.push(text);
  }
  return [...new Set(foreign)];
}

const SETTING = { language: TAG, technician: 'A' } as const;
const door = (name: string) => async (): Promise<Opened> => {
  const opened = await openApp(SETTING, FILES, [TABLE]);
  fireEvent.click(screen.getByRole('button', { name }));
  await settle();
  return opened;
};
const bench =
  (test: Parameters<typeof playUntil>[1], trainee = false) =>
  async (): Promise<Opened> => {
    const opened = await openBench(
      'wt-3.yaml',
      'battery-pack',
      {
        ...SETTING,
        verbosity: trainee ? 'trainee' : 'full',
      },
      [TABLE],
    );
    await playUntil(opened.bridge, test);
    return opened;
  };

const SCREENS: Readonly<Record<string, () => Promise<Opened>>> = {
  start: () => openApp(SETTING, FILES, [TABLE]),
  before: async () => {
    const opened = await openApp(SETTING, FILES, [TABLE]);
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
    const opened = await openBench('practice.yaml', 'sheet', SETTING, [TABLE]);
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
  it('would find a word written into a screen', async () => {
    await openApp(SETTING, FILES, [TABLE]);
    document.body.append('Written into the screen');
    expect(englishOn()).toEqual(['Written into the screen']);
  });

  for (const [name, open] of Object.entries(SCREENS))
    it(`leaves no English of the program on ${name}`, async () => {
      await open();
      expect(document.body.textContent).toContain('⟦');
      expect(englishOn()).toEqual([]);
    });
});
