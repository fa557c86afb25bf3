/**
 * Which driver fits which fastener: sizes by thread and head, and whether a tool's drive turns a
 * fastener's drive.
 * Sources: socket cap ISO 4762; countersunk ISO 10642; button ISO 7380; set screws ISO 4026; hexagon
 * heads ISO 4017/4032 (older DIN 933 differs at M10 and M12: both are accepted); cross recess ISO 7045
 * and 7046 with ISO 4757; hexalobular ISO 14580/14583 with ISO 10664.
 */
import type { Drive, Fastener } from './model.ts';
import { parseThread } from './threads.ts';

type Head = NonNullable<Fastener['head']>;
type Sizes = Readonly<Record<string, readonly number[]>>;

const CAP_KEY_MM: Sizes = {
  '1.6': [1.5],
  '2': [1.5],
  '2.5': [2],
  '3': [2.5],
  '4': [3],
  '5': [4],
  '6': [5],
  '8': [6],
  '10': [8],
  '12': [10],
  '16': [14],
  '20': [17],
  '24': [19],
};
const COUNTERSUNK_KEY_MM: Sizes = {
  '3': [2],
  '4': [2.5],
  '5': [3],
  '6': [4],
  '8': [5],
  '10': [6],
  '12': [8],
};
const SET_KEY_MM: Sizes = {
  '2': [0.9],
  '3': [1.5],
  '4': [2],
  '5': [2.5],
  '6': [3],
  '8': [4],
  '10': [5],
  '12': [6],
};
const ACROSS_FLATS_MM: Sizes = {
  '3': [5.5],
  '4': [7],
  '5': [8],
  '6': [10],
  '8': [13],
  '10': [16, 17],
  '12': [18, 19],
};
/** M2 is 0 in ISO 7045 and 1 in the older DIN 7985: both are in the field, both are accepted. */
const CROSS_NUMBER: Sizes = {
  '1.6': [0],
  '2': [0, 1],
  '2.5': [1],
  '3': [1],
  '3.5': [2],
  '4': [2],
  '5': [2],
  '6': [3],
  '8': [4],
  '10': [4],
};
/** M8 is T45 under a low cheese head and T40 under a pan or countersunk head. */
const HEXALOBULAR_NUMBER: Sizes = {
  '2': [6],
  '2.5': [8],
  '3': [10],
  '3.5': [15],
  '4': [20],
  '5': [25],
  '6': [30],
  '8': [40, 45],
  '10': [50],
};

/** Point-to-point size A in mm of the hexalobular numbers (ISO 10664; T27 from common tables). */
export const HEXALOBULAR_A_MM: Readonly<Record<number, number>> = {
  1: 0.9,
  2: 1,
  3: 1.2,
  4: 1.35,
  5: 1.5,
  6: 1.75,
  8: 2.4,
  10: 2.8,
  15: 3.35,
  20: 3.95,
  25: 4.5,
  27: 5.07,
  30: 5.6,
  40: 6.75,
  45: 7.93,
  50: 8.95,
  55: 11.35,
  60: 13.45,
};

function hexKeySizes(head: Head | undefined): Sizes {
  if (head === 'countersunk' || head === 'button') return COUNTERSUNK_KEY_MM;
  return head === 'set' ? SET_KEY_MM : CAP_KEY_MM;
}

/**
 * Drive sizes that standards give a thread diameter under a head, or undefined where no table speaks:
 * slotted and unknown heads, threads out of the tables. Set screws are in the table of their own.
 */
export function usualDriveSizes(
  fastener: Pick<Fastener, 'thread' | 'head' | 'drive'>,
): readonly number[] | undefined {
  const thread = parseThread(fastener.thread);
  if (!thread) return undefined;
  const key = String(thread.diameter_mm);
  switch (fastener.drive.kind) {
    case 'hex':
      return hexKeySizes(fastener.head)[key];
    case 'hex-head':
      return ACROSS_FLATS_MM[key];
    case 'phillips':
    case 'pozidriv':
      return fastener.head === 'set' ? undefined : CROSS_NUMBER[key];
    case 'hexalobular':
      return fastener.head === 'set' ? undefined : HEXALOBULAR_NUMBER[key];
    default:
      return undefined;
  }
}

/** Whether a tool turns a fastener: `kind` or `size` says what does not fit. Phillips is not Pozidriv. */
export function driveFit(tool: Drive, fastener: Drive): 'fits' | 'kind' | 'size' {
  if (tool.kind !== fastener.kind) return 'kind';
  // A slotted blade is named by its width; one a little narrower than the slot still turns the screw.
  if (tool.kind === 'slotted')
    return tool.size <= fastener.size + 0.5 && tool.size >= fastener.size * 0.6 ? 'fits' : 'size';
  return Math.abs(tool.size - fastener.size) < 1e-9 ? 'fits' : 'size';
}

const DRIVE_WORDS: Readonly<Record<Drive['kind'], (size: number) => string>> = {
  phillips: (size) => `Phillips number ${size}`,
  pozidriv: (size) => `Pozidriv number ${size}`,
  slotted: (size) => `slotted ${size} mm`,
  hex: (size) => `hex key ${size} mm`,
  hexalobular: (size) => `hexalobular T${size}`,
  'hex-head': (size) => `${size} mm across flats`,
  none: () => 'no drive',
};

/** A drive in words: "hexalobular T10", "hex key 2.5 mm". */
export function driveWords(drive: Drive): string {
  return DRIVE_WORDS[drive.kind](drive.size);
}
