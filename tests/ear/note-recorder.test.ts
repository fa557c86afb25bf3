import { describe, expect, it } from 'vitest';
import { NOTE_FRAME_MS_MAX, NOTE_MS_MAX } from '../../electron/core/job/spoken-note.ts';
import { FRAME_MS } from '../../renderer/ears/endpointer.ts';
import {
  createNoteRecorder,
  NOTE_SILENCE_MS,
  NOTE_WAIT_MS,
  type NoteRecorder,
  type SpokenNote,
} from '../../renderer/ears/note-recorder.ts';

const NOISE_DBFS = -60;
const SAMPLES = 160;
const frame = (value: number): Float32Array => new Float32Array(SAMPLES).fill(value);

/** Feeds so many milliseconds of one loudness; the note where it ended by itself. */
function feed(recorder: NoteRecorder, ms: number, value: number): SpokenNote | undefined {
  for (let at = 0; at < ms; at += FRAME_MS) {
    const note = recorder.frame(frame(value), NOISE_DBFS);
    if (note !== undefined) return note;
  }
  return undefined;
}
const lengthMs = (note: SpokenNote | undefined): number => ((note?.pcm.length ?? 0) / SAMPLES) * FRAME_MS;

describe('a spoken note', () => {
  it('ends by silence and keeps little of it', () => {
    const recorder = createNoteRecorder();
    feed(recorder, 2_000, 0);
    expect(feed(recorder, 4_000, 0.1)).toBeUndefined();
    const note = feed(recorder, NOTE_SILENCE_MS, 0);
    expect(note).toMatchObject({ endedBy: 'silence', rateHz: 16_000 });
    expect(lengthMs(note)).toBe(300 + 4_000 + 300);
    expect(note?.pcm[SAMPLES * 100]).toBe(Math.round(Math.fround(0.1) * 32_767));
  });

  it('goes on over a pause for thought', () => {
    const recorder = createNoteRecorder();
    feed(recorder, 1_500, 0.1);
    expect(feed(recorder, NOTE_SILENCE_MS - 100, 0)).toBeUndefined();
    expect(feed(recorder, 1_000, 0.1)).toBeUndefined();
    expect(feed(recorder, NOTE_SILENCE_MS, 0)?.endedBy).toBe('silence');
  });

  it('is given without the word that ended it', () => {
    const recorder = createNoteRecorder();
    feed(recorder, 2_200, 0.1);
    feed(recorder, 800, 0);
    feed(recorder, 400, 0.1);
    const note = recorder.end(900);
    expect(note.endedBy).toBe('stop');
    // 2.2 s less the tone at the start, and what lies between the note and the word.
    expect(lengthMs(note)).toBe(2_000 + 800 - 500);
  });

  it.each([
    ['silence alone', 0],
    ['the noise of the room', 10 ** (NOISE_DBFS / 20)],
  ])('is none where there was %s', (_, value) => {
    const note = feed(createNoteRecorder(), NOTE_WAIT_MS + 1_000, value);
    expect(note).toMatchObject({ endedBy: 'nothing-said' });
    expect(note?.pcm.length).toBe(0);
  });

  it('is none where it was ended before anything was said', () => {
    const recorder = createNoteRecorder();
    feed(recorder, 1_000, 0);
    expect(recorder.end(0)).toMatchObject({ endedBy: 'nothing-said', pcm: new Int16Array() });
  });

  it('takes a knock for no speech', () => {
    const recorder = createNoteRecorder();
    feed(recorder, 1_000, 0);
    feed(recorder, 100, 0.5);
    expect(feed(recorder, NOTE_WAIT_MS, 0)?.endedBy).toBe('nothing-said');
  });

  it('ends at its greatest length', () => {
    const note = feed(createNoteRecorder(), NOTE_MS_MAX + 5_000, 0.1);
    expect(note?.endedBy).toBe('limit');
    expect(lengthMs(note)).toBe(NOTE_MS_MAX);
    expect(FRAME_MS).toBeLessThanOrEqual(NOTE_FRAME_MS_MAX);
  });
});
