/**
 * The words of every finding about a product file, from the language's table: what is wrong, and how to mend
 * it. The checks carry codes and facts only. `formatDiagnostic` adds the place, the source line and a caret.
 */
import type { Diagnostic, DiagnosticText } from '../base/diagnostic.ts';
import { ENGLISH, type Language } from '../base/language.ts';
import type { Facts } from '../base/message.ts';

type Code = keyof Language['findings']['product'];

/** Every code the checks of a product file can give, in the order of the table. */
export const productCodes: readonly string[] = Object.keys(ENGLISH.findings.product);

/**
 * Message and mend of every code with the names of the facts in place of their values, for the table in
 * the author's guide.
 */
export function productCodeTable(): readonly {
  readonly code: string;
  readonly message: string;
  readonly mend: string;
}[] {
  return productCodes.map((code) => {
    // A suggestion is only sometimes there; ids that cannot be read always get one.
    const named = new Proxy<Facts>(
      {},
      {
        get: (_, name) =>
          name === 'suggestion' && code !== 'product/bad-id' ? undefined : `{${String(name)}}`,
      },
    );
    const words = ENGLISH.findings.product[code as Code];
    return { code, message: words.message(named), mend: words.mend(named) };
  });
}

/** Longest list that is written out; of longer ones the beginning and the end. */
const LISTED = 30;

function shortened(values: readonly string[]): readonly string[] {
  if (values.length <= LISTED) return values;
  const half = LISTED / 2;
  return [...values.slice(0, half), '…', ...values.slice(-half)];
}

const isList = (value: unknown): value is readonly string[] => Array.isArray(value);

/** The facts as the patterns want them: lists shortened, chains with arrows, and what decides between two texts. */
function factsOf(facts: Diagnostic['facts']): Facts {
  const filled: Record<string, Facts[string]> = {};
  for (const [name, value] of Object.entries(facts)) {
    if (!isList(value)) filled[name] = value;
    else if (name === 'path' || name === 'chain') filled[name] = shortened(value).join(' → ');
    else filled[name] = shortened(value);
  }
  const { key, need, through } = facts;
  filled.blank = typeof key === 'string' && key.includes(' ') ? 'yes' : 'no';
  filled.twice = need !== undefined && need === through ? 'yes' : 'no';
  return filled;
}

/** A finding in words. A code that has no words (from another stage) is shown as it is, with its facts. */
export function diagnosticText(diagnostic: Diagnostic, language: Language = ENGLISH): DiagnosticText {
  const { code, facts } = diagnostic;
  if (!Object.hasOwn(language.findings.product, code))
    return { message: `${code} ${JSON.stringify(facts)}`, mend: '' };
  const words = language.findings.product[code as Code];
  const filled = factsOf(facts);
  return { message: words.message(filled), mend: words.mend(filled) };
}

/** Longest piece of a source line that is shown; longer ones are cut around the caret. */
const SHOWN_COLUMNS = 100;

/**
 * A finding as lines of text: `file:line:column: severity code`, the message, the source line with a caret
 * under the column, and how to mend it. Tabs are shown as single spaces so that the caret stands right.
 */
export function formatDiagnostic(diagnostic: Diagnostic, language: Language = ENGLISH): string {
  const { message, mend } = diagnosticText(diagnostic, language);
  const { place } = diagnostic;
  const head = `${diagnostic.severity} ${diagnostic.code}`;
  const hint = mend === '' ? [] : [`  ${language.findings.other.mend({ mend })}`];
  if (!place) return [`${head}: ${message}`, ...hint].join('\n');
  const shift = Math.max(0, place.column - SHOWN_COLUMNS + 20);
  // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters must not reach a terminal
  const plain = place.sourceLine.replace(/[\u0000-\u001f\u007f-\u009f]/g, ' ');
  const line = plain.slice(shift, shift + SHOWN_COLUMNS);
  const caret = `${' '.repeat(Math.max(0, Math.min(place.column - 1, plain.length) - shift))}^`;
  const shown = line.trim() === '' ? [] : [`  ${line}`, `  ${caret}`];
  return [`${place.file}:${place.line}:${place.column}: ${head}: ${message}`, ...shown, ...hint].join('\n');
}
