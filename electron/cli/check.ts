/** `check`: every problem of product files. */
import { resolve } from 'node:path';
import { diagnosticText, formatDiagnostic } from '../core/product/words.ts';
import { createNodeDisk } from '../disk/node-disk.ts';
import { modelVocabulary } from '../ear-node/vocabulary.ts';
import { loadProduct } from '../product-source.ts';
import { type ExitCode, findingJson, readArguments, tellFault, type Verb } from './console.ts';

const MAX_FILES = 1000;

export const check: Verb = {
  name: 'check',
  usage: 'check FILE… [--strict] [--json]',
  options: ['--strict', '--json'],
  async run(args, console): Promise<ExitCode> {
    const read = readArguments(
      this,
      args,
      { json: { type: 'boolean' }, strict: { type: 'boolean' } },
      { least: 1, most: MAX_FILES },
      console.language,
    );
    if (!read.ok) {
      tellFault(console, read.error);
      return 2;
    }
    const results: unknown[] = [];
    let exit: ExitCode = 0;
    const words = await modelVocabulary(createNodeDisk());
    const knowsWord = words === undefined ? undefined : (word: string): boolean => words.has(word);
    for (const file of read.value.files) {
      const source = await loadProduct(createNodeDisk(), resolve(file), file, knowsWord);
      if (!source.ok) {
        tellFault(console, source.error);
        results.push({ file, product: null, unreadable: source.error, findings: [] });
        exit = 2;
        continue;
      }
      const { product, diagnostics } = source.value;
      const counts = (severity: string): number =>
        diagnostics.filter((found) => found.severity === severity).length;
      const [errors, warnings, advice] = [counts('error'), counts('warning'), counts('advice')];
      if (exit === 0 && (errors > 0 || (read.value.flag('strict') && warnings > 0))) exit = 1;
      results.push({
        file,
        product:
          product === undefined ? null : { id: product.id, name: product.name, revision: product.revision },
        errors,
        warnings,
        advice,
        findings: diagnostics.map((found) => findingJson(found, diagnosticText(found, console.language))),
      });
      const summary = console.language.cli.lines['check-summary']({ file, errors, warnings, advice });
      if (read.value.flag('json')) {
        console.err(summary);
        continue;
      }
      for (const found of diagnostics) console.out(`${formatDiagnostic(found, console.language)}\n`);
      console.out(summary);
    }
    if (read.value.flag('json')) console.out(JSON.stringify({ files: results }, null, 2));
    return exit;
  },
};
