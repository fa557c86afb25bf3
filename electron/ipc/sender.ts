/**
 * Who may talk to the host. In Electron only the top frame of the bench window; in browser mode only a
 * page of our own origin with the session's cookie. Addresses are read by a URL parser, never compared
 * as text, because `app://bench.example` and `app://bench@evil` begin alike.
 */
import { originOf } from '../permissions.ts';

/** The facts of a sender frame that the decision needs. */
export interface SenderFrame {
  readonly url: string;
  /** True for the page itself, false for frames in it. */
  readonly isTop: boolean;
}

/** True for the top frame of a bench page; false for everything else, also for a frame that is gone. */
export function isBenchFrame(frame: SenderFrame | null | undefined): boolean {
  if (frame === null || frame === undefined || !frame.isTop) return false;
  return originOf(frame.url) === 'app://bench';
}
