/**
 * The pages on the real core in memory, for taking pictures of every screen without a host. `window.stage`
 * lets the script that takes the pictures move the clock, speak for the technician, and set what the ear shows.
 */
import { createRoot } from 'react-dom/client';
import type { FromEar } from '../../electron/ipc/contract.ts';
import { App } from '../../renderer/app.tsx';
import { HostProvider, hostFrom } from '../../renderer/host.tsx';
import { VoiceProvider } from '../../renderer/voice.tsx';
import { type EarPort, startVoiceLoop } from '../../renderer/voice-loop.ts';
import { CoreBridge } from '../pages/core-bridge.ts';
import '../../renderer/style/tokens.css';
import '../../renderer/style/base.css';
import '../../renderer/style/bench.css';
import '../../renderer/style/screens.css';

const texts = import.meta.glob(['../../procedures/*.yaml', './broken/*.yaml'], {
  eager: true,
  query: '?raw',
  import: 'default',
} as never) as Record<string, string>;
const files = Object.fromEntries(
  Object.entries(texts).map(([path, text]) => [path.replace(/^.*\//, ''), text]),
);

const wanted = new URLSearchParams(location.search);
const theme = wanted.get('theme') === 'dark' ? 'dark' : 'light';
const verbosity = wanted.get('trainee') === null ? 'full' : 'trainee';
const bridge = new CoreBridge(files, { theme, verbosity });
const listeners = new Set<(message: FromEar) => void>();
const ear: EarPort = {
  send: () => undefined,
  onMessage: (listener) => {
    listeners.add(listener);
    return () => listeners.delete(listener);
  },
};
const hear = (message: FromEar): void => {
  for (const listener of listeners) listener(message);
};
const loop = startVoiceLoop(hostFrom(bridge), { mouth: null, ear });

declare global {
  interface Window {
    stage: { bridge: CoreBridge; hear: (message: FromEar) => void };
  }
}
window.stage = { bridge, hear };

const place = document.getElementById('root');
if (place !== null)
  createRoot(place).render(
    <HostProvider bridge={bridge}>
      <VoiceProvider value={loop}>
        <App />
      </VoiceProvider>
    </HostProvider>,
  );
