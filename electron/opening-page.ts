/**
 * How the browser is told its one-time address: by a page that only the user can read. What stands on a command line
 * every user of the machine can read, and could be first.
 */
import { randomBytes } from 'node:crypto';
import { rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

/** The browser has read the page long before. */
const LIFE_MS = 60_000;

/**
 * Writes the page into a folder, for a minute or until it is removed. The folder must not be a hidden one: browsers
 * that run confined may not read those.
 */
export function writeOpeningPage(folder: string, address: string): { readonly path: string; remove(): void } {
  const path = join(folder, `stepcaller-${randomBytes(8).toString('hex')}.html`);
  const page = `<!doctype html><meta charset="utf-8"><title>Stepcaller</title>
<meta http-equiv="refresh" content="0;url=${address}"><a href="${address}">Stepcaller</a>
`;
  writeFileSync(path, page, { mode: 0o600, flag: 'wx' });
  const remove = (): void => rmSync(path, { force: true });
  setTimeout(remove, LIFE_MS).unref();
  return { path, remove };
}

/** The command with which the system opens a page. */
export function openCommand(platform: NodeJS.Platform, path: string): readonly [string, ...string[]] {
  if (platform === 'darwin') return ['open', path];
  if (platform === 'win32') return ['rundll32', 'url.dll,FileProtocolHandler', path];
  return ['xdg-open', path];
}
