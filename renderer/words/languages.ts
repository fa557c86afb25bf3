/** The languages there are, by tag. */
import { en } from './en.ts';
import type { Words } from './page-words.ts';

export const languages: ReadonlyMap<string, Words> = new Map<string, Words>([['en', en]]);

/** The table for a wanted tag: exact match, then the same language without region, then English. */
export function languageFor(wanted: readonly string[]): Words {
  for (const tag of wanted) {
    const table = languages.get(tag) ?? languages.get(tag.split('-')[0] ?? '');
    if (table !== undefined) return table;
  }
  return en;
}
