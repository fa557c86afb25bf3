/** A tiny grammar for tests of the decision logic: literal phrases and answers, and numbers of one or two digits. */
import type { Allowed, PhraseId } from '../../electron/core/job/model.ts';
import type { SpokenGrammar } from '../../renderer/ears/decision.ts';

const DIGITS = ['zero', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine'];

const literals = (allowed: Allowed): readonly string[] => [
  ...allowed.phrases.filter((phrase) => phrase !== 'reading' && phrase !== 'serial'),
  ...allowed.answers,
];

export const STAND_IN_GRAMMAR: SpokenGrammar = {
  grammarPhrases: (allowed) => [...literals(allowed), ...(allowed.number === 'none' ? [] : DIGITS)],
  understand: (allowed, text) => {
    if (allowed.phrases.includes(text as PhraseId)) return { type: 'phrase', phrase: text };
    if (allowed.answers.includes(text)) return { type: 'answer', value: text };
    if (allowed.number === 'none') return undefined;
    const digits = text.split(' ').map((word) => DIGITS.indexOf(word));
    if (digits.length > 2 || digits.includes(-1)) return undefined;
    return { type: allowed.number === 'reading' ? 'reading' : 'number', value: Number(digits.join('')) };
  },
  couldContinue: (allowed, text) => {
    if (literals(allowed).some((phrase) => phrase.startsWith(`${text} `))) return true;
    return allowed.number !== 'none' && DIGITS.includes(text);
  },
  beginsLiteral: (allowed, text) =>
    literals(allowed).some((phrase) => phrase === text || phrase.startsWith(`${text} `)),
  formsOf: (phrase) => [phrase],
  digitWords: DIGITS,
  openingWordCount: () => 0,
  attentionWord: 'bench',
  knownPhrase: (text) => (['next', 'back', 'finish', 'stop'].includes(text) ? text : undefined),
};
