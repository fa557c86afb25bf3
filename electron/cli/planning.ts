/** From a product file and the words of the command line to a plan; shared by `plan` and `drive`. */
import { resolve } from 'node:path';
import type { Language } from '../core/base/language.ts';
import { err, ok, type Result } from '../core/base/result.ts';
import type { Plan } from '../core/plan/model.ts';
import { planJob } from '../core/plan/plan-job.ts';
import { diagnosticText as planText } from '../core/plan/words.ts';
import type { Product } from '../core/product/model.ts';
import { formatDiagnostic } from '../core/product/words.ts';
import type { Fault } from '../disk/disk-fault.ts';
import { createNodeDisk } from '../disk/node-disk.ts';
import { loadProduct, type ProductSource } from '../product-source.ts';
import { type Arguments, type Console, type ExitCode, tellFault } from './console.ts';

export const PLAN_OPTIONS = {
  replace: { type: 'string', multiple: true },
  variant: { type: 'string', multiple: true },
} as const;

/** Codes that say the request is wrong rather than the product file. */
const WRONG_USE: ReadonlySet<string> = new Set([
  'plan/nothing-to-replace',
  'plan/unknown-part',
  'plan/part-not-replaceable',
  'plan/unknown-variant',
  'plan/variant-answer-not-allowed',
  'plan/variant-answer-missing',
]);

export interface Planned {
  readonly source: ProductSource;
  readonly product: Product;
  readonly plan: Plan;
}

/** The `--variant K=V` options as answers. */
export function variantsFrom(
  texts: readonly string[],
  language: Language,
): Result<Readonly<Record<string, string>>, Fault> {
  const words = language.cli.usage;
  const answers = new Map<string, string>();
  for (const text of texts) {
    const at = text.indexOf('=');
    if (at <= 0) {
      return err({
        code: 'cli/usage',
        message: words.variant({ given: text }),
        mend: words['variant-mend'](),
      });
    }
    const [question, answer] = [text.slice(0, at), text.slice(at + 1)];
    const before = answers.get(question);
    if (before !== undefined && before !== answer) {
      return err({
        code: 'cli/usage',
        message: words['variant-twice']({ question, before, answer }),
        mend: words['variant-twice-mend'](),
      });
    }
    answers.set(question, answer);
  }
  return ok(Object.fromEntries(answers));
}

/** The plan asked for, or how the verb ends; what is wrong has been told then. */
export async function planFromArguments(args: Arguments, console: Console): Promise<Planned | ExitCode> {
  const file = args.files[0] ?? '';
  const variants = variantsFrom(args.texts('variant'), console.language);
  if (!variants.ok) {
    tellFault(console, variants.error);
    return 2;
  }
  const source = await loadProduct(createNodeDisk(), resolve(file), file);
  if (!source.ok) {
    tellFault(console, source.error);
    return 2;
  }
  const { product, diagnostics } = source.value;
  if (product === undefined) {
    for (const found of diagnostics) console.err(formatDiagnostic(found, console.language));
    return 1;
  }
  const replace = args.texts('replace').flatMap((text) => text.split(',').map((part) => part.trim()));
  const planned = planJob(product, {
    replace: replace.filter((part) => part !== ''),
    variants: variants.value,
  });
  if (!planned.ok) {
    for (const found of planned.error)
      tellFault(console, { code: found.code, ...planText(found, console.language) });
    return planned.error.some((found) => WRONG_USE.has(found.code)) ? 2 : 1;
  }
  return { source: source.value, product, plan: planned.value };
}
