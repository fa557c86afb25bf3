// @vitest-environment jsdom
import { act, cleanup, render, screen } from '@testing-library/react';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { Waiting } from '../../renderer/parts/waiting.tsx';
import { en } from '../../renderer/words/en.ts';

beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  cleanup();
  vi.useRealTimers();
});

it('shows a moving bar for what takes longer than a second, and none for what does not', () => {
  render(<Waiting />);
  expect(screen.getByText(en.app.loading)).toBeDefined();
  act(() => vi.advanceTimersByTime(999));
  expect(screen.queryByRole('progressbar')).toBeNull();
  act(() => vi.advanceTimersByTime(1));
  expect(screen.getByRole('progressbar', { name: en.app.loading })).toBeDefined();
});
