/**
 * The manners of the bench with people at it, in Electron and in Chromium: gloves, a trainee at a hold point, an
 * interruption with a hand-over. Without a voice, so that nothing waits for sound. One start serves them all.
 */
import { mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import type { JobRecord } from '../../electron/core/job/model.ts';
import { stepcaller, theJob } from './job-on-disk.ts';
import {
  type Bench,
  EFFECT_MS,
  openBench,
  PROGRAMS,
  smallTargets,
  tapButton,
  tapLarge,
  tapOn,
  withEffect,
  workByTouch,
} from './manners.ts';
import { type Home, onTheBench, ROOT } from './programs.ts';

/** The paper unit under another name, with a second person wanted at the last check. */
function withHold(home: Home): void {
  const text = readFileSync(join(ROOT, 'procedures/practice.yaml'), 'utf8')
    .replace('id: practice', 'id: held')
    .replace('name: Paper unit for practice', 'name: Held sheet')
    .replace('- id: problem-try', '- id: problem-try\n    hold: A second person sees the new sheet');
  mkdirSync(join(home.folder, 'procedures'), { recursive: true });
  writeFileSync(join(home.folder, 'procedures/held.yaml'), text);
}

const recordsOf = async (bench: Bench): Promise<readonly JobRecord[]> =>
  (await theJob(bench.home.jobs))?.records ?? [];

async function practise(bench: Bench): Promise<void> {
  await tapButton(bench, 'Start the practice');
  await tapButton(bench, 'Start the job');
  await onTheBench(bench.page);
}

describe.each(PROGRAMS)('at a bench in %s', (program) => {
  let bench: Bench;
  let jobs = 0;
  beforeAll(async () => {
    bench = await openBench(program, {}, withHold);
  });
  afterAll(() => bench?.close());
  afterEach(async () => {
    expect(bench.failed).toEqual([]);
    // The next test finds the shelf empty, and the first screen.
    const { page, home } = bench;
    await page.reload();
    const leave = page.getByRole('button', { name: 'Leave for later' });
    if (await leave.isVisible()) await leave.click();
    await page.getByRole('button', { name: 'Start the practice' }).waitFor();
    jobs += 1;
    renameSync(home.jobs, join(home.folder, `jobs-before-${jobs}`));
  });

  it('gloves do a whole job by touch alone, from the first screen to its record', async () => {
    const { page, home } = bench;
    await practise(bench);
    expect(await smallTargets(page)).toEqual([]);
    await workByTouch(bench, (view) => view.outcome !== null);
    await tapButton(bench, 'See the job');
    await page.getByRole('table').first().waitFor();
    const sources = (await recordsOf(bench)).flatMap((one) => ('source' in one ? [one.source] : []));
    expect(new Set(sources)).toEqual(new Set(['touch']));
    const job = await theJob(home.jobs);
    expect(stepcaller('verify', job?.folder ?? '').json).toMatchObject({ verdict: 'complete' });
  });

  it('a trainee is told why, tells counts, and waits at a hold point for another person', async () => {
    const { page } = bench;
    await tapButton(bench, 'Settings');
    await bench.tap(page.getByText(/^Trainee:/));
    await tapButton(bench, 'Jobs');
    await tapButton(bench, /Held sheet/);
    await bench.tap(page.getByRole('checkbox', { name: /paper sheet/ }));
    await tapButton(bench, 'See the plan');
    await tapButton(bench, 'Start the job');
    await onTheBench(page);
    await workByTouch(bench, (view) => view.phase === 'step' && view.step.fasteners.length > 0);
    const aside = page.locator('.aside');
    await aside.filter({ hasText: 'All four corners lie flat.' }).waitFor();
    await aside.filter({ hasText: 'The count tells you what must lie in the tray.' }).waitFor();

    const wrong = await withEffect(bench, () => tapLarge(bench, /next/));
    expect(wrong?.question?.kind).toBe('count');
    await tapOn(bench, 'Number pad', '9', 'Enter');
    await page.getByText('you counted 9').first().waitFor();
    expect((await bench.view())?.step.id).toBe(wrong?.step.id);

    await workByTouch(bench, (view) => view.phase === 'step' && view.waits_for === 'sign-off');
    await page.getByText('A second person sees the new sheet').first().waitFor();
    await tapOn(bench, 'Sign-off', 'A', 'Sign');
    await page.getByText('must come from another person').first().waitFor();
    expect((await bench.view())?.waits_for).toBe('sign-off');
    const signed = await withEffect(bench, () => tapOn(bench, 'Sign-off', 'E', 'Sign'));
    expect(signed?.waits_for).toBeNull();
    await workByTouch(bench, (view) => view.outcome !== null);
    const signers = (await recordsOf(bench)).flatMap((one) =>
      one.event === 'hold.signed' ? [one.person] : [],
    );
    expect(new Set(signers)).toEqual(new Set(['E']));
  });

  it('an interruption goes on at the same step, gives a colleague all cautions, and jumps after asking', async () => {
    const { page } = bench;
    await practise(bench);
    const folding = await workByTouch(
      bench,
      (view) => view.phase === 'step' && view.step.cautions.length > 0 && view.caution === null,
    );
    await tapButton(bench, 'Leave for later');
    await page.reload();
    await tapButton(bench, new RegExp(`Go on at step ${folding.step_number}`));
    await onTheBench(page);
    // The same person at the same step knows them; a colleague does not.
    const reopened = async () => (await recordsOf(bench)).some((one) => one.event === 'job.reopened');
    await expect.poll(reopened, { timeout: EFFECT_MS }).toBe(true);
    expect((await bench.view())?.step.id).toBe(folding.step.id);
    await tapButton(bench, 'Hand over');
    const handed = await withEffect(bench, () => tapOn(bench, 'Hand over', 'B', 'Hand over the job'));
    expect(handed).toMatchObject({ technician: 'B', phase: 'caution', step_number: folding.step_number });
    await page.getByRole('region', { name: /^CAUTION/ }).waitFor();
    await withEffect(bench, () => tapLarge(bench, /understood/));

    await tapButton(bench, 'All steps');
    const rows = page.getByRole('region', { name: 'All steps' }).locator('.step-row');
    expect(await rows.count()).toBe(folding.step_number);
    const asked = await withEffect(bench, () => bench.tap(rows.first()));
    expect(asked).toMatchObject({ step_number: folding.step_number, question: { kind: 'go-back' } });
    const back = await withEffect(bench, () => tapLarge(bench, /yes/));
    expect(back?.step_number).toBe(1);

    await workByTouch(bench, (view) => view.outcome !== null);
    const records = await recordsOf(bench);
    const understood = records.filter((one) => one.event === 'caution.acknowledged');
    expect(understood.length).toBeGreaterThanOrEqual(2);
    expect(records.filter((one) => one.event === 'job.handed-over')).toMatchObject([{ from: 'A', to: 'B' }]);
  });
});
