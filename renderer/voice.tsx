/** The voice loop for screens: its state by hook, its commands by context. */
import { createContext, useContext, useSyncExternalStore } from 'react';
import { SILENT, type VoiceLoop, type VoiceState } from './voice-loop.ts';

const VoiceContext = createContext<VoiceLoop | null>(null);
export const VoiceProvider = VoiceContext.Provider;

/** The running loop; null where neither ear nor mouth could be started. */
export function useVoice(): VoiceLoop | null {
  return useContext(VoiceContext);
}

const nothing = (): (() => void) => () => undefined;
const silent = (): VoiceState => SILENT;

/** What ear and mouth are doing now. */
export function useVoiceState(): VoiceState {
  const loop = useVoice();
  return useSyncExternalStore(loop?.subscribe ?? nothing, loop?.state ?? silent);
}
