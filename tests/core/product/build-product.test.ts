import { describe, expect, it } from 'vitest';
import type { Product, ProductStep } from '../../../electron/core/product/model.ts';
import { readProduct } from '../../../electron/core/product/read-product.ts';
import { broken, SMALL_FILE } from './small-file.ts';

function productOf(text: string): Product {
  const { product, diagnostics } = readProduct(text, 'lamp.yaml');
  if (!product) throw new Error(`test: unreadable file: ${diagnostics.map((each) => each.code).join(', ')}`);
  return product;
}

function stepOf(product: Product, id: string): ProductStep {
  const all = [
    ...product.prepare,
    ...product.parts.flatMap((part) => [...part.steps, ...part.new_part_steps]),
    ...product.checks,
  ];
  const step = all.find((each) => each.id === id);
  if (!step) throw new Error(`test: no step ${id}`);
  return step;
}

describe('defaults', () => {
  const product = productOf(SMALL_FILE);

  it('fills in what the author leaves out', () => {
    expect(product.format).toBe(1);
    expect(product.parts[0]).toMatchObject({
      needs: [],
      carries: [],
      install_after: [],
      new_part_steps: [],
      plural: false,
      replaceable: true,
      energy_source: false,
    });
    expect(stepOf(product, 'lid-four')).toMatchObject({
      way: 'both',
      hazards: [],
      action: { kind: 'remove-fasteners', place: 'lid', pattern: 'any', count: 4 },
    });
    expect(stepOf(product, 'lid-four').action).not.toHaveProperty('passes');
    expect(stepOf(product, 'cord-free').action).toEqual({
      kind: 'unroute',
      item: 'cord',
      partly: false,
      note_route: true,
    });
    expect(stepOf(product, 'new-volts').action).toMatchObject({ measure: { decimals: 2 } });
    expect(product.unit_serial).toMatchObject({ check: 'none' });
  });

  it('renews single-use things always, tape where it no longer holds, nothing else', () => {
    const renew = Object.fromEntries(product.items.map((item) => [item.kind, item.renew]));
    expect(renew).toEqual({
      seal: 'always',
      connector: 'never',
      strip: 'always',
      'ribbon-connector': 'never',
      compound: 'always',
      cable: 'never',
    });
    const taped = productOf(
      broken('kind: connector', 'kind: tape').replace('do: disconnect', 'do: peel-tape'),
    );
    expect(taped.items.find((item) => item.kind === 'tape')?.renew).toBe('if-needed');
  });

  it('leaves out every key that was not given', () => {
    const text = JSON.stringify(product);
    expect(text).not.toContain('null');
    expect(Object.keys(stepOf(product, 'lid-off')).sort()).toEqual([
      'action',
      'expected_s',
      'hazards',
      'id',
      'way',
    ]);
  });
});

describe('mirrored steps', () => {
  it('put the other side into the place', () => {
    const right = stepOf(productOf(SMALL_FILE), 'board-screws-right');
    expect(right.action).toMatchObject({
      kind: 'remove-fasteners',
      place: 'right side of the board',
      count: 4,
    });
    expect(right).toMatchObject({
      id: 'board-screws-right',
      mirrors: 'board-screws',
      side_word: 'right',
      expected_s: 9,
    });
  });

  it('put the side word before a place that names no side', () => {
    const text = broken('place: left side of the board', 'place: hinge');
    expect(stepOf(productOf(text), 'board-screws-right').action).toMatchObject({ place: 'right hinge' });
  });

  it('find the item of the other side by its id, and take what is said at the mirror first', () => {
    const text = broken(
      '{id: plug, kind: connector, name: battery plug}',
      '{id: plug-left, kind: connector, name: left plug}\n  - {id: plug-right, kind: connector, name: right plug}',
    )
      .replace('item: plug, tool: spudger,', 'item: plug-left, say: Pull the left plug., tool: spudger,')
      .replace(
        '      - {id: strip-out',
        '      - {id: plug-off-right, mirrors: plug-off, side_word: right, hazards: [], expected_s: 7}\n      - {id: strip-out',
      );
    const step = stepOf(productOf(text), 'plug-off-right');
    expect(step).toMatchObject({
      action: { kind: 'disconnect', item: 'plug-right' },
      say: 'Pull the right plug.',
      hazards: [],
      expected_s: 7,
      tool: 'spudger',
    });
  });
});

describe('cautions that stand alone', () => {
  it('move to the step they name', () => {
    const text = broken(
      '      - {id: plug-off',
      '      - {do: caution, hazard: tear, before: strip-out}\n      - {id: plug-off',
    );
    const product = productOf(text);
    expect(stepOf(product, 'strip-out').hazards).toEqual(['tear']);
    expect(stepOf(product, 'plug-off').hazards).toEqual(['pack']);
  });

  it('move to the step that follows, before its own cautions, once', () => {
    const text = broken(
      '      - {id: plug-off',
      '      - {do: caution, hazard: tear}\n      - {do: caution, hazard: pack}\n      - {id: plug-off',
    );
    expect(stepOf(productOf(text), 'plug-off').hazards).toEqual(['tear', 'pack']);
  });
});

describe('YAML forms', () => {
  it('read the same with Windows line ends, a byte order mark and an alias', () => {
    const expected = productOf(SMALL_FILE);
    expect(productOf(SMALL_FILE.replaceAll('\n', '\r\n'))).toEqual(expected);
    expect(productOf(`\uFEFF${SMALL_FILE}`)).toEqual(expected);
    const aliased = broken(
      'drive: {kind: phillips, size: 1}}\n  - {id: ph1-torque',
      'drive: &ph1 {kind: phillips, size: 1}}\n  - {id: ph1-torque',
    ).replace('torque screwdriver, drive: {kind: phillips, size: 1}', 'torque screwdriver, drive: *ph1');
    expect(productOf(aliased)).toEqual(expected);
  });

  it('places findings right after Windows line ends', () => {
    const text = broken('needs: [lid]', 'needs: [lit]').replaceAll('\n', '\r\n');
    const place = readProduct(text, 'lamp.yaml').diagnostics[0]?.place;
    expect(text.split('\r\n')[(place?.line ?? 0) - 1]).toBe('    needs: [lit]');
    expect(place).toMatchObject({ column: 13, sourceLine: '    needs: [lit]' });
  });
});
