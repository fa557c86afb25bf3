/**
 * Random damage to a text, and what must hold for whatever the reader makes of it.
 */
import type { Diagnostic } from '../../electron/core/base/diagnostic.ts';
import type { RandomSource } from '../../electron/core/base/random.ts';
import type { Product } from '../../electron/core/product/model.ts';
import { readProduct } from '../../electron/core/product/read-product.ts';
import { diagnosticText, formatDiagnostic } from '../../electron/core/product/words.ts';

/** Pieces that have broken parsers before. */
const NASTY = [
  '\t',
  '\r',
  '\n',
  '\u0000',
  '\u2028',
  '\u202e',
  '\ufeff',
  '\ud800',
  ' ',
  '"',
  "'",
  '`',
  '\\',
  '- ',
  '? ',
  ': ',
  ', ',
  '#',
  ' #',
  '[',
  ']',
  '{',
  '}',
  '[[[[[[',
  '{{',
  '*a',
  '&a ',
  '!x ',
  '!!str ',
  '!!map ',
  '|',
  '>',
  '|+9',
  '%YAML 1.1\n',
  '---\n',
  '...\n',
  '<<: ',
  '__proto__: ',
  'constructor: ',
  '~',
  'null',
  'true',
  '.nan',
  '.inf',
  '-0',
  '1e999',
  '0x1F',
  '0o17',
  '9007199254740993',
  '012',
  '2026-01-05',
  'id: ',
  'do: ',
  'do: caution, hazard: ',
  'mirrors: ',
  'needs: [lid]',
  'count: 0',
  'steps: ',
  'parts:\n',
  '=cmd()',
  'x'.repeat(500),
];

/** One to four changes at random places: cut, double, insert, swap lines, change indentation or a number. */
export function mutated(text: string, random: RandomSource): string {
  let result = text;
  for (let n = random.integer(1, 4); n > 0; n--) result = mutateOnce(result, random);
  return result;
}

function mutateOnce(text: string, random: RandomSource): string {
  const at = random.integer(0, text.length);
  const end = Math.min(text.length, at + random.integer(1, random.next() < 0.2 ? 400 : 12));
  switch (random.integer(0, 8)) {
    case 0:
      return text.slice(0, at) + text.slice(end);
    case 1:
      return text.slice(0, end) + text.slice(at);
    case 2:
    case 3:
      return text.slice(0, at) + random.pick(NASTY) + text.slice(at);
    case 4:
      return text.slice(0, at) + random.pick(NASTY) + text.slice(end);
    case 5:
      return swapLines(text, random);
    case 6:
      return changeLine(text, random);
    case 7:
      return text.replace(/\d+/g, (digits) =>
        random.next() < 0.05 ? String(random.integer(-2, 300)) : digits,
      );
    default:
      return swapWords(text, random);
  }
}

function swapLines(text: string, random: RandomSource): string {
  const lines = text.split('\n');
  const a = random.integer(0, lines.length - 1);
  const b = random.integer(0, lines.length - 1);
  [lines[a], lines[b]] = [lines[b] ?? '', lines[a] ?? ''];
  return lines.join('\n');
}

function changeLine(text: string, random: RandomSource): string {
  const lines = text.split('\n');
  const at = random.integer(0, lines.length - 1);
  const line = lines[at] ?? '';
  const changes = [
    [],
    [line, line],
    [`  ${line}`],
    [line.slice(1)],
    [line.replace(/[\w-]+: /, '')],
    [`${line},`],
  ];
  lines.splice(at, 1, ...random.pick(changes));
  return lines.join('\n');
}

/** Puts one word of the file in the place of another: ids that exist, in places where they mean nothing. */
function swapWords(text: string, random: RandomSource): string {
  const words = [...text.matchAll(/[\w-]+/g)];
  if (words.length === 0) return text;
  const from = random.pick(words);
  const to = random.pick(words);
  return text.slice(0, from.index) + to[0] + text.slice(from.index + from[0].length);
}

/** Throws with a reason: thousands of runs would spend their time in the test library's matchers. */
function must(holds: boolean, what: string): void {
  if (!holds) throw new Error(`does not hold: ${what}`);
}

/** Asserts what holds for every text; gives the codes found. */
export function expectAnswered(text: string): readonly string[] {
  const { product, diagnostics } = readProduct(text, 'any.yaml');
  const hasError = diagnostics.some((each) => each.severity === 'error');
  must((product === undefined) === hasError, 'a product or an error, never both, never neither');
  const seen = text.startsWith('\ufeff') ? text.slice(1) : text;
  for (const finding of diagnostics) expectShown(finding, seen);
  if (product) expectSound(product);
  return diagnostics.map((each) => each.code);
}

function expectShown(finding: Diagnostic, text: string): void {
  const { place, code } = finding;
  if (!place) throw new Error(`${code} has no place`);
  must(place.offset >= 0 && place.offset <= text.length, `${code} lies in the text`);
  const before = text.slice(0, place.offset).split(/\r\n|\r|\n/);
  must(place.line === before.length, `${code}: line ${place.line}, offset says ${before.length}`);
  const column = (before.at(-1)?.length ?? 0) + 1;
  must(place.column === column, `${code}: column ${place.column}, offset says ${column}`);
  must(place.sourceLine.length <= 200, `${code}: the source line is short`);
  const { message, mend } = diagnosticText(finding);
  must(!/^\w+\/|undefined|\[object/.test(message) && mend !== '', `${code} has words: ${message}`);
  must(formatDiagnostic(finding).length < 6000, `${code} is shown in few characters`);
}

function expectSound(product: Product): void {
  const text = JSON.stringify(product);
  must(JSON.stringify(JSON.parse(text)) === text, 'a product is plain JSON');
  const steps = [
    ...product.prepare,
    ...product.parts.flatMap((part) => [...part.steps, ...part.new_part_steps]),
    ...product.checks,
  ];
  must(new Set(steps.map((step) => step.id)).size === steps.length, 'step ids are unique');
  const ids = new Set(product.parts.map((part) => part.id));
  for (const part of product.parts) {
    for (const id of [...part.needs, ...part.carries]) must(ids.has(id), `${id} is a part`);
  }
}
