/**
 * The edges of what a product file may hold: characters, picture paths, near words, tools that fit, sentences. Written
 * against changes of the checks that no other test noticed.
 */
import { describe, expect, it } from 'vitest';
import {
  closestWord,
  editDistance,
  limitedSuggestions,
  SUGGESTIONS_LIMIT,
} from '../../../electron/core/product/closest-word.ts';
import { compareRevisions } from '../../../electron/core/product/compare-revisions.ts';
import { countWordsSte, steSentences } from '../../../electron/core/product/controlled-english.ts';
import { driveFit, usualDriveSizes } from '../../../electron/core/product/drives.ts';
import type { Product } from '../../../electron/core/product/model.ts';
import { idProblem, picturePathProblem, textProblem } from '../../../electron/core/product/plain-text.ts';
import { readProduct } from '../../../electron/core/product/read-product.ts';
import { broken, SMALL_FILE } from './small-file.ts';

const codesOf = (text: string): readonly string[] =>
  readProduct(text, 'lamp.yaml').diagnostics.map((each) => each.code);

describe('characters in texts', () => {
  const problemOf = (code: number): string | undefined =>
    textProblem(`a${String.fromCodePoint(code)}b`)?.code;

  // First and last of each block, and their neighbours, by the Unicode code charts; from memory.
  it.each<[string | undefined, readonly number[]]>([
    ['text/control-character', [0x00, 0x0a, 0x1f, 0x7f, 0x80, 0x9f, 0x2028, 0x2029]],
    ['text/direction-character', [0x061c, 0x200e, 0x200f, 0x202a, 0x202e, 0x2066, 0x2069]],
    [
      'text/invisible-character',
      [0xad, 0x200b, 0x200d, 0x2060, 0xfeff, 0x180e, 0xfe00, 0xfe0f, 0xe0000, 0xe01ef],
    ],
    ['text/broken-character', [0xd800, 0xdfff, 0xfffe, 0xffff, 0x1fffe, 0xe000, 0xf8ff]],
    [
      undefined,
      [
        0x21,
        0x7e,
        0xa0,
        0xac,
        0xae,
        0x200a,
        0x2010,
        0x2027,
        0x202f,
        0x2065,
        0x206a,
        0x205f,
        0xfdff,
        0xfe10,
        0xdfff + 0x1900 + 1,
        0xe01f0,
        0x1f600,
      ],
    ],
  ])('%s', (expected, signs) => {
    expect(signs.map((code) => [code.toString(16), problemOf(code)])).toEqual(
      signs.map((code) => [code.toString(16), expected]),
    );
  });

  it('letters of two scripts in one word, told with the word; in words of their own they may stand', () => {
    expect(textProblem('the l\u0430mp')).toEqual({
      code: 'text/look-alike-character',
      facts: { character: 'U+0430', like: 'a', word: 'l\u0430mp' },
    });
    expect(textProblem('\u0430\u0430 lamp')).toBeUndefined();
    expect(textProblem('lamp \u03b1')).toBeUndefined();
    expect(textProblem('\u00b5m and \u03a9')).toBeUndefined();
  });

  it('the place of the first wrong one is told, counted in characters', () => {
    expect(textProblem('\u{1f600}ab\u200bc')).toMatchObject({ facts: { character: 'U+200B', position: 4 } });
    expect(textProblem('  ')).toMatchObject({ code: 'text/blank' });
    expect(textProblem('')).toMatchObject({ code: 'text/blank' });
  });

  it('ids are small letters, figures and single hyphens', () => {
    for (const id of ['a', '7', 'a-b-3', 'lid-off']) expect([id, idProblem(id)]).toEqual([id, undefined]);
    for (const [id, suggestion] of [
      ['Lid off', 'lid-off'],
      ['-lid', 'lid'],
      ['lid--off', 'lid-off'],
      ['lid-', 'lid'],
      ['lid_off!', 'lid-off'],
      ['', ''],
    ] as const)
      expect(idProblem(id)).toEqual({ code: 'product/bad-id', facts: { value: id, suggestion } });
  });
});

describe('picture paths', () => {
  it.each([
    ['a.png', undefined],
    ['pictures/lid off.JPG', undefined],
    ['a.webp', undefined],
    ['a.jpeg', undefined],
    ['../a.png', 'outside'],
    ['a/../../b.png', 'outside'],
    ['./a.png', 'outside'],
    ['a//b.png', 'outside'],
    ['a/', 'outside'],
    ['/a.png', 'absolute'],
    ['~/a.png', 'absolute'],
    ['C:/a.png', 'scheme'],
    ['https://example.com/a.png', 'scheme'],
    ['data:image/png;base64,AAAA', 'scheme'],
    ['a\\b.png', 'character'],
    ['%2e%2e/a.png', 'character'],
    ['a\u0000.png', 'character'],
    ['\u00e4.png', 'character'],
    ['a\u007f.png', 'character'],
    ['.git/a.png', 'hidden'],
    ['a/.b.png', 'hidden'],
    ['a.svg', 'ending'],
    ['png', 'ending'],
    ['a.png.exe', 'ending'],
    ['', 'outside'],
  ])('%j: %s', (path, reason) => {
    expect(picturePathProblem(path)?.facts.reason).toBe(reason);
  });
});

describe('the closest word', () => {
  it('is at most two changes away, and at most a third of the word', () => {
    const words = ['lid', 'battery', 'main-board'];
    expect(closestWord('lit', words)).toBe('lid');
    expect(closestWord('lii', ['abc', 'lid'])).toBe('lid');
    expect(closestWord('loo', words)).toBeUndefined();
    expect(closestWord('batery', words)).toBe('battery');
    expect(closestWord('battrey', words)).toBe('battery');
    expect(closestWord('btrya', words)).toBeUndefined();
    expect(closestWord('BATTERY', words)).toBe('battery');
    expect(closestWord('board', words)).toBe('main-board');
    expect(closestWord('battery-cover', words)).toBe('battery');
    expect(closestWord('', words)).toBeUndefined();
    expect(closestWord('ab', ['ab-cd'])).toBeUndefined();
    expect(closestWord('x'.repeat(65), ['x'.repeat(65)])).toBeUndefined();
  });

  it('is the first of those that are as close', () => {
    expect(closestWord('cap', ['cat', 'map'])).toBe('cat');
    expect(closestWord('cap', ['map', 'cat'])).toBe('map');
  });

  it.each([
    ['lid', 'lid', 0],
    ['lid', 'ldi', 1],
    ['abcd', 'badc', 2],
    ['lid', '', 3],
    ['screw', 'crew', 1],
    ['kitten', 'sitting', 3],
  ])('%s and %s are %d changes apart', (a, b, changes) => {
    expect(editDistance(a, b)).toBe(changes);
    expect(editDistance(b, a)).toBe(changes);
    expect(editDistance(a, b, 1)).toBe(Math.min(changes, 2));
  });

  it('is looked for a limited number of times in one file', () => {
    const suggest = limitedSuggestions();
    const found = Array.from({ length: SUGGESTIONS_LIMIT + 1 }, () => suggest('lit', ['lid']));
    expect(found.lastIndexOf('lid')).toBe(SUGGESTIONS_LIMIT - 1);
    expect(found.at(-1)).toBeUndefined();
  });
});

describe('tools', () => {
  // Common practice, no source: a blade half a millimetre too wide still enters, one under 60 % of the slot slips.
  it('a slotted blade may be a little narrower or wider than the slot', () => {
    const slot = (tool: number) => driveFit({ kind: 'slotted', size: tool }, { kind: 'slotted', size: 5 });
    expect([2.9, 3, 5, 5.5, 5.6].map(slot)).toEqual(['size', 'fits', 'fits', 'fits', 'size']);
    expect(driveFit({ kind: 'phillips', size: 1 }, { kind: 'slotted', size: 1 })).toBe('kind');
    expect(driveFit({ kind: 'hex', size: 2.5 }, { kind: 'hex', size: 2 })).toBe('size');
  });

  it('no table speaks of set screws with a cross or a star', () => {
    for (const kind of ['phillips', 'pozidriv', 'hexalobular'] as const) {
      expect(usualDriveSizes({ thread: 'M3', head: 'set', drive: { kind, size: 1 } })).toBeUndefined();
      expect(usualDriveSizes({ thread: 'M3', head: 'pan', drive: { kind, size: 1 } })).toBeDefined();
    }
  });
});

describe('sentences', () => {
  it('end with a mark before a space, and with a dash of any kind', () => {
    expect(steSentences('Lift the lid. Pull 2.5 mm: gently; now! Why?')).toEqual([
      'Lift the lid',
      'Pull 2.5 mm',
      'gently',
      'now',
      'Why',
    ]);
    for (const dash of ['—', '–', ' - ']) expect(steSentences(`Lift it${dash}hold it`)).toHaveLength(2);
    expect(steSentences('Lift the quick-release lid')).toHaveLength(1);
    expect(steSentences('Lift (by both ends) the lid (it is hot')).toEqual([
      'Lift  the lid',
      'by both ends',
      'it is hot',
    ]);
  });

  it('count words by their edition: pieces with hyphens, prefixes aside', () => {
    const early = (text: string) => countWordsSte(text, 'early');
    expect(early('quick-release lid')).toEqual([3]);
    expect(early('re-install the lid')).toEqual([3]);
    expect(early('J4-12A lid')).toEqual([2]);
    expect(early('quick- release')).toEqual([2]);
    expect(early('non-slip-mat')).toEqual([2]);
    expect(countWordsSte('quick-release lid', 'late')).toEqual([2]);
    expect(countWordsSte('')).toEqual([]);
    expect(countWordsSte('20 % of 5 °C, (more) / less')).toEqual([5, 1]);
  });
});

describe('places of fasteners', () => {
  it('are the same whatever their letters', () => {
    expect(codesOf(broken('place: left side of the board', 'place: LID'))).toContain(
      'product/fastener-place-shared',
    );
  });
});

describe('two revisions', () => {
  const read = (text: string): Product => {
    const { product } = readProduct(text, 'lamp.yaml');
    if (product === undefined) throw new Error('the file must be readable');
    return product;
  };
  const old = read(broken('revision: 2', 'revision: 3'));
  const told = (text: string) =>
    compareRevisions(old, read(text)).map(({ code, severity, facts }) => [severity, code, facts]);

  it('are compared with what changed named', () => {
    const renamed = broken('id: cord-free', 'id: cord-out').replace('revision: 2', 'revision: 4');
    expect(told(SMALL_FILE)).toEqual([['error', 'revision/lowered', { old: 3, new: 2 }]]);
    expect(told(renamed)).toMatchObject([
      ['warning', 'revision/step-id-changed', { old: 'cord-free', new: 'cord-out' }],
    ]);
    const gone = broken('carries: [sink]', 'carries: []')
      .replace('id: sink\n', 'id: cooler\n')
      .replace('revision: 2', 'revision: 4');
    expect(told(gone)).toEqual([['warning', 'revision/part-gone', { part: 'sink' }]]);
  });
});

describe('figures that nothing is said about', () => {
  it('a class that is not written is assumed, and said to be', () => {
    const text = broken(", property_class: '4.8'", '').replace('torque_nm: 0.5', 'torque_nm: 5');
    const found = readProduct(text, 'lamp.yaml').diagnostics.find(
      (each) => each.code === 'product/torque-too-high',
    );
    expect(found?.facts.class).toBe('8.8 assumed');
  });
});
