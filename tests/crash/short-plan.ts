/** A short plan by hand for tests of log and disk: one caution, one reading, one serial, one tray compartment. */
import { hashOfJson } from '../../electron/core/log/canonical-json.ts';
import type { JobFile } from '../../electron/core/log/model.ts';
import type { Plan, PlanFastener, PlanStep } from '../../electron/core/plan/model.ts';

const BARE: Omit<PlanStep, 'id' | 'stage' | 'action' | 'say'> = {
  part: 'lid',
  part_name: 'lid',
  look_for: null,
  why: null,
  cautions: [],
  fasteners: [],
  tool: null,
  measure: null,
  record: null,
  renew: [],
  side: 'front',
  hold: null,
  optional: false,
  note_item: null,
  picture: null,
  expected_s: 20,
};

const SCREWS: PlanFastener = {
  fastener: 'lid-screw',
  name: 'lid screw',
  count: 4,
  thread: 'M2.5',
  length_mm: 8,
  drive: { kind: 'phillips', size: 1 },
  torque_nm: 0.4,
  compartment: 1,
  place: 'lid',
  order: [],
  passes_nm: [0.4],
};

/** Prepare with a warning, take four screws out, put them back, measure. */
export const SHORT_PLAN: Plan = {
  format: 1,
  product: 'demo-box',
  product_name: 'demo box',
  product_revision: 1,
  replace: ['lid'],
  variants: {},
  start_side: 'front',
  steps: [
    {
      ...BARE,
      id: 'prepare.isolate',
      stage: 'prepare',
      action: 'isolate',
      say: 'Pull the plug.',
      part: null,
      part_name: null,
      cautions: [
        {
          id: 'mains',
          word: 'warning',
          hazard: 'The box is connected to the mains',
          consequence: 'A shock can kill you',
          avoid: 'Pull the plug first',
          symbol: 'electric',
          say: 'Warning. The box is connected to the mains. A shock can kill you. Pull the plug first.',
        },
      ],
    },
    {
      ...BARE,
      id: 'remove.screws',
      stage: 'remove',
      action: 'remove-fasteners',
      say: 'Remove the four lid screws.',
      fasteners: [SCREWS],
    },
    {
      ...BARE,
      id: 'install.screws',
      stage: 'install',
      action: 'install-fasteners',
      say: 'Install the four lid screws.',
      fasteners: [SCREWS],
    },
    {
      ...BARE,
      id: 'check.voltage',
      stage: 'check',
      action: 'measure',
      say: 'Measure the voltage.',
      measure: { id: 'voltage', name: 'voltage', unit: 'V', min: 4.9, max: 5.1, decimals: 2 },
    },
  ],
  tools: [],
  consumables: [],
  new_parts: [{ id: 'lid', name: 'lid' }],
  tray: [
    { number: 1, fastener: 'lid-screw', name: 'lid screw', place: 'lid', count: 4, label: 'lid screws' },
  ],
  expected_s: 80,
  order: { cost: 0, lower_bound: 0, exact: true },
  unit_serial: null,
  job_cautions: [],
};

/** A job file for a plan. */
export function jobFileOf(plan: Plan, job = 'job-1'): JobFile {
  return {
    format: 1,
    job,
    created: '2026-03-01T09:30:00.000+01:00',
    app_version: '0.1.0',
    product_file: 'demo-box.yaml',
    product_sha256: 'a'.repeat(64),
    model_sha256: null,
    plan,
    plan_sha256: hashOfJson(plan),
  };
}
