/**
 * The recogniser's model of a language. The shipped one is compiled in with its sums; that of an added language
 * lies in a folder of its own below `models/`, with its `manifest.json` and, where it was measured, its own
 * `thresholds.json` (see `languages/README.md`).
 */
import { err, ok, type Result } from '../../electron/core/base/result.ts';
import type { Thresholds } from './decision.ts';
import {
  DECOYS,
  MANIFEST,
  type ModelManifest,
  type ModelTrouble,
  messageOf,
  THRESHOLDS,
} from './model-files.ts';

export interface LanguageModel {
  readonly manifest: ModelManifest;
  readonly thresholds: Thresholds;
  /** Words offered to the recogniser beside the phrases. */
  readonly decoys: readonly string[];
  /** A file of the model by its path inside the model's folder; it may reject. */
  readonly read: (path: string) => Promise<Uint8Array>;
}

/** A model has a handful of files; more than this is no model. */
const MODEL_FILES_MAX = 100;

/** The model in this folder; the shipped one without a folder. `read` takes paths below `models/`. */
export async function modelFor(
  folder: string | undefined,
  read: (path: string) => Promise<Uint8Array>,
): Promise<Result<LanguageModel, ModelTrouble>> {
  const inside = folder ?? MANIFEST.folder;
  const readInside = (path: string): Promise<Uint8Array> => read(`${inside}/${path}`);
  if (inside === MANIFEST.folder)
    return ok({ manifest: MANIFEST, thresholds: THRESHOLDS, decoys: DECOYS, read: readInside });
  let manifest: unknown;
  try {
    manifest = JSON.parse(new TextDecoder().decode(await readInside('manifest.json')));
  } catch (error) {
    return err({ code: 'model-missing', detail: `${inside}/manifest.json: ${messageOf(error)}` });
  }
  if (!isManifest(manifest))
    return err({ code: 'model-damaged', detail: `${inside}/manifest.json: not a manifest` });
  const thresholds = await ownThresholds(readInside);
  return ok({ manifest, thresholds, decoys: [], read: readInside });
}

function isManifest(value: unknown): value is ModelManifest {
  if (typeof value !== 'object' || value === null) return false;
  const { sha256, files } = value as Partial<ModelManifest>;
  if (typeof sha256 !== 'string' || !Array.isArray(files) || files.length > MODEL_FILES_MAX) return false;
  return files.every(
    (file: Partial<ModelManifest['files'][number]> | null) =>
      typeof file?.path === 'string' && typeof file.bytes === 'number' && typeof file.sha256 === 'string',
  );
}

/** Those that were measured for the model; else the shipped ones, without what belongs to English phrases. */
async function ownThresholds(read: (path: string) => Promise<Uint8Array>): Promise<Thresholds> {
  const usual: Thresholds = { ...THRESHOLDS, phrases: {} };
  try {
    const own: unknown = JSON.parse(new TextDecoder().decode(await read('thresholds.json')));
    return typeof own === 'object' && own !== null ? { ...usual, ...own } : usual;
  } catch {
    return usual; // none was measured
  }
}
