/**
 * A small seeded random generator for tests, demo data and the synthetic technician. The core never
 * uses `Math.random`: the same seed gives the same sequence on every machine.
 */
export interface RandomSource {
  /** Uniform in [0, 1). */
  next(): number;
  /** Whole number from `low` to `high`, both included. */
  integer(low: number, high: number): number;
  /** One of the items; `items` must not be empty. */
  pick<T>(items: readonly T[]): T;
  /** Standard normal variate (Box–Muller). */
  normal(): number;
}

/** Generator "mulberry32": 32-bit state, period 2^32, enough for tests, not for secrets. */
export function randomFromSeed(seed: number): RandomSource {
  let state = seed >>> 0;
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  return {
    next,
    integer: (low, high) => low + Math.floor(next() * (high - low + 1)),
    pick: (items) => {
      const item = items[Math.floor(next() * items.length)];
      if (item === undefined) throw new Error('assertion failed: pick from an empty list');
      return item;
    },
    normal: () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next()),
  };
}
