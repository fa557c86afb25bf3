/** The languages there are: every `xx.ts` in this folder (two letters, or two letters and a region). */
import { en } from './en.ts';
import type { Words } from './words.ts';

type Loaded = Record<string, { default: Words }>;
declare global {
  interface ImportMeta {
    /** Filled in by the bundler. */
    glob(pattern: string | string[], options: { eager: true }): Record<string, unknown>;
  }
}

const loaded = import.meta.glob(['./??.ts', './??-??.ts'], { eager: true }) as Loaded;

/** All languages by tag, English first. */
export const languages: ReadonlyMap<string, Words> = new Map<string, Words>([
  ['en', en],
  ...Object.values(loaded)
    .map((file): [string, Words] => [file.default.language.tag, file.default])
    .filter(([tag]) => tag !== 'en'),
]);

/** The table for a wanted tag: exact match, then the same language without region, then English. */
export function languageFor(wanted: readonly string[]): Words {
  for (const tag of wanted) {
    const table = languages.get(tag) ?? languages.get(tag.split('-')[0] ?? '');
    if (table !== undefined) return table;
  }
  return en;
}
