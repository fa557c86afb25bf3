/**
 * One picture of the review: drawn with Observable Plot, named by a sentence for those who cannot see it,
 * with the same figures as a table below. The page's policy forbids style elements, so Plot's own is taken
 * out before the drawing enters the page; `style/screens.css` has what is needed.
 */
import * as Plot from '@observablehq/plot';
import { type ReactNode, useEffect, useRef, useState } from 'react';
import type { HowKey } from '../../../electron/core/review/words.ts';
import { useWords } from '../../words/words.ts';
import { How } from './how.tsx';
import { Table, type TableData } from './table.tsx';

export const CHART_CLASS = 'chart';

/** Colours of the theme in use, read from the document, because Plot wants values. */
export interface Inks {
  readonly ink: string;
  readonly soft: string;
  readonly line: string;
  readonly petrol: string;
  readonly plum: string;
  readonly card: string;
}

function inksNow(): Inks {
  const style = getComputedStyle(document.documentElement);
  const get = (name: string, fallback: string): string => style.getPropertyValue(name).trim() || fallback;
  return {
    ink: get('--ink', '#101c19'),
    soft: get('--ink-soft', '#364540'),
    line: get('--line', '#b7c3bb'),
    petrol: get('--petrol-strong', '#07483f'),
    plum: get('--plum', '#6d1247'),
    card: get('--card', '#fafcf9'),
  };
}

export function Chart({
  title,
  text,
  draw,
  table,
  how,
  note,
  below,
  wide = false,
}: {
  title: string;
  /** What the picture says, in a sentence. */
  text: string;
  draw: (inks: Inks, width: number) => Plot.PlotOptions;
  table: TableData;
  /** How the figures in it are computed. */
  how: readonly HowKey[];
  /** Above the picture, such as a choice. */
  note?: ReactNode;
  below?: ReactNode;
  /** Takes both columns. */
  wide?: boolean;
}) {
  const w = useWords();
  const place = useRef<HTMLDivElement>(null);
  const [width, setWidth] = useState(0);
  const [theme, setTheme] = useState('');
  useEffect(() => {
    const element = place.current;
    if (element === null) return;
    const measure = (): void => setWidth(Math.round(element.clientWidth));
    measure();
    const watch = new MutationObserver(() => setTheme(document.documentElement.dataset.theme ?? ''));
    watch.observe(document.documentElement, { attributes: true, attributeFilter: ['data-theme'] });
    if (typeof ResizeObserver === 'undefined') return () => watch.disconnect();
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    return () => {
      observer.disconnect();
      watch.disconnect();
    };
  }, []);
  // biome-ignore lint/correctness/useExhaustiveDependencies: `theme` changes the colours that are read.
  useEffect(() => {
    const element = place.current;
    if (element === null || width === 0) return;
    const drawing = Plot.plot({ ...draw(inksNow(), width), width, className: CHART_CLASS });
    for (const style of drawing.querySelectorAll('style')) style.remove();
    drawing.setAttribute('aria-hidden', 'true');
    element.replaceChildren(drawing);
  }, [draw, width, theme]);
  return (
    <figure className={wide ? 'card chart-card wide' : 'card chart-card'}>
      <header>
        <h3>{title}</h3>
      </header>
      <div className="body">
        <p>{text}</p>
        {note}
        <div ref={place} className="chart-place" role="img" aria-label={`${title}. ${text}`} />
        {below}
        <details>
          <summary>{w.review.asTable}</summary>
          <Table {...table} />
        </details>
        <How keys={how} />
      </div>
    </figure>
  );
}
