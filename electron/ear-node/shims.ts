/**
 * What the recogniser's loader expects of a browser's worker and Node lacks. Imported before anything
 * else, and only inside the worker thread, so that no other code sees these globals.
 */
import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';

const globals = globalThis as unknown as Record<string, unknown>;

globals.self = globalThis;
globals.location = { href: import.meta.url };
// The package starts a worker of its own when it is loaded; it is left without messages.
globals.addEventListener = () => {};

/** Only files: the ear never reaches for a network. */
globals.fetch = async (url: string): Promise<Response> => {
  if (!url.startsWith('file:')) throw new Error(`the ear reads files only, not ${url}`);
  const bytes = await readFile(fileURLToPath(url));
  return new Response(new Uint8Array(bytes), { headers: { 'content-type': 'application/wasm' } });
};
