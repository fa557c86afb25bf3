/** The grammar of the job engine, as the listener takes it. */
import {
  couldContinue,
  decoysFor,
  grammarPhrases,
  knownPhrase,
  UNKNOWN,
  understand,
} from '../../electron/core/job/grammar.ts';
import type { SpokenGrammar } from './decision.ts';

/**
 * The recogniser makes its language model by counting the entries: what may be said is listed several
 * times, decoys and filler once. Of 48 hard utterances (the weakest synthetic voice) 34 were understood
 * at weight 1, 37 at 3 and 39 at 10.
 */
const PHRASE_WEIGHT = 4;

export const JOB_GRAMMAR: SpokenGrammar = {
  grammarPhrases: (allowed) => {
    const decoys = new Set([...decoysFor(allowed), UNKNOWN]);
    return grammarPhrases(allowed).flatMap((phrase) =>
      decoys.has(phrase) ? [phrase] : Array<string>(PHRASE_WEIGHT).fill(phrase),
    );
  },
  understand,
  couldContinue,
  knownPhrase,
};
