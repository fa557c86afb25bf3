/** Writes real job folders (canonical job file, hash chain) for the tests and the bench of the store. */
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { JobRecord } from '../../electron/core/job/model.ts';
import { hashOfJson } from '../../electron/core/log/canonical-json.ts';
import { encodeBatch } from '../../electron/core/log/codec.ts';
import type { JobFile } from '../../electron/core/log/model.ts';
import { timestampFromEpochMs } from '../../electron/core/log/timestamp.ts';
import { bytesFromJobFile } from '../../electron/disk/job-file.ts';
import { SAMPLE_PLAN, START_MS, sampleFile } from '../core/review/sample-job.ts';

const PLAN_HASH = hashOfJson(SAMPLE_PLAN);

/** A job file whose hashes are right. */
export function realJobFile(job: string): JobFile {
  return { ...sampleFile(job), plan_sha256: PLAN_HASH };
}

/** The log text of records, a batch each, wall time from `startMs`. */
export function logText(jobFile: JobFile, records: readonly JobRecord[], startMs = START_MS): string {
  let end = { seq: 0, prev: hashOfJson(jobFile), mono_ms: 0 };
  return records
    .map((record) => {
      const batch = encodeBatch([record], timestampFromEpochMs(startMs + record.at_ms, 60), end);
      if (!batch.ok) throw new Error(`not a record: ${JSON.stringify(batch.error)}`);
      end = batch.value.end;
      return batch.value.text;
    })
    .join('');
}

/** Writes a folder and gives its path. */
export function writeJob(
  folder: string,
  jobFile: JobFile,
  records: readonly JobRecord[],
  startMs = START_MS,
): string {
  const path = join(folder, jobFile.job);
  mkdirSync(path, { recursive: true });
  writeFileSync(join(path, 'job.json'), bytesFromJobFile(jobFile));
  writeFileSync(join(path, 'log.jsonl'), logText(jobFile, records, startMs));
  return path;
}
