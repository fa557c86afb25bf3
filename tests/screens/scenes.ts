/** How to get to each screen, as a user would, with the clock and the ear moved from the stage. */
import type { Page } from 'playwright-core';
import type { PhraseId } from '../../electron/core/job/model.ts';
import type { PageInput } from '../../electron/ipc/contract.ts';

export interface Scene {
  readonly name: string;
  /** Take the whole page, not only the window. */
  readonly whole?: true;
  /** With the settings of a trainee. */
  readonly trainee?: true;
  /** With everything at 200 %. */
  readonly doubled?: true;
  play(page: Page): Promise<void>;
}

const hearLevel = (page: Page): Promise<void> =>
  page.evaluate(() => {
    window.stage.hear({ type: 'ready', modelSha256: '', loadMs: 1 });
    window.stage.hear({ type: 'level', dbfs: -22, noiseDbfs: -52, clipping: false, speech: true });
  });

async function toBefore(page: Page, unit: RegExp): Promise<void> {
  await page.getByRole('button', { name: unit }).first().click();
  await page.getByRole('searchbox').waitFor();
}

/** `answered`: whether the questions about the unit are answered here or left to the job. */
async function toPlan(page: Page, unit: RegExp, part: RegExp, answered = true): Promise<void> {
  await toBefore(page, unit);
  await page.getByRole('checkbox', { name: part }).first().check();
  if (answered)
    for (const group of await page.getByRole('group').all()) await group.getByRole('radio').nth(1).check();
  await page.getByRole('button', { name: 'See the plan' }).click();
  await page.getByRole('button', { name: 'Start the job' }).waitFor();
  await hearLevel(page);
}

async function toBench(page: Page, unit: RegExp, part: RegExp, answered = true): Promise<void> {
  await toPlan(page, unit, part, answered);
  await page.getByRole('button', { name: 'Start the job' }).click();
  await page.getByRole('progressbar').waitFor();
  await hearLevel(page);
  await page.waitForTimeout(60);
}

/** Plays on until the view is as wanted; `test` runs in the page. */
async function until(page: Page, test: string): Promise<void> {
  await page.evaluate((source) => {
    const fits = new Function('view', `return ${source}`) as (view: unknown) => boolean;
    const { bridge } = window.stage;
    for (let guard = 0; guard < 400; guard += 1) {
      const view = bridge.view();
      if (view === null || fits(view)) return;
      bridge.oneByScript(11_000 + view.step_number * 700);
    }
  }, test);
  await page.evaluate(() =>
    window.stage.hear({
      type: 'level',
      dbfs: -24,
      noiseDbfs: -50,
      clipping: false,
      speech: true,
    }),
  );
  await page.waitForTimeout(80);
}

const WT: [RegExp, RegExp] = [/wt-3/i, /battery/i];

/** At a step in the middle of the job, after `inputs` by voice. */
const atWork =
  (inputs: readonly PageInput[], then: (page: Page) => Promise<unknown>) =>
  async (page: Page): Promise<void> => {
    await toBench(page, ...WT);
    await until(page, `view.step_number > 8 && view.phase === 'step'`);
    await page.evaluate((given) => {
      for (const input of given) window.stage.bridge.input(input);
    }, inputs);
    await then(page);
  };
const said = (phrase: PhraseId): PageInput => ({ type: 'phrase', phrase, source: 'voice' });

const trainee = async (page: Page): Promise<void> => {
  await toBench(page, ...WT);
  await until(page, `view.phase === 'step' && view.step.look_for !== null && view.step.fasteners.length > 0`);
};

export const SCENES: readonly Scene[] = [
  { name: 'start', whole: true, play: async () => undefined },
  { name: 'before', whole: true, play: async (page) => toBefore(page, WT[0]) },
  { name: 'plan', whole: true, play: async (page) => toPlan(page, ...WT) },
  /** The first window of it, for the README. */
  { name: 'plan-top', play: async (page) => toPlan(page, ...WT) },
  { name: 'bench-caution', play: async (page) => toBench(page, ...WT) },
  {
    name: 'bench-danger',
    play: async (page) => {
      await toBench(page, /bp-60/i, /fan/i);
      await until(page, `view.phase === 'caution' && view.caution.word === 'danger'`);
    },
  },
  {
    name: 'bench-notice',
    play: async (page) => {
      await toBench(page, ...WT);
      await until(page, `view.phase === 'caution' && view.caution.word === 'notice'`);
    },
  },
  {
    name: 'bench-step',
    play: async (page) => {
      await toBench(page, ...WT);
      await until(page, `view.phase === 'step' && view.step.fasteners.some((f) => f.compartment !== null)`);
      await page.evaluate(() => {
        window.stage.hear({
          type: 'heard',
          text: 'screw count',
          understood: { type: 'phrase', phrase: 'screw count' },
          confidence: 0.94,
          decidedMs: 240,
          early: true,
        });
        window.stage.bridge.advance(23_000);
      });
    },
  },
  {
    name: 'bench-picture',
    play: async (page) => {
      await toBench(page, ...WT);
      await until(page, `view.phase === 'step' && view.step.picture !== null`);
      await page.getByRole('figure').getByRole('img').waitFor();
      await page.waitForTimeout(200);
    },
  },
  {
    name: 'bench-install',
    play: async (page) => {
      await toBench(page, ...WT);
      await until(
        page,
        `view.phase === 'step' && view.step.stage === 'install' && view.step.fasteners.some((f) => f.torque_nm !== null)`,
      );
    },
  },
  {
    name: 'bench-bolts',
    play: async (page) => {
      await toBench(page, /dp-8/i, /diaphragm/i);
      await until(page, `view.phase === 'step' && view.step.fasteners.some((f) => f.passes_nm.length > 1)`);
    },
  },
  {
    name: 'bench-pages',
    play: async (page) => {
      await toBench(page, /dp-8/i, /diaphragm/i);
      await until(page, `view.phase === 'step' && view.step.fasteners.some((f) => f.passes_nm.length > 1)`);
      // On a large window all of it is on one page.
      const turn = page.getByRole('button', { name: /turn the page/ });
      if (await turn.isVisible()) await turn.click();
    },
  },
  {
    name: 'bench-new-items',
    play: async (page) => {
      await toBench(page, /dp-8/i, /pump head/i);
      await until(page, `view.phase === 'step' && view.step.renew.length > 1`);
    },
  },
  {
    name: 'bench-question',
    play: async (page) => {
      await toBench(page, /dp-8/i, /diaphragm/i, false);
      await until(page, `view.question !== null && view.question.kind === 'variant'`);
    },
  },
  {
    name: 'bench-reading',
    play: async (page) => {
      await toBench(page, /bp-60/i, /fan/i);
      await until(page, `view.phase === 'step' && view.waits_for === 'reading'`);
    },
  },
  {
    name: 'bench-serial',
    play: async (page) => {
      await toBench(page, ...WT);
      await until(page, `view.phase === 'step' && view.waits_for === 'serial'`);
    },
  },
  {
    name: 'bench-hold',
    play: async (page) => {
      await toBench(page, /bp-60/i, /fan/i);
      await until(page, `view.phase === 'step' && view.waits_for === 'sign-off'`);
      await page
        .getByRole('form', { name: 'Sign-off' })
        .getByRole('button', { name: 'A', exact: true })
        .click();
      await page.getByRole('button', { name: 'Sign', exact: true }).click();
      await page.getByText('must come from another person').waitFor();
    },
  },
  {
    name: 'bench-all-steps',
    play: async (page) => {
      await toBench(page, ...WT);
      await until(page, `view.phase === 'step' && view.step_number === 9`);
      await page.getByRole('button', { name: 'All steps' }).click();
      await page.getByRole('region', { name: 'All steps' }).waitFor();
    },
  },
  {
    name: 'bench-hand-over',
    play: async (page) => {
      await toBench(page, ...WT);
      await until(page, `view.phase === 'step' && view.step_number === 9`);
      await page.getByRole('button', { name: 'Hand over' }).click();
      await page.getByRole('form', { name: 'Hand over' }).waitFor();
    },
  },
  {
    name: 'bench-recovered',
    play: async (page) => {
      await toBench(page, ...WT);
      await until(page, `view.phase === 'step' && view.step_number === 9`);
      await page.getByRole('button', { name: 'Leave for later' }).click();
      await page.evaluate(() => {
        window.stage.bridge.recovered = 'The last line is not whole; 41 bytes were cut off.';
      });
      await page.getByRole('button', { name: /Go on at step/ }).click();
      await page.getByRole('note').waitFor();
      await hearLevel(page);
    },
  },
  {
    name: 'bench-proposed',
    play: async (page) => {
      await toBench(page, ...WT);
      await until(page, `view.value_proposed !== null`);
    },
  },
  { name: 'bench-problem', play: atWork([said('problem')], async () => undefined) },
  {
    name: 'bench-refused',
    play: async (page) => {
      await toBench(page, ...WT);
      await until(page, `view.step_number > 10 && view.phase === 'step'`);
      await page.evaluate(() => {
        window.stage.hear({ type: 'refused', reason: 'too-noisy', confidence: 0.3 });
        window.stage.hear({ type: 'trouble', code: 'microphone-lost', over: false, detail: '' });
      });
    },
  },
  {
    name: 'bench-count',
    trainee: true,
    play: async (page) => {
      await toBench(page, ...WT);
      await until(page, `view.question !== null && view.question.kind === 'count'`);
    },
  },
  { name: 'bench-trainee-twice', trainee: true, doubled: true, play: trainee },
  { name: 'bench-caution-twice', doubled: true, play: async (page) => toBench(page, ...WT) },
  { name: 'start-twice', doubled: true, play: async () => undefined },
  { name: 'bench-trainee', trainee: true, play: trainee },
  {
    name: 'bench-recording',
    play: atWork([said('note'), said('yes')], (page) => page.getByText('Recording your note').waitFor()),
  },
  {
    name: 'bench-note',
    play: atWork([said('note')], (page) => page.getByRole('button', { name: 'Speak the note' }).waitFor()),
  },
  {
    name: 'after-note',
    whole: true,
    play: atWork([said('note'), said('yes')], async (page) => {
      await page.evaluate(() => void window.stage.bridge.ask('note.keep', { endedBy: 'stop', pcm: 'AAAA' }));
      await until(page, `view.outcome !== null`);
      await page.getByRole('button', { name: 'See the job' }).click();
      await page.getByRole('button', { name: /^Play the note/ }).waitFor();
    }),
  },
  {
    name: 'bench-paused',
    play: async (page) => {
      await toBench(page, ...WT);
      await until(page, `view.step_number > 12 && view.phase === 'step'`);
      await page.evaluate(() => {
        window.stage.bridge.input({ type: 'phrase', phrase: 'pause', source: 'touch' });
        window.stage.bridge.advance(17 * 60_000);
      });
    },
  },
  {
    name: 'bench-finished',
    play: async (page) => {
      await toBench(page, ...WT);
      await until(page, `view.outcome !== null`);
    },
  },
  {
    name: 'after',
    whole: true,
    play: async (page) => {
      await toBench(page, ...WT);
      await until(page, `view.outcome !== null`);
      await page.getByRole('button', { name: 'See the job' }).click();
      await page.getByRole('table').waitFor();
    },
  },
  {
    name: 'start-again',
    play: async (page) => {
      await toBench(page, ...WT);
      await until(page, `view.step_number > 14`);
      await page.getByRole('button', { name: 'Leave for later' }).click();
      await page.getByRole('heading', { level: 1 }).waitFor();
    },
  },
  {
    name: 'review',
    whole: true,
    play: async (page) => {
      await page.evaluate(() => window.stage.manyJobs('wt-3.yaml', 'battery-pack', 24));
      await page.evaluate(() => window.stage.manyJobs('bp-60.yaml', 'fan', 6));
      await page.getByRole('button', { name: 'Review' }).click();
      await page.getByRole('figure').first().waitFor();
      await page.getByRole('button', { name: 'Compare' }).click();
      await page.getByRole('heading', { name: 'everybody against everybody' }).waitFor();
      await page.waitForTimeout(1500);
    },
  },
  {
    name: 'review-empty',
    play: async (page) => {
      await page.getByRole('button', { name: 'Review' }).click();
      await page.getByText('Nothing to review yet').waitFor();
    },
  },
  {
    name: 'desk',
    whole: true,
    play: async (page) => {
      await page.getByRole('button', { name: 'Author’s desk' }).click();
      await page.getByRole('button', { name: /wt-3.yaml/ }).click();
      await page.getByRole('combobox').first().waitFor();
      await page.waitForTimeout(150);
    },
  },
  {
    name: 'desk-broken',
    play: async (page) => {
      await page.getByRole('button', { name: 'Author’s desk' }).click();
      await page.getByRole('button', { name: /broken/ }).click();
      await page.getByRole('heading', { name: 'Problems' }).waitFor();
      await page.waitForTimeout(100);
    },
  },
  {
    name: 'settings',
    whole: true,
    play: async (page) => void (await page.getByRole('button', { name: 'Settings' }).click()),
  },
  {
    name: 'help',
    whole: true,
    play: async (page) => void (await page.getByRole('button', { name: 'Help' }).click()),
  },
];
