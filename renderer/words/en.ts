/** The words of the pages in English: what is shown before the host has answered, and when it does not. */
import { ENGLISH_TABLE } from '../../electron/core/base/language-table.ts';
import { pageWords } from './page-words.ts';

export const en = pageWords(ENGLISH_TABLE);
