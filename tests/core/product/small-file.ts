/**
 * A small product file without findings, for tests that break one thing at a time.
 */
export const SMALL_FILE = `stepcaller: 1
id: lamp-1
name: Bench lamp
revision: 2
summary: A lamp with a lid, a battery and a board.
start_side: front
unit_serial: {id: unit-serial, name: serial number, min_length: 4, max_length: 8}
job_hazards: [rules]
variants:
  - {id: lid-screws, ask: Does the lid have two screws or four?, answers: [two, four]}
tools:
  - {id: ph1, name: Phillips screwdriver, drive: {kind: phillips, size: 1}}
  - {id: ph1-torque, name: torque screwdriver, drive: {kind: phillips, size: 1}, torque_range_nm: [0.2, 1.5]}
  - {id: spudger, name: plastic spudger}
consumables:
  - {id: grease, name: silicone grease, amount: a thin film}
  - {id: compound-tube, name: thermal compound}
hazards:
  - {id: rules, word: notice, symbol: general, hazard: This guide does not replace local codes, consequence: The lamp can become unfit for use, avoid: Follow them first}
  - {id: pack, word: warning, symbol: battery, hazard: The pack can catch fire, consequence: Fire can cause severe burns, avoid: Do not bend the pack}
  - {id: tear, word: notice, symbol: fragile, hazard: The ribbon tears, consequence: The ribbon must be replaced, avoid: Lift the bar first}
fasteners:
  - {id: lid-screw, name: lid screw, kind: screw, thread: M3, length_mm: 8, head: pan, drive: {kind: phillips, size: 1}, torque_nm: 0.5, property_class: '4.8', tool: ph1, tighten_tool: ph1-torque}
items:
  - {id: lid-ring, kind: seal, name: lid ring, uses: [grease]}
  - {id: plug, kind: connector, name: battery plug}
  - {id: strip, kind: strip, name: pull strips, orientation: tabs to the front}
  - {id: ribbon, kind: ribbon-connector, name: board ribbon}
  - {id: paste, kind: compound, name: thermal compound, uses: [compound-tube]}
  - {id: cord, kind: cable, name: lamp cord, route: under the ribs}
prepare:
  - {id: off, do: isolate, what: the lamp, expected_s: 5}
  - {id: dead, do: verify-dead, what: the lamp, way: in, expected_s: 9, measure: {id: dead-volts, name: voltage, unit: V, max: 5}}
parts:
  - id: lid
    name: lid
    steps:
      - {id: lid-two, do: remove-fasteners, fastener: lid-screw, count: 2, pattern: cross, passes: [50, 100], when: {variant: lid-screws, is: two}, expected_s: 20}
      - {id: lid-four, do: remove-fasteners, fastener: lid-screw, count: 4, when: {variant: lid-screws, is: four}, expected_s: 40}
      - {id: lid-off, do: lift-out, expected_s: 5}
      - {id: lid-ring-out, do: take-out-seal, item: lid-ring, expected_s: 9}
  - id: battery
    name: battery
    needs: [lid]
    energy_source: true
    serial: {id: battery-serial, name: serial number of the battery}
    steps:
      - {id: plug-off, do: disconnect, item: plug, tool: spudger, hazards: [pack], expected_s: 5}
      - {id: strip-out, do: pull-strips, item: strip, count: 2, expected_s: 30}
      - {id: battery-out, do: lift-out, expected_s: 5}
    new_part_steps:
      - {id: new-volts, do: measure, expected_s: 9, measure: {id: pack-volts, name: pack voltage, unit: V, min: 3.5, max: 3.9}}
  - id: board
    name: main board
    needs: [battery]
    carries: [sink]
    steps:
      - {id: ribbon-off, do: release-ribbon, item: ribbon, hazards: [tear], hazards_back: [], expected_s: 9}
      - {id: cord-free, do: unroute, item: cord, expected_s: 9}
      - {id: board-screws, do: remove-fasteners, fastener: lid-screw, count: 4, place: left side of the board, expected_s: 9}
      - {id: board-screws-right, mirrors: board-screws, side_word: right}
      - {id: board-out, do: lift-out, expected_s: 9}
  - id: sink
    name: heat sink
    needs: [battery]
    steps:
      - {id: sink-off, do: separate-heat-sink, item: paste, expected_s: 9}
checks:
  - {id: light, do: inspect, what: the light, expected_s: 5}
`;

/** The small file with one piece replaced; the piece must be there, once. */
export function broken(from: string, to: string): string {
  const pieces = SMALL_FILE.split(from);
  if (pieces.length !== 2)
    throw new Error(`test: “${from}” occurs ${pieces.length - 1} times, expected once`);
  return pieces.join(to);
}
