/** Product files on the disk: read with a limit, hashed as they lie there, checked. */
import { err, ok, type Result } from './core/base/result.ts';
import { sha256Hex, textFromBytes } from './core/log/canonical-json.ts';
import type { KnowsWord } from './core/product/check-answers.ts';
import { LIMITS } from './core/product/limits.ts';
import { type ReadProduct, readProduct } from './core/product/read-product.ts';
import { attempt, type Fault } from './disk/disk-fault.ts';
import type { DiskPort } from './disk/disk-port.ts';
import { fault } from './disk/fault-words.ts';

/** Four bytes a character at most; the reader itself counts characters. */
export const MAX_PRODUCT_BYTES = LIMITS.fileCharacters * 4;

export interface ProductSource extends ReadProduct {
  readonly path: string;
  readonly sha256: string;
}

/**
 * Reads and checks a product file. Its findings are in the value; the error is that it could not be read at
 * all: those of the disk, `product/too-large`, `product/not-utf8`.
 */
export async function loadProduct(
  disk: DiskPort,
  path: string,
  shownAs = path,
  knowsWord?: KnowsWord,
): Promise<Result<ProductSource, Fault>> {
  const stat = await attempt(() => disk.stat(path));
  if (stat.ok && stat.value !== undefined && stat.value.size > MAX_PRODUCT_BYTES) {
    return err(
      fault('product/too-large', { file: shownAs, bytes: stat.value.size, limit: MAX_PRODUCT_BYTES }),
    );
  }
  const bytes = await attempt(() => disk.readFile(path, MAX_PRODUCT_BYTES));
  if (!bytes.ok) return bytes;
  const text = textFromBytes(bytes.value);
  if (text === undefined) {
    return err(fault('product/not-utf8', { file: shownAs }));
  }
  return ok({ ...readProduct(text, shownAs, knowsWord), path, sha256: sha256Hex(bytes.value) });
}
