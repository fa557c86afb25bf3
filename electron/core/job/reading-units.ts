/** Units of readings: which can be turned into which. Factors are exact by definition (SI; lbf·in from lbf and inch). */

import { ENGLISH_TABLE } from '../base/language-table.ts';

type Dimension = 'V' | 'A' | 'Ω' | 'W' | 'Hz' | 'N·m' | 'm' | 's' | 'Pa' | 'l/s' | 'l' | '°C' | '%' | 'kg';

/** Unit as printed, its dimension, and its factor to the dimension's base. */
const UNITS: ReadonlyMap<string, readonly [Dimension, number]> = new Map([
  ['V', ['V', 1]],
  ['mV', ['V', 1e-3]],
  ['kV', ['V', 1e3]],
  ['A', ['A', 1]],
  ['mA', ['A', 1e-3]],
  ['Ω', ['Ω', 1]],
  ['kΩ', ['Ω', 1e3]],
  ['MΩ', ['Ω', 1e6]],
  ['mΩ', ['Ω', 1e-3]],
  ['W', ['W', 1]],
  ['Hz', ['Hz', 1]],
  ['kHz', ['Hz', 1e3]],
  ['N·m', ['N·m', 1]],
  // 0.45359237 kg × 9.80665 m/s² × 0.0254 m
  ['lbf·in', ['N·m', 0.1129848290276167]],
  ['m', ['m', 1]],
  ['mm', ['m', 1e-3]],
  ['cm', ['m', 1e-2]],
  ['s', ['s', 1]],
  ['min', ['s', 60]],
  ['Pa', ['Pa', 1]],
  ['kPa', ['Pa', 1e3]],
  ['bar', ['Pa', 1e5]],
  ['mbar', ['Pa', 1e2]],
  ['ml/min', ['l/s', 1e-3 / 60]],
  ['l/min', ['l/s', 1 / 60]],
  ['ml', ['l', 1e-3]],
  ['l', ['l', 1]],
  ['°C', ['°C', 1]],
  ['%', ['%', 1]],
  ['g', ['kg', 1e-3]],
  ['kg', ['kg', 1]],
]);

/**
 * A reading said in one unit, in the unit the measure is kept in; undefined where the two do not measure
 * the same. Units not in the table convert only to themselves. The result is rounded to 12 significant
 * digits, so that 3250 mV is 3.25 V and not 3.2500000000000004 V.
 */
export function convertReading(value: number, from: string, to: string): number | undefined {
  if (from === to) return value;
  const source = UNITS.get(from);
  const target = UNITS.get(to);
  if (source === undefined || target === undefined || source[0] !== target[0]) return undefined;
  return Number(((value * source[1]) / target[1]).toPrecision(12));
}

/** Spoken unit, in lower-case words, and the unit as printed. The longest match wins. */
export const SPOKEN_UNITS: ReadonlyMap<string, string> = new Map(Object.entries(ENGLISH_TABLE.phrases.units));
