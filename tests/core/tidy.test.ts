/** The text of the code itself: names, leftovers, and what must never be in it. */
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const ROOT = resolve(dirname(fileURLToPath(import.meta.url)), '../..');
const NOT_OURS = new Set(['node_modules', 'out', 'dist', 'coverage', '.cache', '.git', 'package-lock.json']);
const TEXT = /\.(ts|tsx|mjs|cjs|js|css|html|json|yaml|yml|md|sh)$|^run$|^test-runtime$|^\.(npmrc|gitignore)$/;
const CODE = /\.(ts|tsx|mjs|cjs|css|html)$/;

function filesBelow(folder: string): string[] {
  return readdirSync(join(ROOT, folder), { withFileTypes: true }).flatMap((entry) => {
    const path = folder === '' ? entry.name : `${folder}/${entry.name}`;
    if (NOT_OURS.has(entry.name) || path === 'models/en') return [];
    if (entry.isDirectory()) return filesBelow(path);
    return TEXT.test(entry.name) ? [path] : [];
  });
}

const FILES = filesBelow('').map((path) => ({ path, text: readFileSync(join(ROOT, path), 'utf8') }));
const CODE_FILES = FILES.filter(({ path }) => CODE.test(path) && /^(electron|renderer|tests)\//.test(path));

/** Every line that matches, as `file:line text: why`. */
function linesThat(match: RegExp, why: string, files: readonly { path: string; text: string }[]): string {
  return files
    .flatMap(({ path, text }) =>
      text
        .split('\n')
        .flatMap((line, index) =>
          match.test(line) ? [`${path}:${index + 1} ${line.trim().slice(0, 100)}: ${why}`] : [],
        ),
    )
    .join('\n');
}

/** Put together here, so that this file does not contain what it looks for. */
const word = (...parts: string[]): string => parts.join('');

describe('names of files', () => {
  it('are kebab-case and say what is in them', () => {
    const odd = CODE_FILES.map(({ path }) => path.slice(path.lastIndexOf('/') + 1)).filter(
      (name) => !/^[a-z0-9]+([.-][a-z0-9]+)*$/.test(name),
    );
    expect(odd).toEqual([]);
  });

  it('are no drawers for everything', () => {
    const drawer = /(^|[-./])(utils?|helpers?|common|misc|manager|stuff)([-./]|$)/;
    expect(FILES.filter(({ path }) => drawer.test(path)).map(({ path }) => path)).toEqual([]);
  });
});

describe('text of files', () => {
  it('ends with one line break, has no tabs, no control characters and no trailing blanks', () => {
    expect(linesThat(/[\t\r]|[ ]+$/, 'no tabs, carriage returns or blanks at the end', CODE_FILES)).toBe('');
    // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is looked for
    const control = /[\u0000-\u0008\u000b-\u001f\u007f\u202a-\u202e\u2066-\u2069]/;
    expect(linesThat(control, 'no control characters', FILES)).toBe('');
    expect(CODE_FILES.filter(({ text }) => !/[^\n]\n$/.test(text)).map(({ path }) => path)).toEqual([]);
  });

  it('has no leftovers', () => {
    const leftovers = new RegExp(
      `\\b(${word('FIX', 'ME')}|${word('X', 'XX')}|${word('HA', 'CK')})\\b|^\\s*${word('debug', 'ger')};|^(<<<<<<<|>>>>>>>) |\\b(it|describe|test)\\.${word('on', 'ly')}\\(`,
    );
    expect(linesThat(leftovers, 'finish it, or say in words what is missing and why', CODE_FILES)).toBe('');
    const skipped = new RegExp(`\\b(it|describe|test)\\.${word('sk', 'ip')}\\(`);
    expect(linesThat(skipped, 'a test that does not run is no test; remove it or mend it', CODE_FILES)).toBe(
      '',
    );
  });

  it('switches no check off without a reason', () => {
    expect(
      linesThat(
        /@ts-(?:[i]gnore|[n]ocheck)\b|biome-ignore-[a]ll|eslint-[d]isable/,
        'mend what the check found',
        CODE_FILES,
      ),
    ).toBe('');
    expect(linesThat(/biome-ignore [^:]*:\s*$|@ts-expect-error\s*$/, 'say why', CODE_FILES)).toBe('');
  });

  it('names no package registry and no path of the machine it was written on', () => {
    const hosts = new RegExp(
      [
        word('registry', '\\.npm', 'js'),
        word('registry', '\\.yarn', 'pkg'),
        word('npm', 'mirror'),
        word('py', 'pi\\.org'),
        word('crates', '\\.io'),
      ].join('|'),
    );
    const lockfile = {
      path: 'package-lock.json',
      text: readFileSync(join(ROOT, 'package-lock.json'), 'utf8'),
    };
    expect(
      linesThat(hosts, 'packages come from whatever registry the user has set', [...FILES, lockfile]),
    ).toBe('');
    const paths = new RegExp(`(^|["'\`\\s(=:])/(${word('wo', 'rk')}|${word('ro', 'ot')}})/`);
    const own = FILES.filter(({ path }) => !path.startsWith('tests/security/'));
    expect(linesThat(paths, 'write paths relative to the project', own)).toBe('');
  });

  it('keeps whoever reads a file in view: at most 600 lines of code, tables of words aside', () => {
    const long = CODE_FILES.filter(({ path }) => !/^(tests|renderer\/words)\/|\.css$/.test(path))
      .map(({ path, text }) => ({ path, lines: text.split('\n').length }))
      .filter(({ lines }) => lines > 600);
    expect(long).toEqual([]);
  });
});

describe('what the product says of itself', () => {
  /** Packages that come with an install script, and why it need not run (`npm ci --ignore-scripts` in CI). */
  const SCRIPTS_NOT_NEEDED: Readonly<Record<string, string>> = {
    'electron-winstaller': 'unpacks a tool for Windows installers, which are made on Windows by hand',
    esbuild: 'swaps a wrapper for the binary of the platform; without it the wrapper runs the binary',
  };

  it('needs no install script', () => {
    const lock = JSON.parse(readFileSync(join(ROOT, 'package-lock.json'), 'utf8')) as {
      packages: Record<string, { hasInstallScript?: boolean; optional?: boolean }>;
    };
    const names = Object.entries(lock.packages)
      .filter(([, facts]) => facts.hasInstallScript === true && facts.optional !== true)
      .map(([name]) => name.slice(name.lastIndexOf('node_modules/') + 'node_modules/'.length));
    expect([...new Set(names)].filter((name) => SCRIPTS_NOT_NEEDED[name] === undefined)).toEqual([]);
  });

  it('gives exact versions', () => {
    const { dependencies, devDependencies } = JSON.parse(
      readFileSync(join(ROOT, 'package.json'), 'utf8'),
    ) as {
      dependencies: Record<string, string>;
      devDependencies: Record<string, string>;
    };
    const loose = Object.entries({ ...dependencies, ...devDependencies }).filter(
      ([, range]) => !/^\d+\.\d+\.\d+(-[\w.]+)?$/.test(range),
    );
    expect(loose).toEqual([]);
  });
});
