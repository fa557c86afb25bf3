/**
 * Which file answers a request of a page, and with which headers. One table for both ways of running:
 * in Electron the hosts are `app://bench` (the pages with the buttons) and `app://ears` (the hidden page
 * that listens); in browser mode they are two ports of 127.0.0.1. Nothing here imports Electron.
 *
 * A request names a file only through an allow list of path segments; the file is then resolved through
 * symbolic links and must still lie below its root. There is no directory listing and no fallback page.
 */
import { readFile, realpath, stat } from 'node:fs/promises';
import { join, sep } from 'node:path';
import { EARS_PAGE_POLICY, EARS_WORKER_POLICY } from '../renderer/ears/policy.ts';
import { readFileBelow } from './disk/regular-file.ts';

export type HostName = 'bench' | 'ears';

/** Folders that may be read, as absolute paths. */
export interface Roots {
  /** Built pages: `out/renderer`. */
  readonly pages: string;
  /** Acoustic model: served to the ears page only. */
  readonly models: string;
  /** Folders of product files with their pictures: only picture files are served, to the bench only. */
  readonly procedures: readonly string[];
}

/** Origins of the two hosts, without a slash at the end. */
export interface Origins {
  readonly bench: string;
  readonly ears: string;
}

export const APP_ORIGINS: Origins = { bench: 'app://bench', ears: 'app://ears' };

export const URL_LENGTH_MAX = 2048;
export const PATH_DEPTH_MAX = 8;
/** The largest file that is served; the embedded voice has 22 MB, the model 16 MB. */
export const FILE_BYTES_MAX = 64 * 1024 * 1024;

/** Kinds of files that are served at all. Anything else is refused, whatever its content. */
const MIME_TYPES: Readonly<Record<string, string>> = {
  html: 'text/html; charset=utf-8',
  js: 'text/javascript; charset=utf-8',
  mjs: 'text/javascript; charset=utf-8',
  css: 'text/css; charset=utf-8',
  json: 'application/json; charset=utf-8',
  wasm: 'application/wasm',
  woff2: 'font/woff2',
  svg: 'image/svg+xml',
  png: 'image/png',
  jpg: 'image/jpeg',
  jpeg: 'image/jpeg',
  webp: 'image/webp',
  // Model files.
  gz: 'application/gzip',
  zip: 'application/zip',
  mdl: 'application/octet-stream',
  conf: 'text/plain; charset=utf-8',
  fst: 'application/octet-stream',
  int: 'text/plain; charset=utf-8',
  txt: 'text/plain; charset=utf-8',
};
const PICTURE_TYPES = new Set(['svg', 'png', 'jpg', 'jpeg', 'webp']);
const PAGE_TYPES = new Set(['html', 'js', 'mjs', 'css', 'json', 'wasm', 'woff2', 'svg', 'png']);

/** Names that Windows opens as devices, whatever their ending. */
const DEVICE_NAME = /^(con|prn|aux|nul|com\d|lpt\d)(\.|$)/i;
/** Built files and model files have plain names. */
const PLAIN_SEGMENT = /^[A-Za-z0-9_][A-Za-z0-9._@-]*$/;
/** Pictures are named by authors: letters and digits of any script, blanks, brackets. */
const PICTURE_SEGMENT = /^[\p{L}\p{N}_][\p{L}\p{N}\p{M} ._()-]*$/u;

export type Refused = { readonly status: 400 | 403 | 404; readonly why: string };
/** A file below one of the roots, not yet opened. The first root that has it counts. */
export interface Located {
  readonly roots: readonly string[];
  readonly segments: readonly string[];
  readonly mime: string;
  readonly role: 'page' | 'asset' | 'voice-worker' | 'ear-worker' | 'model' | 'picture';
}

/**
 * Splits the path of a URL into checked segments. `decode` allows percent-encoding, once. Returns
 * `undefined` for anything outside the allow list: empty segments, dots in front or behind, separators
 * or control characters behind an encoding, device names, too many segments.
 */
export function pathSegments(pathname: string, decode: boolean): readonly string[] | undefined {
  if (!pathname.startsWith('/')) return undefined;
  const raw = pathname.slice(1).split('/');
  if (raw.length > PATH_DEPTH_MAX) return undefined;
  const segments: string[] = [];
  for (const part of raw) {
    let segment = part;
    if (decode) {
      try {
        segment = decodeURIComponent(part);
      } catch {
        return undefined; // Not UTF-8: nothing we serve is named so.
      }
    }
    const allowed = decode ? PICTURE_SEGMENT : PLAIN_SEGMENT;
    if (!allowed.test(segment) || /[. ]$/.test(segment) || DEVICE_NAME.test(segment)) return undefined;
    segments.push(segment);
  }
  return segments;
}

function ending(name: string): string {
  const dot = name.lastIndexOf('.');
  return dot < 0 ? '' : name.slice(dot + 1).toLowerCase();
}

/**
 * The file that a URL path of a host stands for. Pure: looks at the words only, the file system is asked
 * by `readLocated`. The query is ignored (the model's hash may stand there).
 */
export function locate(host: HostName, pathname: string, roots: Roots): Located | Refused {
  if (pathname.length > URL_LENGTH_MAX) return { status: 400, why: 'the address is too long' };
  if (pathname === '/') return locate(host, host === 'bench' ? '/index.html' : '/ears/ears.html', roots);
  if (host === 'bench' && pathname.startsWith('/picture/')) return locatePicture(pathname, roots);
  const segments = pathSegments(pathname, false);
  if (segments === undefined) return { status: 400, why: 'the path has segments that are not allowed' };
  const name = segments[segments.length - 1] ?? '';
  const mime = MIME_TYPES[ending(name)];
  if (mime === undefined) return { status: 404, why: 'no such kind of file' };
  if (host === 'ears' && segments[0] === 'models' && segments.length > 1) {
    return { roots: [roots.models], segments: segments.slice(1), mime, role: 'model' };
  }
  if (!PAGE_TYPES.has(ending(name))) return { status: 404, why: 'no such kind of file' };
  const ofEars = segments[0] === 'ears';
  const ofBench = segments.length === 1 && name === 'index.html';
  if (host === 'bench' ? ofEars : ofBench) return { status: 404, why: 'the page belongs to the other host' };
  return { roots: [roots.pages], segments, mime, role: pageRole(name) };
}

function pageRole(name: string): Located['role'] {
  if (name.endsWith('.html')) return 'page';
  if (/^voice-worker\b.*\.js$/.test(name)) return 'voice-worker';
  if (/^ear-worker\b.*\.js$/.test(name)) return 'ear-worker';
  return 'asset';
}

function locatePicture(pathname: string, roots: Roots): Located | Refused {
  const segments = pathSegments(pathname, true);
  // picture / product id / file as the product file names it, relative to the product file
  if (segments === undefined || segments.length < 3) return { status: 400, why: 'not a picture address' };
  const name = segments[segments.length - 1] ?? '';
  const kind = ending(name);
  const mime = MIME_TYPES[kind];
  if (!PICTURE_TYPES.has(kind) || mime === undefined) return { status: 404, why: 'not a kind of picture' };
  return { roots: roots.procedures, segments: segments.slice(2), mime, role: 'picture' };
}

/**
 * Reads a located file. The real path, after symbolic links, must lie below the real root; folders and
 * special files are refused like missing ones, so that nothing is learnt about the disk.
 */
export async function readLocated(located: Located): Promise<Buffer | Refused> {
  // Pictures may come from a stranger and change while they are looked at.
  const isForeign = located.role === 'picture';
  for (const folder of located.roots) {
    try {
      const body = isForeign
        ? await readFileBelow(folder, located.segments, FILE_BYTES_MAX)
        : await readOwn(folder, located.segments);
      if (body !== undefined) return body;
    } catch {
      // ENOENT, EACCES, ELOOP: the same answer for all, on purpose.
    }
  }
  return { status: 404, why: 'no such file' };
}

/** A file of the program itself, also out of its archive. */
async function readOwn(folder: string, segments: readonly string[]): Promise<Buffer | undefined> {
  const root = await realpath(folder);
  const file = await realpath(join(root, ...segments));
  if (!file.startsWith(root + sep)) return undefined;
  const facts = await stat(file);
  return facts.isFile() && facts.size <= FILE_BYTES_MAX ? await readFile(file) : undefined;
}

const COMMON_HEADERS: Readonly<Record<string, string>> = {
  'X-Content-Type-Options': 'nosniff',
  'Referrer-Policy': 'no-referrer',
  'Cache-Control': 'no-cache',
};

/** The policy of the pages with the buttons: own files only, no evaluation, no inline script. */
export function benchPolicy(origins: Origins): string {
  const socket = origins.bench.startsWith('http') ? ` ${origins.bench.replace(/^http/, 'ws')}` : '';
  return [
    "default-src 'none'",
    "script-src 'self'",
    "style-src 'self'",
    "img-src 'self'",
    "font-src 'self'",
    `connect-src 'self'${socket}`,
    "worker-src 'self'",
    `frame-src ${origins.ears}`,
    "base-uri 'none'",
    "form-action 'none'",
    "frame-ancestors 'none'",
    "object-src 'none'",
  ].join('; ');
}

/** The embedded voice is WebAssembly: compiled in its worker alone, which may fetch own files and no more. */
const VOICE_WORKER_POLICY = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'";
/** A picture opened by itself must not run anything. */
const PICTURE_POLICY = "default-src 'none'; style-src 'unsafe-inline'; sandbox";

/** All headers of a response. `origins` fills in who may embed whom. */
export function responseHeaders(
  host: HostName,
  located: Pick<Located, 'mime' | 'role'>,
  origins: Origins,
): Readonly<Record<string, string>> {
  const headers: Record<string, string> = {
    ...COMMON_HEADERS,
    'Content-Type': located.mime,
    'Cross-Origin-Resource-Policy': 'same-origin',
  };
  if (host === 'bench') headers['X-Frame-Options'] = 'DENY';
  headers['Content-Security-Policy'] = policyFor(host, located.role, origins);
  if (located.role === 'page') {
    headers['Permissions-Policy'] = 'camera=(), geolocation=(), usb=(), serial=(), hid=(), payment=()';
    // The ears page is embedded across origins, so it alone must not ask for isolation from its opener.
    if (host === 'bench') headers['Cross-Origin-Opener-Policy'] = 'same-origin';
    else headers['Cross-Origin-Resource-Policy'] = 'cross-origin';
  }
  return headers;
}

function policyFor(host: HostName, role: Located['role'], origins: Origins): string {
  if (role === 'picture') return PICTURE_POLICY;
  if (role === 'voice-worker') return VOICE_WORKER_POLICY;
  if (host === 'bench') return benchPolicy(origins);
  const policy = role === 'ear-worker' ? EARS_WORKER_POLICY : EARS_PAGE_POLICY;
  return `${policy}; frame-ancestors ${origins.bench}`;
}
