import { describe, expect, test } from 'vitest';
import { planJob } from '../../../electron/core/plan/plan-job.ts';
import { ledgerAfter, trayDirection } from '../../../electron/core/plan/tray.ts';
import { METER } from './sample-unit.ts';

const made = planJob(METER, { replace: ['board', 'head', 'sink'], variants: { 'sink-screws': 'six' } });
if (!made.ok) throw new Error('no plan');
const plan = made.value;

describe('tray', () => {
  test('one compartment for each kind and place, in the order they are filled', () => {
    expect(plan.tray.map((c) => c.label)).toEqual([
      'case screws, M2.5×8, back cover',
      'head bolts, M5×25, pump head',
      'case screws, M2.5×8, heat sink',
      'flat washers, M3, main board',
    ]);
    expect(plan.tray.map((c) => c.number)).toEqual([1, 2, 3, 4]);
  });

  test('captive, loosened and single-use fasteners have no compartment', () => {
    for (const id of ['remove.door-loosen', 'remove.board-nuts']) {
      expect(plan.steps.find((s) => s.id === id)?.fasteners[0]?.compartment).toBeNull();
    }
  });
});

describe('ledger', () => {
  test('what is out after some steps', () => {
    const done = ['remove.cover-screws', 'remove.head-bolts'];
    expect(ledgerAfter(plan, done).map((l) => [l.compartment, l.out, l.total])).toEqual([
      [1, 4, 4],
      [2, 8, 8],
      [3, 0, 6],
      [4, 0, 3],
    ]);
  });

  test('nothing at the start, nothing at the end, whatever the order of the ids', () => {
    expect(ledgerAfter(plan, []).every((l) => l.out === 0)).toBe(true);
    const all = plan.steps.map((s) => s.id).reverse();
    expect(ledgerAfter(plan, all).every((l) => l.out === 0)).toBe(true);
  });

  test('a step that was skipped shows', () => {
    const all = plan.steps.map((s) => s.id).filter((id) => id !== 'install.head-bolts');
    expect(ledgerAfter(plan, all).find((l) => l.out !== 0)).toMatchObject({ compartment: 2, out: 8 });
  });

  test('only taking out and putting in moves fasteners', () => {
    for (const step of plan.steps)
      expect([step.action, trayDirection(step)]).toEqual([
        step.action,
        step.action === 'remove-fasteners' ? 1 : step.action === 'install-fasteners' ? -1 : 0,
      ]);
  });

  test('unknown ids are ignored', () => {
    expect(ledgerAfter(plan, ['no.such']).every((l) => l.out === 0)).toBe(true);
  });
});
