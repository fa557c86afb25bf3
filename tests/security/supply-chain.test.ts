/**
 * What is installed: exact versions, all of them in the lockfile with a checksum, none with a script that runs at
 * installation. Licences are judged by `npm run licences`, which the script for changes runs.
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { checkLicences } from '../licences/allowed.ts';
import { packagesOf } from '../licences/packages.ts';

const read = (name: string): string => readFileSync(join(import.meta.dirname, '../..', name), 'utf8');
interface Package {
  readonly version?: string;
  readonly integrity?: string;
  readonly resolved?: string;
  readonly hasInstallScript?: boolean;
  readonly link?: boolean;
}
const PROJECT = JSON.parse(read('package.json')) as Record<string, Record<string, string>>;
const LOCKFILE = read('package-lock.json');
const LOCKED = JSON.parse(LOCKFILE) as { lockfileVersion: number; packages: Record<string, Package> };
const installed = Object.entries(LOCKED.packages).filter(([path]) => path !== '');

/**
 * Packages that bring a script for the installation. It is never run (`npm ci --ignore-scripts`), and each was
 * looked at: it is not needed.
 */
const SCRIPTS_LEFT_OUT = new Map([
  ['node_modules/esbuild', 'checks its own binary, which comes as a package of its own'],
  ['node_modules/electron-winstaller', 'chooses an archiver for Windows installers, which we do not make'],
]);

describe('what is installed', () => {
  it('has exact versions, the same in the lockfile', () => {
    const asked = { ...PROJECT.dependencies, ...PROJECT.devDependencies };
    expect(Object.keys(asked).length).toBeGreaterThan(30);
    for (const [name, version] of Object.entries(asked)) {
      expect([name, version]).toEqual([name, expect.stringMatching(/^\d+\.\d+\.\d+(-[\w.]+)?$/)]);
      expect([name, LOCKED.packages[`node_modules/${name}`]?.version]).toEqual([name, version]);
    }
    expect(read('.npmrc')).toMatch(/^save-exact=true$/m);
  });

  it('has a checksum for every package, and nothing from elsewhere than a registry', () => {
    expect(LOCKED.lockfileVersion).toBe(3);
    expect(installed.length).toBeGreaterThan(500);
    for (const [path, { integrity, link, resolved }] of installed) {
      expect([path, integrity?.startsWith('sha512-') ?? false]).toEqual([path, true]);
      expect([path, link]).toEqual([path, undefined]);
      if (resolved !== undefined) expect(resolved).not.toMatch(/^(git|file|http:)/);
    }
  });

  it('runs no script at the installation', () => {
    const scripts = installed.flatMap(([path, { hasInstallScript }]) =>
      hasInstallScript === true ? [path] : [],
    );
    expect(scripts.sort()).toEqual([...SCRIPTS_LEFT_OUT.keys()].sort());
    expect(read('.ci/run')).toMatch(/npm ci [^\n]*--ignore-scripts/);
    for (const name of ['preinstall', 'install', 'postinstall', 'prepare', 'prepack']) {
      expect(PROJECT.scripts?.[name]).toBeUndefined();
    }
  });

  it('has licences that were looked at, all of them', () => {
    const verdict = checkLicences(packagesOf(LOCKFILE));
    expect(verdict.refused).toEqual([]);
    expect(verdict.shipped.length).toBeGreaterThan(50);
  });
});
