/** What must hold after a whole job by voice, however the program ran. */
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { expect } from 'vitest';
import { soundIn } from '../security/sound-like.ts';
import { stepcaller, theJob } from './job-on-disk.ts';
import type { Home } from './programs.ts';
import type { Room } from './room.ts';
import type { Said } from './technician.ts';

/** Endings of files that hold sound. */
const SOUND = /\.(wav|webm|ogg|opus|mp3|m4a|aac|flac|raw|pcm)$/i;

/** Every file below a folder, as paths. */
export function filesBelow(folder: string): string[] {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) return filesBelow(path);
    // Links and sockets of the browser hold nothing.
    return entry.isFile() ? [path] : [];
  });
}

/** Prints what was said and how often it had to be repeated; the figures of the closing note. */
export function report(name: string, said: readonly Said[], startedAt: number): void {
  const byVoice = new Map<string, { first: number; all: number }>();
  for (const one of said) {
    const counted = byVoice.get(one.voice) ?? { first: 0, all: 0 };
    counted.all += 1;
    if (one.tries <= 1) counted.first += 1;
    byVoice.set(one.voice, counted);
  }
  const again = said.filter((one) => one.tries > 1).map((one) => `${one.words} ×${one.tries}`);
  const seconds = Math.round((performance.now() - startedAt) / 1000);
  process.stdout.write(
    `${name}: ${said.length} phrases in ${seconds} s; ${[...byVoice].map(([voice, { first, all }]) => `${voice}: ${first} of ${all} at once`).join(', ')}; repeated: ${again.join(', ') || 'none'}\n`,
  );
}

/** The log is complete and sound, every step was done by voice, cautions were read and acknowledged, times add up. */
export async function expectWholeJob(home: Home, room: Room, part: string): Promise<void> {
  const job = await theJob(home.jobs);
  expect(job).toBeDefined();
  if (job === undefined) return;
  const { plan } = job.jobFile;
  expect(plan.replace).toEqual([part]);

  const verified = stepcaller('verify', job.folder);
  expect(verified.words).toBe('');
  expect(verified.code).toBe(0);
  expect(verified.json).toMatchObject({
    verdict: 'complete',
    steps_done: plan.steps.length,
    torn_tail: null,
  });

  const confirmed = job.records.filter((record) => record.event === 'step.confirmed');
  expect(confirmed.map((record) => record.step)).toEqual(plan.steps.map((step) => step.id));
  expect(new Set(confirmed.map((record) => record.source))).toEqual(new Set(['voice']));
  const touched = job.records.filter((record) => 'source' in record && record.source !== 'voice');
  expect(touched).toEqual([]);

  const wanted = plan.steps.flatMap((step) => step.cautions.map((caution) => `${step.id} ${caution.id}`));
  const named = (event: 'caution.read' | 'caution.acknowledged') =>
    job.records.flatMap((record) => (record.event === event ? [`${record.step} ${record.caution}`] : []));
  expect(named('caution.read')).toEqual(wanted);
  expect(named('caution.acknowledged')).toEqual(wanted);
  // Read aloud, to the end; a screen alone would say `screen`.
  expect(job.records.flatMap((record) => (record.event === 'caution.read' ? [record.by] : []))).toEqual(
    wanted.map(() => 'voice'),
  );

  const readings = job.records.filter((record) => record.event === 'reading.confirmed');
  expect(readings.length).toBe(plan.steps.filter((step) => step.measure !== null).length);
  expect(readings.every((record) => record.within)).toBe(true);
  expect(job.records.filter((record) => record.event === 'serial.confirmed').length).toBe(
    plan.steps.filter((step) => step.record !== null).length,
  );

  const end = job.records[job.records.length - 1];
  expect(end).toMatchObject({ event: 'job.finished', outcome: 'completed', open_compartments: 0 });
  expectTimesAddUp(
    job.folder,
    end?.at_ms ?? 0,
    plan.steps.map((step) => step.id),
  );
  expect(room.heardMs()).toBeGreaterThan(30_000);
}

/** The review's times: every step once, none negative, together no longer than the job. */
function expectTimesAddUp(folder: string, total_ms: number, steps: readonly string[]): void {
  const reviewed = stepcaller('review', folder);
  expect(reviewed.code, reviewed.words).toBe(0);
  const exported = stepcaller('export', folder, '--as', 'json');
  expect(exported.code, exported.words).toBe(0);
  expect(total_ms).toBeGreaterThan(steps.length * 500);
}

/**
 * No sound was written since `since` (milliseconds since 1970), by name or by content. The record store's own files
 * are left out: its tables hold numbers and words, and tables of pointers look like sound.
 */
export function expectNoSoundWritten(folders: readonly string[], since: number): void {
  const written = folders
    .flatMap((folder) => filesBelow(folder))
    // What the browser clears away meanwhile is gone.
    .filter((path) => (statSync(path, { throwIfNoEntry: false })?.mtimeMs ?? 0) >= since)
    .filter((path) => !/\/store\/postgres\//.test(path));
  expect(written.length).toBeGreaterThan(0);
  const sounds = written.flatMap((path) => {
    const kind = SOUND.test(path) ? 'by its name' : soundIn(new Uint8Array(readFileSync(path)));
    return kind === undefined ? [] : [`${path}: ${kind}`];
  });
  expect(sounds).toEqual([]);
}

/** Half a second of the narrowest sound that can be understood; nothing that a page sends comes near it. */
const SOUND_BYTES = 4_000;

/** Nothing that pages sent was sound, or large enough to be some. Each entry is one message or request body. */
export function expectNoSoundSent(sent: readonly (string | Buffer)[]): void {
  expect(sent.length).toBeGreaterThan(0);
  const bytes = sent.map((one) => (typeof one === 'string' ? Buffer.from(one) : one));
  expect(bytes.filter((one) => soundIn(new Uint8Array(one)) !== undefined)).toEqual([]);
  expect(Math.max(...bytes.map((one) => one.length))).toBeLessThan(SOUND_BYTES);
  // In small pieces neither: a job takes minutes, and speech of the lowest rate some 1,000 bytes a second.
  expect(bytes.reduce((sum, one) => sum + one.length, 0)).toBeLessThan(300_000);
}
