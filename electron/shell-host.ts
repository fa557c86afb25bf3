/**
 * Opens the host for a shell (Electron or browser mode). The only place where a shell meets the host, so
 * that both start it in the same way.
 */
import { join } from 'node:path';
import type { ArgumentChecks, Host } from './ipc/bridge.ts';

export interface ShellHostOptions {
  /** Folder of the program: `procedures/` and `models/` lie in it. */
  readonly root: string;
  readonly mode: 'electron' | 'browser';
  readonly version: string;
  /** Prints an HTML document to PDF; only Electron can. */
  readonly printPdf: ((html: string) => Promise<Uint8Array>) | undefined;
}

const pass = { safeParse: (value: unknown) => ({ success: true as const, data: value }) };

/** Placeholder until the host is there: answers `app.info` and nothing else. */
export async function openShellHost(
  options: ShellHostOptions,
): Promise<{ readonly host: Host; readonly checks: ArgumentChecks }> {
  const host = {
    ask: async (channel: string) =>
      channel === 'app.info'
        ? {
            ok: true,
            value: {
              version: options.version,
              mode: options.mode,
              jobs_folder: '',
              procedures_folder: join(options.root, 'procedures'),
            },
          }
        : { ok: false, error: { code: 'host/not-there', message: 'Not built yet.', mend: '' } },
    onPush: () => () => undefined,
    close: async () => undefined,
  } as unknown as Host;
  const checks = { 'app.info': pass, 'job.leave': pass } as unknown as ArgumentChecks;
  return { host, checks };
}
