/** Works on as a person with keys would: the plain next thing each time, without a voice. */
import { PRESS_AGAIN_MS } from '../../electron/core/job/engine.ts';
import type { BenchView } from '../../electron/core/job/model.ts';
import type { PageInput } from '../../electron/ipc/contract.ts';
import { SyntheticTechnician } from '../../electron/synthetic-technician.ts';

const TURNS_MAX = 300;
const WAIT_MS = 30;
/** A caution is read, or counts as shown where there is no voice, within this time. */
const READ_TIMEOUT_MS = 90_000;

export interface KeyBench {
  view(): Promise<BenchView | null>;
  /** Gives one input; true where the host has acknowledged it. */
  give(input: PageInput): Promise<boolean>;
}

/** The same input, from a key. */
function byKey(input: PageInput): PageInput {
  if (!('source' in input)) return input;
  const { confidence: _confidence, ...rest } = input as PageInput & { confidence?: number };
  const { decidedMs: _decidedMs, ...plain } = rest as typeof rest & { decidedMs?: number };
  return { ...plain, source: 'key' } as PageInput;
}

/** Works to the step of this number, cautions acknowledged. Gives `step phrase` for what was acknowledged. */
export async function workByKeysTo(bench: KeyBench, step_number: number): Promise<string[]> {
  const technician = new SyntheticTechnician(1, { straying: 0, pace: 0 });
  const acknowledged: string[] = [];
  let seen = '';
  let readBy = Date.now() + READ_TIMEOUT_MS;
  for (let turn = 0; turn < TURNS_MAX; ) {
    const view = await bench.view();
    if (view !== null && view.step_number >= step_number && view.caution === null && view.question === null) {
      return acknowledged;
    }
    if (view === null || (view.caution !== null && !view.caution.read && view.question === null)) {
      if (Date.now() > readBy) throw new Error(`the caution of ${view?.step.id} was not read in time`);
      await new Promise((resolve) => setTimeout(resolve, WAIT_MS));
      continue;
    }
    turn += 1;
    // A second press at once would count as the first one's echo.
    await new Promise((resolve) => setTimeout(resolve, PRESS_AGAIN_MS));
    readBy = Date.now() + READ_TIMEOUT_MS;
    const input = byKey(technician.next(view).input);
    seen = `${view.step.id} ${view.phase} ${JSON.stringify(input)}`;
    if ((await bench.give(input)) && input.type === 'phrase')
      acknowledged.push(`${view.step.id} ${input.phrase}`);
  }
  throw new Error(`step ${step_number} was not reached; last: ${seen}`);
}
