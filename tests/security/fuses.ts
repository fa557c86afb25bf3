/**
 * Reads the fuses of a packaged program and compares them with what a release must have. By hand after
 * `npm run package`: `npx tsx tests/security/fuses.ts dist/linux-unpacked/stepcaller`.
 */
import { FuseV1Options, getCurrentFuseWire } from '@electron/fuses';
import { RELEASE_FUSES } from './fuse-states.ts';

/** States of a fuse as they are written in the executable: characters. */
const OFF = 0x30;
const ON = 0x31;
const REMOVED = 0x72;

const file = process.argv[2];
if (file === undefined) {
  process.stderr.write('usage: tsx tests/security/fuses.ts EXECUTABLE\n');
  process.exit(2);
}
const wire = await getCurrentFuseWire(file);
let wrong = 0;
for (const { fuse, on, why } of RELEASE_FUSES) {
  const state = wire[fuse];
  const missing = state === undefined || Number(state) === REMOVED;
  const right = missing || Number(state) === (on ? ON : OFF);
  if (!right) wrong += 1;
  const found = missing
    ? 'not in this version'
    : ({ [ON]: 'on', [OFF]: 'off' }[Number(state)] ?? 'inherited');
  process.stdout.write(`${right ? 'right' : 'WRONG'}  ${FuseV1Options[fuse]}: ${found} (${why})\n`);
}
process.exitCode = wrong === 0 ? 0 : 1;
