/**
 * Wall times against RFC 3339. The first example is the RFC's as quoted in the documentation of a date
 * library; the others are the RFC's own, from memory; seconds since 1970 were computed apart with Python.
 */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { epochMsFromTimestamp, timestampFromEpochMs } from '../../electron/core/log/timestamp.ts';

test.each([
  ['1985-04-12T23:20:50.52Z', 482196050.52],
  ['1996-12-19T16:39:57-08:00', 851042397],
  ['1996-12-20T00:39:57Z', 851042397],
  ['1937-01-01T12:00:27.87+00:20', -1041337172.13],
  ['2026-02-28T23:59:59.999+05:30', 1772303399.999],
  // Leap seconds: valid; they count as the second after.
  ['1990-12-31T23:59:60Z', 662688000],
  ['1990-12-31T15:59:60-08:00', 662688000],
  // Lower case and a space are allowed by the RFC's notes; -00:00 is UTC with an unknown local offset.
  ['1985-04-12t23:20:50z', 482196050],
  ['1985-04-12 23:20:50Z', 482196050],
  ['1985-04-12T23:20:50-00:00', 482196050],
  ['2000-02-29T00:00:00Z', 951782400],
])('%s is %f seconds after 1970', (text, seconds) => {
  expect(epochMsFromTimestamp(text)).toBeCloseTo(seconds * 1000, 3);
});

test.each([
  ['no offset', '1985-04-12T23:20:50'],
  ['the hour 24', '2026-01-05T24:00:00Z'],
  ['29 February of a common year', '2026-02-29T00:00:00Z'],
  ['the month 13', '2026-13-01T00:00:00Z'],
  ['single digits', '2026-1-5T00:00:00Z'],
  ['a comma', '2026-01-05T00:00:00,5Z'],
  ['the basic format', '20260105T090000Z'],
  ['a date alone', '2026-01-05'],
  ['a leap second at noon', '1990-12-31T12:00:60Z'],
  ['the minute 60', '2026-01-05T00:60:00Z'],
  ['an offset of 24 hours', '2026-01-05T00:00:00+24:00'],
  ['29 February of 1900', '1900-02-29T00:00:00Z'],
  ['something behind it', '2026-01-05T00:00:00Z '],
  ['nothing', ''],
])('%s is refused', (_name, text) => {
  expect(epochMsFromTimestamp(text)).toBeUndefined();
});

test('what is written is read back to the millisecond, at every offset', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: -2_000_000_000_000, max: 4_000_000_000_000 }),
      fc.integer({ min: -1439, max: 1439 }),
      (epochMs, offset) => {
        const text = timestampFromEpochMs(epochMs, offset);
        expect(epochMsFromTimestamp(text)).toBe(epochMs);
        expect(text).toMatch(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}[+-]\d\d:\d\d$/);
      },
    ),
    { seed: 33, numRuns: 500 },
  );
});

test('the local time and the offset are both shown', () => {
  expect(timestampFromEpochMs(1_772_303_399_999, 330)).toBe('2026-02-28T23:59:59.999+05:30');
  expect(timestampFromEpochMs(851_042_397_000, -480)).toBe('1996-12-19T16:39:57.000-08:00');
});
