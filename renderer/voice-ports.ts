/** Ear and mouth of this page as the voice loop wants them. */
import { earsOrigin } from './bridge-browser.ts';
import { createEarClient } from './ears/ear-client.ts';
import { createMouth } from './mouth/mouth.ts';
import type { EarPort, MouthPort } from './voice-loop.ts';

/** Path of the ears page under its own origin. */
const EARS_PAGE = '/ears/ears.html';

/** Starts both. A part that cannot run here is null: the job goes on by keys and touch. */
export function voicePorts(): { mouth: MouthPort | null; ear: EarPort | null } {
  return {
    mouth: started(() => createMouth()),
    ear: started(() => createEarClient({ url: `${earsOrigin()}${EARS_PAGE}` })),
  };
}

function started<T>(start: () => T): T | null {
  try {
    return start();
  } catch {
    // Whatever this browser lacks (workers, frames, sound): the screen says "no voice control".
    return null;
  }
}
