/** Ear and mouth of this page as the voice loop wants them. */
import type { EarPort, MouthPort } from './voice-loop.ts';

/** Both ports; null where a part cannot run here. */
export function voicePorts(): { mouth: MouthPort | null; ear: EarPort | null } {
  return { mouth: null, ear: null };
}
