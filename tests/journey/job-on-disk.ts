/** What the log of a job says, read beside the running program as a supervisor would: without writing. */
import { spawnSync } from 'node:child_process';
import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { stateFromRecords } from '../../electron/core/job/engine.ts';
import type { BenchView, JobRecord } from '../../electron/core/job/model.ts';
import { viewOf } from '../../electron/core/job/view.ts';
import { recordFromLine } from '../../electron/core/log/codec.ts';
import type { JobFile } from '../../electron/core/log/model.ts';
import { readJob } from '../../electron/disk/job-folder.ts';
import { createNodeDisk } from '../../electron/disk/node-disk.ts';
import { ROOT } from './programs.ts';

export interface JobOnDisk {
  readonly folder: string;
  readonly jobFile: JobFile;
  readonly records: readonly JobRecord[];
}

/** The only job below a jobs folder; `undefined` while there is none. */
export async function theJob(jobs: string): Promise<JobOnDisk | undefined> {
  let names: string[];
  try {
    names = readdirSync(jobs).filter((name) => !name.startsWith('.'));
  } catch {
    return undefined; // Nothing was started yet.
  }
  for (const name of names) {
    const folder = join(jobs, name);
    const read = await readJob(createNodeDisk(), folder);
    if (!read.ok) continue;
    const records = read.value.log.lines.flatMap((line) => {
      const record = recordFromLine(line);
      return record.ok ? [record.value] : [];
    });
    return { folder, jobFile: read.value.jobFile, records };
  }
  return undefined;
}

/** The state of the bench, rebuilt from the log alone. */
export async function viewFromLog(jobs: string): Promise<BenchView | null> {
  const job = await theJob(jobs);
  if (job === undefined || job.records.length === 0) return null;
  const { plan } = job.jobFile;
  const last = job.records[job.records.length - 1]?.at_ms ?? 0;
  return viewOf(plan, stateFromRecords(plan, job.records), last);
}

/** Runs the command line as a user would; gives its exit code and the JSON it printed. */
export function stepcaller(...args: readonly string[]): {
  readonly code: number;
  readonly json: unknown;
  readonly words: string;
} {
  const ran = spawnSync('npm', ['run', '-s', 'stepcaller', '--', ...args, '--json'], {
    cwd: ROOT,
    encoding: 'utf8',
    timeout: 120_000,
  });
  let json: unknown;
  try {
    json = JSON.parse(ran.stdout);
  } catch {
    json = undefined; // Told by the caller, with the words.
  }
  return { code: ran.status ?? -1, json, words: ran.stderr };
}
