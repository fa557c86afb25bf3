/**
 * Numbers, times and units as they are shown, by locale. Values inside stay metric; only what is shown
 * is converted.
 */
import type { PlanFastener } from '../electron/core/plan/model.ts';
import type { Drive, Measure } from '../electron/core/product/model.ts';
import type { Settings } from '../electron/ipc/contract.ts';
import type { Words } from './words/words.ts';

/** 1 N·m in lbf·in: 1 / (4.4482216152605 N × 0.0254 m). */
export const LBF_IN_PER_NM = 1 / (4.4482216152605 * 0.0254);

/** A number with at most `decimals` places, by locale. */
export function shownNumber(value: number, locale: string, decimals = 2): string {
  return new Intl.NumberFormat(locale, { maximumFractionDigits: decimals }).format(value);
}

/** A torque given in N·m: "0.6 N·m", or "5.3 lbf·in" where the units are imperial. */
export function shownTorque(torque_nm: number, units: Settings['units'], locale: string): string {
  if (units === 'metric') return `${shownNumber(torque_nm, locale)} N·m`;
  const value = torque_nm * LBF_IN_PER_NM;
  return `${shownNumber(value, locale, value < 20 ? 1 : 0)} lbf·in`;
}

/** The torque of each pass with the unit once: "1.8 → 3.6 → 6 N·m". */
export function shownPasses(passes_nm: readonly number[], units: Settings['units'], locale: string): string {
  const all = passes_nm.map((pass) => shownTorque(pass, units, locale));
  return all.map((text, i) => (i < all.length - 1 ? text.slice(0, text.lastIndexOf(' ')) : text)).join(' → ');
}

/** A duration in milliseconds as minutes and seconds "4:07", with hours "1:04:07". Negative counts as 0. */
export function clock(duration_ms: number): string {
  const all = Math.max(0, Math.round(duration_ms / 1000));
  const two = (n: number): string => String(n).padStart(2, '0');
  const hours = Math.floor(all / 3600);
  const minutes = Math.floor((all % 3600) / 60);
  const seconds = all % 60;
  return hours > 0 ? `${hours}:${two(minutes)}:${two(seconds)}` : `${minutes}:${two(seconds)}`;
}

/** A duration in seconds in the largest fitting unit, by locale: "45 sec", "12 min", "1 hr 5 min". */
export function shownDuration(duration_s: number, locale: string): string {
  const one = (value: number, unit: string): string =>
    new Intl.NumberFormat(locale, { style: 'unit', unit, unitDisplay: 'short' }).format(value);
  if (duration_s < 60) return one(Math.round(duration_s), 'second');
  const minutes = Math.round(duration_s / 60);
  if (minutes < 60) return one(minutes, 'minute');
  const rest = minutes % 60;
  return rest === 0
    ? one(minutes / 60, 'hour')
    : `${one((minutes - rest) / 60, 'hour')} ${one(rest, 'minute')}`;
}

/** Date and time of an RFC 3339 text, by locale; the text itself where it is no date. */
export function shownMoment(rfc3339: string, locale: string): string {
  const date = new Date(rfc3339);
  if (Number.isNaN(date.getTime())) return rfc3339;
  return new Intl.DateTimeFormat(locale, { dateStyle: 'medium', timeStyle: 'short' }).format(date);
}

/** A part's id in words, where its name is not at hand: "battery-pack" is "battery pack". */
export function partWords(ids: readonly string[]): string {
  return ids.map((id) => id.replaceAll('-', ' ')).join(', ');
}

/** "M2.5 × 8" or "M8" where there is no length. */
export function shownThread(fastener: Pick<PlanFastener, 'thread' | 'length_mm'>, locale: string): string {
  return fastener.length_mm > 0
    ? `${fastener.thread} × ${shownNumber(fastener.length_mm, locale)}`
    : fastener.thread;
}

/** The drive in the trade's short form: "PH1", "T8", "hex 2.5 mm". */
export function shownDrive(drive: Drive, words: Words, locale: string): string {
  return words.drive[drive.kind](shownNumber(drive.size, locale));
}

/** The limits of a measure with its unit: "11.8 to 12.2 V". */
export function shownLimits(measure: Measure, words: Words, locale: string): string {
  const n = (value: number): string => shownNumber(value, locale, measure.decimals ?? 2);
  const { min, max, unit } = measure;
  if (min !== undefined && max !== undefined) return `${words.bench.limitBetween(n(min), n(max))} ${unit}`;
  if (min !== undefined) return `${words.bench.limitMin(n(min))} ${unit}`;
  if (max !== undefined) return `${words.bench.limitMax(n(max))} ${unit}`;
  return unit;
}
