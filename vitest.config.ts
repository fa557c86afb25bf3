import { defineConfig } from 'vitest/config';

/** Pages, processes and environment variables: each of these files gets a fresh process. */
const ALONE = ['pages', 'mouth', 'cli', 'store', 'host', 'security'].map((part) => `tests/${part}/**`);

// Fast tests only. Journeys (real Electron, real browser, real microphone path) have their own
// config, because they need system packages that `.ci/run` installs.
export default defineConfig({
  test: {
    exclude: ['tests/journey/**', 'node_modules/**'],
    environment: 'node',
    testTimeout: 60_000,
    // One less than there are cores would leave half of a machine with two of them idle.
    maxWorkers: '100%',
    projects: [
      {
        extends: true,
        test: {
          name: 'alone',
          include: ALONE.map((folder) => `${folder}/*.test.{ts,tsx}`),
        },
      },
      {
        // What is pure leaves nothing behind: a process and its modules serve many files, for a third less time.
        extends: true,
        test: {
          name: 'together',
          include: ['tests/**/*.test.{ts,tsx}'],
          exclude: ALONE,
          isolate: false,
        },
      },
    ],
  },
});
