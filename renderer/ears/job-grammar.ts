/** The grammar of the job engine in the language that is heard, as the listener takes it. */
import { ENGLISH, heardLanguage, type Language } from '../../electron/core/base/language.ts';
import { grammarOf, type JobGrammar, UNKNOWN } from '../../electron/core/job/grammar.ts';
import type { Allowed } from '../../electron/core/job/model.ts';
import type { SpokenGrammar } from './decision.ts';
import { sequencesFor } from './spoken-sequences.ts';

/**
 * The recogniser makes its language model by counting the entries: what may be said is listed several
 * times, decoys and filler once. Of 48 hard utterances (the weakest synthetic voice) 34 were understood
 * at weight 1, 37 at 3 and 39 at 10.
 */
const PHRASE_WEIGHT = 4;

/**
 * The entries for the recogniser. Words of a reading or a spelling are listed once, because `sequencesFor`
 * shows what follows them; listed several times they would be taken to stand alone.
 */
function entriesFor(grammar: JobGrammar, allowed: Allowed): readonly string[] {
  const phrases = grammar.grammarPhrases(allowed);
  const once = new Set([
    ...grammar.decoysFor(allowed),
    UNKNOWN,
    ...(allowed.number === 'reading' ? grammar.numbers.words : []),
    ...(allowed.spelling ? grammar.codes.words : []),
  ]);
  const weighted = phrases.flatMap((phrase) =>
    once.has(phrase) ? [phrase] : Array<string>(PHRASE_WEIGHT).fill(phrase),
  );
  const openings = allowed.spelling ? grammar.phrases.serial : grammar.phrases.reading;
  return [...sequencesFor(allowed, phrases, openings, grammar), ...weighted];
}

/** The grammar for the listener where this language is spoken. */
export function listenerGrammar(spoken: Language): SpokenGrammar {
  const grammar = grammarOf(spoken);
  const digits = heardLanguage(spoken).table.numbers.ones.slice(0, 10);
  return {
    grammarPhrases: (allowed) => entriesFor(grammar, allowed),
    understand: grammar.understand,
    couldContinue: grammar.couldContinue,
    beginsLiteral: grammar.beginsLiteral,
    formsOf: (phrase) => grammar.phrases[phrase],
    digitWords: digits,
    knownPhrase: grammar.knownPhrase,
    openingWordCount: grammar.openingWordCount,
    attentionWord: grammar.attentionWord,
  };
}

/** English, which the shipped model hears. */
export const JOB_GRAMMAR: SpokenGrammar = listenerGrammar(ENGLISH);
