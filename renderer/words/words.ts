/**
 * The type of a language table and how the pages get at the one in use. A further language is a file
 * `xx.ts` beside `en.ts` whose default export `satisfies Words`; it is found by itself.
 */
import { createContext, useContext } from 'react';
import { en } from './en.ts';

type Table<T> = T extends string
  ? string
  : T extends (...a: infer A) => string
    ? (...a: A) => string
    : T extends readonly string[]
      ? readonly string[]
      : { readonly [K in keyof T]: Table<T[K]> };

/** A complete language table: the keys and arguments of the English one. */
export type Words = Table<typeof en>;

const WordsContext = createContext<Words>(en);
export const WordsProvider = WordsContext.Provider;

/** The words of the language in use. */
export function useWords(): Words {
  return useContext(WordsContext);
}
