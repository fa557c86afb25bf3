// Writes models/en/SHA256SUMS and models/manifest.json from the files of models/en.
// Run it after a change of the model: node models/make-manifest.mjs
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';

const root = new URL('./en/', import.meta.url);
const paths = readdirSync(root, { recursive: true, withFileTypes: true })
  .filter((entry) => entry.isFile() && entry.name !== 'SHA256SUMS')
  .map((entry) => `${entry.parentPath ?? entry.path}/${entry.name}`.split('/models/en/')[1].replace(/^\/+/, ''))
  .sort();
const sha256 = (bytes) => createHash('sha256').update(bytes).digest('hex');
const files = paths.map((path) => {
  const bytes = readFileSync(new URL(path, root));
  return { path, bytes: bytes.length, sha256: sha256(bytes) };
});
const sums = files.map((file) => `${file.sha256}  ${file.path}\n`).join('');
writeFileSync(new URL('SHA256SUMS', root), sums);
const manifest = { id: 'en', folder: 'en', language: 'en', sha256: sha256(sums), files };
writeFileSync(new URL('./manifest.json', import.meta.url), `${JSON.stringify(manifest, null, 2)}\n`);
