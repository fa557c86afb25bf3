/** What was understood becomes the job's input: one way for the page and for the demo in Node. */
import { unreachable } from '../../electron/core/base/result.ts';
import { isPhraseId } from '../../electron/core/job/grammar.ts';
import type { FromEar, PageInput } from '../../electron/ipc/contract.ts';

/** The job's input for something heard, with its confidence. The ear knows no phrase but those of the grammar. */
export function inputFrom({
  understood,
  confidence,
  decidedMs,
}: Extract<FromEar, { type: 'heard' }>): PageInput {
  const common = { source: 'voice' as const, confidence };
  switch (understood.type) {
    case 'phrase': {
      const { phrase } = understood;
      if (!isPhraseId(phrase)) throw new Error(`the ear understood a phrase that is none: ${phrase}`);
      return { type: 'phrase', phrase, decidedMs, ...common };
    }
    case 'reading':
    case 'number':
    case 'serial':
    case 'answer':
      return { ...understood, ...common };
    default:
      return unreachable(understood, 'what was understood');
  }
}
