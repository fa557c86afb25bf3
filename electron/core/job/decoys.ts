/**
 * Near-miss words for each phrase: common words that sound alike and must not be taken for it. Chosen by
 * ear and spelling; the listening bench measures which of them earn their place. Never words of the very
 * same sound: "pause" beside "paws" shares its confidence half and half and is then never sure.
 */
import type { PhraseId } from './model.ts';

export const DECOYS: Partial<Readonly<Record<PhraseId, readonly string[]>>> = {
  next: ['text', 'neck', 'nest'],
  back: ['bag', 'pack', 'black'],
  repeat: ['receipt', 'complete'],
  slower: ['lower', 'shower'],
  torque: ['talk', 'fork', 'work'],
  caution: ['auction', 'option'],
  why: ['wide', 'while'],
  'how long': ['along', 'how wrong'],
  pause: ['cause', 'because'],
  resume: ['presume', 'assume', 'zoom'],
  understood: ['understand', 'under', 'stood'],
  yes: ['guess', 'less', 'yet'],
  no: ['now', 'new'],
  problem: ['probably', 'program'],
  note: ['boat', 'not', 'known'],
  undo: ['into', 'under'],
  skip: ['ship', 'strip'],
  stop: ['top', 'shop', 'step'],
  finish: ['fish', 'furnish'],
};
