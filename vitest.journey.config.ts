import { defineConfig } from 'vitest/config';

// Real Electron, real browser, real microphone path. Needs a display (Xvfb), PulseAudio, speech
// synthesisers, Chromium and an Electron runtime: `.ci/run` installs them all.
export default defineConfig({
  test: {
    include: ['tests/journey/**/*.test.ts'],
    environment: 'node',
    testTimeout: 900_000,
    hookTimeout: 120_000,
    // Two files at a time: a whole job by voice in Electron and one in Chromium run side by side, each in
    // a room of its own. More would starve the recogniser on two cores.
    maxWorkers: 2,
    retry: 0,
  },
});
