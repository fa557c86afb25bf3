/**
 * The arrows of the design: who may import whom. The table below is the rule; the messages tell what is
 * allowed, so that whoever meets one knows where the code belongs.
 */
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import ts from 'typescript';
import { describe, expect, it } from 'vitest';

const ROOT = resolve(dirname(fileURLToPath(import.meta.url)), '../..');

/** Stages of the core in the order of the flow; each may import itself, `base`, and what stands before it. */
const STAGES = ['base', 'product', 'plan', 'job', 'log', 'review', 'export'] as const;

/** Packages the core may use: pure JavaScript, no input or output, no clock, no randomness. */
const CORE_PACKAGES: readonly RegExp[] = [
  /^yaml$/,
  /^zod(\/.*)?$/,
  /^canonicalize$/,
  /^@noble\/hashes\/.+/,
  /^simple-statistics$/,
  /^@stdlib\/stats-base-dists-.+/,
  /^csv-stringify\/(browser\/esm\/)?sync$/,
  /^xmlbuilder2$/,
  /^fflate$/,
];

/** Files of the renderer that are free of the page and may run in Node: the ear and the voice. */
const SHARED_WITH_HOST: readonly RegExp[] = [/^renderer\/ears\//, /^renderer\/mouth\/(flite|sentences)\.ts$/];

/** What a page may import of the host's side: pure core, the contract, nothing that runs in the host. */
const SHARED_WITH_PAGES: readonly RegExp[] = [/^electron\/core\//, /^electron\/ipc\/contract\.ts$/];

/** English comes with the program; other languages are read by the host and passed in. */
const ENGLISH_TABLES = 'electron/core/base/language-table.ts';

interface Import {
  readonly file: string;
  readonly line: number;
  readonly target: string;
}

function sources(folder: string): string[] {
  return readdirSync(join(ROOT, folder), { withFileTypes: true }).flatMap((entry) => {
    const path = `${folder}/${entry.name}`;
    if (entry.isDirectory()) return sources(path);
    return /\.tsx?$/.test(entry.name) && !entry.name.endsWith('.d.ts') ? [path] : [];
  });
}

/** Every module named in a file: imports, re-exports, `import()` and `import('…')` types. */
function importsOf(file: string, text: string): Import[] {
  const source = ts.createSourceFile(file, text, ts.ScriptTarget.Latest, true);
  const found: Import[] = [];
  const add = (node: ts.Expression | undefined): void => {
    if (node === undefined || !ts.isStringLiteralLike(node)) return;
    const line = source.getLineAndCharacterOfPosition(node.getStart()).line + 1;
    const target = node.text.startsWith('.')
      ? relative(ROOT, resolve(ROOT, dirname(file), node.text))
          .split(sep)
          .join('/')
      : node.text;
    found.push({ file, line, target });
  };
  const visit = (node: ts.Node): void => {
    if (ts.isImportDeclaration(node) || ts.isExportDeclaration(node)) add(node.moduleSpecifier);
    if (ts.isCallExpression(node) && node.expression.kind === ts.SyntaxKind.ImportKeyword)
      add(node.arguments[0]);
    if (ts.isImportTypeNode(node) && ts.isLiteralTypeNode(node.argument))
      add(node.argument.literal as ts.Expression);
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}

function stageOf(path: string): number {
  const name = /^electron\/core\/([^/]+)\//.exec(path)?.[1];
  return STAGES.indexOf(name as (typeof STAGES)[number]);
}

/** What is wrong with an import, in words that teach; `undefined` where it follows the arrows. */
function breachOf({ file, target }: Import): string | undefined {
  const isPackage =
    !/^(electron|renderer|tests|models|procedures|languages|package\.json)(\/|$)/.test(target) ||
    target === 'electron';
  if (file.startsWith('electron/core/')) {
    if (isPackage) {
      if (CORE_PACKAGES.some((allowed) => allowed.test(target))) return undefined;
      return `the core is pure: it may use the packages ${CORE_PACKAGES.map(String).join(', ')} and nothing else. Let the host do the work and pass the result in`;
    }
    if (file === ENGLISH_TABLES && /^languages\/en\/[a-z]+\.json$/.test(target)) return undefined;
    const from = stageOf(file);
    const to = stageOf(target);
    if (to < 0)
      return 'the core may import the core only. What it needs from outside is a parameter of its functions';
    if (to > from) {
      return `the flow goes ${STAGES.slice(1).join(' → ')}: \`${STAGES[from]}\` may import itself and ${STAGES.slice(0, from).join(', ')}. Move what both need to the earlier stage, or to base`;
    }
    return undefined;
  }
  if (file.startsWith('renderer/')) {
    if (isPackage) {
      return /^(node:|electron$|pg$|ws$|@electric-sql)/.test(target)
        ? 'pages have no system behind them: ask the host through the bridge (`electron/ipc/contract.ts`)'
        : undefined;
    }
    if (target.startsWith('renderer/') || target.startsWith('models/')) return undefined;
    if (SHARED_WITH_PAGES.some((allowed) => allowed.test(target))) return undefined;
    return 'pages may import `electron/core/` and `electron/ipc/contract.ts`; everything else of the host is asked through the bridge';
  }
  if (file.startsWith('electron/')) {
    if (target.startsWith('tests/')) return 'the program does not import its tests';
    if (target.startsWith('renderer/') && !SHARED_WITH_HOST.some((allowed) => allowed.test(target))) {
      return 'the host may use the ear (`renderer/ears/`) and the voice (`renderer/mouth/flite.ts`, `sentences.ts`), which run in Node too; pages belong to the renderer';
    }
    if (target === 'electron' && !/^electron\/(main|window|preload)\.ts$/.test(file)) {
      return 'only main.ts, window.ts and preload.ts may import Electron, so that everything else runs and is tested without it';
    }
  }
  return undefined;
}

function breaches(folder: string): string[] {
  return sources(folder).flatMap((file) =>
    importsOf(file, readFileSync(join(ROOT, file), 'utf8')).flatMap((found) => {
      const breach = breachOf(found);
      return breach === undefined ? [] : [`${file}:${found.line} imports ${found.target}: ${breach}`];
    }),
  );
}

describe('import arrows', () => {
  it('hold in the core, the host and the pages', () => {
    expect([...breaches('electron'), ...breaches('renderer')].join('\n')).toBe('');
  });

  it('know every folder of the core', () => {
    const folders = readdirSync(join(ROOT, 'electron/core')).filter((name) =>
      statSync(join(ROOT, 'electron/core', name)).isDirectory(),
    );
    expect(folders.sort()).toEqual([...STAGES].sort());
  });

  it.each([
    ['electron/core/plan/order.ts', 'electron/core/job/model.ts', 'flow goes'],
    ['electron/core/base/result.ts', 'electron/core/product/model.ts', 'flow goes'],
    ['electron/core/job/engine.ts', 'node:fs', 'pure'],
    ['electron/core/job/engine.ts', 'react', 'pure'],
    ['electron/core/job/engine.ts', 'electron/clock.ts', 'core only'],
    ['electron/core/job/prompts.ts', 'languages/en/prompts.json', 'core only'],
    ['renderer/app.tsx', 'electron/host.ts', 'bridge'],
    ['renderer/app.tsx', 'node:fs', 'bridge'],
    ['electron/host.ts', 'renderer/app.tsx', 'pages belong'],
    ['electron/host.ts', 'electron', 'only main.ts'],
    ['electron/host.ts', 'tests/sound/voices.ts', 'tests'],
  ])('would be broken by %s importing %s', (file, target, words) => {
    expect(breachOf({ file, line: 1, target })).toContain(words);
  });

  it.each([
    ['electron/core/job/engine.ts', 'electron/core/plan/model.ts'],
    ['electron/core/job/engine.ts', 'electron/core/base/result.ts'],
    ['electron/core/log/hash.ts', '@noble/hashes/sha2.js'],
    ['renderer/app.tsx', 'electron/core/job/model.ts'],
    ['electron/main.ts', 'electron'],
    ['electron/ear-node/ear.ts', 'renderer/ears/ear.ts'],
  ])('allow %s to import %s', (file, target) => {
    expect(breachOf({ file, line: 1, target })).toBeUndefined();
  });

  it('are read from every kind of import', () => {
    const text = `import a from './a.ts';\nexport * from './b.ts';\nvoid import('./c.ts');\ntype D = import('./d.ts').D;\nimport './e.css';`;
    expect(importsOf('electron/core/job/x.ts', text).map((found) => `${found.line} ${found.target}`)).toEqual(
      [
        '1 electron/core/job/a.ts',
        '2 electron/core/job/b.ts',
        '3 electron/core/job/c.ts',
        '4 electron/core/job/d.ts',
        '5 electron/core/job/e.css',
      ],
    );
  });
});

describe('purity of the core', () => {
  /** Names that reach outside; the core gets time and chance as parameters. */
  const OUTSIDE =
    /\b(Date\.now|new Date\(\)|Math\.random|performance\.now|console\.|process\.|setTimeout|setInterval|globalThis|fetch\()/;

  it('has no clock, no chance, no console and no process', () => {
    const found = sources('electron/core').flatMap((file) =>
      readFileSync(join(ROOT, file), 'utf8')
        .split('\n')
        .map((line, index) => ({
          line: line.replace(/\/\/.*|^\s*\/?\*.*|`[^`]*`/g, ''),
          at: `${file}:${index + 1}`,
        }))
        .filter(({ line }) => OUTSIDE.test(line))
        .map(
          ({ line, at }) => `${at} ${line.trim()}: pass the time, the chance or the effect in as a parameter`,
        ),
    );
    expect(found.join('\n')).toBe('');
  });
});
