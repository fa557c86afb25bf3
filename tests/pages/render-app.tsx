/** The whole page on the real core, with ears and mouth at the ports replaced by ones the test holds. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { act, cleanup, configure, render, screen } from '@testing-library/react';
import type { LanguageTable } from '../../electron/core/base/language-table.ts';
import type { FromEar, Settings, ToEar } from '../../electron/ipc/contract.ts';
import { App } from '../../renderer/app.tsx';
import { HostProvider, hostFrom } from '../../renderer/host.tsx';
import { VoiceProvider } from '../../renderer/voice.tsx';
import {
  type EarPort,
  type MouthPort,
  type SpokenOutcome,
  startVoiceLoop,
  type VoiceLoop,
} from '../../renderer/voice-loop.ts';
import { CoreBridge } from './core-bridge.ts';

// A busy machine is no fault of a page: wait long for what must come, and fail only where it never does.
configure({ asyncUtilTimeout: 15_000 });

const PROCEDURES = join(import.meta.dirname, '..', '..', 'procedures');

/** The text of a product file that is shipped. */
export function shipped(file: string): string {
  return readFileSync(join(PROCEDURES, file), 'utf8');
}

export const FILES = {
  'wt-3.yaml': shipped('wt-3.yaml'),
  'bp-60.yaml': shipped('bp-60.yaml'),
  'practice.yaml': shipped('practice.yaml'),
  'broken.yaml': 'stepcaller: 1\nid: xx-1\nname: Broken example\nparts: [\n',
};

/** An ear that hears what the test says. */
export class TestEar implements EarPort {
  readonly sent: ToEar[] = [];
  #listeners = new Set<(message: FromEar) => void>();
  send(message: ToEar): void {
    this.sent.push(message);
  }
  onMessage(listener: (message: FromEar) => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }
  tell(message: FromEar): void {
    for (const listener of this.#listeners) listener(message);
  }
}

/** A mouth that keeps what it should say until the test lets it end. */
export class TestMouth implements MouthPort {
  readonly spoken: { utterance: number; text: string }[] = [];
  readonly prepared: (readonly string[])[] = [];
  readonly chimes: string[] = [];
  readonly configured: unknown[] = [];
  hushed = 0;
  outcome: (utterance: number, outcome: SpokenOutcome) => void = () => undefined;
  speaking: (speaking: boolean, text: string) => void = () => undefined;
  trouble: Parameters<MouthPort['onTrouble']>[0] = () => undefined;
  speak(utterance: number, text: string): void {
    this.spoken.push({ utterance, text });
  }
  hush(): void {
    this.hushed += 1;
  }
  prepare(texts: readonly string[]): void {
    this.prepared.push(texts);
  }
  configure(settings: unknown): void {
    this.configured.push(settings);
  }
  chime(chime: string): void {
    this.chimes.push(chime);
  }
  onOutcome(listener: typeof this.outcome): () => void {
    this.outcome = listener;
    return () => undefined;
  }
  onSpeaking(listener: typeof this.speaking): () => void {
    this.speaking = listener;
    return () => undefined;
  }
  onTrouble(listener: typeof this.trouble): () => void {
    this.trouble = listener;
    return () => undefined;
  }
}

export interface Opened {
  readonly bridge: CoreBridge;
  readonly ear: TestEar;
  readonly mouth: TestMouth;
  readonly loop: VoiceLoop;
  readonly container: HTMLElement;
}

/** A machine with much else to do may take its time; nothing is measured here. */
export const PATIENT = { timeout: 10_000 };

/** Renders the page and waits for its first screen. */
export async function openApp(
  settings: Partial<Settings> = {},
  files = FILES,
  tables: readonly LanguageTable[] = [],
): Promise<Opened> {
  cleanup();
  window.scrollTo = () => undefined;
  const bridge = new CoreBridge(files, settings, tables);
  const [ear, mouth] = [new TestEar(), new TestMouth()];
  const loop = startVoiceLoop(hostFrom(bridge), { mouth, ear });
  const { container } = render(
    <HostProvider bridge={bridge}>
      <VoiceProvider value={loop}>
        <App />
      </VoiceProvider>
    </HostProvider>,
  );
  await screen.findByRole('heading', { level: 1 }, PATIENT);
  await settle();
  return { bridge, ear, mouth, loop, container };
}

/** Lets answers that are on their way arrive. */
export async function settle(): Promise<void> {
  await act(async () => {
    for (let i = 0; i < 8; i += 1) await Promise.resolve();
  });
}

/** Starts a job through the core and lets the page come back to it, as after a reload. */
export async function openBench(
  file: string,
  part: string,
  settings: Partial<Settings> = {},
  tables: readonly LanguageTable[] = [],
): Promise<Opened> {
  const opened = await openApp(settings, FILES, tables);
  await startJob(opened.bridge, file, part);
  const again = opened.bridge;
  cleanup();
  const [ear, mouth] = [new TestEar(), new TestMouth()];
  const loop = startVoiceLoop(hostFrom(again), { mouth, ear });
  const { container } = render(
    <HostProvider bridge={again}>
      <VoiceProvider value={loop}>
        <App />
      </VoiceProvider>
    </HostProvider>,
  );
  await screen.findByRole('progressbar', {}, PATIENT);
  await settle();
  return { bridge: again, ear, mouth, loop, container };
}

export async function startJob(bridge: CoreBridge, file: string, part: string): Promise<void> {
  const product = await bridge.ask('product.open', { file });
  if (!product.ok) throw new Error(`assertion failed: no product ${file}`);
  const answer = await bridge.ask('job.start', {
    file,
    replace: [part],
    variants: Object.fromEntries(product.value.variants.map((one) => [one.id, one.answers[0] ?? ''])),
    technician: 'A',
    unit_serial: null,
    work_order: null,
    reported_fault: null,
  });
  if (!answer.ok) throw new Error(`assertion failed: job of ${file} did not start`);
}

/** Plays on by script until `test` holds for the view. */
export async function playUntil(
  bridge: CoreBridge,
  test: (view: NonNullable<ReturnType<CoreBridge['view']>>) => boolean,
): Promise<void> {
  await act(async () => {
    for (let guard = 0; guard < 600; guard += 1) {
      const view = bridge.view();
      if (view === null || test(view)) return;
      bridge.oneByScript(9000);
    }
    throw new Error('assertion failed: the wanted view did not come');
  });
  await settle();
}
