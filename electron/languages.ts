/**
 * The languages of the program: one folder each below `languages/`, of the program and of the user. Read and
 * checked once; a language lies in memory from its first use on. English is built in.
 */
import { type CheckedLanguage, checkLanguage } from './core/base/check-language.ts';
import type { Diagnostic, DiagnosticText } from './core/base/diagnostic.ts';
import { ENGLISH, type Language, languageOf } from './core/base/language.ts';
import { ENGLISH_TABLE, type LanguageFile } from './core/base/language-table.ts';
import { attempt } from './disk/disk-fault.ts';
import type { DiskPort } from './disk/disk-port.ts';

/** A file of a language larger than this is not read. */
const MAX_LANGUAGE_BYTES = 1_000_000;
/** More languages than this in a folder are not looked at. */
const MAX_LANGUAGES = 60;
const TAG = /^[A-Za-z]{2,8}(-[A-Za-z0-9]{1,8})*$/;

export interface LanguageChoice {
  readonly tag: string;
  /** The language in its own words. */
  readonly name: string;
}

export class Languages {
  readonly #disk: DiskPort;
  readonly #folders: readonly string[];
  readonly #systemTag: string;
  #shelf: Promise<ReadonlyMap<string, CheckedLanguage>> | undefined;
  /** Languages that could not be used at all, and why. */
  #refused: readonly Diagnostic[] = [];

  /** Of two folders of one name the later one's counts, so that a user can mend a shipped language. */
  constructor(disk: DiskPort, folders: readonly string[], systemTag: string) {
    this.#disk = disk;
    this.#folders = folders;
    this.#systemTag = systemTag;
  }

  /** What can be chosen, English first. */
  async choices(): Promise<readonly LanguageChoice[]> {
    const shelf = await this.#read();
    return [...shelf.values()].map(({ table }) => ({ tag: table.language.tag, name: table.language.name }));
  }

  /**
   * The language that is wanted: the same tag, else the same language without its region, else the system's,
   * else English. Nothing wanted means the system's.
   */
  async open(wanted: string | undefined): Promise<Language> {
    const shelf = await this.#read();
    for (const tag of [wanted ?? '', this.#systemTag]) {
      const known = shelf.get(tag) ?? shelf.get(tag.split('-')[0] ?? '');
      if (known !== undefined) return languageOf(known.table);
    }
    return ENGLISH;
  }

  /** What is not as it should be in the files of a language, and which folders could not be used at all. */
  async findings(tag: string): Promise<readonly Diagnostic[]> {
    const shelf = await this.#read();
    return [...this.#refused, ...(shelf.get(tag)?.findings ?? [])];
  }

  #read(): Promise<ReadonlyMap<string, CheckedLanguage>> {
    this.#shelf ??= this.#readFolders();
    return this.#shelf;
  }

  async #readFolders(): Promise<ReadonlyMap<string, CheckedLanguage>> {
    const shelf = new Map<string, CheckedLanguage>([['en', { table: ENGLISH_TABLE, findings: [] }]]);
    const refused: Diagnostic[] = [];
    for (const folder of this.#folders) {
      const names = await attempt(() => this.#disk.readdir(folder));
      if (!names.ok) continue; // no such folder: English is there anyway
      for (const tag of names.value
        .filter((name) => TAG.test(name) && name !== 'en')
        .slice(0, MAX_LANGUAGES)) {
        const checked = checkLanguage(tag, await this.#files(`${folder}/${tag}`));
        if (checked.ok) shelf.set(tag, checked.value);
        else refused.push(checked.error);
      }
    }
    this.#refused = refused;
    return shelf;
  }

  async #files(folder: string): Promise<Partial<Record<LanguageFile, unknown>>> {
    const files: Partial<Record<LanguageFile, unknown>> = {};
    for (const file of Object.keys(ENGLISH_TABLE) as LanguageFile[]) {
      const bytes = await attempt(() => this.#disk.readFile(`${folder}/${file}.json`, MAX_LANGUAGE_BYTES));
      if (!bytes.ok) continue; // told as missing
      try {
        files[file] = JSON.parse(new TextDecoder().decode(bytes.value));
      } catch {
        files[file] = null; // not JSON: told as no table
      }
    }
    return files;
  }
}

/** A finding about a language in words; always English, for the language may be what is wrong. */
export function languageText(finding: Diagnostic): DiagnosticText {
  const words = ENGLISH.findings.language;
  const code = finding.code.replace('language/', '');
  if (!Object.hasOwn(words, code)) return { message: finding.code, mend: '' };
  const { message, mend } = words[code as keyof typeof words];
  return { message: message(finding.facts), mend: mend(finding.facts) };
}
