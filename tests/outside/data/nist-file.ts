/** Reads the data files of the NIST Statistical Reference Datasets (public domain) kept in `nist/`. */
import { readFileSync } from 'node:fs';

/** The rows of numbers of a data file; the header says between which lines they stand. */
export function nistRows(name: string): number[][] {
  const text = readFileSync(new URL(`./nist/${name}.dat`, import.meta.url), 'utf8');
  const lines = text.split(/\r?\n/);
  const range = /Data\s*(?::\s*lines|\(lines)\s+(\d+)\s+to\s+(\d+)/.exec(text);
  if (range === null) throw new Error(`${name}.dat does not say where its data are`);
  return lines
    .slice(Number(range[1]) - 1, Number(range[2]))
    .filter((line) => line.trim() !== '')
    .map((line) => line.trim().split(/\s+/).map(Number));
}

/** The numbers of a univariate set, in order. */
export function nistValues(name: string): number[] {
  return nistRows(name).flat();
}
