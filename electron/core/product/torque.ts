/**
 * Torque: exact unit conversion and plausibility against thread and property class.
 * The conversion factors follow from the definitions of pound, standard gravity and inch and are exact:
 * lbf = 0.453 592 37 · 9.806 65 N, in = 0.0254 m (NIST SP 811, appendix B).
 */
import { proofLoad_N, type Thread } from './threads.ts';

declare const unitBrand: unique symbol;
/** A torque in newton metres; the brand keeps it apart from numbers in other units. */
export type NewtonMetres = number & { readonly [unitBrand]: 'N·m' };

export type TorqueUnit = 'N·m' | 'cN·m' | 'lbf·in' | 'lbf·ft' | 'ozf·in' | 'kgf·cm' | 'kgf·m';

const POUND_FORCE_N = 0.45359237 * 9.80665;
const INCH_M = 0.0254;

const NEWTON_METRES_PER: Readonly<Record<TorqueUnit, number>> = {
  N·m: 1,
  cN·m: 0.01,
  lbf·in: POUND_FORCE_N * INCH_M,
  lbf·ft: POUND_FORCE_N * INCH_M * 12,
  ozf·in: (POUND_FORCE_N * INCH_M) / 16,
  kgf·cm: 0.0980665,
  kgf·m: 9.80665,
};

/** A torque given in any unit, in newton metres. */
export function newtonMetres(value: number, unit: TorqueUnit = 'N·m'): NewtonMetres {
  return (value * NEWTON_METRES_PER[unit]) as NewtonMetres;
}

/** A torque in newton metres, as a plain number in another unit. */
export function torqueIn(unit: TorqueUnit, torque_nm: NewtonMetres | number): number {
  return torque_nm / NEWTON_METRES_PER[unit];
}

/**
 * Tightening torque in N·m that brings a fastener to a preload: T = K·d·F, F in newton, d in mm.
 * K is the nut factor: 0.20 for dry steel, 0.15 lubricated (common practice, not a standard).
 */
export function tighteningTorque_nm(preload_N: number, thread: Thread, nutFactor = 0.2): NewtonMetres {
  return ((nutFactor * thread.diameter_mm * preload_N) / 1000) as NewtonMetres;
}

/** Share of the proof load above which a stated torque is suspect, and the nut factor it is reckoned with. */
export const PLAUSIBLE_PROOF_SHARE = 0.9;
/** Below this share of the upper bound a torque is suspect too: most likely a wrong unit. */
export const PLAUSIBLE_LOW_SHARE = 0.03;

/** Class that stands in for an unknown one: the strongest that small machine screws commonly have. */
const USUAL_CLASS = '8.8';

/**
 * The range in N·m in which a stated torque is believable: up to 90 % of the proof load at K = 0.2, and
 * not under 3 % of that. Screws into plastic stand far below the steel's limit, so the lower bound is
 * wide; it catches a torque entered in another unit. An unlisted class is reckoned as 8.8.
 */
export function plausibleTorque_nm(
  thread: Thread,
  propertyClass?: string,
): { readonly min: number; readonly max: number } {
  const load = proofLoad_N(thread, propertyClass ?? USUAL_CLASS) ?? proofLoad_N(thread, USUAL_CLASS) ?? 0;
  const max = tighteningTorque_nm(PLAUSIBLE_PROOF_SHARE * load, thread);
  return { min: max * PLAUSIBLE_LOW_SHARE, max };
}
