/**
 * Lists the licences of everything that is shipped, checks them against the allow list, and writes the texts
 * to `out/third-party.txt`, which goes into the package. `npm run licences`; exit code 1 on a licence that
 * nobody has looked at.
 */
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { checkLicences, type Verdict } from './allowed.ts';
import { packagesOf } from './packages.ts';

const ROOT = resolve(dirname(fileURLToPath(import.meta.url)), '../..');

/** The text of the licence as the package ships it; empty where it ships none. */
function licenceText(path: string): string {
  const folder = join(ROOT, path);
  if (!existsSync(folder)) return '';
  const files = readdirSync(folder).filter((name) => /^(licen[cs]e|copying|notice)(\.|-|$)/i.test(name));
  return files.map((name) => readFileSync(join(folder, name), 'utf8').trim()).join('\n\n');
}

/** One text for all packages that ship it word for word: there are some 270 packages and far fewer texts. */
function writeTexts(verdict: Verdict): string {
  const namesOf = new Map<string, string[]>();
  for (const { name, version, licence, path } of verdict.shipped) {
    const text = licenceText(path);
    namesOf.set(text, [...(namesOf.get(text) ?? []), `${name} ${version} (${licence})`]);
  }
  const parts = [...namesOf].map(([text, names]) => `${'='.repeat(78)}\n${names.join('\n')}\n\n${text}\n`);
  const voice =
    'The embedded voice: this product includes the Flite speech synthesiser, developed at the Language\n' +
    'Technologies Institute of Carnegie Mellon University.\n';
  const model = readFileSync(join(ROOT, 'models/NOTICES.txt'), 'utf8');
  const file = join(ROOT, 'out/third-party.txt');
  mkdirSync(dirname(file), { recursive: true });
  writeFileSync(
    file,
    `Stepcaller contains the following packages.\n\n${voice}\n${parts.join('\n')}\n${'='.repeat(78)}\n${model}`,
  );
  return file;
}

function main(): number {
  const verdict = checkLicences(packagesOf(readFileSync(join(ROOT, 'package-lock.json'), 'utf8')));
  for (const [licence, count] of verdict.counts)
    process.stdout.write(`${String(count).padStart(5)}  ${licence}\n`);
  for (const { name, licence, reason } of verdict.exceptions)
    process.stdout.write(`       ${name} (${licence}): ${reason}\n`);
  for (const { name, version, licence } of verdict.refused) {
    process.stderr.write(
      `${name} ${version}: licence “${licence}” is not on the list in tests/licences/allowed.ts\n`,
    );
  }
  process.stdout.write(`texts in ${writeTexts(verdict).slice(ROOT.length + 1)}\n`);
  return verdict.refused.length === 0 ? 0 : 1;
}

process.exitCode = main();
