/**
 * No regular expression of the program hangs on a text made to hang it (ReDoS). Every literal of the sources
 * is tried on long runs of what it repeats, followed by what it does not end with; one that needs more than
 * seconds on 4,000 characters grows faster than the square. The limit on time is that of the engine, not a
 * measurement: a run in it takes milliseconds.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { runInNewContext } from 'node:vm';
import ts from 'typescript';
import { describe, expect, it } from 'vitest';

const ROOT = join(import.meta.dirname, '../..');
const LENGTH = 4_000;
const HANG_MS = 2_000;

interface Found {
  readonly at: string;
  readonly source: string;
  readonly flags: string;
}

function sourcesOf(folder: string): readonly string[] {
  return readdirSync(join(ROOT, folder), { recursive: true })
    .map((name) => join(folder, String(name)))
    .filter((name) => /\.tsx?$/.test(name));
}

function expressionsOf(file: string): readonly Found[] {
  const source = ts.createSourceFile(file, readFileSync(join(ROOT, file), 'utf8'), ts.ScriptTarget.Latest);
  const found: Found[] = [];
  const visit = (node: ts.Node): void => {
    if (ts.isRegularExpressionLiteral(node)) {
      const end = node.text.lastIndexOf('/');
      const { line } = source.getLineAndCharacterOfPosition(node.getStart(source));
      found.push({
        at: `${file}:${line + 1}`,
        source: node.text.slice(1, end),
        flags: node.text.slice(end + 1),
      });
    }
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}

/** What an expression may repeat: its own letters, one of each class it names, and pairs of the first few. */
function pumpsOf(source: string): readonly string[] {
  const own = new Set(source.replace(/\\[a-zA-Z]/g, '').match(/[^\\^$.|?*+()[\]{}]/g) ?? []);
  for (const [mark, one] of [
    ['\\d', '1'],
    ['0-9', '1'],
    ['\\s', ' '],
    ['\\w', 'a'],
    ['a-z', 'a'],
    ['A-Z', 'A'],
    ['.', 'a'],
    ['[^', '!'],
  ] as const) {
    if (source.includes(mark)) own.add(one);
  }
  const singles = [...own].slice(0, 12);
  const pairs = singles.slice(0, 4).flatMap((one) => singles.slice(0, 4).map((other) => one + other));
  return [...new Set([...singles, ...pairs])];
}

/** The text on which the expression does not come to an end in time, or undefined. */
function hangsOn({ source, flags }: Pick<Found, 'source' | 'flags'>): string | undefined {
  const texts = pumpsOf(source).flatMap((pump) => {
    const run = pump.repeat(Math.ceil(LENGTH / pump.length));
    return [`${run}\u0001`, `${pump}${run}\n!\u0001`, `"${run}`];
  });
  let at = 0;
  const context = {
    texts,
    regex: [source, flags],
    mark: (index: number) => {
      at = index;
    },
  };
  try {
    const code = `const one = new RegExp(regex[0], regex[1].replace(/[gy]/g, ''));
      texts.forEach((text, index) => { mark(index); one.test(text); });`;
    runInNewContext(code, context, { timeout: HANG_MS });
    return undefined;
  } catch (thrown) {
    if ((thrown as { code?: string }).code === 'ERR_SCRIPT_EXECUTION_TIMEOUT') return texts[at]?.slice(0, 20);
    throw thrown;
  }
}

describe('regular expressions', () => {
  const found = ['electron', 'renderer'].flatMap(sourcesOf).flatMap(expressionsOf);

  it('of the sources end on every text that was made to hang them', { timeout: 600_000 }, () => {
    expect(found.length).toBeGreaterThan(100);
    const hanging = found.flatMap((one) => {
      const text = hangsOn(one);
      return text === undefined ? [] : [`${one.at} /${one.source}/ on ${JSON.stringify(text)}…`];
    });
    expect(hanging).toEqual([]);
  });

  it.each([
    ['^(a+)+$', ''],
    ['^([a-z]|\\w)*$', ''],
    ['^(\\s*\\w*)*!$', 'u'],
    ['(x+x+)+y', ''],
  ])('and one that hangs is noticed: /%s/%s', { timeout: 60_000 }, (source, flags) => {
    expect(hangsOn({ source, flags })).toBeDefined();
  });
});
