/**
 * The product files of the procedures folders. A page names a product by its key in this list and never by
 * a path of its own, so nothing outside the folders can be asked for.
 */
import type { Diagnostic } from './core/base/diagnostic.ts';
import { ENGLISH, type Language } from './core/base/language.ts';
import { err, ok, type Result } from './core/base/result.ts';
import { partsAlsoOff } from './core/plan/plan-job.ts';
import type { Product, ProductStep } from './core/product/model.ts';
import { diagnosticText } from './core/product/words.ts';
import { attempt, type Fault } from './disk/disk-fault.ts';
import type { DiskPort } from './disk/disk-port.ts';
import { fault } from './disk/fault-words.ts';
import type { Finding, ProductSummary, ProductView } from './ipc/contract.ts';
import { loadProduct, type ProductSource } from './product-source.ts';

/** More files than this in the procedures folders are not looked at. */
export const MAX_PRODUCT_FILES = 500;
const PRODUCT_FILE = /^[^.].*\.ya?ml$/i;

interface Entry {
  readonly key: string;
  readonly path: string;
  readonly stamp: string;
}

/** Findings with their words, as a page shows them. */
export function findingsFrom(
  diagnostics: readonly Diagnostic[],
  language: Language = ENGLISH,
): readonly Finding[] {
  return diagnostics.map((found) => ({ ...found, ...diagnosticText(found, language) }));
}

function summaryFrom(key: string, source: ProductSource): ProductSummary {
  const { product, diagnostics } = source;
  return {
    file: key,
    id: product?.id ?? '',
    name: product?.name ?? key,
    revision: product?.revision ?? 0,
    summary: product?.summary ?? '',
    errors: diagnostics.filter((found) => found.severity === 'error').length,
    warnings: diagnostics.filter((found) => found.severity === 'warning').length,
  };
}

function partsOf(product: Product | undefined): ProductView['parts'] {
  if (product === undefined) return [];
  return product.parts.map((part) => ({
    id: part.id,
    name: part.name,
    replaceable: part.replaceable,
    needs: part.needs,
    also_off: partsAlsoOff(product, part.id),
    steps: part.steps.length,
  }));
}

/** True where a step of the job finds the answer out, so that nobody can give it before. */
function isFoundOut(product: Product | undefined, variant: string): boolean {
  const finds = ({ finds: found }: ProductStep): boolean => found === variant;
  return (
    product !== undefined &&
    (product.prepare.some(finds) || product.parts.some((part) => part.steps.some(finds)))
  );
}

/** What the page shows of one product file. */
export function viewOfProduct(key: string, source: ProductSource, language: Language = ENGLISH): ProductView {
  const { product } = source;
  return {
    summary: summaryFrom(key, source),
    findings: findingsFrom(source.diagnostics, language),
    parts: partsOf(product),
    variants: (product?.variants ?? [])
      .filter(({ id }) => !isFoundOut(product, id))
      .map(({ id, ask, answers }) => ({ id, ask, answers })),
    has_serial: product?.unit_serial !== undefined,
  };
}

export class Products {
  readonly #disk: DiskPort;
  readonly #folders: readonly string[];
  readonly #loaded = new Map<string, { readonly stamp: string; readonly source: ProductSource }>();

  constructor(disk: DiskPort, folders: readonly string[]) {
    this.#disk = disk;
    this.#folders = folders;
  }

  /** The files there are now. A file name that two folders have belongs to the first; the other is named by its path. */
  async #entries(): Promise<readonly Entry[]> {
    const entries = new Map<string, Entry>();
    for (const folder of this.#folders) {
      const names = await attempt(() => this.#disk.readdir(folder));
      if (!names.ok) continue; // a folder that is not there has no products
      for (const name of [...names.value].filter((one) => PRODUCT_FILE.test(one)).sort()) {
        const path = `${folder}/${name}`;
        const stat = await attempt(() => this.#disk.stat(path));
        if (!stat.ok || stat.value === undefined || stat.value.isFolder) continue;
        if (entries.size >= MAX_PRODUCT_FILES) return [...entries.values()];
        const key = entries.has(name) ? path : name;
        entries.set(key, { key, path, stamp: `${stat.value.size}/${stat.value.modifiedMs}` });
      }
    }
    return [...entries.values()];
  }

  async #load(entry: Entry): Promise<Result<ProductSource, Fault>> {
    const known = this.#loaded.get(entry.path);
    if (known?.stamp === entry.stamp) return ok(known.source);
    const source = await loadProduct(this.#disk, entry.path, entry.key);
    if (source.ok) this.#loaded.set(entry.path, { stamp: entry.stamp, source: source.value });
    return source;
  }

  /** A text that changes whenever a product file comes, goes or is changed. */
  async signature(): Promise<string> {
    return (await this.#entries()).map((entry) => `${entry.path}=${entry.stamp}`).join('\n');
  }

  /** All products, also those with errors. */
  async list(): Promise<readonly ProductSummary[]> {
    const summaries: ProductSummary[] = [];
    for (const entry of await this.#entries()) {
      const source = await this.#load(entry);
      if (source.ok) summaries.push(summaryFrom(entry.key, source.value));
      else
        summaries.push({
          file: entry.key,
          id: '',
          name: entry.key,
          revision: 0,
          summary: '',
          errors: 1,
          warnings: 0,
        });
    }
    return summaries;
  }

  /** One product by its key. Errors: `product/not-found`, those of reading it. */
  async open(key: string): Promise<Result<ProductSource, Fault>> {
    const entry = (await this.#entries()).find((one) => one.key === key);
    if (entry !== undefined) return this.#load(entry);
    return err(fault('product/not-found', { file: key.slice(0, 200) }));
  }
}
