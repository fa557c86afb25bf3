/** How the program starts: build state, runtime, display, folders, the window's place. No Electron in here. */
import {
  chmodSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  statSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { BUILT, fingerprintOf, isBuilt, stampBuild } from '../../electron/build-state.ts';
import { openCommand, writeOpeningPage } from '../../electron/opening-page.ts';
import { fetchedRuntime, findDisplay, findRuntime, runtimeArguments } from '../../electron/runtime.ts';
import { userFolders } from '../../electron/user-folders.ts';
import {
  readWindowState,
  WINDOW_DEFAULT,
  WINDOW_HEIGHT_MIN,
  WINDOW_WIDTH_MIN,
  windowStateFrom,
  writeWindowState,
} from '../../electron/window-state.ts';

let root: string;
beforeEach(() => {
  root = mkdtempSync(join(tmpdir(), 'stepcaller-shell-'));
});
afterEach(() => rmSync(root, { recursive: true, force: true }));

function put(path: string, text = 'x'): string {
  const file = join(root, path);
  mkdirSync(join(file, '..'), { recursive: true });
  writeFileSync(file, text);
  return file;
}

describe('build state', () => {
  const build = (): void => {
    for (const file of BUILT) put(file);
    stampBuild(root);
  };

  it('is stale before the first build and right after it is not', () => {
    put('electron/main.ts');
    expect(isBuilt(root)).toBe(false);
    build();
    expect(isBuilt(root)).toBe(true);
  });

  it('is stale when a source changed, came or went, and when a built file is missing', () => {
    const main = put('electron/main.ts');
    put('renderer/app.tsx');
    build();
    utimesSync(main, 1, 1);
    expect(isBuilt(root)).toBe(false);
    build();
    put('renderer/parts/new.tsx');
    expect(isBuilt(root)).toBe(false);
    build();
    rmSync(join(root, 'renderer/app.tsx'));
    expect(isBuilt(root)).toBe(false);
    build();
    rmSync(join(root, 'out/preload/preload.cjs'));
    expect(isBuilt(root)).toBe(false);
  });

  it('does not depend on where the folder lies', () => {
    put('electron/a.ts');
    const file = join(root, 'electron/a.ts');
    utimesSync(file, 5, 5);
    const before = fingerprintOf(root);
    const other = mkdtempSync(join(tmpdir(), 'stepcaller-other-'));
    mkdirSync(join(other, 'electron'));
    writeFileSync(join(other, 'electron/a.ts'), 'x');
    utimesSync(join(other, 'electron/a.ts'), 5, 5);
    expect(fingerprintOf(other)).toBe(before);
    rmSync(other, { recursive: true });
  });
});

describe('display', () => {
  it('is needed on Linux and taken for granted elsewhere', () => {
    expect(findDisplay('linux', {})).toEqual({ ok: false, why: 'there is no display' });
    expect(findDisplay('linux', { DISPLAY: '' })).toMatchObject({ ok: false });
    expect(findDisplay('linux', { DISPLAY: ':0' })).toEqual({ ok: true, value: ':0' });
    expect(findDisplay('linux', { WAYLAND_DISPLAY: 'wayland-0' })).toMatchObject({ ok: true });
    expect(findDisplay('win32', {})).toMatchObject({ ok: true });
    expect(findDisplay('darwin', {})).toMatchObject({ ok: true });
  });
});

describe('runtime', () => {
  const silent = (): void => undefined;

  it('is the one that is named, or none where the name is wrong', async () => {
    const named = put('some/electron');
    expect(await findRuntime(root, { ELECTRON_EXEC_PATH: named }, silent)).toEqual({
      ok: true,
      value: named,
    });
    expect(await findRuntime(root, { ELECTRON_EXEC_PATH: join(root, 'no') }, silent)).toMatchObject({
      ok: false,
    });
  });

  it('is the one that was fetched before, without asking anybody', async () => {
    put('node_modules/electron/path.txt', 'electron\n');
    const file = put('node_modules/electron/dist/electron');
    const said: string[] = [];
    expect(await findRuntime(root, {}, (words) => said.push(words))).toEqual({ ok: true, value: file });
    expect(said).toEqual([]);
  });

  it('is not there where it was fetched half', () => {
    put('node_modules/electron/path.txt', 'electron');
    expect(fetchedRuntime(root)).toBeUndefined();
  });

  it('is fetched once where it is missing, and the reason is told where that fails', async () => {
    const said: string[] = [];
    expect(await findRuntime(root, {}, silent)).toEqual({
      ok: false,
      why: 'the electron package is not installed',
    });
    put('node_modules/electron/install.js', 'console.error("getaddrinfo ENOTFOUND host"); process.exit(1);');
    expect(await findRuntime(root, {}, (words) => said.push(words))).toEqual({
      ok: false,
      why: 'the Electron runtime could not be fetched (ENOTFOUND)',
    });
    expect(said).toHaveLength(1);
    put(
      'node_modules/electron/install.js',
      `const fs = require('node:fs'); const at = __dirname; fs.mkdirSync(at + '/dist'); fs.writeFileSync(at + '/dist/electron', ''); fs.writeFileSync(at + '/path.txt', 'electron');`,
    );
    expect(await findRuntime(root, {}, silent)).toMatchObject({ ok: true });
  });

  it('is given our folder, unless it has a program of its own; the sandbox is left out only when told', () => {
    const plain = put('plain/electron');
    const own = put('own/electron');
    put('own/resources/app/package.json');
    expect(runtimeArguments(plain, root, {})).toEqual([root]);
    expect(runtimeArguments(own, root, {})).toEqual([]);
    expect(runtimeArguments(plain, root, { STEPCALLER_NO_SANDBOX: '1' })).toEqual(['--no-sandbox', root]);
    expect(runtimeArguments(plain, root, { STEPCALLER_NO_SANDBOX: 'yes' })).toEqual([root]);
  });
});

describe('folders of the user', () => {
  it('lie where the system keeps data of programs', () => {
    expect(userFolders('linux', {}, '/h').jobs).toBe('/h/.local/share/stepcaller/jobs');
    expect(userFolders('linux', { XDG_DATA_HOME: '/data' }, '/h').settings).toBe(
      '/data/stepcaller/settings.json',
    );
    expect(userFolders('darwin', {}, '/h').procedures).toBe(
      '/h/Library/Application Support/Stepcaller/procedures',
    );
    expect(userFolders('win32', { APPDATA: '/r' }, '/h').reports).toBe('/r/Stepcaller/reports');
  });

  it('lie where the environment says', () => {
    expect(userFolders('linux', { STEPCALLER_HOME: '/bench' }, '/h').home).toBe('/bench');
  });
});

describe('the page that opens the browser', () => {
  it('keeps the one-time address off every command line, for the user alone and not for long', () => {
    const address = 'http://127.0.0.1:4000/open/secret';
    const page = writeOpeningPage(root, address);
    expect(statSync(page.path).mode & 0o777).toBe(0o600);
    expect(readFileSync(page.path, 'utf8')).toContain(`content="0;url=${address}"`);
    for (const platform of ['linux', 'darwin', 'win32'] as const) {
      const command = openCommand(platform, page.path);
      expect(command.join(' ')).not.toContain('secret');
      expect(command.at(-1)).toBe(page.path);
    }
    expect(writeOpeningPage(root, address).path).not.toBe(page.path);
    page.remove();
    page.remove();
    expect(existsSync(page.path)).toBe(false);
  });
});

describe('place of the window', () => {
  const screen = [{ x: 0, y: 0, width: 1920, height: 1080 }];

  it('is kept over a start', () => {
    const file = join(root, 'deep/window.json');
    const state = { x: 30, y: 40, width: 1000, height: 700, maximized: true };
    writeWindowState(file, state);
    expect(readWindowState(file, screen)).toEqual(state);
  });

  it('is the default where nothing sensible is kept', () => {
    for (const text of [
      '',
      '{',
      'null',
      '[]',
      '7',
      '{"width":"wide","height":700}',
      '{"width":10,"height":700}',
      '{"width":1e9,"height":700}',
    ]) {
      expect(windowStateFrom(text, screen), text).toEqual(WINDOW_DEFAULT);
    }
    expect(readWindowState(join(root, 'missing.json'), screen)).toEqual(WINDOW_DEFAULT);
  });

  it('forgets a position on a screen that is gone', () => {
    const kept = JSON.stringify({ x: 3000, y: 10, width: 1000, height: 700 });
    expect(windowStateFrom(kept, screen)).toEqual({ width: 1000, height: 700, maximized: false });
  });

  it('never makes a window that is too small or cannot be reached, whatever is kept', () => {
    fc.assert(
      fc.property(
        fc.json(),
        fc.record({ x: fc.anything(), y: fc.integer(), width: fc.integer(), height: fc.double() }),
        (any, near) => {
          for (const text of [any, JSON.stringify(near) ?? '']) {
            const state = windowStateFrom(text, screen);
            expect(state.width).toBeGreaterThanOrEqual(WINDOW_WIDTH_MIN);
            expect(state.height).toBeGreaterThanOrEqual(WINDOW_HEIGHT_MIN);
            if (state.x !== undefined) expect(state.x).toBeLessThan(1920);
          }
        },
      ),
      { seed: 3 },
    );
  });

  it('is silent where it cannot be kept', () => {
    const file = put('blocked');
    chmodSync(file, 0o400);
    expect(() => writeWindowState(join(file, 'window.json'), WINDOW_DEFAULT)).not.toThrow();
  });
});
