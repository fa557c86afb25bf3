/** The smallest files that still have every list, for runs by the thousand. */

/** As small as a file can be that still has every list: most of the runs are on this one. */
export const TINY_FILE = `stepcaller: 1
id: lamp-1
name: Lamp
revision: 1
summary: A lamp.
start_side: front
variants: [{id: v, ask: Two or four?, answers: [two, four]}]
tools: [{id: ph1, name: driver, drive: {kind: phillips, size: 1}}]
hazards: [{id: hot, word: caution, symbol: hot, hazard: It is hot, consequence: It burns, avoid: Wait}]
fasteners: [{id: s, name: screw, kind: screw, thread: M3, length_mm: 8, drive: {kind: phillips, size: 1}, torque_nm: 0.5, tool: ph1}]
items: [{id: ring, kind: seal, name: ring}]
parts:
  - id: lid
    name: lid
    steps:
      - {id: a, do: remove-fasteners, fastener: s, count: 4, place: left edge, hazards: [hot]}
      - {id: b, mirrors: a, side_word: right}
      - {id: c, do: take-out-seal, item: ring, when: {variant: v, is: two}}
  - id: bulb
    name: bulb
    needs: [lid]
    steps:
      - {id: d, do: lift-out}
checks: [{id: e, do: measure, measure: {id: m, name: voltage, unit: V, max: 5}}]
`;

/** Smaller still, and so three times as fast to read: two runs of three are on this one. */
export const LEAST_FILE = `stepcaller: 1
id: a
name: A
revision: 1
summary: S
start_side: front
tools: [{id: t, name: T}]
fasteners: [{id: s, name: S, kind: nut, thread: M3, length_mm: 0, drive: {kind: none, size: 0}}]
parts:
  - id: p
    name: P
    steps:
      - {id: x, do: remove-fasteners, fastener: s, count: 4}
      - {id: y, do: lift-out, tool: t, supporting: p}
`;
