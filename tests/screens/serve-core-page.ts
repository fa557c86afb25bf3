/** Builds the pages on the core in memory (`core-page.tsx`) and serves them on a free port of this machine. */
import { cpSync, existsSync } from 'node:fs';
import { join } from 'node:path';
import react from '@vitejs/plugin-react';
import { build, preview } from 'vite';

const ROOT = join(import.meta.dirname, '..', '..');
const BROWSERS = [process.env.CHROMIUM_PATH ?? '', '/usr/bin/chromium', '/usr/bin/chromium-browser'];
/** Ids of the units in the pictures. */
const UNITS = ['wt-3', 'bp-60', 'dp-8'];

/** Where Chromium is, or undefined. */
export const CHROMIUM_PATH = BROWSERS.find((path) => path !== '' && existsSync(path));

/** Builds into `out/<folder>` and serves it. */
export async function serveCorePage(folder: string): Promise<{ address: string; close(): Promise<void> }> {
  const outDir = join(ROOT, 'out', folder);
  await build({
    root: join(ROOT, 'tests', 'screens'),
    configFile: false,
    plugins: [react()],
    logLevel: 'error',
    build: {
      outDir,
      emptyOutDir: true,
      minify: false,
      chunkSizeWarningLimit: 10_000,
      rollupOptions: { input: join(ROOT, 'tests', 'screens', 'core-page.html') },
    },
  });
  // The pictures of the steps lie beside the product files, as the host serves them.
  for (const unit of UNITS)
    cpSync(join(ROOT, 'procedures', 'pictures'), join(outDir, 'picture', unit, 'pictures'), {
      recursive: true,
    });
  const server = await preview({
    root: outDir,
    configFile: false,
    logLevel: 'error',
    build: { outDir },
    preview: { port: 0, host: '127.0.0.1' },
  });
  return {
    address: server.resolvedUrls?.local[0]?.replace(/\/$/, '') ?? '',
    close: () => server.close(),
  };
}
