import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** Files in which somebody speaks to the program, longest first: begun last, one would leave a core idle at the end. */
const SPOKEN = [
  'whole-job-browser',
  'whole-job-electron',
  'faults-browser',
  'spoken-note',
  'start',
  'unit-question',
];
const spoken = SPOKEN.map((name) => `tests/journey/${name}.test.ts`);

class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const place = ({ moduleId }: TestSpecification): number =>
      spoken.findIndex((file) => moduleId.endsWith(file));
    return (await super.sort(files)).sort((a, b) => place(a) - place(b));
  }
}

// Real Electron, real browser, real microphone path. Needs a display (Xvfb), PulseAudio, speech
// synthesisers, Chromium and an Electron runtime: `.ci/run` installs them all.
export default defineConfig({
  test: {
    environment: 'node',
    testTimeout: 900_000,
    hookTimeout: 120_000,
    retry: 0,
    sequence: { sequencer: LongestFirst },
    projects: [
      {
        // Each in a room of its own. More than two at a time would starve the recogniser on two cores.
        extends: true,
        test: { name: 'spoken', include: spoken, maxWorkers: 2, sequence: { groupOrder: 1 } },
      },
      {
        extends: true,
        test: {
          name: 'silent',
          include: ['tests/journey/**/*.test.ts'],
          exclude: spoken,
          maxWorkers: 3,
          sequence: { groupOrder: 2 },
        },
      },
    ],
  },
});
