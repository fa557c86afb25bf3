/**
 * A question about the unit that was left open before the job: the voice asks it once the unit shows the
 * answer, the answer is spoken, and the steps of the other answer are gone. Through the whole microphone path.
 */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { recordsOf, sayUntil } from './by-voice.ts';
import { stepcaller, theJob } from './job-on-disk.ts';
import { type Bench, EFFECT_MS, openBench, tapButton, workByTouch } from './manners.ts';
import { onTheBench } from './programs.ts';
import { Room } from './room.ts';

describe('a question about the unit', () => {
  let room: Room;
  let bench: Bench;
  beforeAll(async () => {
    room = await Room.open();
    bench = await openBench('Chromium', { rate: 2 }, undefined, room.environment());
  });
  afterAll(async () => {
    await bench?.close();
    room?.close();
  });

  it('is asked and answered by voice when its time comes', async () => {
    const { page, home } = bench;
    await tapButton(bench, /bp-60/i);
    await page.getByRole('checkbox', { name: 'heat sink' }).check();
    await tapButton(bench, 'See the plan');
    await page.getByText('only if: four').first().waitFor();
    await tapButton(bench, 'Start the job');
    await onTheBench(page);
    await page.locator('.ear-panel.live').waitFor({ timeout: 60_000 });

    await workByTouch(bench, (view) => view.question?.kind === 'variant');
    // Until here nothing had to be heard; the question is to be.
    await tapButton(bench, 'Leave for later');
    await tapButton(bench, 'Settings');
    await bench.tap(page.getByText('Built-in voice'));
    await tapButton(bench, 'Jobs');
    const before_ms = room.heardMs();
    await tapButton(bench, /Go on at step/);
    await onTheBench(page);
    await page.getByText('Does the heat sink have four screws or six?').first().waitFor();
    await expect.poll(() => room.heardMs() - before_ms, { timeout: EFFECT_MS }).toBeGreaterThan(1000);
    await sayUntil(room, bench, 'six', 'question.answered');
    expect((await recordsOf(bench)).filter(({ event }) => event === 'question.answered')).toMatchObject([
      { question: 'variant', answer: 'six', source: 'voice' },
    ]);
    const steps = (await bench.view())?.steps ?? [];
    expect(steps.some(({ say }) => say.includes('the six M3×12'))).toBe(true);
    expect(steps.some(({ say }) => say.includes('the four M3×12'))).toBe(false);

    await workByTouch(bench, (view) => /six M3×12/.test(view.step.say));
    const told = stepcaller('verify', (await theJob(home.jobs))?.folder ?? '');
    expect(told.json).toMatchObject({ verdict: 'unfinished', findings: [] });
    expect(bench.failed).toEqual([]);
  });
});
