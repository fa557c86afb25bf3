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
 * Decoys that measuring threw out: words that sound exactly like a phrase share its confidence half and
 * half, so that "pause" beside "paws" is never sure (0 of 24 were heard, 24 of 24 without them).
 */
const HARMFUL_DECOYS: ReadonlySet<string> = new Set(['paws', 'know', 'undue', 'finished', 'necks']);

/**
 * The recogniser makes its language model by counting the entries: what may be said is listed several
 * times, decoys and filler once. Of 48 hard utterances (the weakest synthetic voice) 34 were understood
 * at weight 1, 37 at 3 and 39 at 10.
 */
const PHRASE_WEIGHT = 4;

export const JOB_GRAMMAR: SpokenGrammar = {
  grammarPhrases: (allowed) => {
    const decoys = new Set([...decoysFor(allowed), UNKNOWN]);
    return grammarPhrases(allowed)
      .filter((phrase) => !HARMFUL_DECOYS.has(phrase))
      .flatMap((phrase) => (decoys.has(phrase) ? [phrase] : Array<string>(PHRASE_WEIGHT).fill(phrase)));
  },
  understand,
  couldContinue,
  knownPhrase,
};
