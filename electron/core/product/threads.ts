/**
 * Metric screw threads: pitch, stress area, proof stress of the property classes.
 * Sources: coarse pitches ISO 261/262; basic profile ISO 68-1 and ISO 724; proof stresses ISO 898-1
 * (steel) and ISO 3506-1 (stainless, 0.2 % limit).
 */

/** Coarse pitch in mm by nominal diameter in mm (ISO 261). */
const COARSE_PITCH_MM: ReadonlyMap<number, number> = new Map([
  [1, 0.25],
  [1.2, 0.25],
  [1.4, 0.3],
  [1.6, 0.35],
  [1.8, 0.35],
  [2, 0.4],
  [2.2, 0.45],
  [2.5, 0.45],
  [3, 0.5],
  [3.5, 0.6],
  [4, 0.7],
  [5, 0.8],
  [6, 1],
  [7, 1],
  [8, 1.25],
  [10, 1.5],
  [12, 1.75],
  [14, 2],
  [16, 2],
  [18, 2.5],
  [20, 2.5],
  [22, 2.5],
  [24, 3],
  [27, 3],
  [30, 3.5],
  [33, 3.5],
  [36, 4],
]);

/** Fine pitches in common use, in mm by nominal diameter in mm (ISO 262). */
const FINE_PITCHES_MM: ReadonlyMap<number, readonly number[]> = new Map([
  [1.6, [0.2]],
  [2, [0.25]],
  [2.5, [0.35]],
  [3, [0.35]],
  [4, [0.5]],
  [5, [0.5]],
  [6, [0.75]],
  [8, [0.75, 1]],
  [10, [0.75, 1, 1.25]],
  [12, [1, 1.25, 1.5]],
  [14, [1.5]],
  [16, [1, 1.5]],
  [18, [1.5, 2]],
  [20, [1.5, 2]],
  [22, [1.5, 2]],
  [24, [2]],
  [27, [2]],
  [30, [2]],
  [33, [2]],
  [36, [3]],
]);

export interface Thread {
  /** Nominal diameter in mm. */
  readonly diameter_mm: number;
  readonly pitch_mm: number;
  /** `coarse` or `fine` where the pair of diameter and pitch is listed, else `unlisted`. */
  readonly series: 'coarse' | 'fine' | 'unlisted';
}

const DESIGNATION = /^M([1-9]\d?(?:\.\d{1,2})?)(?:\s?[x×]\s?(\d(?:\.\d{1,2})?))?$/;

/**
 * Reads a designation "M2.5" or "M8x1" (also "M8×1"). Without a pitch it means the coarse one.
 * Undefined for anything else, and for a diameter without pitch that the coarse series does not have.
 * A length does not belong here: "M3x8" reads as pitch 8, which is `unlisted`.
 */
export function parseThread(designation: string): Thread | undefined {
  const match = DESIGNATION.exec(designation);
  if (!match) return undefined;
  const diameter_mm = Number(match[1]);
  const coarse = COARSE_PITCH_MM.get(diameter_mm);
  if (match[2] === undefined) {
    return coarse === undefined ? undefined : { diameter_mm, pitch_mm: coarse, series: 'coarse' };
  }
  const pitch_mm = Number(match[2]);
  if (pitch_mm === coarse) return { diameter_mm, pitch_mm, series: 'coarse' };
  const fine = FINE_PITCHES_MM.get(diameter_mm)?.includes(pitch_mm) ?? false;
  return { diameter_mm, pitch_mm, series: fine ? 'fine' : 'unlisted' };
}

/** Diameters of the coarse series in mm, rising. */
export function coarseDiameters_mm(): readonly number[] {
  return [...COARSE_PITCH_MM.keys()];
}

/** Basic diameters of the ISO profile (ISO 68-1, ISO 724), in mm: pitch, minor, and minor of the screw. */
export function profileDiameters_mm(thread: Thread): {
  readonly d2: number;
  readonly d1: number;
  readonly d3: number;
} {
  const height = (Math.sqrt(3) / 2) * thread.pitch_mm;
  return {
    d2: thread.diameter_mm - 0.75 * height,
    d1: thread.diameter_mm - 1.25 * height,
    d3: thread.diameter_mm - (17 / 12) * height,
  };
}

/** Tensile stress area in mm²: π/4·((d2+d3)/2)² (ISO 898-1). */
export function stressArea_mm2(thread: Thread): number {
  const { d2, d3 } = profileDiameters_mm(thread);
  return (Math.PI / 4) * ((d2 + d3) / 2) ** 2;
}

/**
 * Proof stress in MPa: steel classes from ISO 898-1 (8.8 as for diameters up to 16 mm), stainless
 * classes with the 0.2 % proof stress of ISO 3506-1.
 */
const PROOF_STRESS_MPA: ReadonlyMap<string, number> = new Map([
  ['4.6', 225],
  ['4.8', 310],
  ['5.6', 280],
  ['5.8', 380],
  ['6.8', 440],
  ['8.8', 580],
  ['9.8', 650],
  ['10.9', 830],
  ['12.9', 970],
  ['A2-50', 210],
  ['A2-70', 450],
  ['A2-80', 600],
  ['A4-50', 210],
  ['A4-70', 450],
  ['A4-80', 600],
]);

/** Proof stress of a property class in MPa, or undefined for a class that is not listed. */
export function proofStress_MPa(propertyClass: string): number | undefined {
  return PROOF_STRESS_MPA.get(propertyClass.toUpperCase());
}

/** Property classes that are known, weakest kind first as listed. */
export function propertyClasses(): readonly string[] {
  return [...PROOF_STRESS_MPA.keys()];
}

/** Proof load in N: stress area times proof stress; undefined for an unknown class. */
export function proofLoad_N(thread: Thread, propertyClass: string): number | undefined {
  const stress = proofStress_MPa(propertyClass);
  return stress === undefined ? undefined : stressArea_mm2(thread) * stress;
}
