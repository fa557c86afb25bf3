/** The grammar of the job engine, as the listener takes it. */
import {
  couldContinue,
  decoysFor,
  grammarPhrases,
  knownPhrase,
  openingWordCount,
  SPOKEN_PHRASES,
  UNKNOWN,
  understand,
} from '../../electron/core/job/grammar.ts';
import type { Allowed } from '../../electron/core/job/model.ts';
import { SPELLING_WORDS } from '../../electron/core/job/spelled-codes.ts';
import { NUMBER_WORDS } from '../../electron/core/job/spoken-numbers.ts';
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
function entriesFor(allowed: Allowed): readonly string[] {
  const phrases = grammarPhrases(allowed);
  const once = new Set([
    ...decoysFor(allowed),
    UNKNOWN,
    ...(allowed.number === 'reading' ? NUMBER_WORDS : []),
    ...(allowed.spelling ? SPELLING_WORDS : []),
  ]);
  const weighted = phrases.flatMap((phrase) =>
    once.has(phrase) ? [phrase] : Array<string>(PHRASE_WEIGHT).fill(phrase),
  );
  const openings = allowed.spelling ? SPOKEN_PHRASES.serial : SPOKEN_PHRASES.reading;
  return [...sequencesFor(allowed, phrases, openings), ...weighted];
}

export const JOB_GRAMMAR: SpokenGrammar = {
  grammarPhrases: entriesFor,
  understand,
  couldContinue,
  knownPhrase,
  openingWordCount,
};
