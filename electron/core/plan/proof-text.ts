/** The words of the plan proof's violations. Codes are never reused. */
import type { Violation } from './proof-contents.ts';

const TEXTS: Readonly<Record<string, string>> = {
  'proof/other-product': 'The plan is for another product or revision: {found}, expected {expected}.',
  'proof/unknown-part': 'The unit has no such part to replace: {part}.',
  'proof/nothing-replaced': 'The plan replaces nothing.',
  'proof/duplicate-step-id': 'Two steps have the same id.',
  'proof/stage-order': 'A step of the stage "{stage}" comes after a later stage.',
  'proof/unknown-step': 'The step stands for nothing in the product file.',
  'proof/step-not-expected': 'The step "{source}" ({action}) has no place here.',
  'proof/step-twice': 'The step "{source}" happens twice.',
  'proof/step-missing': 'The step "{missing}" ({action}) is missing.',
  'proof/out-of-order': 'The step "{found}" comes before "{before}", which must be first.',
  'proof/wrong-part': 'The step belongs to the part "{expected}", not "{found}".',
  'proof/part-off-needlessly': 'The part "{part}" is taken off without need.',
  'proof/part-off-twice': 'The part "{part}" is taken off twice.',
  'proof/through-another-part': 'The part "{part}" comes off while "{needs}" is still in the way.',
  'proof/before-preparation': 'A part comes off before the preparation step "{before}".',
  'proof/energy-source-still-in': 'The part "{part}" comes off while an energy source is still in.',
  'proof/part-not-off': 'The part "{part}" goes back before it is off.',
  'proof/part-not-back': 'The part "{part}" is not back at the end.',
  'proof/covers-open-part': 'The part "{part}" goes back over "{covers}", which is not back yet.',
  'proof/install-after': 'The part "{part}" goes back before "{after}".',
  'proof/energy-too-early': 'Energy returns while the unit is still open: {open}.',
  'proof/energy-not-restored': 'Energy is never restored: "{missing}".',
  'proof/unit-still-open': 'The step comes while parts are still off: {open}.',
  'proof/new-part-before-old-off': 'The new part is fetched before the old "{part}" is off.',
  'proof/new-part-not-fetched': 'The new part "{part}" has not been fetched.',
  'proof/new-part-not-ready': 'The new part "{part}" goes in without "{missing}".',
  'proof/old-part-still-in': 'The old part "{part}" is never replaced.',
  'proof/on-old-part': 'The part "{part}" goes back onto the old "{onto}".',
  'proof/carried-part-left': 'The part "{carried}" stays on the old "{part}".',
  'proof/caution-missing': 'The caution "{hazard}" is not read before its step.',
  'proof/caution-changed': 'The caution "{hazard}" does not say what the product file says.',
  'proof/caution-order': 'The caution "{later}" is more severe than "{first}" and must come first.',
  'proof/fasteners-missing': 'The step does not name its fasteners: {count} × {fastener}.',
  'proof/fasteners-unexpected': 'The step names fasteners that it has none of.',
  'proof/fastener-wrong': 'Wrong fasteners: {found}, expected {expected}.',
  'proof/fastener-wrong-place': 'The fasteners go to "{found}", they belong to "{expected}".',
  'proof/compartment-wrong': 'Compartment {found}, expected {expected}.',
  'proof/wrong-compartment': 'Compartment {compartment} is not the one for {fastener} from "{place}".',
  'proof/compartment-short': 'Compartment {compartment} has {short} too few.',
  'proof/compartment-twice':
    'Two compartments hold the same kind from the same place, or have the same number.',
  'proof/compartment-count': 'Compartment {compartment} should list {expected}, it lists {found}.',
  'proof/tray-not-empty': 'Compartment {compartment} still holds {left}.',
  'proof/tray-not-counted': 'The tray is not counted before the unit gets energy.',
  'proof/torque-wrong': 'Torque {found} N·m, expected {expected}.',
  'proof/torque-not-said': 'The sentence does not say the torque.',
  'proof/passes-wrong': 'Passes {found} N·m, expected {expected}.',
  'proof/round-pass-wrong': 'Round pass {found}, expected {expected}.',
  'proof/tightening-order-wrong': 'The order {found} is not a {pattern} order.',
  'proof/loosening-order-wrong': 'The order {found} is not a {pattern} order for loosening.',
  'proof/not-renewed': '"{item}" is not renewed or used.',
  'proof/consumable-not-listed': '"{item}" is used but not listed to be at hand.',
  'proof/tool-wrong': 'Tool {found}, expected {expected}.',
  'proof/tool-not-listed': 'The tool "{tool}" is used but not listed.',
  'proof/measure-changed': 'The measurement is not the one of the product file.',
  'proof/record-changed': 'The record is not the one of the product file.',
  'proof/record-too-late': 'The serial number of the unit is recorded after parts are off.',
  'proof/serial-not-recorded': 'A serial number is not recorded in time.',
  'proof/hold-lost': 'The hold point "{hold}" is missing.',
  'proof/optional-changed': 'The step may not change between optional and needed.',
  'proof/route-not-noted': 'The route of "{item}" is not noted on the way in.',
  'proof/route-not-read-back': 'The noted route of "{item}" is not read back.',
  'proof/nothing-to-say': 'The step has no sentence.',
  'proof/check-missing': 'The final check "{missing}" is missing.',
  'proof/check-too-early': 'The final check "{source}" comes before energy is restored.',
  'proof/check-too-late': 'The check "{source}" must come before energy is restored.',
};

/** Codes that the proof can return. */
export const PROOF_CODES: readonly string[] = Object.keys(TEXTS);

/** A violation in one sentence, with the step's id in front. */
export function proofText(violation: Violation): string {
  const template = TEXTS[violation.code] ?? `${violation.code} ${JSON.stringify(violation.facts)}`;
  const text = template.replace(/\{(\w+)\}/g, (_, name: string) => {
    const value = violation.facts[name];
    return Array.isArray(value) ? value.join(', ') : String(value ?? '?');
  });
  return violation.step === null ? text : `${violation.step}: ${text}`;
}
