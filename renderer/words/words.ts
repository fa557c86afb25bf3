/** How the pages get at the words of the language in use. */
import { createContext, useContext } from 'react';
import { en } from './en.ts';
import type { Words } from './page-words.ts';

export type { Words };

const WordsContext = createContext<Words>(en);
export const WordsProvider = WordsContext.Provider;

/** The words of the language in use. */
export function useWords(): Words {
  return useContext(WordsContext);
}
