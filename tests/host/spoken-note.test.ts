/** Rule L16. A spoken note on its way to the disk: only when it is asked for, whole or not at all, and found out when changed. */
import { describe, expect, test } from 'vitest';
import { PRESS_AGAIN_MS } from '../../electron/core/job/engine.ts';
import { readLog } from '../../electron/core/log/codec.ts';
import { noteFindings, spokenNotesOf } from '../../electron/core/log/notes.ts';
import { isNoteName, NOTE_PCM_BYTES_MAX, noteHashes, readNote } from '../../electron/disk/spoken-note.ts';
import { readWav } from '../../electron/ear-node/wav.ts';
import { ARGUMENT_CHECKS } from '../../electron/ipc/schemas.ts';
import { SimulatedProcesses } from '../crash/ports.ts';
import { Session } from '../crash/session.ts';
import { jobFileOf, SHORT_PLAN } from '../crash/short-plan.ts';
import { SimulatedDisk } from '../crash/simulated-disk.ts';

const FOLDER = '/jobs/job-1';
const PCM = new Uint8Array(new Int16Array(Array.from({ length: 16_000 }, (_, i) => (i % 50) * 100)).buffer);
const said = (session: Session): number =>
  session.effectsSince(0).reduce((last, effect) => (effect.type === 'say' ? effect.utterance : last), 0);
const say = (session: Session, phrase: 'understood' | 'note' | 'yes' | 'undo') => {
  // Nobody presses twice in one moment.
  session.clock.advance(PRESS_AGAIN_MS);
  return session.handle({ type: 'phrase', phrase, source: 'voice', confidence: 1 });
};
const spoken = (session: Session) =>
  session.handle({ type: 'spoken', utterance: said(session), outcome: 'completed' });
const linesOf = (session: Session) => readLog(session.disk.peek(`${FOLDER}/log.jsonl`) ?? '').lines;

async function atStep(): Promise<{ session: Session; disk: SimulatedDisk }> {
  const disk = new SimulatedDisk();
  const session = new Session(disk, new SimulatedProcesses().start(), jobFileOf(SHORT_PLAN));
  await session.start();
  await spoken(session);
  await say(session, 'understood');
  return { session, disk };
}

async function recording() {
  const opened = await atStep();
  await say(opened.session, 'note');
  await say(opened.session, 'yes');
  await spoken(opened.session);
  return opened;
}
const notesOn = async (disk: SimulatedDisk) => {
  const hashes = await noteHashes(disk, FOLDER);
  if (!hashes.ok) throw new Error(hashes.error.code);
  return hashes.value;
};

describe('a spoken note', () => {
  test('is refused and not written while nobody has asked for one', async () => {
    const { session, disk } = await atStep();
    const kept = await session.service.keepNote('stop', PCM);
    expect(kept).toMatchObject({ ok: false, error: { code: 'note/not-asked' } });
    await say(session, 'note');
    expect((await session.service.keepNote('stop', PCM)).ok).toBe(false);
    await say(session, 'yes');
    // The invitation is still being spoken: nothing is recorded yet.
    expect((await session.service.keepNote('stop', PCM)).ok).toBe(false);
    expect((await notesOn(disk)).size).toBe(0);
  });

  test('lies beside the log as a WAV file, and the log names it with its hash', async () => {
    const { session, disk } = await recording();
    expect(await session.service.keepNote('silence', PCM)).toEqual({ ok: true, value: null });
    const line = linesOf(session).at(-1);
    expect(line).toMatchObject({ event: 'note.taken', fields: { audio: 'note-1.wav', audio_ms: 1000 } });
    const hashes = await notesOn(disk);
    expect([...hashes]).toEqual([['note-1.wav', line?.fields.audio_sha256]]);
    const wav = readWav(disk.peek(`${FOLDER}/note-1.wav`) ?? new Uint8Array());
    expect(wav).toMatchObject({ ok: true, value: { rateHz: 16_000, channels: 1, bits: 16 } });
    expect(noteFindings(linesOf(session), hashes)).toEqual([]);
    // Once: the same again is not asked for.
    expect((await session.service.keepNote('silence', PCM)).ok).toBe(false);
  });

  test('is synced, file and name, before the log names it', async () => {
    const { session, disk } = await recording();
    const before = disk.calls.length;
    await session.service.keepNote('silence', PCM);
    const calls = disk.calls.slice(before).map(({ call, path }) => `${call} ${path.split('/').at(-1)}`);
    expect(calls.indexOf('sync note-1.wav')).toBeGreaterThanOrEqual(0);
    expect(calls.indexOf('sync-folder job-1')).toBeGreaterThan(calls.indexOf('sync note-1.wav'));
    expect(calls.indexOf('write log.jsonl')).toBeGreaterThan(calls.indexOf('sync-folder job-1'));
  });

  test('of nothing is no note', async () => {
    const { session, disk } = await recording();
    await session.service.keepNote('nothing-said', new Uint8Array());
    expect(linesOf(session).at(-1)).toMatchObject({ event: 'note.dropped', fields: { why: 'nothing-said' } });
    expect((await notesOn(disk)).size).toBe(0);
  });

  test.each([
    ['half a sample', 3],
    ['more than a minute', NOTE_PCM_BYTES_MAX + 2],
  ])('of %s is refused', async (_, bytes) => {
    const { session, disk } = await recording();
    expect((await session.service.keepNote('stop', new Uint8Array(bytes))).ok).toBe(false);
    expect(session.service.view()?.recording).toBeNull();
    expect((await notesOn(disk)).size).toBe(0);
  });

  test('that cannot be written leaves nothing behind and the job goes on, whichever call fails', async () => {
    const whole = await recording();
    const first = whole.disk.calls.length;
    await whole.session.service.keepNote('stop', PCM);
    const calls = whole.disk.calls.length - first;
    expect(calls).toBeGreaterThan(6);
    for (let nth = 1; nth <= calls; nth += 1) {
      const { session, disk } = await recording();
      disk.fault = { at: disk.calls.length + nth, code: 'ENOSPC', forGood: false };
      const kept = await session.service.keepNote('stop', PCM);
      const named = new Set(spokenNotesOf(linesOf(session)).map((note) => note.audio));
      for (const file of (await notesOn(disk)).keys()) expect([nth, named.has(file)]).toEqual([nth, true]);
      expect([nth, kept.ok || named.size === 0]).toEqual([nth, true]);
      await say(session, 'undo');
      await session.handle({ type: 'phrase', phrase: 'where am i', source: 'touch' });
      expect(session.service.view()?.recording).toBeNull();
    }
  });

  test('that was changed or is gone is told, and not played', async () => {
    const { session, disk } = await recording();
    await session.service.keepNote('stop', PCM);
    const sha256 = String(linesOf(session).at(-1)?.fields.audio_sha256);
    expect((await readNote(disk, FOLDER, 'note-1.wav', sha256)).ok).toBe(true);
    const codes = (hashes: ReadonlyMap<string, string>) =>
      noteFindings(linesOf(session), hashes).map((found) => found.code);
    expect(codes(new Map([['note-1.wav', 'ff']]))).toEqual(['log/note-changed']);
    expect(codes(new Map())).toEqual(['log/note-missing']);
    expect(
      codes(
        new Map([
          ['note-1.wav', sha256],
          ['note-2.wav', 'ff'],
        ]),
      ),
    ).toEqual(['log/note-unknown']);
    expect(await readNote(disk, FOLDER, 'note-1.wav', 'ff')).toMatchObject({
      error: { code: 'note/changed' },
    });
  });
});

describe('the names and messages of spoken notes', () => {
  test('are closed', () => {
    expect(['note-1.wav', 'note-9999.wav'].every(isNoteName)).toBe(true);
    for (const name of ['note-0.wav', '../note-1.wav', 'note-1.wav.exe', 'job.json', 'note-1.WAV', ''])
      expect([name, isNoteName(name)]).toEqual([name, false]);
    const check = ARGUMENT_CHECKS['note.keep'];
    expect(check.safeParse({ endedBy: 'stop', pcm: 'AAAA' }).success).toBe(true);
    for (const bad of [
      { endedBy: 'me', pcm: '' },
      { endedBy: 'stop', pcm: 'ä' },
      { endedBy: 'stop', pcm: 'AAAA', more: 1 },
      { endedBy: 'stop', pcm: 'A'.repeat(3_000_000) },
    ])
      expect(check.safeParse(bad).success).toBe(false);
    expect(ARGUMENT_CHECKS['note.open'].safeParse({ job: 'job-1', audio: '../x.wav' }).success).toBe(false);
  });
});
