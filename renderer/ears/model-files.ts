/**
 * The model's files and the values that belong to it. Nothing reaches the recogniser unverified: it would
 * never answer on a damaged model.
 */

import { err, ok, type Result } from '../../electron/core/base/result.ts';
import type { TroubleCode } from '../../electron/core/job/model.ts';
import decoys from '../../models/decoys.json' with { type: 'json' };
import manifestJson from '../../models/manifest.json' with { type: 'json' };
import thresholdsJson from '../../models/thresholds.json' with { type: 'json' };
import type { Thresholds } from './decision.ts';

export interface ModelManifest {
  readonly id: string;
  /** Folder beside the manifest that holds the files. */
  readonly folder: string;
  readonly language: string;
  /** SHA-256 of the text of `SHA256SUMS`: stands for the whole model in logs. */
  readonly sha256: string;
  readonly files: readonly { readonly path: string; readonly bytes: number; readonly sha256: string }[];
}

/** The shipped model; compiled in, so that a changed manifest beside changed files is noticed too. */
export const MANIFEST: ModelManifest = manifestJson;
/** The shipped model's thresholds. */
export const THRESHOLDS: Thresholds = thresholdsJson;
/** Words offered to the recogniser beside the phrases; see models/README.md. */
export const DECOYS: readonly string[] = decoys.words;

export interface ModelTrouble {
  readonly code: Extract<TroubleCode, 'model-missing' | 'model-damaged'>;
  readonly detail: string;
}

/**
 * Reads every file of the manifest with `read` (path inside the model's folder → bytes; it may reject)
 * and compares length and SHA-256. `progress` is told the share of bytes done, 0 to 1.
 */
export async function readModel(
  manifest: ModelManifest,
  read: (path: string) => Promise<Uint8Array>,
  progress: (share: number) => void,
): Promise<Result<ReadonlyMap<string, Uint8Array>, ModelTrouble>> {
  const total = manifest.files.reduce((sum, file) => sum + file.bytes, 0);
  const files = new Map<string, Uint8Array>();
  let done = 0;
  for (const file of manifest.files) {
    let bytes: Uint8Array;
    try {
      bytes = await read(file.path);
    } catch (error) {
      return err({ code: 'model-missing', detail: `${file.path}: ${messageOf(error)}` });
    }
    if (bytes.byteLength !== file.bytes) {
      const detail = `${file.path}: ${bytes.byteLength} bytes, expected ${file.bytes}`;
      return err({ code: 'model-damaged', detail });
    }
    if ((await sha256Hex(bytes)) !== file.sha256) {
      return err({ code: 'model-damaged', detail: `${file.path}: SHA-256 differs` });
    }
    files.set(file.path, bytes);
    done += file.bytes;
    progress(done / total);
  }
  return ok(files);
}

/** SHA-256 in lower-case hexadecimal. Needs a secure context (the app's protocol, 127.0.0.1, Node). */
export async function sha256Hex(bytes: Uint8Array): Promise<string> {
  const digest = await crypto.subtle.digest('SHA-256', bytes as Uint8Array<ArrayBuffer>);
  return [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** The text of whatever was thrown. */
export function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
