/** Small jobs for the tests of review, export and store: a plan of a few steps and lines made by hand. */
import type { JobRecord } from '../../../electron/core/job/model.ts';
import type { JobFile, LogLine } from '../../../electron/core/log/model.ts';
import { timestampFromEpochMs } from '../../../electron/core/log/timestamp.ts';
import type { Plan, PlanStep } from '../../../electron/core/plan/model.ts';

export const START_MS = Date.UTC(2026, 0, 5, 9, 0, 0);

export function sampleStep(id: string, over: Partial<PlanStep> = {}): PlanStep {
  return {
    id,
    stage: 'remove',
    part: 'cover',
    part_name: 'cover',
    action: 'lift-out',
    say: `Do ${id}.`,
    look_for: null,
    why: null,
    cautions: [],
    fasteners: [],
    tool: null,
    measure: null,
    record: null,
    renew: [],
    side: null,
    hold: null,
    optional: false,
    note_item: null,
    picture: null,
    expected_s: 10,
    ...over,
  };
}

export const PIN_CAUTION = {
  id: 'pins',
  word: 'warning',
  hazard: 'The pins are sharp',
  consequence: 'They cut.',
  avoid: 'Wear gloves.',
  symbol: 'sharp',
  say: 'Warning. The pins are sharp. They cut. Wear gloves.',
} as const;

export const SAMPLE_PLAN: Plan = {
  format: 1,
  product: 'sample',
  product_name: 'Sample unit',
  product_revision: 1,
  replace: ['cover'],
  variants: {},
  start_side: 'front',
  steps: [
    sampleStep('a', {
      fasteners: [
        {
          fastener: 's',
          name: 'screw',
          count: 4,
          thread: 'M3',
          length_mm: 8,
          drive: { kind: 'hex', size: 2 },
          torque_nm: null,
          compartment: 1,
          place: 'cover',
          order: [],
          passes_nm: [],
        },
      ],
    }),
    sampleStep('b', { cautions: [PIN_CAUTION] }),
    sampleStep('c', { stage: 'install', renew: ['seal'] }),
    sampleStep('m', {
      stage: 'check',
      part: null,
      part_name: null,
      measure: { id: 'v', name: 'output', unit: 'V', min: 4.9, max: 5.1 },
    }),
  ],
  tools: [],
  consumables: [{ id: 'seal', name: 'cover seal', amount: null, count: 1 }],
  new_parts: [{ id: 'cover', name: 'cover' }],
  tray: [{ number: 1, fastener: 's', name: 'screw', place: 'cover', count: 4, label: 'screws' }],
  expected_s: 40,
  order: { cost: 0, lower_bound: 0, exact: true },
  unit_serial: null,
  job_cautions: [],
};

export function sampleFile(job: string, plan: Plan = SAMPLE_PLAN): JobFile {
  return {
    format: 1,
    job,
    created: '2026-01-05T09:00:00.000+00:00',
    app_version: '0.1.0',
    product_file: 'sample.yaml',
    product_sha256: '0'.repeat(64),
    model_sha256: null,
    plan,
    plan_sha256: '1'.repeat(64),
  };
}

/** Lines of records without a chain, for the pure analysis; the store's tests write real logs. */
export function linesOf(records: readonly JobRecord[], startMs = START_MS, offsetMinutes = 60): LogLine[] {
  return records.map((record, index) => {
    const { event, at_ms, ...fields } = record;
    return {
      v: 1,
      seq: index + 1,
      wall: timestampFromEpochMs(startMs + at_ms, offsetMinutes),
      mono_ms: at_ms,
      event,
      fields: fields as LogLine['fields'],
      prev: '',
    };
  });
}

export const opened = (technician: string, at_ms = 0): JobRecord => ({
  event: 'job.opened',
  at_ms,
  technician,
  unit_serial: 'U-1',
  work_order: 'W-7',
  reported_fault: 'leaks',
  verbosity: 'full',
});
export const shown = (at_ms: number, step: string, visit = 1): JobRecord => ({
  event: 'step.shown',
  at_ms,
  step,
  visit,
});
export const confirmed = (at_ms: number, step: string): JobRecord => ({
  event: 'step.confirmed',
  at_ms,
  step,
  source: 'voice',
  confidence: 0.9,
  with_help: false,
});
export const paused = (at_ms: number): JobRecord => ({ event: 'job.paused', at_ms, source: 'voice' });
export const resumed = (at_ms: number): JobRecord => ({ event: 'job.resumed', at_ms, source: 'voice' });
export const finished = (at_ms: number): JobRecord => ({
  event: 'job.finished',
  at_ms,
  outcome: 'completed',
  open_compartments: 0,
  source: 'voice',
});

/** A whole job of the sample plan: a 20 s, pause 30 s in b, caution, b again after c, a reading. */
export function sampleRecords(technician = 'Technician A'): JobRecord[] {
  return [
    opened(technician),
    shown(1000, 'a'),
    confirmed(21_000, 'a'),
    shown(21_000, 'b'),
    { event: 'caution.started', at_ms: 21_000, step: 'b', caution: 'pins' },
    { event: 'caution.read', at_ms: 26_000, step: 'b', caution: 'pins', by: 'voice' },
    {
      event: 'caution.acknowledged',
      at_ms: 28_500,
      step: 'b',
      caution: 'pins',
      source: 'voice',
      confidence: 0.95,
    },
    paused(30_000),
    resumed(60_000),
    { event: 'help.given', at_ms: 61_000, step: 'b', what: 'repeat', source: 'voice' },
    { event: 'utterance.refused', at_ms: 62_000, reason: 'not-sure' },
    confirmed(65_000, 'b'),
    shown(65_000, 'c'),
    { event: 'step.revisited', at_ms: 70_000, step: 'b', from: 'c', source: 'voice' },
    shown(70_000, 'b', 2),
    confirmed(74_000, 'b'),
    shown(74_000, 'c', 2),
    { event: 'problem.reported', at_ms: 75_000, step: 'c', kind: 'part missing', source: 'voice' },
    { event: 'problem.settled', at_ms: 79_000, step: 'c', decision: 'go-on', source: 'voice' },
    { event: 'job.left', at_ms: 80_000 },
    { event: 'job.reopened', at_ms: 80_000, away_ms: 3_600_000 },
    confirmed(85_000, 'c'),
    shown(85_000, 'm'),
    {
      event: 'reading.confirmed',
      at_ms: 90_000,
      step: 'm',
      measure: 'v',
      value: 5.2,
      unit: 'V',
      within: false,
      source: 'voice',
    },
    confirmed(91_000, 'm'),
    finished(93_000),
  ];
}
