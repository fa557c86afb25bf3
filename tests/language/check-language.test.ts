/** The files of a language: complete ones, and each thing that can be wrong with one. */
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { checkLanguage, MAX_LANGUAGE_FINDINGS } from '../../electron/core/base/check-language.ts';
import { languageOf } from '../../electron/core/base/language.ts';
import { ENGLISH_TABLE, type LanguageFile } from '../../electron/core/base/language-table.ts';
import { fault, faultIn } from '../../electron/disk/fault-words.ts';
import { Languages, languageText } from '../../electron/languages.ts';
import { pageWords } from '../../renderer/words/page-words.ts';
import { SimulatedDisk } from '../crash/simulated-disk.ts';
import { pseudoTable } from './pseudo-locale.ts';

type Files = Partial<Record<LanguageFile, unknown>>;

const FOLDER = new URL('../../languages/en/', import.meta.url);

/** The files of the pseudo-locale under a tag, as a translator would have written them. */
function files(tag = 'xx'): Record<LanguageFile, Record<string, unknown>> {
  return JSON.parse(JSON.stringify(pseudoTable(tag)));
}

function findings(given: Files): readonly string[] {
  const checked = checkLanguage('xx', given);
  if (!checked.ok) throw new Error(JSON.stringify(checked.error));
  return checked.value.findings.map(
    ({ code, facts }) =>
      `${code} ${facts.file} ${facts.key}${facts.places === undefined ? '' : ` ${facts.places}`}`,
  );
}

describe('English', () => {
  it('is made of the files of its folder, each without a fault', () => {
    const names = readdirSync(FOLDER).map((name) => name.replace('.json', ''));
    expect(names.sort()).toEqual(Object.keys(ENGLISH_TABLE).sort());
    const read = Object.fromEntries(
      names.map((name) => [name, JSON.parse(readFileSync(new URL(`${name}.json`, FOLDER), 'utf8'))]),
    );
    const checked = checkLanguage('en', read);
    expect(checked.ok && checked.value.findings).toEqual([]);
    expect(checked.ok && checked.value.table).toEqual(ENGLISH_TABLE);
  });

  it('has for the pages a text or a function under every key', () => {
    const words = pageWords(ENGLISH_TABLE) as unknown as Record<string, Record<string, unknown>>;
    const open: string[] = [];
    for (const [section, texts] of Object.entries(ENGLISH_TABLE.page))
      for (const [key, text] of Object.entries(texts) as [string, unknown][]) {
        const isPattern = typeof text === 'string' && text.includes('{');
        if (isPattern !== (typeof words[section]?.[key] === 'function') && section !== 'drive')
          open.push(`${section}.${key}`);
      }
    expect(open).toEqual([]);
  });
});

describe('a language', () => {
  it('that is complete has no findings, and its own texts', () => {
    const checked = checkLanguage('xx', files());
    expect(checked.ok && checked.value.findings).toEqual([]);
    expect(checked.ok && checked.value.table).toEqual(pseudoTable('xx'));
  });

  it('that lacks a text gets the English one and is told file and key', () => {
    const given = files();
    delete given.prompts['job.paused'];
    delete (given.page.start as Record<string, unknown>).title;
    delete (given.spoken.units as Record<string, unknown>).V;
    expect(findings(given)).toEqual([
      'language/missing page.json start › title',
      'language/missing prompts.json job.paused',
      'language/missing spoken.json units › V',
    ]);
    const checked = checkLanguage('xx', given);
    expect(checked.ok && checked.value.table.prompts['job.paused']).toBe(ENGLISH_TABLE.prompts['job.paused']);
    expect(checked.ok && checked.value.table.page.start.title).toBe(ENGLISH_TABLE.page.start.title);
    expect(checked.ok && checked.value.table.spoken.units.V).toBe(ENGLISH_TABLE.spoken.units.V);
  });

  it('that lacks a file is told once, not for every text', () => {
    const { review: _, ...given } = files();
    expect(findings(given)).toEqual(['language/missing review.json ']);
  });

  it.each<[string, (given: Record<LanguageFile, Record<string, unknown>>) => void, string]>([
    [
      'a pattern that cannot be read',
      (given) => {
        given.plan.disconnect = 'Trenne {item';
      },
      'language/bad-pattern plan.json disconnect',
    ],
    [
      'a place that nothing fills',
      (given) => {
        given.plan.disconnect = 'Trenne {gegenstand} {item}';
      },
      'language/unknown-place plan.json disconnect gegenstand',
    ],
    [
      'a place left out',
      (given) => {
        given.plan['fasteners.tighten-to'] = 'Anziehen: {fasteners}';
      },
      'language/place-left-out plan.json fasteners.tighten-to torque',
    ],
    [
      'a number for a text',
      (given) => {
        given.prompts['job.paused'] = 5;
      },
      'language/not-a-text prompts.json job.paused',
    ],
    [
      'an empty text',
      (given) => {
        given.prompts['job.paused'] = ' ';
      },
      'language/not-a-text prompts.json job.paused',
    ],
    [
      'a text for a table',
      (given) => {
        given.page.start = 'x';
      },
      'language/not-a-table page.json start',
    ],
    [
      'a text for a list',
      (given) => {
        (given.page.help as Record<string, unknown>).safetyLines = 'x';
      },
      'language/not-a-list page.json help › safetyLines',
    ],
    [
      'a key the program does not use',
      (given) => {
        given.prompts['job.stopd'] = 'x';
      },
      'language/unknown-key prompts.json job.stopd',
    ],
    [
      'nineteen number words',
      (given) => {
        given.numbers.ones = (given.numbers.ones as string[]).slice(1);
      },
      'language/wrong-shape numbers.json ones',
    ],
    [
      'a phrase without a way of saying it',
      (given) => {
        (given.phrases.phrases as Record<string, unknown>).next = [];
      },
      'language/wrong-shape phrases.json phrases › next',
    ],
  ])('with %s is told so', (_, spoil, finding) => {
    const given = files();
    spoil(given);
    expect(findings(given)).toEqual([finding]);
  });

  it.each([
    ['without language.json', undefined],
    ['with the tag of another', { tag: 'yy', name: 'Y', direction: 'ltr' }],
    ['with a direction there is not', { tag: 'xx', name: 'X', direction: 'up' }],
    ['with a model outside the models folder', { tag: 'xx', name: 'X', direction: 'ltr', model: '../x' }],
  ])('%s is refused', (_, language) => {
    const checked = checkLanguage('xx', { ...files(), language });
    expect(checked.ok).toBe(false);
    if (!checked.ok) expect(checked.error.code).toBe('language/not-a-language');
  });

  it('is told with all that is needed to mend it', () => {
    const told = (spoil: (given: Record<LanguageFile, Record<string, unknown>>) => void) => {
      const given = files();
      spoil(given);
      const checked = checkLanguage('xx', given);
      return checked.ok ? checked.value.findings.map(({ severity, facts }) => ({ severity, ...facts })) : [];
    };
    expect(told((given) => Object.assign(given.plan, { disconnect: 'Trenne {ding} {item}' }))).toEqual([
      { severity: 'warning', file: 'plan.json', key: 'disconnect', places: ['ding'], known: ['item'] },
    ]);
    expect(told((given) => Object.assign(given.plan, { disconnect: '{item' }))).toEqual([
      {
        severity: 'warning',
        file: 'plan.json',
        key: 'disconnect',
        detail: expect.stringContaining('character 6'),
      },
    ]);
    expect(told((given) => Object.assign(given.numbers, { tens: ['x'] }))).toEqual([
      { severity: 'warning', file: 'numbers.json', key: 'tens', detail: expect.stringMatching(/\w/) },
    ]);
    expect(told((given) => Object.assign(given.page.help as object, { safetyLines: ['a', 5] }))).toHaveLength(
      1,
    );
    expect(told((given) => Reflect.deleteProperty(given.page.help as object, 'safetyLines'))).toEqual([
      { severity: 'warning', file: 'page.json', key: 'help › safetyLines' },
    ]);
    const { spoken: _, ...none } = files();
    expect(findings(none)).toEqual(['language/missing spoken.json ']);
  });

  it('may have units of its own; what is no text among them is left out', () => {
    const given = files();
    Object.assign(given.spoken.units as object, { Zoll: 'Zoll gesagt', Elle: 5 });
    const checked = checkLanguage('xx', given);
    expect(checked.ok && checked.value.findings).toEqual([]);
    const units: Readonly<Record<string, string>> = checked.ok ? checked.value.table.spoken.units : {};
    expect([units.Zoll, units.Elle]).toEqual(['Zoll gesagt', undefined]);
    expect(Object.keys(units).sort()).toEqual([...Object.keys(ENGLISH_TABLE.spoken.units), 'Zoll'].sort());
  });

  it('with very much wrong is told the first two hundred', () => {
    const given = files();
    for (let n = 0; n < 300; n += 1) given.prompts[`x${n}`] = 'x';
    expect(findings(given)).toHaveLength(MAX_LANGUAGE_FINDINGS);
  });

  it('that is refused is told its folder, its tag and what is wrong', () => {
    const refused = (language: unknown) => {
      const checked = checkLanguage('xx', { ...files(), language });
      return checked.ok ? null : { severity: checked.error.severity, ...checked.error.facts };
    };
    expect(refused({ tag: 'yy', name: 'Y', direction: 'ltr' })).toEqual({
      ...{ severity: 'error', folder: 'xx', tag: 'yy', detail: '' },
    });
    expect(refused({ tag: 'xx', name: 'X', direction: 'up' })).toEqual({
      ...{ severity: 'error', folder: 'xx', tag: '', detail: expect.stringMatching(/^direction \w.*\S$/) },
    });
    expect(refused(undefined)).toMatchObject({ detail: expect.stringMatching(/^\S.*\S$/) });
  });

  it('has words for every finding', () => {
    const given = files();
    given.prompts['job.paused'] = '{';
    const { review: _, ...rest } = given;
    const checked = checkLanguage('xx', rest);
    const words = checked.ok ? checked.value.findings.map(languageText) : [];
    expect(words.map((one) => one.message)).toEqual([
      'prompts.json: the places of “job.paused” cannot be read (the name of a place is missing at character 2). English is used for it.',
      'review.json is not there. English is used for it.',
    ]);
    expect(words.every((one) => one.mend !== '')).toBe(true);
  });
});

describe('a refusal of the host', () => {
  it('is said again in the language of the settings, facts and code as they were', () => {
    const refused = fault('disk/enospc', { path: '/jobs/x' });
    expect(refused.message).toBe('The disk is full: /jobs/x.');
    const told = faultIn(refused, languageOf(pseudoTable()));
    expect(told.message).toMatch(/^⟦Ţĥé đíšķ íš füļļ: \/jobs\/x\.·+⟧$/);
    expect([told.code, told.facts]).toEqual([refused.code, refused.facts]);
    const other = { code: 'x/y', message: 'm', mend: 'n' };
    expect(faultIn(other, languageOf(pseudoTable()))).toBe(other);
  });
});

describe('the folders of languages', () => {
  async function diskWith(folders: Readonly<Record<string, Files>>, broken: readonly string[] = []) {
    const disk = new SimulatedDisk();
    for (const [folder, given] of Object.entries(folders)) {
      await makeFolder(disk, folder);
      for (const [name, content] of Object.entries(given))
        await write(disk, `${folder}/${name}.json`, JSON.stringify(content));
    }
    for (const path of broken) await write(disk, path, '{ no json');
    return disk;
  }
  async function makeFolder(disk: SimulatedDisk, path: string): Promise<void> {
    const pieces = path.split('/').filter((piece) => piece !== '');
    for (let n = 1; n <= pieces.length; n += 1) {
      const folder = `/${pieces.slice(0, n).join('/')}`;
      if ((await disk.stat(folder)) === undefined) await disk.mkdir(folder);
    }
  }
  async function write(disk: SimulatedDisk, path: string, text: string): Promise<void> {
    const file = await disk.createExclusive(path);
    let bytes = new TextEncoder().encode(text);
    while (bytes.length > 0) bytes = bytes.slice(await file.write(bytes));
    await file.close();
  }

  it('give a language that was only put there, without touching code', async () => {
    const disk = await diskWith({ '/app/languages/xx': files('xx') });
    const languages = new Languages(disk, ['/app/languages', '/home/languages'], 'en-GB');
    expect(await languages.choices()).toEqual([
      { tag: 'en', name: 'English' },
      { tag: 'xx', name: 'Pseudo' },
    ]);
    expect((await languages.open('xx')).table).toEqual(pseudoTable('xx'));
    expect((await languages.open('xx-YY')).tag).toBe('xx');
    expect((await languages.open('zz')).tag).toBe('en');
    expect((await languages.open(undefined)).tag).toBe('en');
    expect(await languages.findings('xx')).toEqual([]);
  });

  it('let the system choose where nothing is set, and the user mend a shipped language', async () => {
    const mended = files('xx');
    mended.prompts['job.paused'] = 'mended';
    const disk = await diskWith({ '/app/languages/xx': files('xx'), '/home/languages/xx': mended });
    const languages = new Languages(disk, ['/app/languages', '/home/languages'], 'xx-YY');
    expect((await languages.open(undefined)).prompts['job.paused']()).toBe('mended');
    expect((await languages.open('')).tag).toBe('xx');
  });

  it('tell of a folder that is no language, and of a file that is no JSON', async () => {
    const { plan: _, ...rest } = files('xx');
    const disk = await diskWith({ '/l/xx': rest, '/l/yy': { language: { tag: 'xx' } } }, ['/l/xx/plan.json']);
    const languages = new Languages(disk, ['/l'], 'en');
    const found = (await languages.findings('xx')).map(
      ({ code, facts }) => `${code} ${facts.file ?? facts.folder}`,
    );
    expect(found).toEqual(['language/not-a-language yy', 'language/not-a-table plan.json']);
    expect((await languages.choices()).map((one) => one.tag)).toEqual(['en', 'xx']);
  });
});
