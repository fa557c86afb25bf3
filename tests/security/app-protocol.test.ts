import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Worker } from 'node:worker_threads';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  APP_ORIGINS,
  benchPolicy,
  type HostName,
  locate,
  PATH_DEPTH_MAX,
  pathSegments,
  type Roots,
  readLocated,
  responseHeaders,
} from '../../electron/app-protocol.ts';

let folder: string;
let roots: Roots;

/** A program folder with a secret beside everything that is served. */
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'stepcaller-protocol-'));
  roots = {
    pages: join(folder, 'pages'),
    models: join(folder, 'models'),
    procedures: [join(folder, 'units')],
  };
  for (const path of [
    'pages/assets',
    'pages/ears',
    'models/en/am',
    'units/pictures',
    'units/pages-of-others',
  ]) {
    mkdirSync(join(folder, path), { recursive: true });
  }
  const files = {
    'pages/index.html': 'bench',
    'pages/ears/ears.html': 'ears',
    'pages/assets/app.js': 'js',
    'pages/assets/.hidden.js': 'hidden',
    'pages/notes.yaml': 'not a page',
    'models/en/am/final.mdl': 'model',
    'units/wt-3.yaml': 'product: secret',
    'units/pictures/back cover (left).png': 'png',
    'units/pictures/Rückseite.svg': '<svg/>',
    'secret.json': '{"secret":true}',
    'secret.png': 'secret picture',
  };
  for (const [path, text] of Object.entries(files)) writeFileSync(join(folder, path), text);
  symlinkSync(join(folder, 'secret.json'), join(folder, 'pages/assets/link.json'));
  symlinkSync(folder, join(folder, 'units/pictures/up'));
  symlinkSync(join(folder, 'pages-beside'), join(folder, 'pages/assets/nowhere.js'));
  // A folder whose name begins like the root must not pass for it.
  mkdirSync(join(folder, 'units-private'));
  writeFileSync(join(folder, 'units-private/plan.png'), 'private');
  symlinkSync(join(folder, 'units-private'), join(folder, 'units/private'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

async function get(host: HostName, pathname: string): Promise<string | number> {
  const located = locate(host, pathname, roots);
  if ('status' in located) return located.status;
  const body = await readLocated(located);
  return 'status' in body ? body.status : body.toString('utf8');
}

describe('files of the pages', () => {
  it('serves the page, its files, the model and pictures, each on its own host', async () => {
    expect(await get('bench', '/')).toBe('bench');
    expect(await get('bench', '/assets/app.js')).toBe('js');
    expect(await get('ears', '/')).toBe('ears');
    expect(await get('ears', '/ears/ears.html')).toBe('ears');
    expect(await get('ears', '/models/en/am/final.mdl')).toBe('model');
    expect(await get('bench', '/picture/wt-3/pictures/back%20cover%20(left).png')).toBe('png');
    expect(await get('bench', '/picture/wt-3/pictures/R%C3%BCckseite.svg')).toBe('<svg/>');
  });

  it('does not serve the pages of one host on the other', async () => {
    expect(await get('bench', '/ears/ears.html')).toBe(404);
    expect(await get('ears', '/index.html')).toBe(404);
    expect(await get('bench', '/models/en/am/final.mdl')).toBe(404);
    expect(await get('ears', '/picture/wt-3/pictures/R%C3%BCckseite.svg')).toBe(400);
  });

  const hostile: readonly (readonly [string, string])[] = [
    ['a parent folder', '/../secret.json'],
    ['a parent folder in the middle', '/assets/../../secret.json'],
    ['encoded dots', '/%2e%2e/secret.json'],
    ['encoded dots, capital', '/%2E%2E/secret.json'],
    ['encoded dots, twice', '/%252e%252e/secret.json'],
    ['an encoded slash', '/..%2fsecret.json'],
    ['an encoded backslash', '/..%5csecret.json'],
    ['a backslash', '/..\\secret.json'],
    ['overlong UTF-8', '/%c0%ae%c0%ae/secret.json'],
    ['full-width dots', '/\uff0e\uff0e/secret.json'],
    ['an absolute path', '//etc/passwd'],
    ['a drive', '/C:/secret.json'],
    ['a network path', '/\\\\server\\share\\secret.json'],
    ['a stream of a file', '/index.html::$DATA'],
    ['a zero byte', '/index.html%00.png'],
    ['a hidden file', '/assets/.hidden.js'],
    ['a folder', '/assets'],
    ['a folder with a slash', '/assets/'],
    ['a device', '/con.js'],
    ['a trailing dot', '/index.html.'],
    ['a trailing blank', '/index.html%20'],
    ['an empty segment', '/assets//app.js'],
    ['a kind that is not served', '/notes.yaml'],
    ['a symbolic link out', '/assets/link.json'],
    ['a symbolic link to nowhere', '/assets/nowhere.js'],
    ['a very long path', `/${'a'.repeat(5000)}.js`],
    ['a very deep path', `/${'a/'.repeat(PATH_DEPTH_MAX)}app.js`],
  ];
  for (const [what, path] of hostile) {
    it(`refuses ${what}`, async () => {
      for (const host of ['bench', 'ears'] as const) expect([400, 403, 404]).toContain(await get(host, path));
    });
  }

  const hostilePictures: readonly (readonly [string, string])[] = [
    ['the product file itself', '/picture/wt-3/wt-3.yaml'],
    ['a parent folder', '/picture/wt-3/..%2fsecret.png'],
    ['a parent folder as a segment', '/picture/wt-3/%2e%2e/secret.png'],
    ['a link to a parent folder', '/picture/wt-3/pictures/up/secret.png'],
    ['a folder that begins like the root', '/picture/wt-3/private/plan.png'],
    ['broken UTF-8', '/picture/wt-3/%ff.png'],
    ['a zero byte', '/picture/wt-3/a%00.png'],
    ['a foreign scheme', '/picture/wt-3/file:%2f%2f%2fetc%2fpasswd.png'],
    ['a line break', '/picture/wt-3/a%0a.png'],
    ['a direction mark', '/picture/wt-3/a%E2%80%AEgnp.png'],
    ['no file', '/picture/wt-3'],
  ];
  for (const [what, path] of hostilePictures) {
    it(`refuses a picture that is ${what}`, async () => {
      expect([400, 404]).toContain(await get('bench', path));
    });
  }

  it('refuses a picture that is a pipe or a device, at once', async () => {
    const pictures = join(folder, 'units/pictures');
    execFileSync('mkfifo', [join(pictures, 'pipe.png')]);
    symlinkSync('/dev/zero', join(pictures, 'endless.png'));
    expect(await get('bench', '/picture/wt-3/pictures/pipe.png')).toBe(404);
    expect(await get('bench', '/picture/wt-3/pictures/endless.png')).toBe(404);
  });

  it('never serves what a link led to that was put in the way between looking and reading', async () => {
    const units = join(folder, 'units');
    const flip = `const { renameSync, symlinkSync, writeFileSync } = require('node:fs');
      for (;;) {
        writeFileSync('${units}/next', 'good');
        renameSync('${units}/next', '${units}/flip.png');
        symlinkSync('${folder}/secret.png', '${units}/link');
        renameSync('${units}/link', '${units}/flip.png');
        require('node:worker_threads').parentPort.postMessage('turn');
      }`;
    const flipping = new Worker(flip, { eval: true });
    await new Promise((resolve) => flipping.once('message', resolve));
    const seen = new Set<string | number>();
    // Reading the path again after the check, as it once was, served the secret in one of thirty.
    for (let count = 0; count < 500; count += 1) seen.add(await get('bench', '/picture/wt-3/flip.png'));
    await flipping.terminate();
    for (const answer of seen) expect([404, 'good']).toContain(answer);
  });

  it('never leaves its roots, whatever the path', async () => {
    const piece = fc.oneof(
      fc.constantFrom(
        '..',
        '%2e%2e',
        '%2f',
        '%5c',
        '%00',
        '.',
        'up',
        'pictures',
        'assets',
        'secret.png',
        'picture',
      ),
      fc.string({ maxLength: 8 }),
    );
    await fc.assert(
      fc.asyncProperty(
        fc.array(piece, { maxLength: 6 }),
        fc.constantFrom('/', '/picture/wt-3/'),
        async (parts, at) => {
          const found = await get('bench', at + parts.join('/'));
          expect(String(found)).not.toMatch(/secret|private|product:/);
        },
      ),
      { seed: 11, numRuns: 300 },
    );
  });

  it('takes a path apart only once', () => {
    expect(pathSegments('/a%2520b.png', true)).toBeUndefined();
    expect(pathSegments('/a%20b.png', true)).toEqual(['a b.png']);
    expect(pathSegments('/a%20b.png', false)).toBeUndefined();
  });
});

describe('headers', () => {
  const policyOf = (host: HostName, path: string): string => {
    const located = locate(host, path, roots);
    if ('status' in located) throw new Error(`${path}: ${located.why}`);
    return responseHeaders(host, located, APP_ORIGINS)['Content-Security-Policy'] ?? '';
  };

  it('gives the bench a policy without evaluation, inline code or foreign addresses', () => {
    const policy = benchPolicy(APP_ORIGINS);
    expect(policy).toContain("default-src 'none'");
    expect(policy).toContain("script-src 'self';");
    expect(policy).not.toMatch(/unsafe|https?:|\*|data:|blob:/);
    expect(policy).toContain('frame-src app://ears;');
    expect(policyOf('bench', '/index.html')).toBe(policy);
  });

  it('lets only the two workers compile WebAssembly, and only the recogniser evaluate', () => {
    expect(policyOf('bench', '/assets/voice-worker-a1B2.js')).toContain("'wasm-unsafe-eval'");
    expect(policyOf('bench', '/assets/voice-worker-a1B2.js')).not.toContain("'unsafe-eval'");
    expect(policyOf('bench', '/assets/app.js')).not.toContain('unsafe');
    expect(policyOf('ears', '/assets/ear-worker-a1B2.js')).toContain("'unsafe-eval'");
    expect(policyOf('ears', '/ears/ears.html')).not.toContain('unsafe');
    // The file of the ear's worker gets no such policy where the bench asks for it.
    expect(policyOf('bench', '/assets/ear-worker-a1B2.js')).not.toContain('unsafe');
  });

  it('lets only the bench embed the ears, and nobody embed the bench', () => {
    expect(policyOf('ears', '/ears/ears.html')).toContain('frame-ancestors app://bench');
    expect(policyOf('bench', '/')).toContain("frame-ancestors 'none'");
  });

  it('lets a picture that is opened by itself run nothing', () => {
    const policy = policyOf('bench', '/picture/wt-3/pictures/R%C3%BCckseite.svg');
    expect(policy).toContain("default-src 'none'");
    expect(policy).toContain('sandbox');
    expect(policy).not.toContain('script');
  });

  it('names the type of every file and forbids guessing it', () => {
    const headers = responseHeaders('bench', { mime: 'text/css', role: 'asset' }, APP_ORIGINS);
    expect(headers['Content-Type']).toBe('text/css');
    expect(headers['X-Content-Type-Options']).toBe('nosniff');
    expect(headers['Referrer-Policy']).toBe('no-referrer');
  });
});
