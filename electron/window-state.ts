/** Where the window stood last time. Kept in one small file; anything odd in it means the default. */
import { mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';

/** Position and size in device-independent pixels. */
export interface WindowState {
  readonly x?: number;
  readonly y?: number;
  readonly width: number;
  readonly height: number;
  readonly maximized: boolean;
}

export interface Area {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export const WINDOW_DEFAULT: WindowState = { width: 1280, height: 860, maximized: false };
export const WINDOW_WIDTH_MIN = 720;
export const WINDOW_HEIGHT_MIN = 560;
const SIZE_MAX = 16_384;

function isWhole(value: unknown, low: number, high: number): value is number {
  return typeof value === 'number' && Number.isInteger(value) && value >= low && value <= high;
}

/** Reads a kept state. Sizes out of range, or a position that shows on no screen, fall back to the default. */
export function windowStateFrom(text: string, screens: readonly Area[]): WindowState {
  let kept: unknown;
  try {
    kept = JSON.parse(text);
  } catch {
    return WINDOW_DEFAULT;
  }
  if (typeof kept !== 'object' || kept === null) return WINDOW_DEFAULT;
  const { x, y, width, height, maximized } = kept as Record<string, unknown>;
  if (!isWhole(width, WINDOW_WIDTH_MIN, SIZE_MAX) || !isWhole(height, WINDOW_HEIGHT_MIN, SIZE_MAX)) {
    return WINDOW_DEFAULT;
  }
  const size = { width, height, maximized: maximized === true };
  if (!isWhole(x, -SIZE_MAX, SIZE_MAX) || !isWhole(y, -SIZE_MAX, SIZE_MAX)) return size;
  const shows = screens.some(
    (s) => x < s.x + s.width - 80 && x + width > s.x + 80 && y >= s.y - 10 && y < s.y + s.height - 80,
  );
  return shows ? { x, y, ...size } : size;
}

/** Reads the file; a missing one means the default. */
export function readWindowState(file: string, screens: readonly Area[]): WindowState {
  try {
    return windowStateFrom(readFileSync(file, 'utf8'), screens);
  } catch {
    return WINDOW_DEFAULT;
  }
}

/** Writes the file whole or not at all. A failure is not worth a message: the window opens as usual. */
export function writeWindowState(file: string, state: WindowState): void {
  try {
    mkdirSync(dirname(file), { recursive: true });
    writeFileSync(`${file}.new`, JSON.stringify(state));
    renameSync(`${file}.new`, file);
  } catch {
    // The size of a window is no reason to disturb a job; disk trouble is told by the log.
  }
}
