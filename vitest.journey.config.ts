import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** The longest files, longest first: begun last, one would leave a core idle at the end. */
const LONGEST = [
  'whole-job-browser',
  'whole-job-electron',
  'faults-browser',
  'spoken-note',
  'manners-people',
  'faults-electron',
];

class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const place = ({ moduleId }: TestSpecification): number => {
      const found = LONGEST.findIndex((name) => moduleId.endsWith(`/${name}.test.ts`));
      return found < 0 ? LONGEST.length : found;
    };
    return (await super.sort(files)).sort((a, b) => place(a) - place(b));
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
    // Two files at a time, each in a room of its own. Measured on two cores: a job by voice takes half a core,
    // a third one beside it starves the recogniser, and files without speech get no quicker by a third.
    maxWorkers: 2,
    sequence: { sequencer: LongestFirst },
    retry: 0,
  },
});
