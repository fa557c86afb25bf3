/**
 * The pages on the real core in memory, for taking pictures of every screen without a host. `window.stage`
 * lets the script that takes the pictures move the clock, speak for the technician, and set what the ear shows.
 */
import { createRoot } from 'react-dom/client';
import { randomFromSeed } from '../../electron/core/base/random.ts';
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
const viewing_distance_m = Number(wanted.get('distance') ?? 1.5);
const bridge = new CoreBridge(files, { theme, verbosity, viewing_distance_m });
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
  interface ImportMeta {
    /** Filled in by the bundler. */
    glob(pattern: string | string[], options: object): Record<string, unknown>;
  }
  interface Window {
    stage: {
      bridge: CoreBridge;
      hear: (message: FromEar) => void;
      manyJobs: (file: string, part: string, count: number) => Promise<void>;
    };
  }
}
/** Finishes jobs by technicians A to C who get faster, with a plausible spread; the same each time. */
async function manyJobs(file: string, part: string, count: number): Promise<void> {
  const random = randomFromSeed(3);
  const opened = await bridge.ask('product.open', { file });
  if (!opened.ok) return;
  const variants = Object.fromEntries(opened.value.variants.map((one) => [one.id, one.answers[0] ?? '']));
  for (let n = 0; n < count; n += 1) {
    const technician = ['A', 'B', 'C'][n % 3] ?? 'A';
    const pace = 1.5 * (Math.floor(n / 3) + 1) ** -0.25;
    await bridge.ask('job.start', {
      file,
      replace: [part],
      variants,
      technician,
      unit_serial: null,
      work_order: null,
      reported_fault: null,
    });
    bridge.finishByScript(() => {
      const view = bridge.view();
      const expected_ms = (view?.expected_step_s ?? 20) * 1000;
      return Math.round(expected_ms * pace * Math.exp(0.25 * random.normal()));
    });
    bridge.wait(3_600_000);
  }
}

window.stage = { bridge, hear, manyJobs };

const place = document.getElementById('root');
if (place !== null)
  createRoot(place).render(
    <HostProvider bridge={bridge}>
      <VoiceProvider value={loop}>
        <App />
      </VoiceProvider>
    </HostProvider>,
  );
