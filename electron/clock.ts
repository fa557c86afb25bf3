/** Time as the host sees it; a test or a simulated job puts its own clock in its place. */
import { performance } from 'node:perf_hooks';
import { timestampFromEpochMs } from './core/log/timestamp.ts';

export interface Clock {
  /** Milliseconds since some fixed moment; never goes back. */
  monotonicMs(): number;
  /** Milliseconds since 1970; may jump either way when the clock is set. */
  wallMs(): number;
  /** Minutes east of UTC at present. */
  offsetMinutes(): number;
  /** Calls `tick` again and again; the result ends it. */
  every(periodMs: number, tick: () => void): () => void;
}

/** Wall time as RFC 3339 text with its offset. */
export function wallText(clock: Clock): string {
  return timestampFromEpochMs(clock.wallMs(), clock.offsetMinutes());
}

/** The clock of this computer. Its timer does not keep the program running. */
export function createNodeClock(): Clock {
  return {
    monotonicMs: () => performance.now(),
    wallMs: () => Date.now(),
    offsetMinutes: () => -new Date().getTimezoneOffset(),
    every: (periodMs, tick) => {
      const timer = setInterval(tick, periodMs);
      timer.unref();
      return () => clearInterval(timer);
    },
  };
}

interface Timer {
  readonly periodMs: number;
  readonly tick: () => void;
  dueMs: number;
}

/** A clock that stands still until it is moved. Moving it calls what is due, in order. */
export class SimulatedClock implements Clock {
  #nowMs = 0;
  #wallOffsetMs: number;
  #timers: Timer[] = [];

  constructor(wallStartMs: number) {
    this.#wallOffsetMs = wallStartMs;
  }

  monotonicMs(): number {
    return this.#nowMs;
  }

  wallMs(): number {
    return this.#nowMs + this.#wallOffsetMs;
  }

  offsetMinutes(): number {
    return 60;
  }

  every(periodMs: number, tick: () => void): () => void {
    const timer = { periodMs, tick, dueMs: this.#nowMs + periodMs };
    this.#timers.push(timer);
    return () => {
      this.#timers = this.#timers.filter((other) => other !== timer);
    };
  }

  /** Moves on by `ms` (0 or more); timers fire at their due times. */
  advance(ms: number): void {
    const untilMs = this.#nowMs + ms;
    for (;;) {
      const due = this.#timers.filter((timer) => timer.dueMs <= untilMs);
      const timer = due.sort((one, other) => one.dueMs - other.dueMs)[0];
      if (timer === undefined) break;
      this.#nowMs = Math.max(this.#nowMs, timer.dueMs);
      timer.dueMs += timer.periodMs;
      timer.tick();
    }
    this.#nowMs = untilMs;
  }

  /** Sets the wall clock forward or back without touching the monotonic one. */
  jumpWall(ms: number): void {
    this.#wallOffsetMs += ms;
  }
}
