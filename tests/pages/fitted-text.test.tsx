// @vitest-environment jsdom
/** The rule of sizes: never below the minimum, never above the largest, and pages where even the minimum is too large. */
import { act, cleanup, fireEvent, render, screen } from '@testing-library/react';
import { afterEach, describe, expect, it, vi } from 'vitest';
import {
  FittedText,
  largestThatFits,
  PAGE_KEY,
  pageTimeMs,
} from '../../renderer/screens/bench/fitted-text.tsx';

const PAGE_PX = 600;

/** A place that a text fits into up to a size; at the minimum it takes `pages` pages. */
function place(fitsUpTo_px: number, pages: number): void {
  const of = (
    name: 'scrollHeight' | 'clientHeight' | 'scrollWidth' | 'clientWidth',
    get: (e: HTMLElement) => number,
  ) =>
    vi.spyOn(HTMLElement.prototype, name, 'get').mockImplementation(function (this: HTMLElement) {
      return get(this);
    });
  of('clientHeight', () => 300);
  of('clientWidth', () => PAGE_PX);
  of('scrollHeight', (e) => (Number.parseFloat(e.style.fontSize) > fitsUpTo_px ? 301 : 300));
  of('scrollWidth', (e) => (e.className === 'fitted-flow' ? PAGE_PX * pages : PAGE_PX));
}

afterEach(() => {
  cleanup();
  vi.restoreAllMocks();
  vi.useRealTimers();
});

const shown = (text: string, onCrowded?: () => void) => (
  <FittedText text={text} minimum_px={37.7} largest_px={105} onCrowded={onCrowded}>
    <p>{text}</p>
  </FittedText>
);
const size_px = (): number =>
  Number.parseFloat(document.querySelector<HTMLElement>('.fitted')?.style.fontSize ?? '');
const turn = (): HTMLElement | null => screen.queryByRole('button', { name: /turn the page/ });

describe('the size of a text', () => {
  it('is the largest that fits, within its limits', () => {
    for (let limit = 30; limit < 130; limit += 0.7) {
      const tried: number[] = [];
      const size = largestThatFits(37.7, 105, (one) => {
        tried.push(one);
        return one <= limit;
      });
      expect(Math.min(...tried)).toBeGreaterThanOrEqual(37.7);
      expect(Math.max(...tried)).toBeLessThanOrEqual(105);
      if (limit < 37.7) expect(size).toBeUndefined();
      else {
        expect(size).toBeLessThanOrEqual(Math.min(105, limit));
        // No step of 2 px larger would have fitted.
        expect((size ?? 0) + 2).toBeGreaterThan(Math.min(105 - 2, limit));
      }
    }
  });

  it('never goes below the minimum: the text goes on pages, and what is around it is told', () => {
    place(30, 3);
    const onCrowded = vi.fn();
    render(shown('one two three', onCrowded));
    expect(size_px()).toBe(37.7);
    expect(onCrowded).toHaveBeenCalled();
    expect(turn()?.textContent).toContain('1/3');
  });

  it('has no pages where the text fits', () => {
    place(60, 1);
    const onCrowded = vi.fn();
    render(shown('one two three', onCrowded));
    expect(size_px()).toBeGreaterThan(57);
    expect(turn()).toBeNull();
    expect(onCrowded).not.toHaveBeenCalled();
  });
});

describe('pages', () => {
  it('turn by themselves at the pace of reading aloud, until they are turned by hand', () => {
    vi.useFakeTimers();
    place(30, 3);
    const text = Array(90).fill('word').join(' ');
    expect(pageTimeMs(text, 3)).toBe(30 * 450);
    render(shown(text));
    act(() => void vi.advanceTimersByTime(pageTimeMs(text, 3)));
    expect(turn()?.textContent).toContain('2/3');
    expect(document.querySelector('.fitted-flow')?.scrollLeft).toBe(PAGE_PX);
    act(() => void vi.advanceTimersByTime(pageTimeMs(text, 3)));
    expect(turn()?.textContent).toContain('3/3');
    fireEvent.keyDown(window, { key: PAGE_KEY });
    expect(turn()?.textContent).toContain('1/3');
    act(() => void vi.advanceTimersByTime(10 * pageTimeMs(text, 3)));
    expect(turn()?.textContent).toContain('1/3');
    fireEvent.click(turn() as HTMLElement);
    expect(turn()?.textContent).toContain('2/3');
  });

  it('begin anew with another text', () => {
    place(30, 2);
    const { rerender } = render(shown('one'));
    fireEvent.click(turn() as HTMLElement);
    expect(turn()?.textContent).toContain('2/2');
    rerender(shown('two'));
    expect(turn()?.textContent).toContain('1/2');
    expect(document.querySelector('.fitted-flow')?.scrollLeft).toBe(0);
  });
});
