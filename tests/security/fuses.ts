/**
 * Reads the fuses of a packaged program and compares them with what a release must have. By hand after
 * `npm run package`: `npx tsx tests/security/fuses.ts dist/linux-unpacked/stepcaller`.
 */
import { FuseV1Options, getCurrentFuseWire } from '@electron/fuses';

/** States of a fuse as they are written in the executable: characters. */
const OFF = 0x30;
const ON = 0x31;
const REMOVED = 0x72;

const WANTED: readonly (readonly [fuse: FuseV1Options, on: boolean, why: string])[] = [
  [FuseV1Options.RunAsNode, false, 'the program must not serve as a Node for others'],
  [FuseV1Options.EnableCookieEncryption, true, 'what the pages keep is encrypted on the disk'],
  [FuseV1Options.EnableNodeOptionsEnvironmentVariable, false, 'the environment must not inject code'],
  [FuseV1Options.EnableNodeCliInspectArguments, false, 'nobody attaches a debugger'],
  [FuseV1Options.EnableEmbeddedAsarIntegrityValidation, true, 'changed program files are noticed'],
  [FuseV1Options.OnlyLoadAppFromAsar, true, 'a folder beside the archive is not the program'],
  [FuseV1Options.LoadBrowserProcessSpecificV8Snapshot, false, 'no snapshot of somebody else is loaded'],
  [FuseV1Options.GrantFileProtocolExtraPrivileges, false, 'pages never come from files'],
];

const file = process.argv[2];
if (file === undefined) {
  process.stderr.write('usage: tsx tests/security/fuses.ts EXECUTABLE\n');
  process.exit(2);
}
const wire = await getCurrentFuseWire(file);
let wrong = 0;
for (const [fuse, on, why] of WANTED) {
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
