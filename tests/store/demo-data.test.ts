import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { readLog } from '../../electron/core/log/codec.ts';
import type { JobFile } from '../../electron/core/log/model.ts';
import { verifyLog } from '../../electron/core/log/verify.ts';
import { readProduct } from '../../electron/core/product/read-product.ts';
import { olderRevision, writeDemoData } from '../../electron/demo-data.ts';
import { paceOf } from '../../electron/demo-technician.ts';

const root = mkdtempSync(join(tmpdir(), 'stepcaller-demo-'));
const procedures = new URL('../../procedures', import.meta.url).pathname;
afterAll(() => rmSync(root, { recursive: true, force: true }));

describe('demo data', () => {
  const options = { out: join(root, 'jobs'), procedures, seed: 8, jobs: 6 };

  it('are job folders whose logs verify, and are the same for the same seed', {
    timeout: 120_000,
  }, async () => {
    const first = await writeDemoData(options);
    expect(first).toEqual({ ok: true, value: { written: 6, there: 0 } });
    expect(await writeDemoData(options)).toEqual({ ok: true, value: { written: 0, there: 6 } });
    await writeDemoData({ ...options, out: join(root, 'again') });
    const names = readdirSync(options.out);
    expect(names.length).toBe(6);
    for (const name of names) {
      const read = (folder: string, file: string): string =>
        readFileSync(join(root, folder, name, file), 'utf8');
      expect(read('again', 'log.jsonl')).toBe(read('jobs', 'log.jsonl'));
      const verified = verifyLog(
        JSON.parse(read('jobs', 'job.json')) as JobFile,
        readLog(read('jobs', 'log.jsonl')),
      );
      expect(verified.verdict).toBe('complete');
      expect(verified.findings.filter((found) => found.severity === 'error')).toEqual([]);
    }
  });

  it('have an older revision that is one lower and whose slow step has another sentence', () => {
    const text = readFileSync(join(procedures, 'wt-3.yaml'), 'utf8');
    const [older, newer] = [olderRevision(text), text].map((one) => readProduct(one, 'wt-3.yaml').product!);
    expect(older!.revision).toBe(newer!.revision - 1);
    const sentence = (product: typeof newer): string | undefined =>
      product!.parts.flatMap((part) => part.steps).find((step) => step.id === 'case-gasket-out')?.say_back;
    expect(sentence(older)).toContain('case gasket');
    expect(sentence(newer)).not.toBe(sentence(older));
  });

  it('are made by people who learn and level off', () => {
    const person = {
      name: 'X',
      first: 2,
      rate: 0.8,
      least: 1,
      straying: 0,
      hasty: 0,
      trainee: false,
      fromDay: 0,
    };
    expect([0, 1, 3, 100].map((before) => Number(paceOf(person, before).toFixed(3)))).toEqual([
      2, 1.6, 1.28, 1,
    ]);
  });
});
