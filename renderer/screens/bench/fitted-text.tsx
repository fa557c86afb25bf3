/**
 * A text set as large as its place allows, within the limits of reading at a distance. It is never set below
 * the minimum visual angle and never cut off: what does not fit is laid out in pages, which turn by themselves
 * at the pace of reading aloud, until somebody turns them by hand.
 */
import { type ReactNode, useCallback, useEffect, useLayoutEffect, useRef, useState } from 'react';
import { keyCap } from '../../keys.ts';
import { useWords } from '../../words/words.ts';

const STEP_PX = 2;
/** Turns the page; no phrase has this key. */
export const PAGE_KEY = 'ArrowDown';
const MS_PER_WORD = 450;
const PAGE_MIN_MS = 6000;

/** The largest size from `minimum_px` to `largest_px` that fits, or undefined where not even the minimum does. */
export function largestThatFits(
  minimum_px: number,
  largest_px: number,
  fits: (size_px: number) => boolean,
): number | undefined {
  let low = 0;
  let high = Math.max(0, Math.floor((largest_px - minimum_px) / STEP_PX));
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    if (fits(minimum_px + middle * STEP_PX)) low = middle;
    else high = middle - 1;
  }
  const size_px = minimum_px + low * STEP_PX;
  return low > 0 || fits(size_px) ? size_px : undefined;
}

/** How long a page of a text stays before it turns by itself, in ms. */
export function pageTimeMs(text: string, pages: number): number {
  return Math.max(PAGE_MIN_MS, (text.split(/\s+/).length / pages) * MS_PER_WORD);
}

export function FittedText({
  children,
  minimum_px,
  largest_px,
  text,
  onCrowded,
}: {
  children: ReactNode;
  minimum_px: number;
  largest_px: number;
  /** Fits again when this changes. */
  text: string;
  /** Told where the text does not fit at the minimum: what stands around it can give way. */
  onCrowded?: (() => void) | undefined;
}) {
  const box = useRef<HTMLDivElement>(null);
  const flow = useRef<HTMLDivElement>(null);
  const [pages, setPages] = useState(1);
  const [page, turn] = usePages(text, pages);
  const shownPage = useRef(page);
  shownPage.current = page;
  // biome-ignore lint/correctness/useExhaustiveDependencies: `text` is what was measured.
  useLayoutEffect(() => {
    const outer = box.current;
    const inner = flow.current;
    if (outer === null || inner === null) return;
    const refit = (): void => {
      outer.classList.remove('paged');
      const size_px = largestThatFits(minimum_px, largest_px, (tried_px) => {
        outer.style.fontSize = `${tried_px}px`;
        return outer.scrollHeight <= outer.clientHeight && outer.scrollWidth <= outer.clientWidth;
      });
      outer.style.fontSize = `${size_px ?? minimum_px}px`;
      if (size_px === undefined) {
        outer.classList.add('paged');
        onCrowded?.();
      }
      setPages(size_px === undefined ? pagesOf(inner) : 1);
      showPage(inner, shownPage.current);
    };
    refit();
    if (typeof ResizeObserver === 'undefined') return;
    const observer = new ResizeObserver(refit);
    observer.observe(outer);
    return () => observer.disconnect();
  }, [text, minimum_px, largest_px, onCrowded]);
  useLayoutEffect(() => {
    if (flow.current !== null) showPage(flow.current, page);
  }, [page]);
  return (
    <div className="fitted-place">
      <div ref={box} className="fitted">
        <div ref={flow} className="fitted-flow">
          {children}
        </div>
      </div>
      {pages > 1 ? <PageTurn page={page} pages={pages} onTurn={turn} /> : null}
    </div>
  );
}

/** From the beginning of a page to that of the next: pages are columns that run out of their place sideways. */
function pageWidth_px(inner: HTMLElement): number {
  return inner.clientWidth + (Number.parseFloat(getComputedStyle(inner).columnGap) || 0);
}

function showPage(inner: HTMLElement, page: number): void {
  inner.scrollLeft = page * pageWidth_px(inner);
}

function pagesOf(inner: HTMLElement): number {
  const page_px = pageWidth_px(inner);
  return page_px === 0 ? 1 : Math.max(1, Math.ceil((inner.scrollWidth - 1) / page_px));
}

/** The page that is shown; a new text begins at its first. */
function usePages(text: string, pages: number): readonly [page: number, turn: () => void] {
  const [shown, setShown] = useState({ text, page: 0, byHand: false });
  const { page, byHand } = shown.text === text ? shown : { page: 0, byHand: false };
  const turn = useCallback(
    () => setShown({ text, page: (page + 1) % Math.max(1, pages), byHand: true }),
    [text, page, pages],
  );
  useEffect(() => {
    if (pages < 2) return;
    const timer = byHand
      ? undefined
      : setTimeout(
          () => setShown({ text, page: (page + 1) % pages, byHand: false }),
          pageTimeMs(text, pages),
        );
    const onKey = (event: KeyboardEvent): void => {
      // A field of one line has no use for this key; a longer note has.
      if (event.key !== PAGE_KEY || event.repeat || event.target instanceof HTMLTextAreaElement) return;
      event.preventDefault();
      turn();
    };
    window.addEventListener('keydown', onKey);
    return () => {
      clearTimeout(timer);
      window.removeEventListener('keydown', onKey);
    };
  }, [text, page, pages, byHand, turn]);
  return [Math.min(page, pages - 1), turn];
}

function PageTurn({ page, pages, onTurn }: { page: number; pages: number; onTurn: () => void }) {
  const w = useWords();
  return (
    <button
      type="button"
      className="page-turn"
      aria-label={w.bench.turnPage(page + 1, pages)}
      aria-keyshortcuts={PAGE_KEY}
      onClick={onTurn}
    >
      <b className="figures">
        {page + 1}/{pages}
      </b>
      <span className="keycap" aria-hidden="true">
        {keyCap(PAGE_KEY)}
      </span>
    </button>
  );
}
