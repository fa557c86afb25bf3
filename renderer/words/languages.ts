/**
 * The language the host has opened, for the pages: its words, for the mouth the whole of it, and what else
 * could be chosen. English until the host has answered, and where it does not.
 */
import { createContext, useContext, useMemo } from 'react';
import { ENGLISH, type Language, languageOf } from '../../electron/core/base/language.ts';
import type { LanguageInUse } from '../../electron/ipc/contract.ts';
import { en } from './en.ts';
import { pageWords, type Words } from './page-words.ts';

export interface PageLanguage {
  readonly language: Language;
  readonly words: Words;
  readonly choices: LanguageInUse['choices'];
  readonly findings: LanguageInUse['findings'];
}

export const ENGLISH_PAGE: PageLanguage = {
  language: ENGLISH,
  words: en,
  choices: [{ tag: en.language.tag, name: en.language.name }],
  findings: [],
};

/** What the host has answered, ready for use. English is the one that is built in. */
export function usePageLanguage(opened: LanguageInUse | null): PageLanguage {
  return useMemo(() => {
    if (opened === null) return ENGLISH_PAGE;
    const { table, choices, findings } = opened;
    if (table.language.tag === en.language.tag) return { ...ENGLISH_PAGE, choices, findings };
    return { language: languageOf(table), words: pageWords(table), choices, findings };
  }, [opened]);
}

const LanguageContext = createContext<PageLanguage>(ENGLISH_PAGE);
export const LanguageProvider = LanguageContext.Provider;

/** The language in use, with what could be chosen instead. */
export function useLanguage(): PageLanguage {
  return useContext(LanguageContext);
}
