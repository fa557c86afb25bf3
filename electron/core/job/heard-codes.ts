/**
 * Codes spelled in the words of a language's table (its letters, figures and signs). English has a fuller ear
 * of its own (`spelled-codes.ts`), with the forms of the words that are heard beside the taught ones.
 */
import { ENGLISH, type Language } from '../base/language.ts';
import { comparable } from './heard-numbers.ts';
import { MAX_SPELLED, parseCode, SPELLING_WORDS } from './spelled-codes.ts';

export interface CodeHearing {
  /** Words for the recogniser's grammar where a code may be spelled. */
  readonly words: readonly string[];
  /** Every word that may stand in a code. */
  readonly known: ReadonlySet<string>;
  /** The code in capitals, or undefined where a word is none of the alphabet. */
  readonly parse: (text: string) => string | undefined;
}

const ENGLISH_HEARING: CodeHearing = {
  words: SPELLING_WORDS,
  known: new Set([...SPELLING_WORDS, 'x', 'ray', 'capital']),
  parse: parseCode,
};

const ENGLISH_LETTERS = Object.values(ENGLISH.table.numbers.letters).join();

/** How codes are heard in a language. */
export function codeHearing({ table }: Language): CodeHearing {
  const { letters, signs, ones } = table.numbers;
  if (Object.values(letters).join() === ENGLISH_LETTERS && ones[0] === ENGLISH.table.numbers.ones[0])
    return ENGLISH_HEARING;
  const signOf = new Map<string, string>();
  for (const [sign, said] of [
    ...Object.entries(letters),
    ...ones.slice(0, 10).map((said, digit) => [String(digit), said] as const),
    ...Object.entries(signs),
  ])
    signOf.set(comparable(said), sign);
  const words = [...signOf.keys()];
  for (const [heard, meant] of Object.entries(table.phrases['other-words'] ?? {})) {
    const sign = signOf.get(comparable(meant));
    if (sign !== undefined) signOf.set(comparable(heard), sign);
  }
  const longest = Math.max(...[...signOf.keys()].map((said) => said.split(' ').length));
  const parse = (text: string): string | undefined => {
    const said = comparable(text).split(' ');
    let code = '';
    for (let at = 0; at < said.length; ) {
      let taken = Math.min(longest, said.length - at);
      while (taken > 0 && !signOf.has(said.slice(at, at + taken).join(' '))) taken -= 1;
      if (taken === 0) return undefined;
      code += signOf.get(said.slice(at, at + taken).join(' ')) ?? '';
      at += taken;
    }
    return code === '' || code.length > MAX_SPELLED ? undefined : code;
  };
  return { words, known: new Set([...signOf.keys()].flatMap((said) => said.split(' '))), parse };
}
