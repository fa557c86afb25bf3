/**
 * The state rebuilt from the log is the state shown, after every input of whole jobs by technicians who stray,
 * and the log of each is sound by a check that shares no code with the engine.
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { stateFromRecords } from '../../electron/core/job/engine.ts';
import { viewOf } from '../../electron/core/job/view.ts';
import { readLog, recordFromLine } from '../../electron/core/log/codec.ts';
import { verifyLog } from '../../electron/core/log/verify.ts';
import { planJob } from '../../electron/core/plan/plan-job.ts';
import { readProduct } from '../../electron/core/product/read-product.ts';
import { drive } from '../../electron/drive.ts';
import { SyntheticTechnician } from '../../electron/synthetic-technician.ts';
import { SimulatedProcesses } from '../crash/ports.ts';
import { Session } from '../crash/session.ts';
import { jobFileOf, SHORT_PLAN } from '../crash/short-plan.ts';
import { SimulatedDisk } from '../crash/simulated-disk.ts';

const SEEDS = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12];
const PROCEDURES = join(import.meta.dirname, '../../procedures');

test.each(SEEDS)('after every input the log says what the screen shows, seed %i', async (seed) => {
  const session = new Session(
    new SimulatedDisk(),
    new SimulatedProcesses().start(),
    jobFileOf(SHORT_PLAN),
    seed,
    '/jobs',
    0.5,
  );
  let compared = 0;
  session.onConfirmed = () => {
    const view = session.service.view();
    if (view === null) return;
    const log = readLog(session.confirmed);
    const records = log.lines.flatMap((line) => {
      const record = recordFromLine(line);
      return record.ok ? [record.value] : [];
    });
    expect(records).toHaveLength(log.lines.length);
    const rebuilt = viewOf(
      SHORT_PLAN,
      stateFromRecords(SHORT_PLAN, records),
      Math.round(session.clock.monotonicMs()),
    );
    expect(view).toEqual(rebuilt);
    compared += 1;
  };
  await session.start();
  expect(await session.work(0)).toBe(true);
  expect(compared).toBeGreaterThan(10);
});

function planOf(file: string, part: string, variants: Readonly<Record<string, string>>) {
  const { product } = readProduct(readFileSync(join(PROCEDURES, file), 'utf8'), file);
  if (product === undefined) throw new Error(`${file} has errors`);
  const answers = Object.fromEntries(
    product.variants.map((one) => [one.id, variants[one.id] ?? one.answers[0] ?? '']),
  );
  const plan = planJob(product, { replace: [part], variants: answers });
  if (!plan.ok) throw new Error(plan.error.map(({ code }) => code).join());
  return plan.value;
}

test.each([
  ['wt-3.yaml', 'battery-pack', 'full'],
  ['wt-3.yaml', 'main-board', 'trainee'],
  ['bp-60.yaml', 'fan', 'short'],
  ['dp-8.yaml', 'diaphragm', 'trainee'],
  // Has a hold point, and is worked on by the one who else would sign.
  ['bp-60.yaml', 'fan', 'short', 'Technician E'],
] as const)(
  'whole jobs of %s (%s, %s) end completed and verify without findings',
  async (file, part, verbosity, technician: string = 'Technician C') => {
    const plan = planOf(file, part, {});
    for (const seed of [21, 22]) {
      const disk = new SimulatedDisk();
      let tokens = 0;
      const result = await drive({
        disk,
        processes: new SimulatedProcesses().start(),
        jobsFolder: '/jobs',
        jobFile: jobFileOf(plan, 'demo'),
        opening: { technician, verbosity },
        startMs: 1_772_353_800_000,
        token: () => {
          tokens += 1;
          return `r${tokens}`;
        },
        by: { technician: new SyntheticTechnician(seed, { straying: 0.4, pace: 1 }) },
      });
      expect(result, `seed ${seed}`).toMatchObject({ ok: true, value: { outcome: 'completed' } });
      const check = verifyLog(jobFileOf(plan, 'demo'), readLog(disk.peek('/jobs/demo/log.jsonl') ?? ''));
      expect(check, `seed ${seed}`).toMatchObject({
        verdict: 'complete',
        findings: [],
        steps_done: plan.steps.length,
      });
    }
  },
);
