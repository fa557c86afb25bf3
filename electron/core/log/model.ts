/**
 * The log of one job. Stage 4 of the flow. The format is described in full in `codec.ts`.
 */
import type { JobRecord } from '../job/model.ts';

export const LOG_FORMAT = 2;

/** One line of `log.jsonl`. `prev` is the SHA-256 (hex) of the line before as canonical JSON (RFC 8785). */
export interface LogLine {
  readonly v: number;
  readonly seq: number;
  /** RFC 3339 with offset. */
  readonly wall: string;
  /** Milliseconds of the job's monotonic clock. */
  readonly mono_ms: number;
  readonly event: JobRecord['event'];
  /** The fields of the record without `event` and `at_ms`. */
  readonly fields: Readonly<Record<string, string | number | boolean | null>>;
  readonly prev: string;
}

/**
 * A line as it lies on the disk: with its own checksum and the write it belongs to. Lines of one write (a
 * batch) count all together or not at all.
 */
export interface StoredLine extends LogLine {
  /** Sequence numbers of the first and the last line of the same write. */
  readonly batch_first: number;
  readonly batch_last: number;
  /** First 16 hexadecimal digits of the SHA-256 of this line's canonical JSON without `sum`. */
  readonly sum: string;
}

/** `job.json`: written once, before the first log line. */
export interface JobFile {
  readonly format: 1;
  readonly job: string;
  readonly created: string;
  readonly app_version: string;
  readonly product_file: string;
  readonly product_sha256: string;
  readonly model_sha256: string | null;
  readonly plan: import('../plan/model.ts').Plan;
  readonly plan_sha256: string;
}

/** Three-valued: `unknown` where the log cannot be trusted from some line on. */
export type Verdict = 'complete' | 'unfinished' | 'unknown';
