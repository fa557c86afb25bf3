/** The user's settings: one small file, replaced in one step; what cannot be read falls back to the defaults. */
import type { Result } from './core/base/result.ts';
import { writeAtomically } from './disk/atomic-write.ts';
import { attempt, type Fault } from './disk/disk-fault.ts';
import type { DiskPort } from './disk/disk-port.ts';
import type { Settings } from './ipc/contract.ts';
import { settingsChangeSchema } from './ipc/schemas.ts';

export const DEFAULT_SETTINGS: Settings = {
  // Nobody, until somebody says who works here: the review shows a person's own data under the own name.
  technician: '',
  verbosity: 'full',
  rate: 1,
  units: 'metric',
  theme: 'system',
  // Across the bench, not at arm's length.
  viewing_distance_m: 1.5,
  attention_word: false,
  voice: 'system',
  show_names: false,
};

const MAX_SETTINGS_BYTES = 100_000;

/** Each setting by itself: one that does not fit does not take the others with it. */
export function settingsFrom(value: unknown): Settings {
  const { shape } = settingsChangeSchema;
  const fitting: Record<string, unknown> = {};
  if (typeof value === 'object' && value !== null) {
    for (const [key, schema] of Object.entries(shape)) {
      if (!Object.hasOwn(value, key)) continue;
      const parsed = schema.safeParse((value as Record<string, unknown>)[key]);
      if (parsed.success && parsed.data !== undefined) fitting[key] = parsed.data;
    }
  }
  return { ...DEFAULT_SETTINGS, ...fitting };
}

/** The settings of the file; the defaults where there is none or it cannot be read. */
export async function loadSettings(disk: DiskPort, path: string): Promise<Settings> {
  const bytes = await attempt(() => disk.readFile(path, MAX_SETTINGS_BYTES));
  if (!bytes.ok) return DEFAULT_SETTINGS;
  try {
    return settingsFrom(JSON.parse(new TextDecoder().decode(bytes.value)));
  } catch {
    return DEFAULT_SETTINGS; // not JSON: a file somebody broke must not keep the program from starting
  }
}

/** Writes the settings. Errors: those of the disk. */
export function saveSettings(
  disk: DiskPort,
  path: string,
  settings: Settings,
  mark: string,
): Promise<Result<null, Fault>> {
  const text = `${JSON.stringify(settings, null, 2)}\n`;
  return writeAtomically(disk, path, new TextEncoder().encode(text), mark);
}
