/**
 * Checks the files of a language against the English ones and makes a complete table of them. What is missing
 * or cannot be used is told with file and key, and English stands in for it: a technician meets an English
 * sentence rather than none. Only a language whose `language.json` cannot be used is refused.
 */
import { z } from 'zod';
import type { Diagnostic } from './diagnostic.ts';
import { ENGLISH_TABLE, type LanguageFile, type LanguageTable } from './language-table.ts';
import { placesOf } from './message.ts';
import { err, ok, type Result } from './result.ts';

/** More findings than this are not listed. */
export const MAX_LANGUAGE_FINDINGS = 200;

/** Places that may stand in any pattern beside those of the English one; they are filled where they make sense. */
const ALWAYS_ALLOWED: ReadonlySet<string> = new Set(['n', 'count', 'counted', 'number']);

const text = z.string().max(2000);
const list = z.array(text).max(500);
const texts = z.record(text, text);

const languageSchema = z.strictObject({
  tag: z.string().regex(/^[A-Za-z]{2,8}(-[A-Za-z0-9]{1,8})*$/),
  name: text.min(1),
  direction: z.enum(['ltr', 'rtl']),
  model: z
    .string()
    .regex(/^[a-z0-9-]{1,40}$/)
    .optional(),
});

/** The files whose parts belong together: where one does not fit, the whole file is taken from English. */
const SHAPES: { readonly [F in LanguageFile]?: z.ZodType } = {
  numbers: z.strictObject({
    ones: list.length(20),
    tens: list.length(8),
    'below-hundred': text,
    hundreds: text,
    thousands: text,
    irregular: z.record(z.string().regex(/^\d{1,6}$/), text),
    decimal: text,
    minus: text,
    'largest-count-in-words': z.number().int().min(0).max(999),
    ordinals: list,
    'ordinal-beyond': text,
    letters: texts.refine((letters) => 'ABCDEFGHIJKLMNOPQRSTUVWXYZ'.split('').every((one) => letters[one])),
    signs: texts,
  }),
  grammar: z.strictObject({
    articles: list,
    determiners: list,
    prepositions: list,
    'plural-words': texts,
    plurals: z.array(
      z.strictObject({
        ends: list,
        'but-not': list.optional(),
        cut: z.number().int().min(0).max(20).optional(),
        add: text,
      }),
    ),
    'after-head': list,
    'plural-endings': list,
    'not-plural-endings': list,
    'verb-particles': list,
    'after-object': list,
  }),
  phrases: z.strictObject({
    phrases: z.record(z.enum(Object.keys(ENGLISH_TABLE.phrases.phrases) as [string]), list.min(1)),
    decoys: z.record(text, list),
    not: text,
    'attention-word': text,
    units: texts,
    'unheard-units': list.optional(),
    'other-words': texts.optional(),
  }),
};

type Found = Diagnostic[];

function found(code: string, facts: Diagnostic['facts']): Diagnostic {
  return { code: `language/${code}`, severity: 'warning', facts };
}

function isTexts(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** One text: itself where it can be used, else the English one. */
function checkedText(english: string, given: unknown, at: { file: string; key: string }, all: Found): string {
  if (given === undefined) {
    all.push(found('missing', at));
    return english;
  }
  if (typeof given !== 'string' || (given.trim() === '' && english.trim() !== '')) {
    all.push(found('not-a-text', at));
    return english;
  }
  const places = placesOf(given);
  if (!places.ok) {
    all.push(found('bad-pattern', { ...at, detail: places.error }));
    return english;
  }
  const wanted = placesOf(english);
  const known = new Set(wanted.ok ? wanted.value : []);
  const unknown = places.value.filter((name) => !known.has(name) && !ALWAYS_ALLOWED.has(name));
  if (unknown.length > 0) {
    all.push(found('unknown-place', { ...at, places: unknown, known: [...known] }));
    return english;
  }
  const left = [...known].filter((name) => !places.value.includes(name) && !ALWAYS_ALLOWED.has(name));
  if (left.length > 0) all.push(found('place-left-out', { ...at, places: left }));
  return given;
}

/** A table like the English one: every key of it, each with a text that can be used. */
function checkedTexts(english: unknown, given: unknown, file: string, path: string, all: Found): unknown {
  const at = { file, key: path };
  if (typeof english === 'string') return checkedText(english, given, at, all);
  if (Array.isArray(english)) {
    if (Array.isArray(given) && given.every((one) => typeof one === 'string')) return given;
    all.push(found(given === undefined ? 'missing' : 'not-a-list', at));
    return english;
  }
  if (!isTexts(english)) return english;
  if (!isTexts(given)) {
    // One finding for the whole of it, not one for each text in it.
    all.push(found(given === undefined ? 'missing' : 'not-a-table', at));
    return english;
  }
  const table = given;
  const below = (key: string): string => (path === '' ? key : `${path} › ${key}`);
  for (const key of Object.keys(table))
    if (!Object.hasOwn(english, key)) all.push(found('unknown-key', { file, key: below(key) }));
  return Object.fromEntries(
    Object.entries(english).map(([key, one]) => [
      key,
      checkedTexts(one, Object.hasOwn(table, key) ? table[key] : undefined, file, below(key), all),
    ]),
  );
}

function checkedShape(file: LanguageFile, schema: z.ZodType, given: unknown, all: Found): unknown {
  const parsed = schema.safeParse(given);
  if (parsed.success) return parsed.data;
  const issue = parsed.error.issues[0];
  const key = issue?.path.map(String).join(' › ') ?? '';
  all.push(found('wrong-shape', { file: `${file}.json`, key, detail: issue?.message ?? '' }));
  return ENGLISH_TABLE[file];
}

/** The units that English has and a language lacks are said in English; a language may have more. */
function checkedSpoken(given: unknown, all: Found): LanguageTable['spoken'] {
  const { units, 'not-described-after-unit': words, ...signs } = ENGLISH_TABLE.spoken;
  const table = isTexts(given) ? given : {};
  const { units: ownUnits, 'not-described-after-unit': ownWords, ...ownSigns } = table;
  const file = 'spoken.json';
  const more = isTexts(ownUnits)
    ? Object.fromEntries(
        Object.entries(ownUnits).filter(
          ([unit, said]) => !Object.hasOwn(units, unit) && typeof said === 'string',
        ),
      )
    : {};
  const same = isTexts(ownUnits)
    ? Object.fromEntries(Object.entries(ownUnits).filter(([unit]) => Object.hasOwn(units, unit)))
    : ownUnits;
  return {
    ...(checkedTexts(signs, ownSigns, file, '', all) as typeof signs),
    units: { ...(checkedTexts(units, same, file, 'units', all) as typeof units), ...(more as typeof units) },
    'not-described-after-unit': checkedTexts(
      words,
      ownWords,
      file,
      'not-described-after-unit',
      all,
    ) as typeof words,
  };
}

export interface CheckedLanguage {
  readonly table: LanguageTable;
  /** What is not as it should be: codes `language/…`, facts file and key. Empty for a complete language. */
  readonly findings: readonly Diagnostic[];
}

/**
 * The language of these files (name without ending → parsed JSON; a file that is not there is missing).
 * `tag` is the name of the folder. Error: `language/not-a-language`, where `language.json` cannot be used.
 */
export function checkLanguage(
  tag: string,
  files: Readonly<Partial<Record<LanguageFile, unknown>>>,
): Result<CheckedLanguage, Diagnostic> {
  const facts = languageSchema.safeParse(files.language);
  if (!facts.success || facts.data.tag !== tag) {
    const issue = facts.success ? undefined : facts.error.issues[0];
    const detail = issue === undefined ? '' : `${issue.path.map(String).join(' › ')} ${issue.message}`.trim();
    return err({
      code: 'language/not-a-language',
      severity: 'error',
      facts: { folder: tag, tag: facts.success ? facts.data.tag : '', detail },
    });
  }
  const all: Found = [];
  const texts = <F extends LanguageFile>(file: F): LanguageTable[F] => {
    const schema = SHAPES[file];
    if (files[file] === undefined) {
      all.push(found('missing', { file: `${file}.json`, key: '' }));
      return ENGLISH_TABLE[file];
    }
    return (
      schema === undefined
        ? checkedTexts(ENGLISH_TABLE[file], files[file], `${file}.json`, '', all)
        : checkedShape(file, schema, files[file], all)
    ) as LanguageTable[F];
  };
  const table: LanguageTable = {
    language: facts.data,
    page: texts('page'),
    prompts: texts('prompts'),
    plan: texts('plan'),
    findings: texts('findings'),
    review: texts('review'),
    reports: texts('reports'),
    cli: texts('cli'),
    numbers: texts('numbers'),
    grammar: texts('grammar'),
    spoken: files.spoken === undefined ? texts('spoken') : checkedSpoken(files.spoken, all),
    phrases: texts('phrases'),
  };
  return ok({ table, findings: all.slice(0, MAX_LANGUAGE_FINDINGS) });
}
