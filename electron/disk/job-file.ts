/** `job.json`: its bytes, and the checks it must pass before anything in it is believed. */
import { z } from 'zod';
import { err, ok, type Result } from '../core/base/result.ts';
import { bytesFromText, canonicalJson, hashOfJson, textFromBytes } from '../core/log/canonical-json.ts';
import type { JobFile } from '../core/log/model.ts';
import type { Fault } from './disk-fault.ts';

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

const refuse = (code: string, message: string): Result<JobFile, Fault> =>
  err({
    code,
    message,
    mend: 'The job cannot be opened. Keep the folder as it is and take it from a backup.',
  });

/** The job file in some bytes. Codes: `job/newer-version`, `job/damaged`. */
export function jobFileFromBytes(bytes: Uint8Array, path: string): Result<JobFile, Fault> {
  const content = textFromBytes(bytes);
  let value: unknown;
  try {
    value = JSON.parse(content ?? '');
  } catch {
    return refuse('job/damaged', `${path} is not JSON.`);
  }
  const format = (value as { format?: unknown } | null)?.format;
  if (typeof format === 'number' && format > JOB_FORMAT) {
    return err({
      code: 'job/newer-version',
      message: `${path} was written by a newer version of this program (format ${format}).`,
      mend: 'Open the job with that version, or update this one.',
    });
  }
  const parsed = JOB_FILE.safeParse(value);
  if (!parsed.success) {
    const issue = parsed.error.issues[0];
    return refuse('job/damaged', `${path} is not a job file: ${issue?.path.join('.')} ${issue?.message}.`);
  }
  const jobFile = value as JobFile;
  if (hashOfJson(jobFile.plan) !== jobFile.plan_sha256) {
    return refuse('job/damaged', `The plan in ${path} is not the one the job was started with.`);
  }
  return ok(jobFile);
}
