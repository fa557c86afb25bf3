import { defineConfig } from 'vitest/config';

// Fast tests only. Journeys (real Electron, real browser, real microphone path) have their own
// config, because they need system packages that `.ci/run` installs.
export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts', 'tests/**/*.test.tsx'],
    exclude: ['tests/journey/**', 'node_modules/**'],
    environment: 'node',
    testTimeout: 60_000,
  },
});
