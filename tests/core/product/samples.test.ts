/** Product files of every released format, kept as they were: each is read without a finding, and means the same. */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { planJob } from '../../../electron/core/plan/plan-job.ts';
import { provePlan } from '../../../electron/core/plan/proof.ts';
import { readProduct } from '../../../electron/core/product/read-product.ts';
import { FORMAT_VERSION } from '../../../electron/core/product/schema.ts';
import { diagnosticText } from '../../../electron/core/product/words.ts';

const SAMPLES = join(import.meta.dirname, 'samples');
const textOf = (version: string, name: string): string => readFileSync(join(SAMPLES, version, name), 'utf8');

it('there is one of every released format', () => {
  const formats = Array.from({ length: FORMAT_VERSION }, (_, index) => `v${index + 1}`);
  expect(readdirSync(SAMPLES).sort()).toEqual(formats);
});

it('format 1 is read, planned and proven', () => {
  const { product, diagnostics } = readProduct(textOf('v1', 'lamp.yaml'), 'lamp.yaml');
  expect(diagnostics.filter((each) => each.severity === 'error')).toEqual([]);
  expect(product).toMatchObject({ id: 'lamp-1', name: 'Bench lamp', revision: 2, start_side: 'front' });
  if (product === undefined) return;
  expect(product.parts.map((part) => [part.id, part.needs, part.carries])).toEqual([
    ['lid', [], []],
    ['battery', ['lid'], []],
    ['board', ['battery'], ['sink']],
    ['sink', ['battery'], []],
  ]);
  // Timings of years hang on the ids of steps.
  expect(product.parts.flatMap((part) => part.steps.map((step) => step.id))).toEqual([
    'lid-two',
    'lid-four',
    'lid-off',
    'lid-ring-out',
    'plug-off',
    'strip-out',
    'battery-out',
    'ribbon-off',
    'cord-free',
    'board-screws',
    'board-screws-right',
    'board-out',
    'sink-off',
  ]);
  const plan = planJob(product, { replace: ['board'], variants: { 'lid-screws': 'four' } });
  expect(plan.ok && provePlan(product, plan.value)).toEqual([]);
});

it('a newer format is refused politely: which it is, and what to do', () => {
  const newer = textOf('v1', 'lamp.yaml').replace('stepcaller: 1', `stepcaller: ${FORMAT_VERSION + 1}`);
  const { product, diagnostics } = readProduct(newer, 'lamp.yaml');
  expect(product).toBeUndefined();
  expect(diagnostics.map((each) => each.code)).toEqual(['product/newer-format']);
  const [first] = diagnostics;
  expect(first?.place?.line).toBe(2);
  expect(first === undefined ? '' : diagnosticText(first).mend).toMatch(/\w{4,}/);
});
