import { expect, it } from 'vitest';
import { createTalkGate, RELEASE_TAIL_MS } from '../../renderer/ears/talk-gate.ts';

it('stands open until a key has to be held, then only while it is, and a little after', () => {
  const gate = createTalkGate();
  expect(gate.isOpen(0)).toBe(true);
  gate.set(true, false, 100);
  expect(gate.isOpen(101)).toBe(false);
  gate.set(true, true, 200);
  expect(gate.isOpen(5_000)).toBe(true);
  gate.set(true, false, 6_000);
  expect(gate.isOpen(6_000 + RELEASE_TAIL_MS - 10)).toBe(true);
  expect(gate.isOpen(6_000 + RELEASE_TAIL_MS)).toBe(false);
  gate.set(false, false, 7_000);
  expect(gate.isOpen(7_001)).toBe(true);
});
