/**
 * YAML text to plain values with the place of every value. YAML 1.2 core schema: `no` and `off` are
 * texts, `012` is twelve, `22:22` is a text. Refused with a code each: more than one document, custom
 * tags, merge keys, keys that are not texts, keys that JavaScript treats specially, a key twice, too
 * many aliases, too deep nesting. Never throws for any text.
 */
import {
  type Document,
  isAlias,
  isCollection,
  isMap,
  isScalar,
  isSeq,
  type Node,
  type Pair,
  parseDocument,
  visit,
  type YAMLMap,
} from 'yaml';
import type { Diagnostic, Place } from '../base/diagnostic.ts';
import { LIMITS } from './limits.ts';
import { SourceText } from './source-text.ts';

export type Path = readonly (string | number)[];

export interface YamlDocument {
  /** Plain value: null-prototype objects, arrays, strings, numbers, booleans, null. */
  readonly value: unknown;
  readonly diagnostics: readonly Diagnostic[];
  /** Place of the value at a path; of the nearest enclosing value where the path does not exist. */
  placeOf(path: Path): Place;
  /** Place of the key at a path (the last element is the key). */
  placeOfKey(path: Path): Place;
}

/** Tags of the core schema; an author may write them, they mean what the plain form means. */
const PLAIN_TAGS = new Set(
  ['map', 'seq', 'str', 'int', 'float', 'bool', 'null'].map((name) => `tag:yaml.org,2002:${name}`),
);
const SYNTAX_CODES: Readonly<Record<string, string>> = {
  MULTIPLE_DOCS: 'yaml/several-documents',
  TAG_RESOLVE_FAILED: 'yaml/tag',
};
const DANGEROUS_KEYS = new Set(['__proto__', 'constructor', 'prototype']);

/** Parses one YAML document. Any text is answered: with a value, with findings, or with both. */
export function parseYamlDocument(text: string, file: string): YamlDocument {
  const early = tooBigOrTooDeep(text, file);
  if (early) return withoutValue(new SourceText(text.slice(0, LIMITS.fileCharacters), file), [early]);
  const source = new SourceText(text, file);
  let document: Document.Parsed;
  try {
    document = parseDocument(text, {
      version: '1.2',
      schema: 'core',
      merge: false,
      uniqueKeys: false, // done below in linear time; the library compares every pair of keys
      prettyErrors: false,
      logLevel: 'error', // 'silent' would also keep quiet about a second document
      strict: true,
      stringKeys: false,
    });
  } catch (error) {
    // The library's composer is recursive; the scan above makes running out of stack unlikely, not impossible.
    const detail = error instanceof Error ? error.name : 'unknown';
    return withoutValue(source, [
      {
        code: 'yaml/too-deep',
        severity: 'error',
        facts: { limit: LIMITS.nestingDepth, detail },
        place: source.place(0),
      },
    ]);
  }
  const diagnostics: Diagnostic[] = [];
  for (const issue of [...document.errors, ...document.warnings]) {
    diagnostics.push({
      code: SYNTAX_CODES[issue.code] ?? 'yaml/not-yaml',
      severity: 'error',
      facts: {
        kind: issue.code,
        detail: firstLine(issue.message),
        tag: source.text.slice(issue.pos[0], Math.min(issue.pos[1], issue.pos[0] + 60)),
      },
      place: source.place(openedAt(document, issue.code, issue.pos[0])),
    });
  }
  if (diagnostics.length > 0) return withoutValue(source, diagnostics);
  const converter = new Converter(document, source);
  const value = document.contents === null ? null : converter.value(document.contents, 0);
  if (converter.stopped) return withoutValue(source, converter.diagnostics);
  return {
    value,
    diagnostics: converter.diagnostics,
    placeOf: (path) => source.place(converter.offsetOf(path, false)),
    placeOfKey: (path) => source.place(converter.offsetOf(path, true)),
  };
}

/**
 * Where a quote or bracket that is never closed was opened: the parser notices at the end of the file,
 * the author has to look at the beginning. Other findings stay where they are.
 */
function openedAt(document: Document.Parsed, code: string, offset: number): number {
  if (code !== 'MISSING_CHAR' && code !== 'BAD_INDENT') return offset;
  let opened = offset;
  visit(document, {
    Node: (_key, node) => {
      const range = node.range;
      const delimited =
        (isScalar(node) && String(node.type).startsWith('QUOTE')) || (isCollection(node) && node.flow);
      if (delimited && range && range[0] < offset && offset <= range[2]) opened = range[0];
    },
  });
  return opened;
}

function withoutValue(source: SourceText, diagnostics: readonly Diagnostic[]): YamlDocument {
  const start = source.place(0);
  return { value: undefined, diagnostics, placeOf: () => start, placeOfKey: () => start };
}

function firstLine(message: string): string {
  const end = message.indexOf('\n');
  return (end < 0 ? message : message.slice(0, end)).slice(0, 200);
}

/**
 * Bounds what the recursive parser sees, before it sees it: the size, the indentation, the dashes on one
 * line and the open brackets. Brackets in texts count too; two dozen open ones occur in no honest file.
 */
function tooBigOrTooDeep(text: string, file: string): Diagnostic | undefined {
  if (text.length > LIMITS.fileCharacters) {
    const place: Place = { file, line: 1, column: 1, offset: 0, sourceLine: '' };
    const facts = { characters: text.length, limit: LIMITS.fileCharacters };
    return { code: 'yaml/too-large', severity: 'error', facts, place };
  }
  let brackets = 0;
  let indent = 0;
  let indicators = 0;
  let leading = true;
  for (let i = 0; i < text.length; i++) {
    const c = text.charCodeAt(i);
    if (c === 10 || c === 13) {
      indent = 0;
      indicators = 0;
      leading = true;
    } else if (c === 91 || c === 123) brackets++;
    else if (c === 93 || c === 125) brackets = Math.max(0, brackets - 1);
    if (leading && (c === 32 || c === 9)) indent++;
    else if (leading && (c === 45 || c === 63 || c === 58)) indicators++;
    else if (c !== 10 && c !== 13) leading = false;
    if (
      brackets > LIMITS.nestingDepth ||
      indicators > LIMITS.nestingDepth * 4 ||
      indent > LIMITS.indentation
    ) {
      if (indicators > LIMITS.nestingDepth * 4 && isRule(text, i)) continue;
      const place = new SourceText(text, file).place(i);
      return {
        code: 'yaml/too-deep',
        severity: 'error',
        facts: { limit: LIMITS.nestingDepth, detail: 'scan' },
        place,
      };
    }
  }
  return undefined;
}

/** A long line of dashes without spaces nests nothing. */
function isRule(text: string, offset: number): boolean {
  return text[offset - 1] === text[offset] && text[offset - 2] === text[offset];
}

class Converter {
  readonly diagnostics: Diagnostic[] = [];
  readonly #document: Document.Parsed;
  readonly #source: SourceText;
  readonly #open = new Set<Node>();
  readonly #pairs = new Map<YAMLMap, ReadonlyMap<unknown, Pair>>();
  #aliases = 0;
  #nodes = 0;
  /** A limit was reached; what was made so far says nothing about the file. */
  stopped = false;

  constructor(document: Document.Parsed, source: SourceText) {
    this.#document = document;
    this.#source = source;
  }

  value(node: unknown, depth: number): unknown {
    if (this.stopped || !node) return null;
    if (++this.#nodes > LIMITS.nodes) return this.#stop('yaml/too-many-nodes', { limit: LIMITS.nodes }, node);
    if (depth > LIMITS.nestingDepth) {
      return this.#stop('yaml/too-deep', { limit: LIMITS.nestingDepth, detail: 'nodes' }, node);
    }
    if (isAlias(node)) return this.#alias(node, depth);
    const tag = tagOf(node);
    if (tag !== undefined && !PLAIN_TAGS.has(tag)) return this.#report('yaml/tag', { tag }, node);
    if (isScalar(node)) return this.#scalar(node);
    if (isSeq(node)) {
      this.#open.add(node);
      const items = node.items.map((item) => this.value(item, depth + 1));
      this.#open.delete(node);
      return items;
    }
    if (isMap(node)) return this.#map(node, depth);
    return null;
  }

  #alias(node: Node & { source: string }, depth: number): unknown {
    if (++this.#aliases > LIMITS.aliases) {
      return this.#stop('yaml/too-many-aliases', { limit: LIMITS.aliases }, node);
    }
    const target = this.#resolve(node);
    if (!target) return this.#report('yaml/unknown-alias', { name: node.source }, node);
    if (this.#open.has(target)) return this.#stop('yaml/alias-of-itself', { name: node.source }, node);
    return this.value(target, depth);
  }

  #resolve(node: unknown): Node | undefined {
    return isAlias(node) ? node.resolve(this.#document) : undefined;
  }

  #scalar(node: Node & { value: unknown; tag?: string }): unknown {
    const value = node.value;
    if (value === null || ['string', 'number', 'boolean'].includes(typeof value)) return value;
    return this.#report('yaml/tag', { tag: node.tag ?? typeof value }, node);
  }

  #map(node: YAMLMap, depth: number): unknown {
    this.#open.add(node);
    const result: Record<string, unknown> = Object.create(null);
    const seen = new Map<string, number>();
    for (const pair of node.items) {
      const keyNode = pair.key;
      const offset = startOf(keyNode) ?? startOf(node) ?? 0;
      const key = isScalar(keyNode) ? keyNode.value : undefined;
      if (typeof key !== 'string') {
        this.#reportAt('yaml/key-not-text', { key: String(key ?? 'structure') }, offset);
      } else if (key === '<<') {
        this.#reportAt('yaml/merge-key', { key }, offset);
      } else if (DANGEROUS_KEYS.has(key)) {
        this.#reportAt('yaml/dangerous-key', { key }, offset);
      } else if (seen.has(key)) {
        const first = this.#source.place(seen.get(key) ?? 0);
        const facts = { key, first_line: first.line, first_column: first.column };
        this.#reportAt('yaml/duplicate-key', facts, offset);
      } else {
        seen.set(key, offset);
        result[key] = this.value(pair.value, depth + 1);
      }
      if (this.stopped) break;
    }
    this.#open.delete(node);
    return result;
  }

  #reportAt(code: string, facts: Diagnostic['facts'], offset: number): null {
    this.diagnostics.push({ code, severity: 'error', facts, place: this.#source.place(offset) });
    return null;
  }

  #report(code: string, facts: Diagnostic['facts'], node: unknown): null {
    return this.#reportAt(code, facts, startOf(node) ?? 0);
  }

  #stop(code: string, facts: Diagnostic['facts'], node: unknown): null {
    this.stopped = true;
    return this.#report(code, facts, node);
  }

  /** Offset of the value (or of the key) at a path, as far as the path exists. */
  offsetOf(path: Path, ofKey: boolean): number {
    let node: unknown = this.#document.contents;
    let offset = startOf(node) ?? 0;
    for (const [index, element] of path.entries()) {
      if (isAlias(node)) node = this.#resolve(node);
      const pair = isMap(node) ? this.#pairsOf(node).get(element) : undefined;
      const next = pair
        ? pair.value
        : isSeq(node) && typeof element === 'number'
          ? node.items[element]
          : undefined;
      if (pair && ofKey && index === path.length - 1) return startOf(pair.key) ?? offset;
      if (!pair && next === undefined) return offset;
      offset = startOf(next) ?? startOf(pair?.key) ?? offset;
      node = next;
    }
    return offset;
  }

  /** Pairs of a mapping by key, the first of each; made once, because there can be a finding for every key. */
  #pairsOf(map: YAMLMap): ReadonlyMap<unknown, Pair> {
    const known = this.#pairs.get(map);
    if (known) return known;
    const pairs = new Map<unknown, Pair>();
    for (const pair of map.items) {
      const key: unknown = isScalar(pair.key) ? pair.key.value : undefined;
      if (!pairs.has(key)) pairs.set(key, pair);
    }
    this.#pairs.set(map, pairs);
    return pairs;
  }
}

function tagOf(node: unknown): string | undefined {
  return isScalar(node) || isCollection(node) ? node.tag : undefined;
}

function startOf(node: unknown): number | undefined {
  if (typeof node !== 'object' || node === null || !('range' in node)) return undefined;
  const range = (node as { range?: readonly number[] | null }).range;
  return range?.[0];
}
