/** What the ears page and its worker say to each other. */
import type { LanguageTable } from '../../electron/core/base/language-table.ts';
import type { FromEar, ToEar } from '../../electron/ipc/contract.ts';
import type { ModelTrouble } from './model-files.ts';

export type ToRecogniser =
  /** `language`: what is spoken; the shipped language where it is null. Its model lies below `modelsUrl`. */
  | {
      readonly type: 'load';
      readonly wasmUrl: string;
      readonly modelsUrl: string;
      readonly language: LanguageTable | null;
    }
  /** The port on which the worklet sends its samples, and their rate. Replaces an earlier one. */
  | { readonly type: 'microphone'; readonly port: MessagePort; readonly rateHz: number }
  | { readonly type: 'tell'; readonly message: ToEar }
  | { readonly type: 'ping'; readonly count: number };

export type FromRecogniser =
  | { readonly type: 'message'; readonly message: FromEar }
  | {
      readonly type: 'unusable';
      readonly trouble: ModelTrouble | { readonly code: 'recogniser-stopped'; readonly detail: string };
    }
  /** Answer to a ping: how much audio has been heard, and how much at its end was exact silence. */
  | { readonly type: 'pong'; readonly count: number; readonly heardMs: number; readonly deadMs: number };

/** Sent over the port to the page with the buttons in place of a message, so that it knows the ear lives. */
export interface EarBeat {
  readonly type: 'beat';
}
/** The first message to the ears page; the port comes with it. */
export const CONNECT = 'stepcaller-ear-connect';
