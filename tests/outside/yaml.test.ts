/**
 * YAML text against what YAML 1.2 says of it, and hostile documents.
 *
 * Sources: behaviour of ruamel.yaml 0.19 (YAML 1.2) on the same texts; date and underscore forms by the core
 * schema of the YAML 1.2.2 specification, chapter 10.3; X4QW and 2JQS of the YAML test suite.
 */
import { describe, expect, it } from 'vitest';
import { LIMITS } from '../../electron/core/product/limits.ts';
import { parseYamlDocument } from '../../electron/core/product/yaml-document.ts';

function parsed(text: string): { value: unknown; codes: readonly string[] } {
  const { value, diagnostics } = parseYamlDocument(text, 'a.yaml');
  return { value: JSON.parse(JSON.stringify(value ?? null)), codes: diagnostics.map((each) => each.code) };
}

describe('values of YAML 1.2', () => {
  it.each([
    ['a: no', 'no'],
    ['a: NO', 'NO'],
    ['a: off', 'off'],
    ['a: yes', 'yes'],
    ['a: 012', 12],
    ['a: 0o14', 12],
    ['a: 08', 8],
    ['a: 22:22', '22:22'],
    ['a: 3:30', '3:30'],
    ['a: 1e3', 1000],
    ['a: 1.10', 1.1],
    ['a: "1.10"', '1.10'],
    ['a: 1,000', '1,000'],
    ['a: 1_000', '1_000'],
    ['a: 2026-01-05', '2026-01-05'],
    ['a: ~', null],
    ['a: null', null],
    ['a:', null],
    ['a: true', true],
    ['a: M3x8 #pan', 'M3x8'],
    ['a: M3x8#pan', 'M3x8#pan'],
    ['a:\tb', 'b'],
  ])('%s', (text, expected) => {
    expect(parsed(text)).toEqual({ value: { a: expected }, codes: [] });
  });

  it('reads no infinite number as a number of the format', () => {
    expect(parseYamlDocument('a: .inf\nb: .nan', 'a').value).toEqual({
      a: Number.POSITIVE_INFINITY,
      b: Number.NaN,
    });
  });
});

describe('errors, with the line', () => {
  it.each([
    ['a: @x', 1],
    ['a: `x`', 1],
    ['a: %x', 1],
    ['a: - b', 1],
    ['a: b: c', 1],
    ['a:\n\tb: c', 2],
    ['x: 1\na: [1,2', 2],
    ['- a\nb: c', 2],
    ['a: "\\q"', 1],
    ["a: 'x", 1],
    ['a: >#comment\n  x', 1], // X4QW
    ['a: {b: 1', 1],
    ['%YAML 3.0\n---\na: !!bin', 1],
  ])('%j in line %i', (text, line) => {
    const { value, diagnostics } = parseYamlDocument(text, 'a.yaml');
    expect(value).toBeUndefined();
    expect(diagnostics[0]).toMatchObject({ severity: 'error', place: { line } });
  });

  it.each([
    ['a: 1\na: 2', 'yaml/duplicate-key'],
    ['{a: 1, "a": 2}', 'yaml/duplicate-key'],
    [': a\n: b', 'yaml/key-not-text'], // 2JQS
    ['? [a]\n: b', 'yaml/key-not-text'],
    ['1: b', 'yaml/key-not-text'],
    ['true: b', 'yaml/key-not-text'],
    ['a: *x', 'yaml/unknown-alias'],
    ['a: 1\n---\nb: 2', 'yaml/several-documents'],
    ['a: 1\n...\nb: 2', 'yaml/several-documents'],
    ['<<: {a: 1}', 'yaml/merge-key'],
    ['b: &b {x: 1}\na: {<<: *b}', 'yaml/merge-key'],
    ['__proto__: {x: 1}', 'yaml/dangerous-key'],
    ['a: {constructor: {prototype: {x: 1}}}', 'yaml/dangerous-key'],
    ['a: !!js/function "x"', 'yaml/tag'],
    ['a: !x 1', 'yaml/tag'],
    ['a: !!binary aGk=', 'yaml/tag'],
    ['a: !!set {x}', 'yaml/tag'],
    ['a: !!omap [x: 1]', 'yaml/tag'],
    ['a: !thing {x: 1}', 'yaml/tag'],
  ])('%j', (text, code) => {
    expect(parsed(text).codes).toContain(code);
  });
});

describe('hostile documents end at a limit, at once', () => {
  const laughs = (levels: number, width: number) => {
    const lines = ['a0: &a0 x'];
    for (let i = 1; i <= levels; i++)
      lines.push(`a${i}: &a${i} [${Array.from({ length: width }, () => `*a${i - 1}`).join(', ')}]`);
    return lines.join('\n');
  };

  it.each([
    ['nine levels of nine aliases (387,420,489 leaves)', laughs(9, 9), 'yaml/too-many-aliases'],
    ['an alias in itself', '&a [*a]', 'yaml/alias-of-itself'],
    ['an alias in its own mapping', '&a {b: *a}', 'yaml/alias-of-itself'],
    ['two that contain each other', 'a: &a [&b [*a, *b]]', 'yaml/alias-of-itself'],
    ['open brackets', '['.repeat(100_000), 'yaml/too-deep'],
    ['open braces', '{a: '.repeat(100_000), 'yaml/too-deep'],
    ['dashes in a line', '- '.repeat(100_000), 'yaml/too-deep'],
    ['question marks in a line', '? '.repeat(100_000), 'yaml/too-deep'],
    [
      'indentation, line by line',
      Array.from({ length: 400 }, (_, i) => `${' '.repeat(i)}a:`).join('\n'),
      'yaml/too-deep',
    ],
    ['a file of one text', 'x'.repeat(LIMITS.fileCharacters + 1), 'yaml/too-large'],
  ])('%s', (_what, text, code) => {
    expect(parsed(text).codes).toContain(code);
  });

  it.each([
    ['a hundred thousand keys', Array.from({ length: 100_000 }, (_, i) => `k${i}: 1`).join('\n')],
    ['a hundred thousand quotes', `a: '${"''".repeat(100_000)}'`],
    ['a long line of dashes', `# ${'-'.repeat(100_000)}\na: 1`],
    ['a line of dashes as text', `a: x\nb: ${'-'.repeat(1000)}`],
    ['a hundred thousand spaces in a text', `a: "x${' '.repeat(100_000)}y"`],
    ['a hundred thousand comments', '# x\n'.repeat(100_000)],
  ])('%s is only large', (_what, text) => {
    expect(parsed(text).codes).toEqual([]);
  });

  it('leaves the prototype of objects alone', () => {
    parsed('__proto__: {polluted: yes}\nconstructor: {prototype: {polluted: yes}}');
    expect(({} as Record<string, unknown>).polluted).toBeUndefined();
    expect(Object.getPrototypeOf(parseYamlDocument('a: 1', 'a').value)).toBeNull();
  });
});
