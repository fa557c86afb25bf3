/** The words that the recogniser's model knows, read from the symbol table inside its grammar graph. */
import { fileURLToPath } from 'node:url';
import { MANIFEST } from '../../renderer/ears/model-files.ts';
import { attempt } from '../disk/disk-fault.ts';
import type { DiskPort } from '../disk/disk-port.ts';

/** The project's own models. */
export const MODELS_FOLDER = fileURLToPath(new URL('../../models/', import.meta.url));
const GRAPH = 'graph/Gr.fst';
const GRAPH_BYTES_MAX = 64_000_000;
const WORD_BYTES_MAX = 80;

/** In lower case; undefined where the model's graph cannot be read. */
export async function modelVocabulary(
  disk: DiskPort,
  modelsFolder: string = MODELS_FOLDER,
): Promise<ReadonlySet<string> | undefined> {
  const read = await attempt(() =>
    disk.readFile(`${modelsFolder}/${MANIFEST.folder}/${GRAPH}`, GRAPH_BYTES_MAX),
  );
  if (!read.ok) return undefined;
  const words = wordsOfGraph(read.value);
  return words.size === 0 ? undefined : words;
}

/** The symbol table stands in an OpenFst file as length, word, number, from `<eps>` with the number 0 on. */
export function wordsOfGraph(file: Uint8Array): ReadonlySet<string> {
  const view = new DataView(file.buffer, file.byteOffset, file.byteLength);
  const text = new TextDecoder();
  const words = new Set<string>();
  let at = indexOf(file, new TextEncoder().encode('<eps>')) - 4;
  for (let number = 0; at >= 0 && at + 4 < file.length; number += 1) {
    const length = view.getInt32(at, true);
    const end = at + 4 + length;
    if (length <= 0 || length > WORD_BYTES_MAX || end + 8 > file.length) break;
    if (Number(view.getBigInt64(end, true)) !== number) break;
    words.add(text.decode(file.subarray(at + 4, end)));
    at = end + 8;
  }
  return words;
}

function indexOf(file: Uint8Array, sought: Uint8Array): number {
  const first = sought[0] ?? 0;
  for (let at = file.indexOf(first); at >= 0; at = file.indexOf(first, at + 1)) {
    if (sought.every((byte, index) => file[at + index] === byte)) return at;
  }
  return -1;
}
