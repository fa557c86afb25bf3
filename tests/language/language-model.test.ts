/** Where the recogniser's model of an added language comes from, and what is said where it cannot be used. */
import { describe, expect, it } from 'vitest';
import { modelFor } from '../../renderer/ears/language-model.ts';
import { MANIFEST, sha256Hex, THRESHOLDS } from '../../renderer/ears/model-files.ts';

const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);
const files = new Map<string, Uint8Array>();
const read = async (path: string): Promise<Uint8Array> => {
  const found = files.get(path);
  if (found === undefined) throw new Error('status 404');
  return found;
};
const manifest = { id: 'de', folder: 'de', language: 'de', sha256: await sha256Hex(bytes('x')), files: [] };

describe('the model of a language', () => {
  it('is the shipped one, compiled in, without a folder and with the shipped one’s', async () => {
    for (const folder of [undefined, MANIFEST.folder]) {
      const model = await modelFor(folder, read);
      expect(model).toMatchObject({ ok: true, value: { manifest: MANIFEST, thresholds: THRESHOLDS } });
    }
  });

  it('of another one is read from its folder, with its own thresholds where there are some', async () => {
    files.set('de/manifest.json', bytes(JSON.stringify(manifest)));
    const usual = await modelFor('de', read);
    expect(usual).toMatchObject({
      ok: true,
      value: { manifest, thresholds: { conf: THRESHOLDS.conf, phrases: {} }, decoys: [] },
    });
    files.set('de/thresholds.json', bytes('{"conf": 0.55, "phrases": {"weiter": 0.9}}'));
    files.set('de/am/final.mdl', bytes('model'));
    const own = await modelFor('de', read);
    expect(own).toMatchObject({ ok: true, value: { thresholds: { conf: 0.55, phrases: { weiter: 0.9 } } } });
    expect(own.ok ? await own.value.read('am/final.mdl') : null).toEqual(bytes('model'));
  });

  it('that is not there or is none is told as the shipped one would be', async () => {
    expect(await modelFor('fr', read)).toMatchObject({ ok: false, error: { code: 'model-missing' } });
    for (const text of ['{"files": {}}', '{"sha256": "x", "files": [{"path": 1}]}', '[]', 'null']) {
      files.set('es/manifest.json', bytes(text));
      expect(await modelFor('es', read)).toMatchObject({ ok: false, error: { code: 'model-damaged' } });
    }
  });
});
