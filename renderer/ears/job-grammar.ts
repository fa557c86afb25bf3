/** The grammar of the job engine, as the listener takes it. */
import { couldContinue, grammarPhrases, knownPhrase, understand } from '../../electron/core/job/grammar.ts';
import type { SpokenGrammar } from './decision.ts';

export const JOB_GRAMMAR: SpokenGrammar = { grammarPhrases, understand, couldContinue, knownPhrase };
