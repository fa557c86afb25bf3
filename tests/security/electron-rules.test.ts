/**
 * Electron's security list, the rules that can be read from sources and configuration. The others are tried
 * against the running program in `tests/journey/security-electron.test.ts`.
 */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { FuseV1Options } from '@electron/fuses';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { RELEASE_FUSES } from './fuse-states.ts';

const ROOT = resolve(dirname(fileURLToPath(import.meta.url)), '../..');
const read = (path: string): string => readFileSync(join(ROOT, path), 'utf8');
const MAIN = read('electron/main.ts');
const WINDOW = read('electron/window.ts');
const PRELOAD = read('electron/preload.ts');
const HOST_FILES = readdirSync(join(ROOT, 'electron'), { recursive: true, encoding: 'utf8' })
  .filter((name) => name.endsWith('.ts'))
  .map((name) => ({ name, text: read(`electron/${name}`) }));

/** The word for each window's preferences in the source, every time it is written. */
const written = (name: string, value: string): number =>
  [...WINDOW.matchAll(new RegExp(`\\b${name}: ${value}\\b`, 'g'))].length;

describe('rules of Electron’s security list, as written', () => {
  it('1 no page of the program names a foreign address', () => {
    for (const page of ['renderer/index.html', 'renderer/ears/ears.html']) {
      expect(read(page)).not.toMatch(/(src|href)="?(https?:)?\/\//);
    }
    expect(MAIN + WINDOW).not.toMatch(/loadURL\([^)]*https?:/);
  });

  it('2, 3, 4 each window writes nodeIntegration, contextIsolation and sandbox out', () => {
    const windows = [...WINDOW.matchAll(/new BrowserWindow\(/g)].length;
    expect(windows).toBeGreaterThan(0);
    expect(written('nodeIntegration', 'false')).toBe(windows);
    expect(written('contextIsolation', 'true')).toBe(windows);
    expect(written('sandbox', 'true')).toBe(windows);
    expect(
      HOST_FILES.filter(
        ({ name, text }) =>
          /new (BrowserWindow|BrowserView|WebContentsView)\(/.test(text) && name !== 'window.ts',
      ),
    ).toEqual([]);
    expect(MAIN).toContain('app.enableSandbox()');
  });

  it('6, 8, 9, 10 nothing weakens the web’s own protection', () => {
    const all = HOST_FILES.map(({ text }) => text).join('\n');
    expect(written('webSecurity', 'true')).toBeGreaterThan(0);
    expect(all).not.toMatch(
      /webSecurity: false|allowRunningInsecureContent: true|experimentalFeatures: true|enableBlinkFeatures/,
    );
    expect(all).not.toMatch(/appendSwitch\(/);
    expect(all).not.toMatch(/bypassCSP|ignoreCertificateErrors|certificate-error/);
  });

  it('15 nothing is handed to the system to open', () => {
    expect(
      HOST_FILES.filter(({ text }) => /\bshell\.open(External|Path)|from 'electron'.*\bshell\b/.test(text)),
    ).toEqual([]);
  });

  it('16 the product depends on a current Electron', () => {
    const { devDependencies } = JSON.parse(read('package.json')) as {
      devDependencies: Record<string, string>;
    };
    expect(Number(devDependencies.electron?.split('.')[0])).toBeGreaterThanOrEqual(45);
  });

  it('17 there is one handler, and it asks who sends', () => {
    const handlers = HOST_FILES.flatMap(({ name, text }) =>
      [...text.matchAll(/ipcMain\.(handle|on|once|handleOnce)\(/g)].map(() => name),
    );
    expect(handlers).toEqual(['main.ts']);
    expect(MAIN).toMatch(/isBenchFrame\(/);
  });

  it('18 pages come from the program’s own scheme, never from files', () => {
    expect(MAIN).toContain("protocol.handle('app'");
    expect(
      HOST_FILES.filter(({ text }) =>
        /loadFile\(|file:\/\/|interceptFileProtocol|registerFileProtocol/.test(text),
      ),
    ).toEqual([]);
    expect(MAIN).toMatch(/standard: true, secure: true/);
    expect(MAIN).not.toMatch(/bypassCSP: true|corsEnabled: true/);
  });

  it('19 the release build sets every fuse there is', () => {
    const builder = parse(read('electron-builder.yml')) as {
      electronFuses: Record<string, boolean>;
      asar: boolean;
    };
    const wanted = Object.fromEntries(RELEASE_FUSES.map(({ setting, on }) => [setting, on]));
    expect(builder.electronFuses).toEqual(wanted);
    expect(builder.asar).toBe(true);
    const fuses = Object.keys(FuseV1Options).filter((name) => Number.isNaN(Number(name)));
    const left = fuses.filter((name) => !RELEASE_FUSES.some(({ fuse }) => FuseV1Options[fuse] === name));
    expect(left).toEqual([]);
  });

  it('20 the preload passes two functions on, without Electron’s objects', () => {
    expect([...PRELOAD.matchAll(/exposeInMainWorld\(/g)]).toHaveLength(1);
    expect(PRELOAD).not.toMatch(/exposeInMainWorld\([^)]*ipcRenderer/);
    expect(PRELOAD).toContain('(_event: unknown, push: Push): void => listener(push)');
  });
});

describe('the list as a whole', () => {
  it('has a test for each of its 20 rules, here or against the running program', () => {
    const titles = [
      read('tests/security/electron-rules.test.ts'),
      read('tests/journey/security-electron.test.ts'),
    ]
      .flatMap((text) => [...text.matchAll(/\bit\(\s*['`]((?:\d+, )*\d+) /g)])
      .flatMap((found) => (found[1] ?? '').split(', ').map(Number));
    const rules = Array.from({ length: 20 }, (_, index) => index + 1);
    expect(rules.filter((rule) => !titles.includes(rule))).toEqual([]);
  });
});

/** The built files are read where there are any: `npm test` must pass right after the installation. */
const built = existsSync(join(ROOT, 'out/preload/preload.cjs'));
describe.runIf(built)('built files', () => {
  it('4 the preload script is one CommonJS file that asks for Electron alone', () => {
    const text = read('out/preload/preload.cjs');
    const required = [...text.matchAll(/require\(\s*["'`]([^"'`]+)["'`]\s*\)/g)].map((found) => found[1]);
    expect(required).toEqual(['electron']);
    expect(text).not.toMatch(/^\s*(import|export)\s/m);
    expect(readdirSync(join(ROOT, 'out/preload'))).toEqual(['preload.cjs']);
  });

  it('7 pages carry no inline script, style or handler', () => {
    for (const page of ['out/renderer/index.html', 'out/renderer/ears/ears.html']) {
      const text = read(page);
      expect(text).not.toMatch(/<script(?![^>]*\bsrc=)[^>]*>/);
      expect(text).not.toMatch(/<style|\sstyle=|\son\w+=/);
    }
  });

  it('the main process asks for Node, Electron and what is shipped beside it, nothing else', () => {
    // Comments of packages show examples with `require`.
    const text = readdirSync(join(ROOT, 'out/main'))
      .filter((name) => name.endsWith('.cjs'))
      .map((name) => read(`out/main/${name}`).replace(/\/\*[\s\S]*?\*\/|^\s*\/\/.*$/gm, ''))
      .join('\n');
    const required = [...text.matchAll(/\brequire\(\s*["']([^"']+)["']\s*\)/g)].map(
      (found) => found[1] ?? '',
    );
    const foreign = [...new Set(required)].filter(
      (name) => !/^(node:|electron$|\.\/|@electric-sql\/pglite)/.test(name),
    );
    const builtin = new Set([
      'fs',
      'path',
      'os',
      'crypto',
      'events',
      'util',
      'net',
      'tls',
      'dns',
      'stream',
      'string_decoder',
      'url',
      'buffer',
      'process',
      'assert',
      'tty',
      'http',
      'https',
      'zlib',
    ]);
    expect(
      foreign.filter(
        (name) =>
          !builtin.has(name.split('/')[0] ?? '') && name !== 'pg-native' && name !== 'cloudflare:sockets',
      ),
    ).toEqual([]);
  });
});
