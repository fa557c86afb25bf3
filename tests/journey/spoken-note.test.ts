/**
 * A spoken note through the whole microphone path, in Electron and in Chromium: asked for by voice, ended by
 * voice, lying beside the log, found good by `verify`, played in the record. Before it no sound is on the disk.
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readWav } from '../../electron/ear-node/wav.ts';
import { SAMPLE_RATE_HZ } from '../../renderer/ears/decoder.ts';
import { speak } from '../sound/voices.ts';
import { heard, sayUntil, voice } from './by-voice.ts';
import { stepcaller, theJob } from './job-on-disk.ts';
import { type Bench, EFFECT_MS, openBench, PROGRAMS, tapButton, workByTouch } from './manners.ts';
import { onTheBench } from './programs.ts';
import { Room } from './room.ts';
import { expectNoSoundWritten } from './whole-job.ts';

const NOTE = 'the seal under the lid is brittle and it tore when I pulled the lid away';

describe.each(PROGRAMS)('a spoken note in %s', (program) => {
  let room: Room;
  let bench: Bench;
  beforeAll(async () => {
    room = await Room.open();
    // In one of the two the program speaks between the words as well; in the other nothing waits for it.
    const voice = program === 'Electron' ? 'embedded' : 'off';
    bench = await openBench(program, { voice, rate: 2 }, undefined, room.environment());
  });
  afterAll(async () => {
    await bench?.close();
    room?.close();
  });

  it('is kept only when it is asked for, ends with the word, and can be played and checked', async () => {
    const { page, home } = bench;
    const since = Date.now();
    await tapButton(bench, 'Start the practice');
    await tapButton(bench, 'Start the job');
    await onTheBench(page);
    await page.locator('.ear-panel.live').waitFor({ timeout: 60_000 });
    // Talk that nobody asked to keep leaves nothing on the disk.
    await room.say(await speak(voice, NOTE), SAMPLE_RATE_HZ);
    await workByTouch(bench, (view) => view.allowed.phrases.includes('note'));
    expectNoSoundWritten([home.jobs], since);

    await sayUntil(room, bench, 'note', 'question.asked');
    await sayUntil(room, bench, 'yes', 'note.started');
    await page.getByText('Recording your note').waitFor();
    const spoken = await speak(voice, NOTE);
    await room.say(spoken, SAMPLE_RATE_HZ);
    await room.say(new Float32Array(SAMPLE_RATE_HZ), SAMPLE_RATE_HZ);
    await room.say(await speak(voice, 'stop'), SAMPLE_RATE_HZ);
    await expect.poll(() => heard(bench, 'note.taken'), { timeout: EFFECT_MS }).toBe(true);

    const job = await theJob(home.jobs);
    const folder = job?.folder ?? '';
    const taken = job?.records.find((one) => one.event === 'note.taken');
    expect(taken).toMatchObject({ audio: 'note-1.wav', text: null });
    const wav = readWav(readFileSync(join(folder, 'note-1.wav')));
    const sound = wav.ok ? wav.value : undefined;
    expect(sound).toMatchObject({ rateHz: SAMPLE_RATE_HZ, channels: 1, bits: 16 });
    // The whole sentence, loud enough to be heard, and not much besides.
    const spoken_ms = (1000 * spoken.length) / SAMPLE_RATE_HZ;
    const kept_ms = (1000 * (sound?.samples.length ?? 0)) / SAMPLE_RATE_HZ;
    expect(kept_ms).toBeGreaterThan(0.8 * spoken_ms);
    expect(kept_ms).toBeLessThan(spoken_ms + 2500);
    expect(Math.max(...(sound?.samples ?? []).map(Math.abs))).toBeGreaterThan(0.02);
    process.stdout.write(
      `${program}: a sentence of ${Math.round(spoken_ms)} ms, a note of ${Math.round(kept_ms)} ms\n`,
    );

    await workByTouch(bench, (view) => view.outcome !== null);
    const told = stepcaller('verify', folder);
    expect(told.words).toBe('');
    expect(told.json).toMatchObject({ verdict: 'complete', findings: [] });
    await tapButton(bench, 'See the job');
    await expect.poll(() => room.quietForMs(), { timeout: EFFECT_MS }).toBeGreaterThan(700);
    const before_ms = room.heardMs();
    await tapButton(bench, /^Play the note/);
    await expect.poll(() => room.heardMs() - before_ms, { timeout: EFFECT_MS }).toBeGreaterThan(1000);
    expect(bench.failed).toEqual([]);
  });
});
