/**
 * A sentence set as large as its place allows, within the limits of reading at a distance. Below the
 * minimum visual angle it goes only where its end would otherwise be cut off; then its place scrolls.
 */
import { type ReactNode, useLayoutEffect, useRef } from 'react';

const STEP_PX = 2;
/** Last resort: text that is all there and a little small serves better than text without its end. */
const SQUEEZE = 0.64;

export function FittedText({
  children,
  minimum_px,
  largest_px,
  text,
}: {
  children: ReactNode;
  minimum_px: number;
  largest_px: number;
  /** Fits again when this changes. */
  text: string;
}) {
  const box = useRef<HTMLDivElement>(null);
  // biome-ignore lint/correctness/useExhaustiveDependencies: `text` is what was measured.
  useLayoutEffect(() => {
    const element = box.current;
    if (element === null) return;
    const refit = (): void => {
      let low = Math.floor((minimum_px * SQUEEZE) / STEP_PX);
      let high = Math.max(low, Math.floor(largest_px / STEP_PX));
      const fits = (steps: number): boolean => {
        element.style.fontSize = `${steps * STEP_PX}px`;
        return element.scrollHeight <= element.clientHeight && element.scrollWidth <= element.clientWidth;
      };
      while (low < high) {
        const middle = Math.ceil((low + high) / 2);
        if (fits(middle)) low = middle;
        else high = middle - 1;
      }
      element.style.fontSize = `${low * STEP_PX}px`;
    };
    refit();
    if (typeof ResizeObserver === 'undefined') return;
    const observer = new ResizeObserver(refit);
    observer.observe(element);
    return () => observer.disconnect();
  }, [text, minimum_px, largest_px]);
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: it may have to be scrolled by key.
    <div ref={box} className="fitted" tabIndex={0}>
      {children}
    </div>
  );
}
