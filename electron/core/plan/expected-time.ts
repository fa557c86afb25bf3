/**
 * Seconds expected of an action where the author gives none. Common practice, no source: they are for a first
 * plan only and give way to an author's estimate, and that to past jobs (`review/prediction.ts`).
 */
import type { PlanAction } from './model.ts';

/** Seconds for the action itself, plus seconds for each fastener beyond handling the first. */
const DEFAULT_SECONDS: Readonly<Record<PlanAction, readonly [base: number, each: number]>> = {
  'remove-fasteners': [4, 8],
  'loosen-fasteners': [4, 5],
  'install-fasteners': [5, 8],
  'tighten-fasteners': [4, 6],
  disconnect: [8, 0],
  connect: [10, 0],
  'release-ribbon': [15, 0],
  'insert-ribbon': [25, 0],
  'peel-tape': [10, 0],
  'apply-tape': [20, 0],
  'pull-strips': [40, 0],
  'bond-strips': [45, 0],
  'take-out-seal': [15, 0],
  'fit-seal': [40, 0],
  unroute: [15, 0],
  route: [30, 0],
  'note-route': [15, 0],
  'lift-off-pins': [8, 0],
  'seat-on-pins': [12, 0],
  'open-arms': [8, 0],
  'press-in': [10, 0],
  'slide-out': [8, 0],
  'slide-in': [10, 0],
  unclip: [10, 0],
  clip: [10, 0],
  'part-edges': [20, 0],
  'press-edges': [15, 0],
  'lift-out': [8, 0],
  'put-in': [12, 0],
  'separate-heat-sink': [30, 0],
  'fit-heat-sink': [60, 0],
  'open-to-angle': [8, 0],
  close: [8, 0],
  support: [5, 0],
  isolate: [20, 0],
  discharge: [30, 0],
  'verify-dead': [25, 0],
  'restore-energy': [15, 0],
  inspect: [20, 0],
  clean: [40, 0],
  measure: [30, 0],
  record: [20, 0],
  do: [20, 0],
  'fetch-new-part': [20, 0],
  'move-over': [20, 0],
  'count-tray': [15, 0],
  'ask-variant': [10, 0],
};

/** Seconds expected of an action where nobody has said or measured anything. `count`: fasteners handled. */
export function defaultSeconds(action: PlanAction, count: number): number {
  const [base, each] = DEFAULT_SECONDS[action];
  return base + each * count;
}
