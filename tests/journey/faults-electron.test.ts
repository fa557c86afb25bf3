/** Faults of the shell in the middle of a job: what was acknowledged stays, and the job goes on at the same step. */
import { afterEach, describe, expect, it } from 'vitest';
import { stepcaller, theJob, viewFromLog } from './job-on-disk.ts';
import { beginJob, Home, type Opened, openElectron, viewThroughPage } from './programs.ts';

const homes: Home[] = [];
const programs: Opened[] = [];
afterEach(async () => {
  for (const program of programs.splice(0)) await program.app.close().catch(() => undefined);
  for (const home of homes.splice(0)) home.remove();
});

/** Opens the program without a voice and without a microphone: by keys alone. */
async function openByKeys(home: Home): Promise<Opened> {
  const opened = await openElectron(home, { PULSE_SERVER: 'unix:/nowhere' });
  programs.push(opened);
  return opened;
}

function newHome(): Home {
  const home = new Home({ voice: 'off' });
  homes.push(home);
  return home;
}

const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** Gives one input as the keys would, and returns once the host has answered. */
async function give(opened: Opened, phrase: string): Promise<boolean> {
  return opened.page.evaluate(async (said) => {
    const answer = await window.stepcaller?.ask('job.input', {
      type: 'phrase',
      phrase: said,
      source: 'key',
    } as never);
    return answer?.ok === true;
  }, phrase);
}

/** Works by keys until the wanted step; what was acknowledged on the way is in the result, as the page was told. */
async function workTo(opened: Opened, step_number: number): Promise<string[]> {
  const acknowledged: string[] = [];
  for (let turn = 0; turn < 200; turn++) {
    const view = await viewThroughPage(opened.page);
    if (view === null) throw new Error('no job is open');
    if (view.step_number >= step_number && view.caution === null) return acknowledged;
    if (view.caution !== null && !view.caution.read) {
      await pause(20);
      continue;
    }
    if (view.waits_for === 'serial') {
      const told = await opened.page.evaluate(async () => {
        const answer = await window.stepcaller?.ask('job.input', {
          type: 'serial',
          value: '123456',
          source: 'key',
        } as never);
        return answer?.ok === true;
      });
      if (!told || !(await give(opened, 'yes'))) throw new Error('the serial number was not taken');
      if ((await viewThroughPage(opened.page))?.step_number === view.step_number) await give(opened, 'next');
      continue;
    }
    const phrase = view.caution === null ? 'next' : 'understood';
    if (await give(opened, phrase)) acknowledged.push(`${view.step.id} ${phrase}`);
  }
  throw new Error(`step ${step_number} was not reached`);
}

/** Everything that was acknowledged to the page is in the log. */
async function expectKept(home: Home, acknowledged: readonly string[]): Promise<void> {
  const job = await theJob(home.jobs);
  const kept = (job?.records ?? []).flatMap((record) => {
    if (record.event === 'step.confirmed') return [`${record.step} next`];
    return record.event === 'caution.acknowledged' ? [`${record.step} understood`] : [];
  });
  for (const one of acknowledged) expect(kept).toContain(one);
}

describe('a job in the middle', () => {
  it('survives the window being closed, and goes on at the same step', async () => {
    const home = newHome();
    const first = await openByKeys(home);
    await beginJob(first.page, /wt-3/i, /battery pack/i);
    const acknowledged = await workTo(first, 6);
    const before = await viewThroughPage(first.page);
    await first.app.evaluate(({ BrowserWindow }) => BrowserWindow.getAllWindows()[0]?.close());
    await first.app.waitForEvent('close');
    await expectKept(home, acknowledged);
    expect((await theJob(home.jobs))?.records.at(-1)?.event).toBe('job.left');

    const second = await openByKeys(home);
    await second.page.getByRole('button', { name: /Go on at step 6 of/ }).click();
    await second.page.getByRole('progressbar').waitFor();
    const after = await viewThroughPage(second.page);
    expect(after?.step.id).toBe(before?.step.id);
    expect(after?.steps.map((step) => step.state)).toEqual(before?.steps.map((step) => step.state));
  });

  it('survives the program being killed, and goes on at the same step', async () => {
    const home = newHome();
    const first = await openByKeys(home);
    await beginJob(first.page, /wt-3/i, /battery pack/i);
    const acknowledged = await workTo(first, 8);
    const before = await viewThroughPage(first.page);
    const gone = new Promise((resolve) => first.app.process().once('exit', resolve));
    first.app.process().kill('SIGKILL');
    await gone;
    await expectKept(home, acknowledged);
    expect((await viewFromLog(home.jobs))?.step.id).toBe(before?.step.id);

    const second = await openByKeys(home);
    await second.page.getByRole('button', { name: /Go on at step 8 of/ }).click();
    await second.page.getByRole('progressbar').waitFor();
    expect((await viewThroughPage(second.page))?.step.id).toBe(before?.step.id);
    const verified = stepcaller('verify', (await theJob(home.jobs))?.folder ?? '');
    expect(verified.json).toMatchObject({ verdict: 'unfinished' });
  });

  it('survives a crash of the page: it is loaded again and shows the same step', async () => {
    const home = newHome();
    const { app, page } = await openByKeys(home);
    await beginJob(page, /wt-3/i, /battery pack/i);
    const acknowledged = await workTo(programs[0] as Opened, 5);
    const before = await viewThroughPage(page);
    const crashed = page.waitForEvent('crash', { timeout: 30_000 }).catch(() => undefined);
    await app.evaluate(({ BrowserWindow }) =>
      BrowserWindow.getAllWindows()[0]?.webContents.forcefullyCrashRenderer(),
    );
    await crashed;
    // The page object of the test is gone with the crash; the window is asked instead.
    const shown = async (): Promise<string> =>
      app.evaluate(async ({ BrowserWindow }) => {
        const contents = BrowserWindow.getAllWindows()[0]?.webContents;
        if (contents === undefined || contents.isCrashed() || contents.isLoading()) return '';
        return String(
          await contents.executeJavaScript(
            'document.querySelector("[role=progressbar]") ? document.body.innerText : ""',
          ),
        );
      });
    await expect
      .poll(shown, { timeout: 30_000, interval: 200 })
      .toContain(before?.prompt.slice(0, 20) ?? 'nothing');
    await expectKept(home, acknowledged);
    expect((await viewFromLog(home.jobs))?.step.id).toBe(before?.step.id);
  });

  it('goes on by keys where there is no microphone, and the screen says so', async () => {
    const home = newHome();
    const opened = await openByKeys(home);
    await beginJob(opened.page, /wt-3/i, /battery pack/i);
    await expect
      .poll(async () => (await viewThroughPage(opened.page))?.troubles ?? [], { timeout: 30_000 })
      .toContain('no-microphone');
    await opened.page
      .getByText(/microphone/i)
      .first()
      .waitFor();
    await workTo(opened, 4);
    expect((await viewThroughPage(opened.page))?.step_number).toBeGreaterThanOrEqual(4);
  });
});
