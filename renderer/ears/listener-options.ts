/** What a listener is made of, and what can be done with it: see `listener.ts`. */
import type { FromEar, ToEar } from '../../electron/ipc/contract.ts';
import type { SpokenGrammar, Thresholds, Utterance, Verdict } from './decision.ts';
import type { DecoderMaker } from './decoder.ts';

export interface ListenerOptions {
  readonly maker: DecoderMaker;
  readonly grammar: SpokenGrammar;
  readonly thresholds: Thresholds;
  /** Words that sound like phrases, offered to the recogniser so that it need not bend them. */
  readonly decoys: readonly string[];
  /** Milliseconds for measuring compute time; a constant function where that is of no interest. */
  readonly computeNow: () => number;
  /** Told of every closed utterance with what was measured and decided; for the listening bench. */
  readonly observe?: (utterance: Utterance, verdict: Verdict, early: boolean) => void;
}

export interface Listener {
  /** A message of the contract. */
  tell(message: ToEar): readonly FromEar[];
  /** Mono samples at 16 kHz, any number of them. */
  feed(samples: Float32Array): readonly FromEar[];
  /** Closes an utterance in progress as if silence had followed (end of a recording, key released). */
  flush(): readonly FromEar[];
  /** Milliseconds of audio fed so far. */
  nowMs(): number;
  release(): void;
}
