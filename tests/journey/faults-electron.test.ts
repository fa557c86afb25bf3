/** Faults of the shell in the middle of a job: what was acknowledged stays, and the job goes on at the same step. */
import { afterEach, describe, expect, it } from 'vitest';
import type { PageInput, Settings } from '../../electron/ipc/contract.ts';
import { workByKeysTo } from './by-keys.ts';
import { stepcaller, theJob, viewFromLog } from './job-on-disk.ts';
import { beginJob, Home, type Opened, onTheBench, openElectron, viewThroughPage } from './programs.ts';

const homes: Home[] = [];
const programs: Opened[] = [];
afterEach(async () => {
  for (const program of programs.splice(0)) await program.app.close().catch(() => undefined);
  for (const home of homes.splice(0)) home.remove();
});

/** Opens the program without a sound card: it speaks to nobody and has no microphone. */
async function openByKeys(home: Home): Promise<Opened> {
  const opened = await openElectron(home, { PULSE_SERVER: 'unix:/nowhere' });
  programs.push(opened);
  return opened;
}

/** Without a voice nothing waits for cautions to be read. */
function newHome(settings: Partial<Settings> = { voice: 'off' }): Home {
  const home = new Home(settings);
  homes.push(home);
  return home;
}

/** Works by keys until the wanted step; the result is what the page was told is done. */
function workTo(opened: Opened, step_number: number): Promise<string[]> {
  const bench = {
    view: () => viewThroughPage(opened.page),
    give: (input: PageInput) =>
      opened.page.evaluate(
        async (given) => (await window.stepcaller?.ask('job.input', given))?.ok === true,
        input,
      ),
  };
  return workByKeysTo(bench, step_number);
}

/** Everything that was acknowledged to the page is in the log. */
async function expectKept(home: Home, acknowledged: readonly string[]): Promise<void> {
  const job = await theJob(home.jobs);
  const kept = (job?.records ?? []).flatMap((record) => {
    if (record.event === 'step.confirmed') return [`${record.step} next`];
    return record.event === 'caution.acknowledged' ? [`${record.step} understood`] : [];
  });
  const lasting = acknowledged.filter((one) => / (next|understood)$/.test(one));
  expect(lasting.length).toBeGreaterThan(2);
  for (const one of lasting) expect(kept).toContain(one);
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
    await onTheBench(second.page);
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
    await onTheBench(second.page);
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
        return String(await contents.executeJavaScript('document.body.innerText'));
      });
    await expect
      .poll(shown, { timeout: 30_000, interval: 200 })
      .toContain(before?.prompt.slice(0, 20) ?? 'nothing');
    await expectKept(home, acknowledged);
    expect((await viewFromLog(home.jobs))?.step.id).toBe(before?.step.id);
  });

  it('goes on by keys where there is no microphone, and the screen says so', async () => {
    const home = newHome({});
    const opened = await openByKeys(home);
    await beginJob(opened.page, /wt-3/i, /battery pack/i);
    await opened.page.getByText('No microphone found.').first().waitFor();
    await workTo(opened, 4);
    expect((await viewThroughPage(opened.page))?.step_number).toBeGreaterThanOrEqual(4);
  });
});
