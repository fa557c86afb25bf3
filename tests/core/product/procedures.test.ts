/**
 * The demo units as they are shipped: read without a finding, as large as promised, and the JSON Schema
 * beside them fresh.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { z } from 'zod';
import { productJsonSchema } from '../../../electron/core/product/editor-schema.ts';
import type { Product, ProductStep } from '../../../electron/core/product/model.ts';
import { readProduct } from '../../../electron/core/product/read-product.ts';
import { formatDiagnostic, productCodeTable } from '../../../electron/core/product/words.ts';
import { SMALL_FILE } from './small-file.ts';

const folder = new URL('../../../procedures/', import.meta.url);
const fileText = (name: string) => readFileSync(new URL(name, folder), 'utf8');

function productOf(name: string): Product {
  const { product, diagnostics } = readProduct(fileText(name), name);
  if (!product) throw new Error(diagnostics.map((each) => formatDiagnostic(each)).join('\n'));
  return product;
}

function stepsOf(product: Product): readonly ProductStep[] {
  return [
    ...product.prepare,
    ...product.parts.flatMap((part) => [...part.steps, ...part.new_part_steps]),
    ...product.checks,
  ];
}

function fastenersOf(product: Product): number {
  return stepsOf(product).reduce((sum, { action }) => sum + ('fastener' in action ? action.count : 0), 0);
}

const files = readdirSync(folder).filter((name) => name.endsWith('.yaml'));

describe.each(files)('%s', (name) => {
  it('has no findings', () => {
    expect(readProduct(fileText(name), name).diagnostics.map((each) => formatDiagnostic(each))).toEqual([]);
  });

  it('names its schema, expects a time for each step, and puts rules and licence before the job', () => {
    expect(fileText(name).startsWith('# yaml-language-server: $schema=./product.schema.json\n')).toBe(true);
    const product = productOf(name);
    expect(stepsOf(product).filter((step) => step.expected_s === undefined)).toEqual([]);
    if (name === 'practice.yaml') return; // a sheet of paper; it has no maker and no code
    const first = product.hazards.filter((each) => product.job_hazards.includes(each.id));
    expect(first.map((each) => each.hazard).join()).toContain('local codes');
  });

  it('has every picture it names', () => {
    for (const { picture } of stepsOf(productOf(name))) {
      if (!picture) continue;
      const bytes = readFileSync(new URL(picture.file, folder));
      expect([...bytes.subarray(1, 4)].map((byte) => String.fromCharCode(byte)).join('')).toBe('PNG');
    }
  });

  it('fits the JSON Schema for editors', () => {
    const schema = z.fromJSONSchema(
      JSON.parse(productJsonSchema()) as Parameters<typeof z.fromJSONSchema>[0],
    );
    const result = schema.safeParse(parse(fileText(name)));
    expect(result.success ? [] : result.error.issues).toEqual([]);
  });
});

describe('what each unit has to show', () => {
  const kinds = (product: Product) => new Set(stepsOf(product).map((step) => step.action.kind));

  it('wt-3: size, and the parts of a sealed handheld instrument', () => {
    const product = productOf('wt-3.yaml');
    expect(product.parts.length).toBeGreaterThanOrEqual(14);
    expect(stepsOf(product).length).toBeGreaterThanOrEqual(60);
    expect(fastenersOf(product)).toBeGreaterThanOrEqual(40);
    for (const kind of [
      'pull-strips',
      'release-ribbon',
      'lift-off-pins',
      'take-out-seal',
      'separate-heat-sink',
      'open-arms',
      'unroute',
      'peel-tape',
    ] as const) {
      expect(kinds(product)).toContain(kind);
    }
    expect(product.parts.filter((part) => part.carries.length > 0).map((part) => part.id)).toEqual([
      'main-board',
    ]);
    expect(product.variants.map((each) => each.id)).toEqual(['antenna-leads']);
  });

  it('bp-60: energy off in order, four or six numbered screws, safety tests with limits', () => {
    const product = productOf('bp-60.yaml');
    const sink = stepsOf(product).filter((step) => step.when?.variant === 'heat-sink-screws');
    expect(sink.map((step) => 'count' in step.action && step.action.count)).toEqual([4, 6]);
    expect(sink.every((step) => 'pattern' in step.action && step.action.pattern === 'numbered')).toBe(true);
    const measures = stepsOf(product).flatMap(({ action }) =>
      'measure' in action && action.measure ? [action.measure.id] : [],
    );
    expect(measures).toEqual(
      expect.arrayContaining(['insulation', 'earth-bond', 'bank-volts', 'inlet-volts']),
    );
  });

  it('dp-8: eight M6 bolts crosswise in three passes, every O-ring renewed', () => {
    const product = productOf('dp-8.yaml');
    const bolts = stepsOf(product).find((step) => step.id === 'head-bolts');
    expect(bolts?.action).toEqual({
      kind: 'remove-fasteners',
      fastener: 'head-bolt',
      count: 8,
      place: 'pump head',
      pattern: 'cross',
      passes: [30, 60, 100],
    });
    expect(product.fasteners.find((each) => each.id === 'head-bolt')?.thread).toBe('M6');
    const rings = product.items.filter((item) => item.kind === 'seal');
    expect(rings.every((ring) => ring.renew === 'always' && ring.uses?.includes('ring-lubricant'))).toBe(
      true,
    );
  });
});

describe('product.schema.json', () => {
  it('is fresh', () => {
    expect(fileText('product.schema.json')).toBe(productJsonSchema());
  });

  it('refuses what the reader refuses about one entry', () => {
    const schema = z.fromJSONSchema(
      JSON.parse(productJsonSchema()) as Parameters<typeof z.fromJSONSchema>[0],
    );
    expect(schema.safeParse(parse(SMALL_FILE)).success).toBe(true);
    for (const [from, to] of [
      ['do: unroute', 'do: unrout'],
      ['kind: cable', 'kind: cabel'],
      ['count: 2, expected_s: 30', 'expected_s: 30'],
      ['id: lamp-1', 'id: Lamp 1'],
      ['revision: 2', 'revison: 2'],
    ] as const) {
      expect(schema.safeParse(parse(SMALL_FILE.replace(from, to))).success, to).toBe(false);
    }
  });
});

describe('the author’s guide', () => {
  it('lists every code of the checks with its message and mend', () => {
    const guide = fileText('README.md');
    for (const { code, message, mend } of productCodeTable()) {
      const row = guide.split('\n').find((line) => line.startsWith(`| \`${code}\` |`));
      expect(row, code).toContain(message);
      expect(row, code).toContain(mend);
    }
  });

  it('shows a file that is read without errors', () => {
    const example = /```yaml\n(stepcaller: 1[\s\S]*?)```/.exec(fileText('README.md'))?.[1] ?? '';
    const { product, diagnostics } = readProduct(example, 'README.md');
    expect(diagnostics.map((each) => formatDiagnostic(each))).toEqual([]);
    expect(product?.parts.length).toBeGreaterThan(1);
  });
});
