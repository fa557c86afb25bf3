/**
 * What a page may ask of the machine. Default deny; each allowed line carries the reason it is needed.
 * Nothing here imports Electron, so the table and its decisions are tested as they are.
 */

export interface AllowedPermission {
  readonly permission: 'media';
  /** The only origin that gets it. */
  readonly origin: 'app://ears';
  /** The only kind of capture. */
  readonly media: 'audio';
  readonly reason: string;
}

export const ALLOWED_PERMISSIONS: readonly AllowedPermission[] = [
  {
    permission: 'media',
    origin: 'app://ears',
    media: 'audio',
    reason:
      'The technician’s hands are busy: steps are answered by voice. Only the hidden page that listens gets the microphone; it has no bridge to the host, and no page gets a camera or the screen.',
  },
];

/** Facts of a request as Electron gives them; everything is optional because the kinds differ. */
export interface PermissionFacts {
  readonly permission: string;
  /** Origin or address of the page that asks, as Electron names it. */
  readonly origin: string | undefined;
  /** Kinds of capture asked for: for a request a list, for a check one word. */
  readonly media: readonly string[];
}

/** The origin `scheme://host` of an address; `undefined` for what a URL parser refuses. */
export function originOf(address: string | undefined): string | undefined {
  if (address === undefined || address === '') return undefined;
  try {
    const url = new URL(address);
    if (url.username !== '' || url.password !== '' || url.port !== '') return undefined;
    return `${url.protocol}//${url.host}`;
  } catch {
    return undefined;
  }
}

/** True only for a line of the table: right permission, right origin, and nothing but its kind of capture. */
export function isPermitted(facts: PermissionFacts): boolean {
  const origin = originOf(facts.origin);
  return ALLOWED_PERMISSIONS.some(
    (line) =>
      line.permission === facts.permission &&
      line.origin === origin &&
      facts.media.length > 0 &&
      facts.media.every((kind) => kind === line.media),
  );
}
