/** How figures are computed and how sure they are: shown with the figures themselves, never in another place. */
import { createContext, useContext } from 'react';
import type { Figure, ReviewSummary } from '../../../electron/core/review/model.ts';
import type { HowKey } from '../../../electron/core/review/words.ts';
import { clock, shownNumber } from '../../figures.ts';
import { useWords } from '../../words/words.ts';

type Words = ReturnType<typeof useWords>;

/** The sentences of the review at hand. */
export const HowSentences = createContext<ReviewSummary['how']>({});

export function How({ keys }: { keys: readonly HowKey[] }) {
  const w = useWords();
  const sentences = useContext(HowSentences);
  const told = [...new Set(keys)].flatMap((key) => sentences[key] ?? []);
  if (told.length === 0) return null;
  return (
    <details className="how">
      <summary>{w.review.howShort}</summary>
      <ul className="lines">
        {told.map((one) => (
          <li key={one}>{one}</li>
        ))}
      </ul>
    </details>
  );
}

export const shownPercent = (share: number, locale: string, decimals = 0): string =>
  new Intl.NumberFormat(locale, { style: 'percent', maximumFractionDigits: decimals }).format(share);

/** A value in the unit of its figure. Small shares keep a decimal. */
function shownValue(value: number, figure: Figure, locale: string): string {
  switch (figure.unit) {
    case 'ms':
      // Below a minute seconds alone are too coarse for "understood".
      return value < 10_000 ? `${shownNumber(value / 1000, locale, 1)} s` : clock(value);
    case 's':
      return clock(value * 1000);
    case 'share':
      return shownPercent(value, locale, value > 0 && value < 0.1 ? 1 : 0);
    default:
      return shownNumber(value, locale, 2);
  }
}

/** The value of a figure alone: "12:10". */
export function bareFigure(figure: Figure, locale: string): string {
  return figure.value === null ? '–' : shownValue(figure.value, figure, locale);
}

/** A figure with its interval: "12:10 (11:02 to 13:40)". */
export function shownFigure(figure: Figure, locale: string, words: Words): string {
  const bare = bareFigure(figure, locale);
  const { low, high } = figure;
  if (figure.value === null || low === null || high === null) return bare;
  return `${bare} (${words.bench.limitBetween(shownValue(low, figure, locale), shownValue(high, figure, locale))})`;
}

/** How sure a figure is, in words: "95 % sure: 11:02 to 13:40; 9 jobs". */
export function shownSureness(figure: Figure, locale: string, words: Words): string {
  const { low, high, level, n } = figure;
  if (figure.value === null || low === null || high === null || level === null)
    return words.review.restsOn(n);
  return words.review.sure(
    shownPercent(level, locale),
    shownValue(low, figure, locale),
    shownValue(high, figure, locale),
    n,
  );
}
