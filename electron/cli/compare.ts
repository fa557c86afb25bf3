/** `compare`: what changed between two revisions of a product file that an author should know. */
import { resolve } from 'node:path';
import { compareRevisions } from '../core/product/compare-revisions.ts';
import type { Product } from '../core/product/model.ts';
import { diagnosticText, formatDiagnostic } from '../core/product/words.ts';
import { createNodeDisk } from '../disk/node-disk.ts';
import { loadProduct } from '../product-source.ts';
import { type Console, type ExitCode, findingJson, readArguments, tellFault, type Verb } from './console.ts';

/** The product of a file, or how the verb ends; what is wrong has been told then. */
async function productFrom(file: string, console: Console): Promise<Product | ExitCode> {
  const source = await loadProduct(createNodeDisk(), resolve(file), file);
  if (!source.ok) {
    tellFault(console, source.error);
    return 2;
  }
  const { product, diagnostics } = source.value;
  if (product !== undefined) return product;
  for (const found of diagnostics) console.err(formatDiagnostic(found, console.language));
  return 1;
}

export const compare: Verb = {
  name: 'compare',
  usage: 'compare OLD NEW [--json]',
  options: ['--json'],
  async run(args, console): Promise<ExitCode> {
    const read = readArguments(
      this,
      args,
      { json: { type: 'boolean' } },
      { least: 2, most: 2 },
      console.language,
    );
    if (!read.ok) {
      tellFault(console, read.error);
      return 2;
    }
    const [oldFile = '', newFile = ''] = read.value.files;
    const older = await productFrom(oldFile, console);
    if (typeof older === 'number') return older;
    const newer = await productFrom(newFile, console);
    if (typeof newer === 'number') return newer;
    const findings = compareRevisions(older, newer);
    const told = findings.map((found) => findingJson(found, diagnosticText(found, console.language)));
    if (read.value.flag('json'))
      console.out(JSON.stringify({ old: oldFile, new: newFile, findings: told }, null, 2));
    else for (const found of findings) console.out(`${formatDiagnostic(found, console.language)}\n`);
    const revisions = { older: older.revision, newer: newer.revision };
    console.err(console.language.cli.lines['compare-summary']({ ...revisions, findings: findings.length }));
    return findings.some(({ severity }) => severity !== 'advice') ? 1 : 0;
  },
};
