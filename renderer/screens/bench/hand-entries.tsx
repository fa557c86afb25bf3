/** Entries of a person: a note, the code of a second person, the name of the one who takes over. */
import { type FormEvent, useId, useState } from 'react';
import { SpellingPad } from '../../parts/pads.tsx';
import { useWords } from '../../words/words.ts';

const NOTE_LENGTH_MAX = 500;

export function NoteField({
  onNote,
  onSpeak,
}: {
  onNote: (text: string) => void;
  /** Null where there is no microphone. */
  onSpeak: (() => void) | null;
}) {
  const w = useWords();
  const id = useId();
  const [text, setText] = useState('');
  const keep = (event: FormEvent): void => {
    event.preventDefault();
    if (text.trim() !== '') onNote(text.trim());
  };
  return (
    <form className="entry" onSubmit={keep}>
      <div className="field">
        <label htmlFor={id}>{w.bench.note}</label>
        <textarea
          id={id}
          rows={2}
          maxLength={NOTE_LENGTH_MAX}
          value={text}
          onChange={(e) => setText(e.target.value)}
        />
      </div>
      <button type="submit" className="button main" disabled={text.trim() === ''}>
        {w.bench.noteSave}
      </button>
      {onSpeak === null ? null : (
        <button type="button" className="button" onClick={onSpeak}>
          {w.bench.noteSpeak}
        </button>
      )}
    </form>
  );
}

/** The second person's own code at a hold point, by pad, keyboard or scanner. */
export function SignOff({ why, onSign }: { why: string | null; onSign: (person: string) => void }) {
  const w = useWords();
  return (
    <div className="hold">
      <p className="entry-title">
        <b>{w.bench.hold}</b>
        {why === null ? null : <span>{why}</span>}
      </p>
      <SpellingPad
        label={w.bench.holdCode}
        name={w.bench.holdPad}
        enterWord={w.bench.holdSign}
        asTyped
        onEnter={onSign}
      />
    </div>
  );
}

/** The name of the colleague who takes the job over. */
export function HandOver({
  onHandOver,
  onCancel,
}: {
  onHandOver: (person: string) => void;
  onCancel: () => void;
}) {
  const w = useWords();
  return (
    <div className="work-card hand-over">
      <p className="entry-title">{w.bench.handOver}</p>
      <SpellingPad
        label={w.bench.handOverTo}
        name={w.bench.handOver}
        enterWord={w.bench.handOverDo}
        asTyped
        onEnter={onHandOver}
        onCancel={onCancel}
      />
    </div>
  );
}
