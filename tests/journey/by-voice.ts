/** Says words into the room's microphone until the log on the disk shows what they do. */
import { expect } from 'vitest';
import type { JobRecord } from '../../electron/core/job/model.ts';
import { SAMPLE_RATE_HZ } from '../../renderer/ears/decoder.ts';
import { installedVoices, speak, type Voice } from '../sound/voices.ts';
import { theJob } from './job-on-disk.ts';
import { type Bench, EFFECT_MS } from './manners.ts';
import type { Room } from './room.ts';

const TRIES_MAX = 6;
const TRY_MS = 6000;
/** Who speaks: the first one, and the others where it was not understood. */
const voices = [...installedVoices('report')].sort(
  (a, b) => Number(b.engine === 'flite') - Number(a.engine === 'flite'),
);
export const voice = voices[0] as Voice;

/** The records of the job on the disk. */
export async function recordsOf(bench: Bench): Promise<readonly JobRecord[]> {
  return (await theJob(bench.home.jobs))?.records ?? [];
}

/** Whether the log holds so many records of an event. */
export const heard = async (bench: Bench, event: JobRecord['event'], count = 1): Promise<boolean> =>
  (await recordsOf(bench)).filter((one) => one.event === event).length >= count;

/** Says words until the log shows what they do; the program is let finish speaking first. */
export async function sayUntil(
  room: Room,
  bench: Bench,
  words: string,
  event: JobRecord['event'],
): Promise<void> {
  for (let tries = 0; tries < TRIES_MAX; tries += 1) {
    await expect.poll(() => room.quietForMs(), { timeout: EFFECT_MS }).toBeGreaterThan(700);
    await room.say(await speak(voices[tries % voices.length] ?? voice, words), SAMPLE_RATE_HZ);
    const done = await expect
      .poll(() => heard(bench, event), { timeout: TRY_MS })
      .toBe(true)
      .then(
        () => true,
        () => false,
      );
    if (done) return;
  }
  const records = await recordsOf(bench);
  throw new Error(`“${words}” had no effect; at the end: ${JSON.stringify(records.slice(-TRIES_MAX))}`);
}
