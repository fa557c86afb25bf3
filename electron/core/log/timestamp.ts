/**
 * Wall time as RFC 3339 text with an offset. Wall time is for people and exports; every duration in a log
 * comes from the monotonic clock, so a jump of the wall clock changes no measured time.
 */

const TIMESTAMP =
  /^(\d{4})-(\d{2})-(\d{2})[Tt ](\d{2}):(\d{2}):(\d{2})(?:\.(\d{1,9}))?(?:([Zz])|([+-])(\d{2}):(\d{2}))$/;

function daysInMonth(year: number, month: number): number {
  if (month === 2) return (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0 ? 29 : 28;
  return [4, 6, 9, 11].includes(month) ? 30 : 31;
}

/**
 * Milliseconds since 1970-01-01T00:00:00Z of an RFC 3339 timestamp, or undefined where the text is none. A
 * leap second (":60", only at 23:59:60 UTC) is valid and counts as the following second. Fractions finer
 * than a millisecond are kept as a fraction.
 */
export function epochMsFromTimestamp(text: string): number | undefined {
  const match = TIMESTAMP.exec(text);
  if (match === null) return undefined;
  const number = (index: number): number => Number(match[index] ?? '0');
  const [year, month, day, hour, minute, second] = [1, 2, 3, 4, 5, 6].map(number) as [
    number,
    number,
    number,
    number,
    number,
    number,
  ];
  if (month < 1 || month > 12 || day < 1 || day > daysInMonth(year, month)) return undefined;
  if (hour > 23 || minute > 59 || second > 60) return undefined;
  const offsetHour = number(10);
  const offsetMinute = number(11);
  if (offsetHour > 23 || offsetMinute > 59) return undefined;
  const offsetMinutes = (match[9] === '-' ? -1 : 1) * (offsetHour * 60 + offsetMinute);
  // Date.UTC maps the years 0 to 99 to 1900 to 1999, so the year is set apart.
  const date = new Date(Date.UTC(2000, month - 1, day, hour, minute, second));
  date.setUTCFullYear(year, month - 1, day);
  if (second === 60) date.setUTCHours(hour, minute, second);
  const utcMs = date.getTime() - offsetMinutes * 60_000;
  if (second === 60 && new Date(utcMs).getUTCSeconds() + new Date(utcMs).getUTCMinutes() !== 0)
    return undefined;
  if (second === 60 && new Date(utcMs).getUTCHours() !== 0) return undefined;
  return utcMs + Number(`0.${match[7] ?? '0'}`) * 1000;
}

/**
 * RFC 3339 text with milliseconds and a numeric offset, such as "2026-03-01T09:30:00.125+01:00".
 * `offsetMinutes`: east of UTC is positive, from -1439 to 1439.
 */
export function timestampFromEpochMs(epochMs: number, offsetMinutes: number): string {
  const local = new Date(Math.round(epochMs) + offsetMinutes * 60_000).toISOString();
  const size = Math.abs(offsetMinutes);
  const two = (value: number): string => String(value).padStart(2, '0');
  const sign = offsetMinutes < 0 ? '-' : '+';
  return `${local.slice(0, -1)}${sign}${two(Math.floor(size / 60))}:${two(size % 60)}`;
}
