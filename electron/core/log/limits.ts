/** Limits of a log; reaching one is a code, never a hang. */

/** Longest line in bytes, without its line feed. A note of 4,000 characters fits in any script. */
export const MAX_LINE_BYTES = 32_768;
/** Most lines in one log: a job of 10,000 steps has some 40,000. */
export const MAX_LINES = 500_000;
/** Largest log that is read, in bytes. */
export const MAX_LOG_BYTES = 268_435_456;
/** Most lines in one write. */
export const MAX_BATCH_LINES = 1000;
