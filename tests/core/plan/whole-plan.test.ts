/**
 * One whole job of the bench meter, step by step, as it was read and found right. After a change that is
 * wanted: `STEPCALLER_WRITE_PLAN=1 npx vitest run tests/core/plan/whole-plan`, then read the difference.
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import type { Plan, PlanFastener, PlanStep } from '../../../electron/core/plan/model.ts';
import { planJob } from '../../../electron/core/plan/plan-job.ts';
import { METER } from './sample-unit.ts';

const FILE = new URL('./whole-plan.txt', import.meta.url);

function fastenerText(f: PlanFastener): string {
  const order = f.order.length === 0 ? '' : ` order ${f.order.join()}`;
  const passes = f.passes_nm.length === 0 ? '' : ` passes ${f.passes_nm.join()}`;
  const round = f.round_pass_nm === undefined ? '' : ` round ${f.round_pass_nm}`;
  const bin = f.compartment === null ? 'none' : String(f.compartment);
  return `  ${f.count} × ${f.fastener} (${f.name}, ${f.thread}×${f.length_mm}) ${f.place}, bin ${bin}, torque ${f.torque_nm ?? 'none'}${order}${passes}${round}`;
}

function stepText(s: PlanStep): string {
  const more = [
    s.part === null ? '' : `part ${s.part} (${s.part_name})`,
    s.source === undefined ? '' : `from ${s.source}`,
    s.tool === null ? '' : `tool ${s.tool}`,
    s.side === null ? '' : `side ${s.side}`,
    s.cautions.length === 0 ? '' : `cautions ${s.cautions.map((c) => c.id).join()}`,
    s.renew.length === 0 ? '' : `renews ${s.renew.join()}`,
    s.measure === null ? '' : `measures ${s.measure.id}`,
    s.record === null ? '' : `records ${s.record.id}`,
    s.note_item === null ? '' : `notes ${s.note_item}`,
    s.hold === null ? '' : `hold: ${s.hold}`,
    s.look_for === null ? '' : `look for: ${s.look_for}`,
    s.why === null ? '' : `why: ${s.why}`,
    `${s.expected_s} s`,
  ].filter((text) => text !== '');
  return [
    `${s.id}: ${s.action}`,
    `  ${s.say}`,
    `  ${more.join('; ')}`,
    ...s.fasteners.map(fastenerText),
  ].join('\n');
}

function planText(plan: Plan): string {
  return [
    `${plan.product_name}, revision ${plan.product_revision}, replace ${plan.replace.join()}, ${plan.expected_s} s`,
    `order: ${JSON.stringify(plan.order)}`,
    ...plan.tools.map((t) => `tool ${t.id}: ${t.name}`),
    ...plan.consumables.map((c) => `take ${c.count} × ${c.id}: ${c.name}, ${c.amount ?? 'as needed'}`),
    ...plan.new_parts.map((p) => `new ${p.id}: ${p.name}`),
    ...plan.tray.map((c) => `bin ${c.number}: ${c.count} × ${c.label} (${c.fastener}, ${c.place})`),
    ...plan.job_cautions.map((c) => `caution ${c.id}: ${c.say}`),
    ...plan.steps.map(stepText),
    '',
  ].join('\n');
}

test('four parts of the bench meter in one job', () => {
  // Reasons and things to look for at a step of each way, and a hold point.
  const unit = {
    ...METER,
    prepare: METER.prepare.map((s) => (s.id === 'mains-off' ? { ...s, why: 'The bank charges again.' } : s)),
    parts: METER.parts.map((p) => ({
      ...p,
      steps: p.steps.map((s) => {
        if (s.id === 'head-bolts')
          return { ...s, hold: 'A second person checks the torque.', look_for: 'Marks.' };
        if (s.id === 'display-tape') return { ...s, look_for: 'Tears.', why: 'It holds the ribbon.' };
        if (s.id === 'door-open') return { ...s, look_for_back: 'No gap.', why_back: 'Dust.' };
        return s;
      }),
    })),
  };
  const replace = ['board', 'sink', 'head', 'display'];
  const made = planJob(unit, { replace, variants: { 'sink-screws': 'six' } });
  if (!made.ok) throw new Error(JSON.stringify(made.error));
  const text = planText(made.value);
  if (process.env.STEPCALLER_WRITE_PLAN !== undefined) writeFileSync(FILE, text);
  expect(text).toBe(readFileSync(FILE, 'utf8'));
});
