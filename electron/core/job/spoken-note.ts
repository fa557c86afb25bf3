/**
 * A spoken note: asked for, recorded, kept or dropped. The engine only says when the ear records and when it
 * ends; the host writes the file and tells the engine its name. Nothing is recorded without "yes" (S25).
 */
import { type Draft, goOn, here, record, say } from './draft.ts';
import type { JobInput, NoteDropped, PhraseId } from './model.ts';
import { fill } from './prompts.ts';

/** Longest note. The ear ends it with the frame that reaches this, so it may be a frame longer … */
export const NOTE_MS_MAX = 60_000;
/** … and its frames are no longer than this. */
export const NOTE_FRAME_MS_MAX = 100;
/** A note that was asked for and neither came nor failed within this time is given up. */
export const NOTE_PATIENCE_MS = NOTE_MS_MAX + 30_000;

/** The invitation to speak has ended, or was cut off: the recording begins. False where there is none. */
export function startRecording(d: Draft, utterance: number): boolean {
  const { recording } = d.state;
  if (recording === null || recording.on || recording.utterance !== utterance) return false;
  record(d, { event: 'note.started', step: here(d).id });
  d.effects.push({ type: 'chime', chime: 'heard' }, { type: 'record-note', on: true, keep: true });
  return true;
}

/** "stop" ends the note, and before it began only the invitation; "undo" throws it away. */
export function endRecording(d: Draft, phrase: PhraseId): void {
  if (phrase === 'undo') dropNote(d, 'thrown-away');
  else if (d.state.recording?.on === true) d.effects.push({ type: 'record-note', on: false, keep: true });
  else d.effects.push({ type: 'hush' });
}

/** The note lies on the disk. */
export function takeRecorded(d: Draft, input: Extract<JobInput, { type: 'note-recorded' }>): void {
  if (d.state.recording?.on !== true) return;
  const { id, note_item } = here(d);
  record(d, {
    event: 'note.taken',
    step: id,
    item: note_item,
    text: null,
    audio: input.audio,
    audio_sha256: input.sha256,
    audio_ms: input.lengthMs,
    source: 'voice',
  });
  d.effects.push({ type: 'chime', chime: 'done' });
  say(d, fill(d.words, 'answer.noted'), 'answer');
  goOn(d);
}

/** The note came to nothing: that is recorded and said, and the job goes on. */
export function dropNote(d: Draft, why: NoteDropped): void {
  if (d.state.recording === null) return;
  dropSilently(d, why);
  say(d, fill(d.words, `note.${why}`), 'answer');
  goOn(d);
}

/** As `dropNote`, where nobody is to be told. */
export function dropSilently(d: Draft, why: NoteDropped): void {
  record(d, { event: 'note.dropped', step: here(d).id, why });
  d.effects.push({ type: 'record-note', on: false, keep: false });
}

/** Gives a note up that neither came nor failed: the page may have been lost. */
export function dropOverdue(d: Draft): void {
  const { recording } = d.state;
  if (recording !== null && d.atMs - recording.since_ms > NOTE_PATIENCE_MS) dropNote(d, 'broken-off');
}
