/**
 * Three builds: main and preload as CommonJS files for Node 18, pages for Chrome 114. The same files run
 * on the Electron that ships and on the older one that the journeys use.
 */
import { existsSync, readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import react from '@vitejs/plugin-react';
import { defineConfig } from 'electron-vite';

const root = import.meta.dirname ?? process.cwd();

/** The ears page is a page of its own; it is left out only while it does not exist. */
function pageInputs(): Record<string, string> {
  const inputs: Record<string, string> = { index: resolve(root, 'renderer/index.html') };
  const ears = resolve(root, 'renderer/ears/ears.html');
  if (existsSync(ears)) inputs['ears'] = ears;
  return inputs;
}

export default defineConfig({
  main: {
    build: {
      target: 'node18',
      outDir: 'out/main',
      // Kept out of the bundle: it loads its WebAssembly from beside its own file.
      externalizeDeps: { include: ['@electric-sql/pglite'], exclude: bundledDependencies() },
      lib: {
        entry: {
          main: resolve(root, 'electron/main.ts'),
          // The thread of the record store is a program of its own.
          'record-store-worker': resolve(root, 'electron/store/thread-worker.ts'),
        },
        formats: ['cjs'],
        fileName: (_format, name) => `${name}.cjs`,
      },
      rollupOptions: {
        output: { format: 'cjs', entryFileNames: '[name].cjs', chunkFileNames: '[name]-[hash].cjs' },
      },
    },
  },
  preload: {
    build: {
      target: 'node18',
      outDir: 'out/preload',
      externalizeDeps: false,
      lib: {
        entry: resolve(root, 'electron/preload.ts'),
        formats: ['cjs'],
        fileName: () => 'preload.cjs',
      },
      rollupOptions: { output: { format: 'cjs', entryFileNames: 'preload.cjs' } },
    },
  },
  renderer: {
    root: resolve(root, 'renderer'),
    base: '/',
    plugins: [react()],
    worker: {
      format: 'es',
      rollupOptions: { output: { entryFileNames: 'assets/[name]-[hash].js' } },
    },
    build: {
      target: 'chrome114',
      outDir: resolve(root, 'out/renderer'),
      emptyOutDir: true,
      assetsInlineLimit: 0, // a data: address would need a weaker policy
      modulePreload: { polyfill: false },
      rollupOptions: { input: pageInputs() },
    },
  },
});

/** Runtime dependencies that go into the bundle of the main process: all but the one that cannot. */
function bundledDependencies(): string[] {
  const { dependencies } = JSON.parse(readFileSync(resolve(root, 'package.json'), 'utf8')) as {
    dependencies: Record<string, string>;
  };
  return Object.keys(dependencies).filter((name) => name !== '@electric-sql/pglite');
}
