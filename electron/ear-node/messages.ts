/** What the main thread and the ear's worker thread say to each other. */

import type { Thresholds, Utterance, Verdict } from '../../renderer/ears/decision.ts';
import type { ModelTrouble } from '../../renderer/ears/model-files.ts';
import type { FromEar, ToEar } from '../ipc/contract.ts';

export interface WorkerSettings {
  /** Folder that holds the manifest's model folder. */
  readonly modelsFolder: string;
  readonly wasmFile: string;
  /** In place of the shipped thresholds or decoys (for measuring). */
  readonly thresholds?: Partial<Thresholds>;
  readonly decoys?: readonly string[];
  /** Whether replies tell every closed utterance (for measuring). */
  readonly observe?: boolean;
}

/** A closed utterance as the decision saw it. */
export interface Observed {
  readonly utterance: Utterance;
  readonly verdict: Verdict;
  readonly early: boolean;
}

export type ToWorker =
  | { readonly id: number; readonly type: 'tell'; readonly message: ToEar }
  | { readonly id: number; readonly type: 'feed'; readonly samples: Float32Array }
  | { readonly id: number; readonly type: 'flush' }
  /** Starts afresh: no grammar, nothing heard, the noise floor unknown. */
  | { readonly id: number; readonly type: 'fresh' }
  | { readonly id: number; readonly type: 'measure' };

export type FromWorker =
  | { readonly type: 'ready'; readonly loadMs: number }
  | { readonly type: 'trouble'; readonly trouble: ModelTrouble }
  | {
      readonly type: 'done';
      readonly id: number;
      readonly messages: readonly FromEar[];
      readonly observed: readonly Observed[];
      /** Audio time after this message, and how long the worker computed. */
      readonly nowMs: number;
      readonly computeMs: number;
      readonly memoryBytes: number;
    }
  | { readonly type: 'failed'; readonly id: number; readonly detail: string };
