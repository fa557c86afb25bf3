/** The packages of the lockfile, with the licence of each. */
import { readFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Package } from './allowed.ts';

const ROOT = resolve(dirname(fileURLToPath(import.meta.url)), '../..');

interface LockEntry {
  readonly version?: string;
  readonly license?: string;
  readonly dev?: boolean;
  readonly optional?: boolean;
  readonly devOptional?: boolean;
}

/** Every installed package of the lockfile, in order of name. */
export function packagesOf(lockfile: string): Package[] {
  const { packages } = JSON.parse(lockfile) as { packages: Record<string, LockEntry> };
  return Object.entries(packages)
    .filter(([path]) => path !== '')
    .map(([path, entry]) => ({
      path,
      name: path.slice(path.lastIndexOf('node_modules/') + 'node_modules/'.length),
      version: entry.version ?? '',
      licence: entry.license ?? licenceInstalled(path),
      shipped: entry.dev !== true && entry.devOptional !== true,
    }))
    .sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0));
}

function licenceInstalled(path: string): string {
  try {
    const facts = JSON.parse(readFileSync(join(ROOT, path, 'package.json'), 'utf8')) as { license?: unknown };
    return typeof facts.license === 'string' ? facts.license : 'unknown';
  } catch {
    return 'unknown'; // An optional package of another platform: judged as unknown.
  }
}
