/** Number pad and spelling pad for gloved hands: every key 20 mm or more, nothing to drag or hold. */
import { type FormEvent, useId, useState } from 'react';
import { FIGURES_ONLY } from '../keys.ts';
import { useWords } from '../words/words.ts';

const LETTERS = [...'ABCDEFGHIJKLMNOPQRSTUVWXYZ'];
/** Longest text a pad takes; serial numbers are shorter. */
export const PAD_LENGTH_MAX = 40;

/** A whole or decimal number as typed, with point or comma; undefined where it is no number. */
export function numberFromPad(text: string): number | undefined {
  if (!/^-?\d+([.,]\d+)?$/.test(text)) return undefined;
  const value = Number(text.replace(',', '.'));
  return Number.isFinite(value) ? value : undefined;
}

/** The pad is ready for keyboard and scanner at once; letters pressed in a number pad remain phrases. */
function takeFocus(field: HTMLInputElement | null): void {
  field?.focus({ preventScroll: true });
}

function PadLine({
  label,
  value,
  unit,
  onChange,
  inputMode,
}: {
  label: string;
  value: string;
  unit?: string;
  onChange: (value: string) => void;
  inputMode: 'decimal' | 'text';
}) {
  const id = useId();
  return (
    <div className="pad-line">
      <label htmlFor={id}>{label}</label>
      <span className="pad-value">
        <input
          id={id}
          className="figures"
          value={value}
          autoComplete="off"
          autoCapitalize="characters"
          spellCheck={false}
          inputMode={inputMode}
          ref={takeFocus}
          {...(inputMode === 'decimal' ? { [FIGURES_ONLY]: '' } : {})}
          onKeyDown={(event) => event.key === 'Escape' && event.currentTarget.blur()}
          maxLength={PAD_LENGTH_MAX}
          onChange={(event) => onChange(event.target.value)}
        />
        {unit === undefined || unit === '' ? null : <span className="pad-unit">{unit}</span>}
      </span>
    </div>
  );
}

/** Asks for a number. `whole` leaves out sign and point, for counts. */
export function NumberPad({
  label,
  unit,
  whole,
  onEnter,
}: {
  label: string;
  unit?: string;
  whole: boolean;
  onEnter: (value: number) => void;
}) {
  const w = useWords();
  const [text, setText] = useState('');
  const value = numberFromPad(text);
  const enter = (event: FormEvent): void => {
    event.preventDefault();
    if (value === undefined || (whole && !Number.isInteger(value))) return;
    onEnter(value);
    setText('');
  };
  const add = (key: string): void => setText((old) => (old + key).slice(0, PAD_LENGTH_MAX));
  const digits = (...keys: readonly string[]) =>
    keys.map((digit) => (
      <button type="button" key={digit} className="pad-key" onClick={() => add(digit)}>
        {digit}
      </button>
    ));
  return (
    <form className="pad number-pad" aria-label={w.bench.numberPad} onSubmit={enter}>
      <PadLine
        label={label}
        value={text}
        {...(unit === undefined ? {} : { unit })}
        inputMode="decimal"
        onChange={(value) => setText(value.replace(/[^\d.,-]/g, ''))}
      />
      <div className="pad-keys">
        {digits('7', '8', '9')}
        <button type="button" className="pad-key word" onClick={() => setText((old) => old.slice(0, -1))}>
          {w.bench.erase}
        </button>
        {digits('4', '5', '6')}
        <button
          type="button"
          className="pad-key"
          aria-label={w.bench.minus}
          disabled={whole}
          onClick={() => setText((old) => (old.startsWith('-') ? old.slice(1) : `-${old}`))}
        >
          −
        </button>
        {digits('1', '2', '3')}
        <button
          type="button"
          className="pad-key"
          aria-label={w.bench.point}
          disabled={whole || /[.,]/.test(text)}
          onClick={() => add('.')}
        >
          .
        </button>
        <button type="button" className="pad-key zero" onClick={() => add('0')}>
          0
        </button>
        <button type="submit" className="pad-key enter" disabled={value === undefined}>
          {w.bench.enter}
        </button>
      </div>
    </form>
  );
}

/**
 * Asks for a serial number, a code or a short name. A wedge scanner types into the field and ends with Enter.
 * Serial numbers are taken in capitals; with `asTyped` what comes from a keyboard keeps its letters.
 */
export function SpellingPad({
  label,
  name,
  enterWord,
  asTyped = false,
  onEnter,
  onCancel,
}: {
  label: string;
  /** Name of the pad for screen readers; "Spelling pad" where not given. */
  name?: string;
  /** Word on the key that enters; "Enter" where not given. */
  enterWord?: string;
  asTyped?: boolean;
  onEnter: (value: string) => void;
  onCancel?: () => void;
}) {
  const w = useWords();
  const [text, setText] = useState('');
  const kept = (value: string): string => (asTyped ? value : value.toUpperCase());
  const enter = (event: FormEvent): void => {
    event.preventDefault();
    const value = kept(text.trim());
    if (value === '') return;
    onEnter(value);
    setText('');
  };
  const add = (key: string): void => setText((old) => (old + key).slice(0, PAD_LENGTH_MAX));
  return (
    <form className="pad spelling-pad" aria-label={name ?? w.bench.spellingPad} onSubmit={enter}>
      <PadLine label={label} value={text} inputMode="text" onChange={(value) => setText(kept(value))} />
      <div className="pad-keys">
        {[...'1234567890', ...LETTERS, '-', '/'].map((key) => (
          <button type="button" key={key} className="pad-key" onClick={() => add(key)}>
            {key}
          </button>
        ))}
        <button type="button" className="pad-key word" onClick={() => setText((old) => old.slice(0, -1))}>
          {w.bench.erase}
        </button>
        {onCancel === undefined ? null : (
          <button type="button" className="pad-key word" onClick={onCancel}>
            {w.app.cancel}
          </button>
        )}
        <button type="submit" className="pad-key enter" disabled={text.trim() === ''}>
          {enterWord ?? w.bench.enter}
        </button>
      </div>
    </form>
  );
}
