/** The states that the fuses of a release must have, and why. */
import { FuseV1Options } from '@electron/fuses';

export interface FuseState {
  readonly fuse: FuseV1Options;
  /** Its name in `electron-builder.yml`. */
  readonly setting: string;
  readonly on: boolean;
  readonly why: string;
}

const state = (fuse: FuseV1Options, setting: string, on: boolean, why: string): FuseState => ({
  fuse,
  setting,
  on,
  why,
});

export const RELEASE_FUSES: readonly FuseState[] = [
  state(FuseV1Options.RunAsNode, 'runAsNode', false, 'the program must not serve as a Node for others'),
  state(
    FuseV1Options.EnableCookieEncryption,
    'enableCookieEncryption',
    true,
    'what the pages keep is encrypted on the disk',
  ),
  state(
    FuseV1Options.EnableNodeOptionsEnvironmentVariable,
    'enableNodeOptionsEnvironmentVariable',
    false,
    'the environment must not inject code',
  ),
  state(
    FuseV1Options.EnableNodeCliInspectArguments,
    'enableNodeCliInspectArguments',
    false,
    'nobody attaches a debugger',
  ),
  state(
    FuseV1Options.EnableEmbeddedAsarIntegrityValidation,
    'enableEmbeddedAsarIntegrityValidation',
    true,
    'changed program files are noticed',
  ),
  state(
    FuseV1Options.OnlyLoadAppFromAsar,
    'onlyLoadAppFromAsar',
    true,
    'a folder beside the archive is not the program',
  ),
  state(
    FuseV1Options.LoadBrowserProcessSpecificV8Snapshot,
    'loadBrowserProcessSpecificV8Snapshot',
    false,
    'no snapshot of somebody else is loaded',
  ),
  state(
    FuseV1Options.GrantFileProtocolExtraPrivileges,
    'grantFileProtocolExtraPrivileges',
    false,
    'pages never come from files',
  ),
];
