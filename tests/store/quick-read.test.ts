import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { JobRecord } from '../../electron/core/job/model.ts';
import { hashOfJson } from '../../electron/core/log/canonical-json.ts';
import { readLog } from '../../electron/core/log/codec.ts';
import { quickRead } from '../../electron/store/quick-read.ts';
import { sampleRecords } from '../core/review/sample-job.ts';
import { logText, realJobFile } from './log-folders.ts';

const FILE = realJobFile('job');
const PREV = hashOfJson(FILE);
const encode = (text: string): Uint8Array => new TextEncoder().encode(text);
const GOOD = logText(FILE, sampleRecords());

describe('the quick reader', () => {
  it('takes a good log as the codec does', () => {
    const slow = readLog(GOOD);
    expect(quickRead(encode(GOOD), PREV)).toEqual({ lines: slow.lines, verdict: slow.verdict });
    const half = logText(FILE, sampleRecords().slice(0, 9));
    expect(quickRead(encode(half), PREV)).toEqual({ lines: readLog(half).lines, verdict: 'unfinished' });
  });

  it('takes the leaving of a finished job, nothing else after the end', () => {
    const left: JobRecord = { event: 'job.left', at_ms: 100_000 };
    expect(quickRead(encode(logText(FILE, [...sampleRecords(), left])), PREV)?.verdict).toBe('complete');
    const shown: JobRecord = { event: 'step.shown', at_ms: 100_000, step: 'a', visit: 9 };
    expect(quickRead(encode(logText(FILE, [...sampleRecords(), left, shown])), PREV)).toBe(undefined);
  });

  it('gives up on a wrong job file, a torn tail, an empty log and texts that are not UTF-8', () => {
    expect(quickRead(encode(GOOD), PREV.replace(/^./, 'x'))).toBe(undefined);
    expect(quickRead(encode(GOOD.slice(0, -1)), PREV)).toBe(undefined);
    expect(quickRead(encode(''), PREV)).toBe(undefined);
    expect(quickRead(new Uint8Array([0xff, 0x0a]), PREV)).toBe(undefined);
  });

  // It may only ever take what the codec takes, and then read the same from it.
  const agrees = (bytes: Uint8Array): void => {
    const quick = quickRead(bytes, PREV);
    if (quick === undefined) return;
    const slow = readLog(bytes);
    expect(slow.verdict).toBe(quick.verdict);
    expect(slow.tornTail).toBe(null);
    expect(slow.lines).toEqual(quick.lines);
  };

  it('takes nothing that the codec refuses, for any changed, lost or repeated bytes', () => {
    const good = encode(GOOD);
    const place = fc.nat(good.length - 1);
    fc.assert(
      fc.property(
        place,
        place,
        fc.nat(255),
        fc.constantFrom('change', 'cut', 'insert', 'repeat'),
        (a, b, byte, how) => {
          const [from, to] = a < b ? [a, b] : [b, a];
          const bytes =
            how === 'change'
              ? Uint8Array.from(good, (one, index) => (index === from ? byte : one))
              : how === 'cut'
                ? new Uint8Array([...good.subarray(0, from), ...good.subarray(to)])
                : how === 'insert'
                  ? new Uint8Array([...good.subarray(0, from), byte, ...good.subarray(from)])
                  : new Uint8Array([...good.subarray(0, to), ...good.subarray(from)]);
          agrees(bytes);
        },
      ),
      { seed: 14, numRuns: 300 },
    );
  });

  it('takes no whole lines that were swapped, left out or doubled', () => {
    const lines = GOOD.slice(0, -1).split('\n');
    for (let index = 0; index < lines.length - 1; index += 1) {
      const without = lines.filter((_, at) => at !== index);
      const doubled = [...lines.slice(0, index + 1), ...lines.slice(index)];
      for (const changed of [without, doubled]) {
        if (changed.length === lines.length - 1 && index === lines.length - 1) continue;
        expect(quickRead(encode(`${changed.join('\n')}\n`), PREV)).toBe(undefined);
      }
    }
  });
});
