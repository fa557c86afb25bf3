/**
 * Product file text to checked product: YAML with positions → shape → product → checks. All problems
 * are found in one go, each with its place; `product` is there only if none of them is an error.
 *
 *     stepcaller: 1            # format version, the first key
 *     id: lamp-1
 *     name: Bench lamp
 *     revision: 1
 *     summary: A lamp to try the format with.
 *     start_side: front
 *     tools: [{id: ph1, name: Phillips screwdriver number 1, drive: {kind: phillips, size: 1}}]
 *     fasteners:
 *       - {id: lid-screw, name: lid screw, kind: screw, thread: M3, length_mm: 8, head: pan,
 *          drive: {kind: phillips, size: 1}, torque_nm: 0.5, tool: ph1}
 *     parts:
 *       - id: lid
 *         name: lid
 *         steps:
 *           - {id: lid-screws, do: remove-fasteners, fastener: lid-screw, count: 4, expected_s: 40}
 *           - {id: lid-off, do: lift-out, expected_s: 5}
 *
 * The shape is that of `schema.ts`, the meaning of each key stands in `model.ts`, the author's guide is
 * `procedures/README.md`.
 */
import type { Diagnostic, Place, Severity } from '../base/diagnostic.ts';
import { buildProduct } from './build-product.ts';
import { checkAnswers, type KnowsWord } from './check-answers.ts';
import { checkCautions } from './check-cautions.ts';
import { checkFasteners } from './check-fasteners.ts';
import { checkOrder } from './check-order.ts';
import { checkReferences } from './check-references.ts';
import { placedSteps } from './check-subject.ts';
import { checkTexts } from './check-texts.ts';
import { LIMITS } from './limits.ts';
import type { Product } from './model.ts';
import { FORMAT_VERSION, type ProductFile, readerFileSchema } from './schema.ts';
import { isRecord, shapeFindings, withoutUnfit } from './shape-findings.ts';
import { type Path, parseYamlDocument, type YamlDocument } from './yaml-document.ts';

export interface ReadProduct {
  /** Present only if no finding is an error. */
  readonly product?: Product;
  /** Every finding, in the order of the file. */
  readonly diagnostics: readonly Diagnostic[];
}

/**
 * Reads a product file. `file` is the name used in places; nothing is opened. Deterministic; any text is
 * answered, never an exception. Cost: about linear in the text, with the limits of `limits.ts`. `knowsWord`:
 * the recogniser's vocabulary, where it is known.
 */
export function readProduct(text: string, file: string, knowsWord?: KnowsWord): ReadProduct {
  const document = parseYamlDocument(text.startsWith('\uFEFF') ? text.slice(1) : text, file);
  const diagnostics: Diagnostic[] = [...document.diagnostics];
  if (document.value === undefined) return finished(diagnostics);
  const refused = formatFinding(document);
  if (refused) return finished([...diagnostics, refused]);
  const parsed = readerFileSchema.safeParse(document.value);
  if (parsed.success) {
    const product = check(parsed.data, document, diagnostics, new Set(), (path) => path, knowsWord);
    return finished(diagnostics, product);
  }
  diagnostics.push(...shapeFindings(parsed.error.issues, document));
  const remainder = withoutUnfit(document.value, parsed.error.issues);
  const again = readerFileSchema.safeParse(remainder.value);
  if (again.success)
    check(again.data, document, diagnostics, idsIn(document.value), remainder.pathInFile, knowsWord);
  return finished(diagnostics);
}

/** Builds the product and runs every check on it, adding to the findings. */
function check(
  file: ProductFile,
  document: YamlDocument,
  diagnostics: Diagnostic[],
  unread: ReadonlySet<string>,
  pathInFile: (path: Path) => Path,
  knowsWord: KnowsWord | undefined,
): Product {
  if (!startsWithFormat(document.value)) {
    diagnostics.push({
      code: 'product/format-not-first',
      severity: 'warning',
      facts: {},
      place: document.placeOfKey(['stepcaller']),
    });
  }
  const placeOf = (path: Path): Place => document.placeOf(pathInFile(path));
  const report = (code: string, severity: Severity, facts: Diagnostic['facts'], path: Path): void => {
    diagnostics.push({ code, severity, facts, place: placeOf(path) });
  };
  const built = buildProduct(file, unread);
  for (const each of built.findings) report(each.code, each.severity, each.facts, each.path);
  const { product } = built;
  const subject = {
    product,
    steps: placedSteps(product, (step) => built.stepPaths.get(step)),
    unread,
    report,
  };
  checkReferences(subject, (path) => placeOf(path).line);
  checkOrder(subject);
  checkFasteners(subject);
  checkCautions(subject);
  checkTexts(subject);
  checkAnswers(subject, knowsWord);
  return product;
}

function startsWithFormat(value: unknown): boolean {
  return isRecord(value) && Object.keys(value)[0] === 'stepcaller';
}

/** What keeps a file from being read at all: nothing in it, no mapping, no version, a newer version. */
function formatFinding(document: YamlDocument): Diagnostic | undefined {
  const { value } = document;
  const place = document.placeOf([]);
  if (value === null || value === undefined)
    return { code: 'product/empty', severity: 'error', facts: {}, place };
  if (!isRecord(value)) {
    const facts = { found: Array.isArray(value) ? 'list' : typeof value };
    return { code: 'product/not-a-mapping', severity: 'error', facts, place };
  }
  const version = value.stepcaller;
  if (typeof version !== 'number' || version <= FORMAT_VERSION) return undefined;
  const facts = { found: version, known: FORMAT_VERSION };
  return { code: 'product/newer-format', severity: 'error', facts, place: document.placeOf(['stepcaller']) };
}

/** Every id in the file, also of entries that do not fit; references to these are not reported. */
function idsIn(value: unknown): Set<string> {
  const ids = new Set<string>();
  const walk = (each: unknown): void => {
    if (Array.isArray(each)) each.forEach(walk);
    else if (isRecord(each)) {
      if (typeof each.id === 'string') ids.add(each.id);
      for (const inner of Object.values(each)) walk(inner);
    }
  };
  walk(value);
  return ids;
}

function finished(diagnostics: readonly Diagnostic[], product?: Product): ReadProduct {
  const sorted = [...diagnostics].sort(
    (a, b) =>
      (a.place?.offset ?? 0) - (b.place?.offset ?? 0) || (a.code < b.code ? -1 : a.code > b.code ? 1 : 0),
  );
  const hasError = sorted.some((each) => each.severity === 'error');
  const shown = sorted.length > LIMITS.findings ? shortened(sorted) : sorted;
  return hasError || !product ? { diagnostics: shown } : { product, diagnostics: shown };
}

/** The first findings, errors before the rest, and one that counts those left out. */
function shortened(sorted: readonly Diagnostic[]): readonly Diagnostic[] {
  const errors = sorted.filter((each) => each.severity === 'error');
  const others = sorted.filter((each) => each.severity !== 'error');
  const kept = [...errors, ...others].slice(0, LIMITS.findings);
  const left = sorted.length - kept.length;
  const last = kept.at(-1);
  const severity: Severity = errors.length > LIMITS.findings ? 'error' : 'advice';
  return [
    ...kept,
    {
      code: 'product/more-findings',
      severity,
      facts: { count: left },
      ...(last?.place ? { place: last.place } : {}),
    },
  ];
}
