/**
 * Reading logs fast, for importing many. This reader only ever accepts: it checks each line against the format
 * in `core/log/codec.ts` with the hash of the platform, and where anything at all is not as it should be it
 * gives up, and the reader of the codec decides. So it can be wrong in one way only, accepting too much, and a
 * property test holds that against the codec.
 */
import { createHash } from 'node:crypto';
import { MAX_LINE_BYTES, MAX_LINES, recordFromLine } from '../core/log/codec.ts';
import { LOG_FORMAT, type StoredLine, type Verdict } from '../core/log/model.ts';
import { epochMsFromTimestamp } from '../core/log/timestamp.ts';

const NAMES = 'batch_first,batch_last,event,fields,mono_ms,prev,seq,sum,v,wall';
const SUM = /,"sum":"[0-9a-f]{16}","v":/;
const UTF8 = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });

/** SHA-256 in hexadecimal by the platform. */
export function sha256Of(data: string | Uint8Array): string {
  return createHash('sha256').update(data).digest('hex');
}

/** What a good log holds. */
export interface QuickLog {
  readonly lines: readonly StoredLine[];
  readonly verdict: Verdict;
}

function isAscending(names: readonly string[]): boolean {
  return names.every((name, index) => index === 0 || (names[index - 1] as string) < name);
}

/** The line when it is good by itself, else undefined. Canonical text comes back from `JSON.stringify` as it was. */
function goodLine(text: string): StoredLine | undefined {
  if (text.length > MAX_LINE_BYTES / 4) return undefined;
  let line: StoredLine;
  try {
    line = JSON.parse(text) as StoredLine;
  } catch {
    return undefined; // the codec says what is wrong
  }
  if (typeof line !== 'object' || line === null || Object.keys(line).join() !== NAMES) return undefined;
  if (line.v !== LOG_FORMAT || typeof line.fields !== 'object' || line.fields === null) return undefined;
  if (!isAscending(Object.keys(line.fields)) || JSON.stringify(line) !== text) return undefined;
  // JSON.stringify writes lone surrogates as escapes; canonical JSON has none.
  if (text.includes('\\ud') || text.includes('\ufffd')) return undefined;
  const bare = text.replace(SUM, ',"v":');
  if (bare.length === text.length || !sha256Of(bare).startsWith(line.sum)) return undefined;
  const counts = [line.seq, line.mono_ms, line.batch_first, line.batch_last];
  if (!counts.every((count) => Number.isSafeInteger(count) && count >= 0)) return undefined;
  if (line.mono_ms > 8_640_000_000_000 || typeof line.wall !== 'string') return undefined;
  if (epochMsFromTimestamp(line.wall) === undefined || !recordFromLine(line).ok) return undefined;
  return line;
}

/**
 * The lines of a log that is good from the first to the last byte and continues `firstPrev` (the SHA-256 of
 * `job.json` as it lies on the disk); undefined for any other, also for one with a torn tail.
 */
export function quickRead(bytes: Uint8Array, firstPrev: string): QuickLog | undefined {
  let text: string;
  try {
    text = UTF8.decode(bytes);
  } catch {
    return undefined; // not UTF-8: the codec says where
  }
  if (text === '' || !text.endsWith('\n')) return undefined;
  const texts = text.slice(0, -1).split('\n');
  if (texts.length > MAX_LINES) return undefined;
  const lines: StoredLine[] = [];
  let prev = firstPrev;
  let before: StoredLine | undefined;
  let finished = false;
  for (const one of texts) {
    const line = goodLine(one);
    if (line === undefined || line.prev !== prev || line.seq !== lines.length + 1) return undefined;
    if (line.mono_ms < (before?.mono_ms ?? 0)) return undefined;
    // After the end only the leaving of the job is taken here; whatever else may follow the codec decides.
    if (finished && line.event !== 'job.left') return undefined;
    finished = finished || line.event === 'job.finished';
    const starts = before === undefined || before.seq === before.batch_last;
    if (line.batch_first !== (starts ? line.seq : before?.batch_first)) return undefined;
    if (starts ? line.batch_last < line.seq : line.batch_last !== before?.batch_last) return undefined;
    prev = sha256Of(one);
    lines.push(line);
    before = line;
  }
  if (before === undefined || before.seq !== before.batch_last) return undefined;
  return { lines, verdict: finished ? 'complete' : 'unfinished' };
}
