/** Entries that are typed: a note, the code of a second person, the name of the one who takes over. */
import { type FormEvent, useId, useState } from 'react';
import { useWords } from '../../words/words.ts';

const NOTE_LENGTH_MAX = 500;
const CODE_LENGTH_MAX = 40;

export function NoteField({ onNote }: { onNote: (text: string) => void }) {
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
    </form>
  );
}

/** A short code or name with one button: sign-off at a hold point, hand-over to a colleague. */
export function PersonEntry({
  title,
  label,
  button,
  onEnter,
  onCancel,
}: {
  title: string;
  label: string;
  button: string;
  onEnter: (person: string) => void;
  onCancel?: () => void;
}) {
  const w = useWords();
  const id = useId();
  const [person, setPerson] = useState('');
  const sign = (event: FormEvent): void => {
    event.preventDefault();
    if (person.trim() !== '') onEnter(person.trim());
  };
  return (
    <form className="entry" onSubmit={sign} aria-label={title}>
      <p className="entry-title">{title}</p>
      <div className="row">
        <div className="field grows">
          <label htmlFor={id}>{label}</label>
          <input
            id={id}
            value={person}
            autoComplete="off"
            maxLength={CODE_LENGTH_MAX}
            onChange={(e) => setPerson(e.target.value)}
          />
        </div>
        <button type="submit" className="button main" disabled={person.trim() === ''}>
          {button}
        </button>
        {onCancel === undefined ? null : (
          <button type="button" className="button" onClick={onCancel}>
            {w.app.cancel}
          </button>
        )}
      </div>
    </form>
  );
}

export function SignOff({ why, onSign }: { why: string | null; onSign: (person: string) => void }) {
  const w = useWords();
  return (
    <PersonEntry
      title={why === null ? w.bench.hold : `${w.bench.hold}: ${why}`}
      label={w.bench.holdCode}
      button={w.bench.holdSign}
      onEnter={onSign}
    />
  );
}
