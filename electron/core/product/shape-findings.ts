/**
 * zod's issues as findings with place, and what can still be checked when some are there: entries that
 * do not fit are left out, so that one misspelt key does not hide what else is wrong with the file.
 */
import { z } from 'zod';
import type { Diagnostic } from '../base/diagnostic.ts';
import { limitedSuggestions } from './closest-word.ts';
import { readerFileSchema, readerStep, schemaOfStep, stepKinds } from './schema.ts';
import type { Path, YamlDocument } from './yaml-document.ts';

type Issue = z.core.$ZodIssue;
type Facts = Diagnostic['facts'];
type Suggest = ReturnType<typeof limitedSuggestions>;

/** All findings of one schema run, in the order of the file's structure. */
export function shapeFindings(issues: readonly Issue[], document: YamlDocument): Diagnostic[] {
  const closestWord = limitedSuggestions();
  return issues.flatMap((issue) => findingsOf(issue, document, closestWord));
}

function findingsOf(issue: Issue, document: YamlDocument, closestWord: Suggest): Diagnostic[] {
  const path = issue.path.map((each) => (typeof each === 'symbol' ? String(each) : each));
  const value = valueAt(document.value, path);
  const where = placeName(path);
  const finding = (code: string, facts: Facts, at = document.placeOf(path)): Diagnostic[] => [
    { code, severity: 'error', facts: { where, ...facts }, place: at },
  ];
  switch (issue.code) {
    case 'unrecognized_keys':
      return issue.keys.flatMap((key) => {
        const allowed = allowedKeys(path, document.value);
        const suggestion = closestWord(key, allowed);
        const facts = { key: clip(key), allowed, ...(suggestion === undefined ? {} : { suggestion }) };
        return finding('product/unknown-key', facts, document.placeOfKey([...path, key]));
      });
    case 'invalid_type':
      if (value === undefined) return finding(...missing(path, document.value));
      return finding('product/wrong-type', {
        expected: issue.expected,
        found: typeName(value),
        value: clip(value),
      });
    case 'invalid_value':
      if (value === undefined) return finding(...missing(path, document.value));
      return finding('product/not-allowed', notAllowed(value, issue.values.map(String), closestWord));
    case 'too_small':
      return finding(...tooSmall(issue.origin, Number(issue.minimum), issue.inclusive !== false, value));
    case 'too_big':
      return finding(...tooBig(issue.origin, Number(issue.maximum), value));
    case 'custom':
      return customFinding(issue, path, finding, closestWord);
    default:
      return finding('product/wrong-value', { detail: issue.code, value: clip(value) });
  }
}

function customFinding(
  issue: Issue & { params?: Record<string, unknown> | undefined },
  path: Path,
  finding: (code: string, facts: Facts) => Diagnostic[],
  closestWord: Suggest,
): Diagnostic[] {
  const params = issue.params ?? {};
  const code = typeof params.code === 'string' ? params.code : 'product/wrong-value';
  const facts = (params.facts ?? {}) as Facts;
  if (code === 'product/unknown-action') {
    const suggestion = closestWord(String(facts.value), stepKinds);
    return finding(code, {
      ...facts,
      allowed: stepKinds,
      ...(suggestion === undefined ? {} : { suggestion }),
    });
  }
  return finding(code, { key: String(path.at(-1) ?? ''), ...facts });
}

/** A missing key; a missing count of fasteners has its own code, because it is how screws get lost. */
function missing(path: Path, root: unknown): [string, Facts] {
  const key = String(path.at(-1) ?? '');
  if (path.length === 0) return ['product/empty', {}];
  const owner = valueAt(root, path.slice(0, -1));
  const step = isRecord(owner) && typeof owner.id === 'string' ? owner.id : '';
  if (key === 'count')
    return [
      'product/missing-count',
      { step, action: isRecord(owner) && typeof owner.do === 'string' ? owner.do : '' },
    ];
  if (key === 'stepcaller') return ['product/no-format', {}];
  return ['product/missing-key', { key, of: step || placeName(path.slice(0, -1)) }];
}

function notAllowed(value: unknown, allowed: string[], closestWord: Suggest): Facts {
  const suggestion = typeof value === 'string' ? closestWord(value, allowed) : undefined;
  return { value: clip(value), allowed, ...(suggestion === undefined ? {} : { suggestion }) };
}

function tooSmall(origin: string, minimum: number, inclusive: boolean, value: unknown): [string, Facts] {
  if (origin === 'string') return ['text/blank', {}];
  if (origin === 'array') return ['product/too-few', { minimum }];
  return ['product/number-too-small', { value: clip(value), minimum, inclusive }];
}

function tooBig(origin: string, maximum: number, value: unknown): [string, Facts] {
  if (origin === 'string') return ['product/too-long', { limit: maximum, characters: String(value).length }];
  if (origin === 'array') return ['product/too-many', { limit: maximum }];
  return ['product/number-too-large', { value: clip(value), maximum }];
}

/** The keys allowed in the mapping at a path, by walking the schema. */
function allowedKeys(path: Path, root: unknown): string[] {
  let schema: unknown = readerFileSchema;
  for (const [index, element] of path.entries()) {
    schema = unwrapped(schema, valueAt(root, path.slice(0, index)));
    if (schema instanceof z.ZodArray) schema = schema.element;
    else if (schema instanceof z.ZodObject) schema = schema.shape[String(element)];
  }
  const last = unwrapped(schema, valueAt(root, path));
  return last instanceof z.ZodObject ? Object.keys(last.shape) : [];
}

function unwrapped(schema: unknown, value: unknown): unknown {
  if (schema === readerStep) {
    const chosen = schemaOfStep(value);
    return 'schema' in chosen ? chosen.schema : undefined;
  }
  return schema instanceof z.ZodOptional ? unwrapped(schema.unwrap(), value) : schema;
}

/** What is left of a file when the entries that do not fit are left out. */
export interface Remainder {
  readonly value: unknown;
  /** Path in the file of a path in `value`: list indices move when entries are left out. */
  pathInFile(path: Path): Path;
}

/**
 * A copy of the raw value without the entries (or unknown keys) that do not fit, so that the rest can
 * still be checked. The copy may fail the schema again; then there is nothing more to say.
 */
export function withoutUnfit(root: unknown, issues: readonly Issue[]): Remainder {
  const copy: unknown = structuredCopy(root);
  for (const issue of issues) {
    const path = issue.path.map((each) => (typeof each === 'symbol' ? String(each) : each));
    if (issue.code === 'unrecognized_keys') {
      const owner = valueAt(copy, path);
      if (isRecord(owner)) for (const key of issue.keys) delete owner[key];
      continue;
    }
    const depth = lastListIndex(path);
    const list = depth < 0 ? undefined : valueAt(copy, path.slice(0, depth));
    if (Array.isArray(list)) list[Number(path[depth])] = undefined;
  }
  const kept = new Map<string, readonly number[]>();
  const value = withoutHoles(copy, [], kept);
  return { value, pathInFile: (path) => pathInFile(path, kept) };
}

function pathInFile(path: Path, kept: ReadonlyMap<string, readonly number[]>): Path {
  const original: (string | number)[] = [];
  for (const element of path) {
    const indices = typeof element === 'number' ? kept.get(JSON.stringify(original)) : undefined;
    original.push(indices && typeof element === 'number' ? (indices[element] ?? element) : element);
  }
  return original;
}

/** Index in the path of the innermost list whose entries are things with an id of their own. */
function lastListIndex(path: Path): number {
  for (let i = path.length - 1; i > 0; i--) {
    if (
      typeof path[i] === 'number' &&
      !['answers', 'passes', 'torque_range_nm', 'marks'].includes(String(path[i - 1]))
    )
      return i;
  }
  return -1;
}

function structuredCopy(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(structuredCopy);
  if (!isRecord(value)) return value;
  const result: Record<string, unknown> = Object.create(null);
  for (const [key, each] of Object.entries(value)) result[key] = structuredCopy(each);
  return result;
}

function withoutHoles(value: unknown, path: Path, kept: Map<string, readonly number[]>): unknown {
  if (Array.isArray(value)) {
    const indices = [...value.keys()].filter((index) => value[index] !== undefined);
    if (indices.length < value.length) kept.set(JSON.stringify(path), indices);
    return indices.map((index) => withoutHoles(value[index], [...path, index], kept));
  }
  if (!isRecord(value)) return value;
  for (const [key, each] of Object.entries(value)) value[key] = withoutHoles(each, [...path, key], kept);
  return value;
}

/** The value at a path of plain lists and mappings; undefined where the path does not exist. */
export function valueAt(root: unknown, path: Path): unknown {
  let value = root;
  for (const element of path) {
    if (Array.isArray(value) && typeof element === 'number') value = value[element];
    else if (isRecord(value)) value = value[String(element)];
    else return undefined;
  }
  return value;
}

export function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function typeName(value: unknown): string {
  if (value === null) return 'nothing';
  if (Array.isArray(value)) return 'list';
  return isRecord(value) ? 'mapping' : typeof value;
}

function clip(value: unknown): string {
  const written = typeof value === 'string' ? value : (JSON.stringify(value) ?? 'nothing');
  return written.length > 60 ? `${written.slice(0, 57)}...` : written;
}

/** "parts[3].steps[0].count" */
function placeName(path: Path): string {
  return path.reduce<string>((sum, each) => {
    if (typeof each === 'number') return `${sum}[${each + 1}]`;
    return sum === '' ? each : `${sum}.${each}`;
  }, '');
}
