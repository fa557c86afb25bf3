/** `job.json`: its bytes, and the checks it must pass before anything in it is believed. */
import { z } from 'zod';
import { err, ok, type Result } from '../core/base/result.ts';
import { bytesFromText, canonicalJson, hashOfJson, textFromBytes } from '../core/log/canonical-json.ts';
import type { JobFile } from '../core/log/model.ts';
import type { Fault } from './disk-fault.ts';
import { fault } from './fault-words.ts';

export const JOB_FORMAT = 1;
/** A plan of 10,000 steps has some 8 MB. */
export const MAX_JOB_FILE_BYTES = 67_108_864;

const text = z.string().max(4000);
const hash = z.string().regex(/^[0-9a-f]{64}$/);

/** What the program relies on. The plan is checked in outline: its hash guards every part of it. */
const JOB_FILE = z.object({
  format: z.literal(JOB_FORMAT),
  job: text,
  created: text,
  app_version: text,
  product_file: text,
  product_sha256: hash,
  model_sha256: hash.nullable(),
  plan_sha256: hash,
  plan: z.looseObject({
    format: z.literal(1),
    product: text,
    product_name: text,
    replace: z.array(text).max(1000),
    steps: z
      .array(
        z.looseObject({
          id: text,
          say: text,
          cautions: z.array(z.looseObject({ id: text })).max(100),
          fasteners: z.array(z.looseObject({})).max(1000),
        }),
      )
      .min(1)
      .max(100_000),
    tray: z.array(z.looseObject({ number: z.number() })).max(10_000),
  }),
});

/** The bytes of `job.json`: canonical JSON, so that its hash is the hash of the file. */
export function bytesFromJobFile(jobFile: JobFile): Uint8Array {
  return bytesFromText(canonicalJson(jobFile));
}

/** `why`: `json`, `plan`, or what does not fit in the words of the schema. */
const damaged = (path: string, why: string): Result<JobFile, Fault> =>
  err(fault('job/damaged', { path, why }));

/** The job file in some bytes. Codes: `job/newer-version`, `job/damaged`. */
export function jobFileFromBytes(bytes: Uint8Array, path: string): Result<JobFile, Fault> {
  const content = textFromBytes(bytes);
  let value: unknown;
  try {
    value = JSON.parse(content ?? '');
  } catch {
    return damaged(path, 'json');
  }
  const format = (value as { format?: unknown } | null)?.format;
  if (typeof format === 'number' && format > JOB_FORMAT) {
    return err(fault('job/newer-version', { path, format }));
  }
  const parsed = JOB_FILE.safeParse(value);
  if (!parsed.success) {
    const issue = parsed.error.issues[0];
    return damaged(path, `${issue?.path.join('.')} ${issue?.message}`);
  }
  const jobFile = value as JobFile;
  if (hashOfJson(jobFile.plan) !== jobFile.plan_sha256) {
    return damaged(path, 'plan');
  }
  return ok(jobFile);
}
