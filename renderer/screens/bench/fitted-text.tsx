/**
 * A sentence set as large as its place allows, within the limits of reading at a distance: never smaller
 * than the minimum visual angle (then its place scrolls), never larger than reading is helped by.
 */
import { type ReactNode, useLayoutEffect, useRef } from 'react';

const STEP_PX = 2;

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
    const fit = (): void => {
      let low = Math.floor(minimum_px / STEP_PX);
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
    fit();
    if (typeof ResizeObserver === 'undefined') return;
    const observer = new ResizeObserver(fit);
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
