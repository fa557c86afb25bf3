/** What `verifyLog` finds: one log for each breach, written with right checksums, as a faulty program would. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import type { JobRecord } from '../../../electron/core/job/model.ts';
import { hashOfJson } from '../../../electron/core/log/canonical-json.ts';
import { encodeBatch, readLog } from '../../../electron/core/log/codec.ts';
import { verifyLog } from '../../../electron/core/log/verify.ts';
import { LOG_CODES } from '../../../electron/core/log/words.ts';
import type { Plan } from '../../../electron/core/plan/model.ts';
import { jobFileOf, SHORT_PLAN } from '../../crash/short-plan.ts';

const [ISOLATE, REMOVE, INSTALL, CHECK] = SHORT_PLAN.steps.map((step) => step.id) as [
  string,
  string,
  string,
  string,
];
type Bare = JobRecord extends infer R ? (R extends { at_ms: number } ? Omit<R, 'at_ms'> : never) : never;

const open: Bare = {
  event: 'job.opened',
  technician: 'Technician A',
  unit_serial: null,
  work_order: null,
  reported_fault: null,
  verbosity: 'full',
};
const show = (step: string, visit = 1): Bare => ({ event: 'step.shown', step, visit });
const confirm = (step: string): Bare => ({
  event: 'step.confirmed',
  step,
  source: 'voice',
  confidence: 0.9,
  with_help: false,
});
const read = (caution = 'mains', step = ISOLATE): Bare => ({
  event: 'caution.read',
  step,
  caution,
  by: 'voice',
});
const understood = (caution = 'mains', step = ISOLATE): Bare => ({
  event: 'caution.acknowledged',
  step,
  caution,
  source: 'voice',
  confidence: 0.9,
});
const reading: Bare = {
  event: 'reading.confirmed',
  step: CHECK,
  measure: 'voltage',
  value: 5,
  unit: 'V',
  within: true,
  source: 'voice',
};
const finish = (open_compartments = 0): Bare => ({
  event: 'job.finished',
  outcome: 'completed',
  open_compartments,
  source: 'voice',
});

/** Each record a write of its own, one second apart. */
function check(
  records: readonly Bare[],
  plan: Plan = SHORT_PLAN,
  wallOf = (second: number): number => second,
) {
  const jobFile = jobFileOf(plan);
  let end = { seq: 0, prev: hashOfJson(jobFile), mono_ms: 0 };
  let text = '';
  for (const [second, record] of records.entries()) {
    const wall = new Date(1_772_353_800_000 + wallOf(second) * 1000).toISOString();
    const batch = encodeBatch([{ ...record, at_ms: second * 1000 } as JobRecord], wall, end);
    if (!batch.ok) throw new Error(batch.error.code);
    text += batch.value.text;
    end = batch.value.end;
  }
  return verifyLog(jobFile, readLog(text));
}
const codes = (...args: Parameters<typeof check>): string[] =>
  check(...args).findings.map((found) => found.code);

const start = [open, show(ISOLATE), read(), understood(), confirm(ISOLATE)];
const middle = [show(REMOVE), confirm(REMOVE), show(INSTALL), confirm(INSTALL)];
const end = [show(CHECK), reading, confirm(CHECK), finish()];

test('a job done as it should be has no findings', () => {
  expect(check([...start, ...middle, ...end])).toMatchObject({
    verdict: 'complete',
    findings: [],
    steps_done: 4,
    steps_total: 4,
    lines: 13,
  });
  expect(check(start)).toMatchObject({ verdict: 'unfinished', findings: [], steps_done: 1 });
  expect(check([...start, { ...finish(), outcome: 'given-up' } as Bare])).toMatchObject({
    verdict: 'complete',
    findings: [],
  });
});

describe('order', () => {
  test('a step confirmed while another is shown, or before the ones before it', () => {
    expect(codes([...start, show(REMOVE), confirm(INSTALL)])).toEqual(['log/step-not-shown']);
    expect(codes([...start, show(INSTALL), confirm(INSTALL)])).toEqual(['log/step-order']);
  });
  test('going back and again is no breach, an undone step must be done again', () => {
    const again: Bare[] = [show(REMOVE), confirm(REMOVE), show(REMOVE, 2), show(INSTALL)];
    expect(codes([...start, ...again, confirm(INSTALL)])).toEqual([]);
    const undone: Bare = { event: 'step.undone', step: REMOVE, source: 'voice' };
    expect(codes([...start, show(REMOVE), confirm(REMOVE), undone, show(INSTALL)])).toEqual([
      'log/step-order',
    ]);
  });
  test('steps and cautions that the plan does not have', () => {
    expect(codes([...start, show('remove.lid')])).toEqual(['log/unknown-step']);
    expect(codes([open, show(ISOLATE), read('hot')])).toEqual(['log/unknown-caution']);
  });
  test('a log that does not begin with the opening', () => {
    expect(codes([show(ISOLATE)])).toEqual(['log/not-opened']);
  });
  test('a step left out that must not be', () => {
    const skip = (step: string): Bare => ({ event: 'step.skipped', step, source: 'key' });
    expect(codes([...start, show(REMOVE), skip(REMOVE)])).toEqual(['log/skipped-required']);
    const plan: Plan = {
      ...SHORT_PLAN,
      steps: SHORT_PLAN.steps.map((step) => (step.id === REMOVE ? { ...step, optional: true } : step)),
    };
    expect(codes([...start, show(REMOVE), skip(REMOVE), show(INSTALL), confirm(INSTALL)], plan)).toEqual([]);
  });
});

describe('cautions', () => {
  test('not acknowledged, and acknowledged without being read', () => {
    expect(codes([open, show(ISOLATE), read(), confirm(ISOLATE)])).toEqual(['log/caution-not-acknowledged']);
    expect(codes([open, show(ISOLATE), understood(), confirm(ISOLATE)])).toEqual(['log/caution-not-read']);
  });
  test('a warning is asked for again at another visit, but not after the program ended in between', () => {
    const undone: Bare = { event: 'step.undone', step: ISOLATE, source: 'voice' };
    expect(codes([...start, undone, show(ISOLATE, 2), confirm(ISOLATE)])).toEqual([
      'log/caution-not-acknowledged',
    ]);
    const away: Bare = { event: 'job.reopened', away_ms: 5 };
    const before = [open, show(ISOLATE), read(), understood()];
    expect(codes([...before, away, show(ISOLATE, 2), confirm(ISOLATE)])).toEqual([]);
  });
  test('a caution of less than injury is asked for once a technician', () => {
    const [first, ...others] = SHORT_PLAN.steps;
    const mild = first?.cautions.map((caution) => ({ ...caution, word: 'notice' as const })) ?? [];
    const plan: Plan = { ...SHORT_PLAN, steps: [{ ...first!, cautions: mild }, ...others] };
    const undone: Bare = { event: 'step.undone', step: ISOLATE, source: 'voice' };
    expect(codes([...start, undone, show(ISOLATE, 2), confirm(ISOLATE)], plan)).toEqual([]);
    const over: Bare = { event: 'job.handed-over', from: 'Technician A', to: 'Technician B', source: 'key' };
    expect(codes([...start, undone, over, show(ISOLATE, 2), confirm(ISOLATE)], plan)).toEqual([
      'log/caution-not-acknowledged',
    ]);
  });
  test('those of the whole job belong to the first step', () => {
    const caution = { ...SHORT_PLAN.steps[0]!.cautions[0]!, id: 'esd' };
    const plan: Plan = { ...SHORT_PLAN, job_cautions: [caution] };
    expect(codes(start, plan)).toEqual(['log/caution-not-acknowledged']);
    expect(
      codes(
        [open, show(ISOLATE), read('esd'), understood('esd'), read(), understood(), confirm(ISOLATE)],
        plan,
      ),
    ).toEqual([]);
  });
});

describe('what a step needs', () => {
  test('its reading, its number, its sign-off', () => {
    expect(codes([...start, ...middle, show(CHECK), confirm(CHECK)])).toEqual(['log/reading-missing']);
    const needing = (change: Partial<Plan['steps'][number]>): Plan => ({
      ...SHORT_PLAN,
      steps: SHORT_PLAN.steps.map((step) => (step.id === REMOVE ? { ...step, ...change } : step)),
    });
    const serial = needing({ record: { id: 'serial', name: 'serial number' } });
    const hold = needing({ hold: 'Have the lock checked.' });
    expect(codes([...start, ...middle], serial)).toEqual(['log/serial-missing']);
    expect(codes([...start, ...middle], hold)).toEqual(['log/hold-not-signed']);
    const signed: Bare = { event: 'hold.signed', step: REMOVE, person: 'Technician E', source: 'touch' };
    const number: Bare = {
      event: 'serial.confirmed',
      step: REMOVE,
      record: 'serial',
      value: 'A1',
      source: 'voice',
    };
    expect(codes([...start, show(REMOVE), signed, confirm(REMOVE)], hold)).toEqual([]);
    expect(codes([...start, show(REMOVE), number, confirm(REMOVE)], serial)).toEqual([]);
  });
});

describe('the end', () => {
  test('complete only with every step done and nothing left in the tray', () => {
    expect(codes([...start, show(REMOVE), confirm(REMOVE), finish()])).toEqual(['log/steps-open']);
    expect(codes([...start, ...middle, show(CHECK), reading, confirm(CHECK), finish(1)])).toEqual([
      'log/compartments-open',
    ]);
  });
});

describe('job file and clock', () => {
  test('another plan, and a log of another job: the verdict is unknown', () => {
    const jobFile = jobFileOf(SHORT_PLAN);
    const log = readLog('');
    expect(verifyLog({ ...jobFile, plan: { ...SHORT_PLAN, product: 'x' } }, log)).toMatchObject({
      verdict: 'unknown',
      findings: [{ code: 'log/plan-hash' }],
    });
    const batch = encodeBatch([{ ...open, at_ms: 0 } as JobRecord], '2026-03-01T09:30:00Z', {
      seq: 0,
      prev: hashOfJson(jobFile),
      mono_ms: 0,
    });
    const other = jobFileOf({ ...SHORT_PLAN, product_revision: 2 });
    expect(verifyLog(other, readLog(batch.ok ? batch.value.text : ''))).toMatchObject({
      verdict: 'unknown',
      findings: [{ code: 'log/first-hash' }],
    });
  });
  test('a wall clock that jumps is mentioned and changes nothing else', () => {
    const jumping = check(start, SHORT_PLAN, (second) => (second < 2 ? second : second - 7200));
    expect(jumping.verdict).toBe('unfinished');
    expect(jumping.findings).toMatchObject([
      { code: 'log/wall-clock', severity: 'advice', facts: { line: 3 } },
    ]);
    expect(codes(start, SHORT_PLAN, (second) => second * 3)).toEqual([]);
  });
});

test('every code that verification can report has words', () => {
  const core = join(import.meta.dirname, '../../../electron/core/log');
  const text = ['verify.ts', 'codec.ts', 'records.ts']
    .map((file) => readFileSync(join(core, file), 'utf8'))
    .join('\n');
  const used = [...text.matchAll(/'(log\/[a-z0-9-]+)'/g)].map((match) => match[1]);
  expect(new Set(used).size).toBeGreaterThan(25);
  expect([...new Set(used)].filter((code) => !LOG_CODES.includes(code ?? ''))).toEqual([]);
});

describe('a step shown again before it is done', () => {
  const withWord = (word: 'danger' | 'warning' | 'caution' | 'notice'): Plan => ({
    ...SHORT_PLAN,
    steps: SHORT_PLAN.steps.map((step) => ({
      ...step,
      cautions: step.cautions.map((caution) => ({ ...caution, word })),
    })),
  });
  const again = [open, show(ISOLATE), read(), understood(), show(ISOLATE, 2), confirm(ISOLATE)];

  test.each([
    ['danger', ['log/caution-not-acknowledged']],
    ['warning', ['log/caution-not-acknowledged']],
    ['caution', []],
    ['notice', []],
  ] as const)('needs its %s acknowledged again: %j', (word, found) => {
    expect(codes(again, withWord(word))).toEqual(found);
  });

  test('goes on as before where the program ended in between', () => {
    const away: Bare = { event: 'job.reopened', away_ms: 5 };
    const back = [open, show(ISOLATE), read(), understood(), away, show(ISOLATE, 2), confirm(ISOLATE)];
    expect(codes(back, withWord('danger'))).toEqual([]);
  });
});

describe('what is told of a breach: its line, its step and what is missing', () => {
  const needing = (change: Partial<Plan['steps'][number]>): Plan => ({
    ...SHORT_PLAN,
    steps: SHORT_PLAN.steps.map((step) => (step.id === REMOVE ? { ...step, ...change } : step)),
  });
  const removed = [...start, show(REMOVE), confirm(REMOVE)];
  const skipped: Bare = { event: 'step.skipped', step: REMOVE, source: 'key' };

  test.each<[string, readonly Bare[], Plan, object]>([
    ['log/not-opened', [show(ISOLATE)], SHORT_PLAN, { line: 1 }],
    ['log/unknown-step', [...start, show('lid')], SHORT_PLAN, { line: 6, step: 'lid' }],
    [
      'log/unknown-caution',
      [open, show(ISOLATE), read('hot')],
      SHORT_PLAN,
      { line: 3, step: ISOLATE, caution: 'hot' },
    ],
    ['log/step-order', [...start, show(INSTALL)], SHORT_PLAN, { line: 6, step: INSTALL, before: REMOVE }],
    [
      'log/step-not-shown',
      [...start, show(REMOVE), confirm(INSTALL)],
      SHORT_PLAN,
      { line: 7, step: INSTALL },
    ],
    [
      'log/caution-not-read',
      [open, show(ISOLATE), understood()],
      SHORT_PLAN,
      { line: 3, step: ISOLATE, caution: 'mains' },
    ],
    [
      'log/caution-not-acknowledged',
      [open, show(ISOLATE), read(), confirm(ISOLATE)],
      SHORT_PLAN,
      { line: 4, step: ISOLATE, caution: 'mains' },
    ],
    [
      'log/reading-missing',
      [...start, ...middle, show(CHECK), confirm(CHECK)],
      SHORT_PLAN,
      { line: 11, step: CHECK, measure: 'voltage' },
    ],
    [
      'log/serial-missing',
      removed,
      needing({ record: { id: 'code', name: 'code' } }),
      { line: 7, step: REMOVE, record: 'code' },
    ],
    ['log/hold-not-signed', removed, needing({ hold: 'Have it checked.' }), { line: 7, step: REMOVE }],
    ['log/skipped-required', [...start, show(REMOVE), skipped], SHORT_PLAN, { line: 7, step: REMOVE }],
    [
      'log/steps-open',
      [...start, finish()],
      SHORT_PLAN,
      { line: 6, steps: [REMOVE, INSTALL, CHECK], count: 3 },
    ],
    [
      'log/compartments-open',
      [...start, ...middle, show(CHECK), reading, confirm(CHECK), finish(2)],
      SHORT_PLAN,
      { line: 13, count: 2 },
    ],
  ])('%s', (code, records, plan, facts) => {
    expect(check(records, plan).findings).toEqual([{ code, severity: 'error', facts }]);
  });

  test('of many open steps the first ten are named', () => {
    const long: Plan = {
      ...SHORT_PLAN,
      steps: Array.from({ length: 14 }, (_, index) => ({ ...SHORT_PLAN.steps[1]!, id: `step-${index + 1}` })),
    };
    const { findings } = check([open, show('step-1'), confirm('step-1'), finish()], long);
    expect(findings).toMatchObject([{ code: 'log/steps-open', facts: { count: 13 } }]);
    expect(findings[0]?.facts.steps).toEqual(Array.from({ length: 10 }, (_, index) => `step-${index + 2}`));
  });

  test('of the clock: a jump of more than the margin, told in milliseconds, but not across a time away', () => {
    const at = (jump: number) => check(start, SHORT_PLAN, (second) => (second < 2 ? second : second + jump));
    expect(at(7200).findings).toEqual([
      { code: 'log/wall-clock', severity: 'advice', facts: { line: 3, jump_ms: 7_200_000 } },
    ]);
    const away: Bare = { event: 'job.reopened', away_ms: 5 };
    const slept = [open, show(ISOLATE), away, show(ISOLATE, 2)];
    expect(check(slept, SHORT_PLAN, (second) => (second < 2 ? second : second + 7200)).findings).toEqual([]);
  });
});

describe('cautions of the whole job', () => {
  const caution = { ...SHORT_PLAN.steps[0]!.cautions[0]!, id: 'esd' };
  const plan: Plan = { ...SHORT_PLAN, job_cautions: [caution] };
  const first = [open, show(ISOLATE), read('esd'), understood('esd'), read(), understood(), confirm(ISOLATE)];

  test('are asked for at the first step alone', () => {
    expect(codes([...first, show(REMOVE), confirm(REMOVE)], plan)).toEqual([]);
  });

  test('may be read again wherever somebody takes over', () => {
    expect(codes([...first, show(REMOVE), read('esd', REMOVE), understood('esd', REMOVE)], plan)).toEqual([]);
  });
});

describe('what is counted and told besides', () => {
  test('a step left out counts as settled, once, whatever is confirmed later', () => {
    const plan: Plan = {
      ...SHORT_PLAN,
      steps: SHORT_PLAN.steps.map((step) => (step.id === REMOVE ? { ...step, optional: true } : step)),
    };
    const skip: Bare = { event: 'step.skipped', step: REMOVE, source: 'key' };
    expect(check([...start, show(REMOVE), skip], plan)).toMatchObject({ findings: [], steps_done: 2 });
    expect(check([...start, show(REMOVE), skip, confirm(REMOVE)], plan)).toMatchObject({ steps_done: 2 });
    expect(check([...start, show(REMOVE), confirm(REMOVE), skip], plan)).toMatchObject({ steps_done: 2 });
  });

  test.each(['caution.started', 'caution.read', 'caution.acknowledged'] as const)(
    'an unknown caution in %s',
    (event) => {
      const record = { event, step: ISOLATE, caution: 'hot', source: 'voice', confidence: 1, by: 'voice' };
      const { source, confidence, by, ...bare } = record;
      const fields =
        event === 'caution.acknowledged' ? { source, confidence } : event === 'caution.read' ? { by } : {};
      expect(codes([open, show(ISOLATE), { ...bare, ...fields } as Bare])).toEqual(['log/unknown-caution']);
    },
  );

  test('work after the end is told at the line after it', () => {
    const { findings } = check([...start, { ...finish(), outcome: 'given-up' } as Bare, show(REMOVE)]);
    expect(findings).toContainEqual({
      code: 'log/after-finish',
      severity: 'error',
      facts: { line: 7, offset: 0 },
    });
  });

  test('a log of another job is told with the name of the job', () => {
    const batch = encodeBatch([{ ...open, at_ms: 0 } as JobRecord], '2026-03-01T09:30:00Z', {
      seq: 0,
      prev: '0'.repeat(64),
      mono_ms: 0,
    });
    const jobFile = jobFileOf(SHORT_PLAN);
    expect(verifyLog(jobFile, readLog(batch.ok ? batch.value.text : '')).findings).toEqual([
      { code: 'log/first-hash', severity: 'error', facts: { line: 1, job: jobFile.job } },
    ]);
  });
});
