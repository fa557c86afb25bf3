import { expect, test } from 'vitest';
import { defaultSeconds } from '../../../electron/core/plan/expected-time.ts';

test('default times grow with the number of fasteners', () => {
  expect(defaultSeconds('remove-fasteners', 4)).toBe(36);
  expect(defaultSeconds('disconnect', 1)).toBe(8);
});
