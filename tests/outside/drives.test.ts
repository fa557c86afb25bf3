/**
 * Drive sizes by thread and head against published tables.
 *
 * Sources: socket cap ISO 4762 (uis.no, codecupboard.com); countersunk ISO 10642 (codecupboard.com);
 * button ISO 7380 (uis.no); set screws ISO 4026 (hanabolt.com); hexagon heads ISO 4017/4032 and DIN 933
 * (uis.no, creativefasteners; ISO 16 and 18 from memory); cross recess ISO 7045 and 7046
 * (fullerfasteners.com); hexalobular ISO 14580, 14583 and 10664 (geartoolkit.com, nedcad.eu; T27 from memory).
 */
import { describe, expect, it } from 'vitest';
import {
  driveFit,
  driveWords,
  HEXALOBULAR_A_MM,
  usualDriveSizes,
} from '../../electron/core/product/drives.ts';
import type { Drive, Fastener } from '../../electron/core/product/model.ts';

function usual(thread: string, kind: Drive['kind'], head?: Fastener['head']): readonly number[] | undefined {
  return usualDriveSizes({ thread, drive: { kind, size: 1 }, ...(head ? { head } : {}) });
}

type Row = readonly [
  string,
  Drive['kind'],
  Fastener['head'] | undefined,
  Readonly<Record<string, readonly number[]>>,
];
const rows: readonly Row[] = [
  [
    'socket cap',
    'hex',
    'socket-cap',
    {
      M1_6: [1.5],
      M2: [1.5],
      M2_5: [2],
      M3: [2.5],
      M4: [3],
      M5: [4],
      M6: [5],
      M8: [6],
      M10: [8],
      M12: [10],
      M16: [14],
      M20: [17],
      M24: [19],
    },
  ],
  [
    'countersunk hex socket',
    'hex',
    'countersunk',
    { M3: [2], M4: [2.5], M5: [3], M6: [4], M8: [5], M10: [6], M12: [8] },
  ],
  ['button', 'hex', 'button', { M3: [2], M4: [2.5], M5: [3], M6: [4], M8: [5], M10: [6], M12: [8] }],
  [
    'set screw',
    'hex',
    'set',
    { M2: [0.9], M3: [1.5], M4: [2], M5: [2.5], M6: [3], M8: [4], M10: [5], M12: [6] },
  ],
  [
    'hexagon head, ISO or the older DIN',
    'hex-head',
    'hex',
    { M3: [5.5], M4: [7], M5: [8], M6: [10], M8: [13], M10: [16, 17], M12: [18, 19] },
  ],
  [
    'Phillips pan',
    'phillips',
    'pan',
    { M1_6: [0], M2_5: [1], M3: [1], M3_5: [2], M4: [2], M5: [2], M6: [3], M8: [4], M10: [4] },
  ],
  [
    'Pozidriv countersunk',
    'pozidriv',
    'countersunk',
    { M2_5: [1], M3: [1], M3_5: [2], M4: [2], M5: [2], M6: [3], M8: [4], M10: [4] },
  ],
  [
    'hexalobular',
    'hexalobular',
    'pan',
    { M2: [6], M2_5: [8], M3: [10], M3_5: [15], M4: [20], M5: [25], M6: [30], M10: [50] },
  ],
];

describe.each(rows)('%s', (_name, kind, head, sizes) => {
  it.each(Object.entries(sizes))('%s', (thread, expected) => {
    expect(usual(thread.replace('_', '.'), kind, head)).toEqual(expected);
  });
});

describe('where the tables disagree, both sizes pass', () => {
  it('M2 cross recess: 0 in ISO 7045, 1 in DIN 7985', () => {
    expect(usual('M2', 'phillips', 'pan')).toEqual([0, 1]);
  });
  it('M8 hexalobular: T45 under a low cheese head, T40 under pan and countersunk', () => {
    expect(usual('M8', 'hexalobular', 'pan')).toEqual([40, 45]);
  });
});

describe('no table, no opinion', () => {
  it.each([
    ['M2', 'slotted'],
    ['M27', 'hex'],
    ['M3.3', 'hex'],
    ['no thread', 'phillips'],
    ['M3', 'none'],
  ] as const)('%s %s', (thread, kind) => {
    expect(usual(thread, kind)).toBeUndefined();
  });
});

it('hexalobular sizes A of ISO 10664', () => {
  expect(HEXALOBULAR_A_MM).toMatchObject({
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
  });
  for (const absent of [7, 9]) expect(HEXALOBULAR_A_MM[absent]).toBeUndefined(); // sold, but not in the standard
});

describe('driveFit', () => {
  it.each([
    [{ kind: 'phillips', size: 1 }, { kind: 'phillips', size: 1 }, 'fits'],
    [{ kind: 'phillips', size: 2 }, { kind: 'phillips', size: 1 }, 'size'],
    [{ kind: 'phillips', size: 1 }, { kind: 'pozidriv', size: 1 }, 'kind'],
    [{ kind: 'pozidriv', size: 2 }, { kind: 'phillips', size: 2 }, 'kind'],
    [{ kind: 'hex', size: 1.6 }, { kind: 'hex', size: 1.5 }, 'size'], // the key of an M2 cap screw is 1.5, not 1.6
    [{ kind: 'hex-head', size: 5 }, { kind: 'hex', size: 5 }, 'kind'],
    [{ kind: 'hexalobular', size: 10 }, { kind: 'hexalobular', size: 9 }, 'size'],
    [{ kind: 'slotted', size: 3.5 }, { kind: 'slotted', size: 4 }, 'fits'],
    [{ kind: 'slotted', size: 6 }, { kind: 'slotted', size: 4 }, 'size'],
    [{ kind: 'slotted', size: 2 }, { kind: 'slotted', size: 4 }, 'size'],
  ] as const)('%o on %o: %s', (tool, fastener, expected) => {
    expect(driveFit(tool, fastener)).toBe(expected);
  });

  it('has words for every kind', () => {
    const kinds: readonly Drive['kind'][] = [
      'phillips',
      'pozidriv',
      'slotted',
      'hex',
      'hexalobular',
      'hex-head',
      'none',
    ];
    expect(kinds.map((kind) => driveWords({ kind, size: 2.5 }))).toEqual([
      'Phillips number 2.5',
      'Pozidriv number 2.5',
      'slotted 2.5 mm',
      'hex key 2.5 mm',
      'hexalobular T2.5',
      '2.5 mm across flats',
      'no drive',
    ]);
  });
});
