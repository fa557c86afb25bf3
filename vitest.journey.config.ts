import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** The whole jobs take longest: begun last, they would leave a core idle at the end. */
class WholeJobsFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const isWhole = ({ moduleId }: TestSpecification): number => Number(moduleId.includes('whole-job-'));
    return (await super.sort(files)).sort((a, b) => isWhole(b) - isWhole(a));
  }
}

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
    sequence: { sequencer: WholeJobsFirst },
    retry: 0,
  },
});
