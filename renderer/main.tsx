/** Entry of the page with the buttons: finds the bridge, starts ear and mouth, shows the app. */
import { Component, type ReactNode, StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { App } from './app.tsx';
import { bridge } from './bridge-browser.ts';
import { HostProvider, hostFrom } from './host.tsx';
import { VoiceProvider } from './voice.tsx';
import { startVoiceLoop } from './voice-loop.ts';
import { voicePorts } from './voice-ports.ts';
import { en } from './words/en.ts';
import './style/tokens.css';
import './style/base.css';
import './style/bench.css';
import './style/screens.css';

/** The last resort: says that the page failed and offers to load it again; the job is in the host. */
class Failed extends Component<{ children: ReactNode }, { failed: boolean }> {
  override state = { failed: false };
  static getDerivedStateFromError(): { failed: boolean } {
    return { failed: true };
  }
  override render(): ReactNode {
    if (!this.state.failed) return this.props.children;
    return (
      <main className="sheet">
        <h1>{en.app.unexpected}</h1>
        <p>{en.app.unexpectedMend}</p>
        <button type="button" className="button main" onClick={() => location.reload()}>
          {en.app.openAgain}
        </button>
      </main>
    );
  }
}

const place = document.getElementById('root');
if (place !== null) {
  const toHost = bridge();
  const loop = startVoiceLoop(hostFrom(toHost), voicePorts());
  createRoot(place).render(
    <StrictMode>
      <Failed>
        <HostProvider bridge={toHost}>
          <VoiceProvider value={loop}>
            <App />
          </VoiceProvider>
        </HostProvider>
      </Failed>
    </StrictMode>,
  );
}
