/**
 * Near-miss words for each phrase: common words that sound alike and must not be taken for it. Chosen by
 * ear and spelling; the listening bench measures which of them earn their place. Never words of the very
 * same sound: "pause" beside "paws" shares its confidence half and half and is then never sure.
 */
import { ENGLISH_TABLE } from '../base/language-table.ts';
import type { PhraseId } from './model.ts';

export const DECOYS: Partial<Readonly<Record<PhraseId, readonly string[]>>> = ENGLISH_TABLE.phrases.decoys;
