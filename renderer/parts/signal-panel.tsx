/**
 * A caution as a panel: signal word on its colour, hazard, consequence, how to avoid, in that order.
 * `large` is the bench, read from a distance; otherwise it is a line in a list.
 */
import type { ReactNode } from 'react';
import type { SignalWord } from '../../electron/core/product/model.ts';
import { useWords } from '../words/words.ts';
import { AlertSymbol, HazardSymbol } from './signal-symbol.tsx';

export interface CautionShown {
  readonly word: string;
  readonly hazard: string;
  readonly consequence: string;
  readonly avoid: string;
  readonly symbol: string;
}

/** Narrows a word that came as text; anything else is treated as the mildest word about people. */
export function signalWord(word: string): SignalWord {
  return word === 'danger' || word === 'warning' || word === 'notice' ? word : 'caution';
}

export function SignalPanel({
  caution,
  large = false,
  place,
  children,
}: {
  caution: CautionShown;
  large?: boolean;
  /** "1 of 2", shown at the end of the head. */
  place?: string;
  children?: ReactNode;
}) {
  const w = useWords();
  const word = signalWord(caution.word);
  return (
    <section
      className={`signal ${word} ${large ? 'large' : ''}`}
      aria-label={`${w.signal[word]}: ${caution.hazard}`}
    >
      <header>
        <AlertSymbol word={word} />
        <strong>{w.signal[word]}</strong>
        {place === undefined ? null : <span className="place">{place}</span>}
      </header>
      <div className="signal-body">
        <HazardSymbol symbol={caution.symbol} word={word} />
        <div className="signal-text">
          <p className="hazard">{caution.hazard}</p>
          <p className="consequence">{caution.consequence}</p>
          <p className="avoid">{caution.avoid}</p>
        </div>
      </div>
      {children}
    </section>
  );
}
