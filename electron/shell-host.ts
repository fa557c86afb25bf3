/**
 * Opens the host for a shell (Electron or browser mode). The only place where a shell meets the host, so
 * that both start it in the same way.
 */
import { randomBytes } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Roots } from './app-protocol.ts';
import { createNodeClock, wallText } from './clock.ts';
import { createNodeDisk } from './disk/node-disk.ts';
import { createNodeProcesses } from './disk/node-processes.ts';
import { createHost } from './host.ts';
import type { ArgumentChecks, Host } from './ipc/bridge.ts';
import { ARGUMENT_CHECKS } from './ipc/schemas.ts';
import { storePlaceFrom } from './store/place.ts';
import { RecordStoreThread } from './store/record-store-thread.ts';
import { userFolders } from './user-folders.ts';
import { APP_VERSION } from './version.ts';

export interface ShellHostOptions {
  /** Folder of the program: `procedures/`, `languages/` and `models/` lie in it. */
  readonly root: string;
  /** Folder of the built pages. */
  readonly pages: string;
  readonly mode: 'electron' | 'browser';
  /** Prints an HTML document to PDF; only Electron can. */
  readonly printPdf?: (html: string) => Promise<Uint8Array>;
}

export interface ShellHost {
  readonly host: Host;
  readonly checks: ArgumentChecks;
  readonly roots: Roots;
}

/** Hash of the shipped model for job files; null where the manifest is missing (the job goes on by keys). */
function modelSha256(models: string): string | null {
  try {
    const manifest = JSON.parse(readFileSync(join(models, 'manifest.json'), 'utf8')) as { sha256?: unknown };
    return typeof manifest.sha256 === 'string' ? manifest.sha256 : null;
  } catch {
    return null; // The ears page tells the user that the model is missing; here it is only noted.
  }
}

/** Opens the host on the user's folders. */
export function openShellHost(options: ShellHostOptions): ShellHost {
  const folders = userFolders();
  const models = join(options.root, 'models');
  const proceduresFolders = [join(options.root, 'procedures'), folders.procedures];
  const disk = createNodeDisk();
  const clock = createNodeClock();
  const program = `Stepcaller ${APP_VERSION}`;
  const processes = createNodeProcesses(program);
  const token = (): string => randomBytes(8).toString('hex');
  const host = createHost({
    disk,
    clock,
    processes,
    token,
    jobsFolder: folders.jobs,
    proceduresFolders,
    reportsFolder: folders.reports,
    languagesFolders: [join(options.root, 'languages'), folders.languages],
    systemLanguage: Intl.DateTimeFormat().resolvedOptions().locale,
    settingsPath: folders.settings,
    version: APP_VERSION,
    mode: options.mode,
    modelSha256: modelSha256(models),
    printPdf: options.printPdf,
    // Its thread loads the database, which is large, when it is first wanted.
    openRecordStore: async () => {
      const place = { folder: folders.store, program, since: wallText(clock), token: token() };
      return new RecordStoreThread(storePlaceFrom(process.env, place), folders.jobs, disk);
    },
  });
  return {
    host,
    checks: ARGUMENT_CHECKS,
    roots: { pages: options.pages, models, procedures: proceduresFolders },
  };
}
