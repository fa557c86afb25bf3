/**
 * Where the user's data lie: jobs, own product files, reports, settings. The same folder for Electron and
 * browser mode, so that a job begun in one is found in the other.
 */
import { homedir } from 'node:os';
import { join } from 'node:path';

export interface UserFolders {
  readonly home: string;
  readonly jobs: string;
  readonly procedures: string;
  readonly reports: string;
  /** Languages the user has added, one folder each. */
  readonly languages: string;
  readonly settings: string;
  /** The record store; derived from the jobs. */
  readonly store: string;
}

type Environment = Readonly<Record<string, string | undefined>>;

function dataFolder(platform: NodeJS.Platform, environment: Environment, home: string): string {
  if (platform === 'win32')
    return join(environment.APPDATA || join(home, 'AppData', 'Roaming'), 'Stepcaller');
  if (platform === 'darwin') return join(home, 'Library', 'Application Support', 'Stepcaller');
  return join(environment.XDG_DATA_HOME || join(home, '.local', 'share'), 'stepcaller');
}

/** The folders; `STEPCALLER_HOME` puts them elsewhere. They are made when something is first written. */
export function userFolders(
  platform: NodeJS.Platform = process.platform,
  environment: Environment = process.env,
  home: string = homedir(),
): UserFolders {
  const base = environment.STEPCALLER_HOME || dataFolder(platform, environment, home);
  return {
    home: base,
    jobs: join(base, 'jobs'),
    procedures: join(base, 'procedures'),
    reports: join(base, 'reports'),
    languages: join(base, 'languages'),
    settings: join(base, 'settings.json'),
    store: join(base, 'store'),
  };
}
