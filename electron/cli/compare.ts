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
  for (const found of diagnostics) console.err(formatDiagnostic(found));
  return 1;
}

export const compare: Verb = {
  name: 'compare',
  usage: 'compare OLD NEW [--json]',
  about: 'Two revisions of a product file: step ids that changed, parts and steps that went.',
  options: [['--json', 'the findings as JSON on stdout']],
  async run(args, console): Promise<ExitCode> {
    const read = readArguments(this, args, { json: { type: 'boolean' } }, { least: 2, most: 2 });
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
    const told = findings.map((found) => findingJson(found, diagnosticText(found)));
    if (read.value.flag('json'))
      console.out(JSON.stringify({ old: oldFile, new: newFile, findings: told }, null, 2));
    else for (const found of findings) console.out(`${formatDiagnostic(found)}\n`);
    console.err(`revision ${older.revision} to ${newer.revision}: ${findings.length} findings`);
    return findings.some(({ severity }) => severity !== 'advice') ? 1 : 0;
  },
};
