/** Nothing unverified reaches the recogniser. */
import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { openEar } from '../../electron/ear-node/ear.ts';
import { MANIFEST, readModel, sha256Hex, THRESHOLDS } from '../../renderer/ears/model-files.ts';

const models = fileURLToPath(new URL('../../models/', import.meta.url));
const fromDisk = async (path: string): Promise<Uint8Array> =>
  new Uint8Array(await readFile(`${models}${MANIFEST.folder}/${path}`));

describe('the shipped model', () => {
  it('is whole, and its sums file is the one that names it', async () => {
    const shares: number[] = [];
    const files = await readModel(MANIFEST, fromDisk, (share) => shares.push(share));
    expect(files.ok).toBe(true);
    expect(shares.at(-1)).toBe(1);
    const sums = await readFile(`${models}${MANIFEST.folder}/SHA256SUMS`);
    expect(await sha256Hex(new Uint8Array(sums))).toBe(MANIFEST.sha256);
  });

  it('is the one the thresholds were measured with', () => {
    expect((THRESHOLDS as { modelSha256?: string }).modelSha256).toBe(MANIFEST.sha256);
  });
});

describe('a model that is not as it was', () => {
  const first = MANIFEST.files[0]?.path ?? '';
  const read = (change: (path: string, bytes: Uint8Array) => Uint8Array) =>
    readModel(
      MANIFEST,
      async (path) => change(path, await fromDisk(path)),
      () => {},
    );

  it('is damaged when one byte differs', async () => {
    const files = await read((path, bytes) => {
      if (path === first) bytes[1000] = (bytes[1000] ?? 0) ^ 1;
      return bytes;
    });
    expect(files).toMatchObject({ ok: false, error: { code: 'model-damaged' } });
  });

  it('is damaged when a file is cut short', async () => {
    const files = await read((path, bytes) => (path === first ? bytes.slice(0, 500) : bytes));
    expect(files).toMatchObject({
      ok: false,
      error: { code: 'model-damaged', detail: expect.stringContaining(first) },
    });
  });

  it('is missing when a file cannot be read', async () => {
    const files = await readModel(
      MANIFEST,
      () => Promise.reject(new Error('ENOENT')),
      () => {},
    );
    expect(files).toMatchObject({ ok: false, error: { code: 'model-missing' } });
  });

  it('is told by the ear in Node as a code', async () => {
    const ear = await openEar({ modelsFolder: fileURLToPath(new URL('.', import.meta.url)) });
    expect(ear).toMatchObject({ ok: false, error: { code: 'model-missing' } });
  });
});
