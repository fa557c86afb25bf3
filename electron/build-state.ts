/**
 * Whether the built files in `out/` are those of the sources as they are now. A stamp beside them keeps a
 * fingerprint (path, size, time of change) of everything that goes into the build.
 */
import { createHash } from 'node:crypto';
import { mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';

const SOURCES = [
  'electron',
  'renderer',
  'languages',
  'electron.vite.config.ts',
  'package.json',
  'package-lock.json',
];
/** Built files that must be there whatever the stamp says. */
export const BUILT = [
  'out/main/main.cjs',
  'out/main/record-store-worker.cjs',
  'out/preload/preload.cjs',
  'out/renderer/index.html',
];
const STAMP = 'out/sources.sha256';
const FILES_MAX = 20_000;

function listFiles(path: string, into: string[]): void {
  if (into.length > FILES_MAX) throw new Error(`assertion failed: more than ${FILES_MAX} source files`);
  const facts = statSync(path, { throwIfNoEntry: false });
  if (facts === undefined) return;
  if (!facts.isDirectory()) {
    into.push(path);
    return;
  }
  for (const name of readdirSync(path).sort()) listFiles(join(path, name), into);
}

/** Fingerprint of all sources below `root`, as hexadecimal SHA-256. */
export function fingerprintOf(root: string): string {
  const hash = createHash('sha256');
  const files: string[] = [];
  for (const source of SOURCES) listFiles(join(root, source), files);
  for (const file of files) {
    const facts = statSync(file);
    hash.update(`${file.slice(root.length)} ${facts.size} ${Math.round(facts.mtimeMs)}\n`);
  }
  return hash.digest('hex');
}

/** True where every built file is there and was made from the sources as they are now. */
export function isBuilt(root: string): boolean {
  if (BUILT.some((file) => statSync(join(root, file), { throwIfNoEntry: false }) === undefined)) return false;
  try {
    return readFileSync(join(root, STAMP), 'utf8') === fingerprintOf(root);
  } catch {
    return false; // No stamp: built by hand or not at all; build again.
  }
}

/** Notes that `out/` was made from the sources as they are now. */
export function stampBuild(root: string): void {
  const stamp = join(root, STAMP);
  mkdirSync(dirname(stamp), { recursive: true });
  writeFileSync(stamp, fingerprintOf(root));
}
