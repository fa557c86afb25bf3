import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import {
  EmbeddedVoice,
  FAILURES_MAX,
  RENDER_TIMEOUT_MS,
  type VoiceWorker,
} from '../../renderer/mouth/embedded-voice.ts';
import type { Sound } from '../../renderer/mouth/flite.ts';
import { createMouth, type Mouth, QUEUE_MAX } from '../../renderer/mouth/mouth.ts';
import type { PlayedHow, SoundOutput } from '../../renderer/mouth/sound-output.ts';
import type { SpokenHow } from '../../renderer/mouth/system-voice.ts';
import type { RenderReply, RenderRequest } from '../../renderer/mouth/voice-worker.ts';

/** A worker whose answers the test gives by hand, or at once. */
class HandWorker implements VoiceWorker {
  onmessage: ((event: MessageEvent<RenderReply>) => void) | null = null;
  onerror: ((event: ErrorEvent) => void) | null = null;
  ended = false;
  readonly asked: RenderRequest[] = [];
  constructor(readonly atOnce: boolean) {}
  postMessage(message: RenderRequest): void {
    this.asked.push(message);
    if (this.atOnce) queueMicrotask(() => this.reply(message.id));
  }
  reply(id: number): void {
    const samples = new Float32Array(160);
    this.onmessage?.({ data: { id, samples, sampleRateHz: 16_000 } } as MessageEvent<RenderReply>);
  }
  fault(id: number): void {
    this.onmessage?.({ data: { id, fault: 'out of memory' } } as MessageEvent<RenderReply>);
  }
  terminate(): void {
    this.ended = true;
  }
}

/** A loudspeaker in which a sound lasts until the test says so. */
class HandOutput implements SoundOutput {
  how: PlayedHow | 'wait' = 'ended';
  played = 0;
  #settle: ((how: PlayedHow) => void) | undefined;
  play(_sound: Sound): Promise<PlayedHow> {
    this.played += 1;
    if (this.how !== 'wait') return Promise.resolve(this.how);
    return new Promise((resolve) => {
      this.#settle = resolve;
    });
  }
  finish(how: PlayedHow): void {
    this.#settle?.(how);
    this.#settle = undefined;
  }
  stop(): void {
    this.finish('stopped');
  }
  context(): undefined {
    return undefined;
  }
  close(): void {
    this.stop();
  }
}

interface Bench {
  readonly mouth: Mouth;
  readonly output: HandOutput;
  readonly workers: HandWorker[];
  readonly trace: string[];
  readonly system: { works: boolean; how: SpokenHow; said: string[]; speak: unknown; stop(): void };
}

function bench(options: { atOnce?: boolean } = {}): Bench {
  const output = new HandOutput();
  const workers: HandWorker[] = [];
  const trace: string[] = [];
  const system = {
    works: false,
    how: 'completed' as SpokenHow,
    said: [] as string[],
    speak: (text: string, _rate: number, onBegin: () => void): Promise<SpokenHow> => {
      system.said.push(text);
      if (system.how !== 'no-voice') onBegin();
      return Promise.resolve(system.how);
    },
    stop: () => undefined,
  };
  const mouth = createMouth({
    output: () => output,
    newWorker: () => {
      const worker = new HandWorker(options.atOnce ?? true);
      workers.push(worker);
      return worker;
    },
    system,
  });
  mouth.onOutcome((utterance, outcome) => trace.push(`${utterance} ${outcome}`));
  mouth.onSpeaking((speaking, text) => trace.push(`${speaking ? 'begin' : 'end'} ${text}`));
  mouth.onTrouble((code, over) => trace.push(`${code} ${over ? 'over' : 'began'}`));
  return { mouth, output, workers, trace, system };
}

/** Lets everything that is due without time happen. */
const settle = () => vi.advanceTimersByTimeAsync(0);

beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  vi.useRealTimers();
});

describe('mouth', () => {
  it('speaks one utterance after the other and tells begin, end and outcome in order', async () => {
    const { mouth, trace } = bench();
    mouth.speak(1, 'Remove 2 screws.', true);
    mouth.speak(2, 'Done.', true);
    await settle();
    expect(trace).toEqual([
      'begin Remove two screws.',
      'end Remove two screws.',
      '1 completed',
      'begin Done.',
      'end Done.',
      '2 completed',
    ]);
  });

  it('tells nothing before speak has returned', () => {
    const { mouth, trace } = bench();
    mouth.configure({ voice: 'off', rate: 1 });
    mouth.speak(1, 'Done.', true);
    expect(trace).toEqual([]);
  });

  it('ends what sounds and what waits as interrupted, each once, and speaks again afterwards', async () => {
    const { mouth, output, trace } = bench();
    output.how = 'wait';
    mouth.speak(1, 'One.', true);
    mouth.speak(2, 'Two.', true);
    await settle();
    mouth.hush();
    await settle();
    mouth.hush();
    await settle();
    expect(trace).toEqual(['begin One.', '2 interrupted', 'end One.', '1 interrupted']);
    output.how = 'ended';
    mouth.speak(3, 'Three.', true);
    await settle();
    expect(trace.slice(4)).toEqual(['begin Three.', 'end Three.', '3 completed']);
  });

  it('does not sound when it was hushed while the sentence was still being made', async () => {
    const { mouth, output, workers, trace } = bench({ atOnce: false });
    mouth.speak(1, 'One.', true);
    await settle();
    mouth.hush();
    workers[0]?.reply(1);
    await settle();
    expect(output.played).toBe(0);
    expect(trace).toEqual(['1 interrupted']);
  });

  it('says no-voice, not completed, where the system keeps the page silent', async () => {
    const { mouth, output, trace } = bench();
    output.how = 'no-sound';
    mouth.speak(1, 'Caution.', false);
    await settle();
    expect(trace.at(-1)).toBe('1 no-voice');
    expect(trace).not.toContain('1 completed');
  });

  it('gives every utterance one outcome when the voice never answers, and says that there is no voice', async () => {
    const { mouth, workers, trace } = bench({ atOnce: false });
    for (let utterance = 1; utterance <= FAILURES_MAX; utterance++) {
      mouth.speak(utterance, `Number ${utterance}.`, true);
    }
    await vi.advanceTimersByTimeAsync(FAILURES_MAX * RENDER_TIMEOUT_MS + 100);
    expect(trace).toEqual(['1 no-voice', '2 no-voice', 'no-voice began', '3 no-voice']);
    expect(workers).toHaveLength(FAILURES_MAX);
    expect(workers.every((worker) => worker.ended)).toBe(true);
  });

  it('takes the system voice where the embedded one is missing, and the embedded where the system fails', async () => {
    const missing = bench({ atOnce: false });
    missing.system.works = true;
    missing.mouth.speak(1, 'One.', true);
    await vi.advanceTimersByTimeAsync(FAILURES_MAX * RENDER_TIMEOUT_MS);
    missing.mouth.speak(2, 'Two.', true);
    missing.mouth.speak(3, 'Three.', true);
    await vi.advanceTimersByTimeAsync(FAILURES_MAX * RENDER_TIMEOUT_MS);
    missing.mouth.speak(4, 'Four.', true);
    await settle();
    expect(missing.system.said).toContain('Four.');
    expect(missing.trace.at(-1)).toBe('4 completed');

    const failing = bench();
    failing.system.works = true;
    failing.system.how = 'no-voice';
    failing.mouth.configure({ voice: 'system', rate: 1 });
    failing.mouth.speak(1, 'One.', true);
    await settle();
    expect(failing.output.played).toBe(1);
    expect(failing.trace).toEqual(['begin One.', 'end One.', '1 completed']);
  });

  it('lets the oldest give way when too many wait', async () => {
    const { mouth, output, trace } = bench();
    output.how = 'wait';
    for (let utterance = 0; utterance <= QUEUE_MAX + 1; utterance++) mouth.speak(utterance, 'Word.', true);
    await settle();
    expect(trace.filter((line) => line.endsWith('interrupted'))).toEqual(['1 interrupted']);
  });

  it('speaks a prepared sentence without asking the worker again', async () => {
    const { mouth, workers, trace } = bench();
    mouth.prepare(['Lift it out. Put it down.']);
    await settle();
    const before = workers[0]?.asked.length;
    mouth.speak(1, 'Lift it out. Put it down.', true);
    await settle();
    expect(before).toBe(2);
    expect(workers[0]?.asked).toHaveLength(2);
    expect(trace.at(-1)).toBe('1 completed');
  });

  it('makes a new sound for a new rate', async () => {
    const { mouth, workers } = bench();
    mouth.speak(1, 'Word.', true);
    await settle();
    mouth.configure({ voice: 'embedded', rate: 0.8 });
    mouth.speak(2, 'Word.', true);
    await settle();
    expect(workers[0]?.asked.map((request) => request.rate)).toEqual([1, 0.8]);
  });
});

describe('embedded voice', () => {
  it('renders what is to be heard now before what may be needed next', async () => {
    const worker = new HandWorker(false);
    const voice = new EmbeddedVoice(() => worker);
    voice.prepare(['first ahead', 'second ahead'], 1);
    const now = voice.render('now', 1);
    worker.reply(1);
    worker.reply(2);
    await now;
    worker.reply(3);
    expect(worker.asked.map((request) => request.text)).toEqual(['first ahead', 'now', 'second ahead']);
  });

  it('replaces a worker that reports a fault and goes on with the rest', async () => {
    const workers: HandWorker[] = [];
    const voice = new EmbeddedVoice(() => {
      workers.push(new HandWorker(false));
      return workers[workers.length - 1] as HandWorker;
    });
    const lost = voice.render('lost', 1);
    const next = voice.render('next', 1);
    workers[0]?.fault(1);
    expect(await lost).toBeUndefined();
    workers[1]?.reply(2);
    expect((await next)?.samples.length).toBe(160);
    expect(workers[0]?.ended).toBe(true);
  });
});

describe('units', () => {
  it('are spoken as they are set: newton metres, or inch pounds', async () => {
    const { mouth, system } = bench();
    system.works = true;
    mouth.configure({ voice: 'system', rate: 1, units: 'metric' });
    mouth.speak(1, 'Tighten them to 0.35 N·m.', true);
    await settle();
    mouth.configure({ voice: 'system', rate: 1, units: 'imperial' });
    mouth.speak(2, 'Tighten them to 0.35 N·m.', true);
    await settle();
    // 0.35 N·m ÷ 0.1129848 = 3.1 lbf·in.
    expect(system.said).toEqual([
      'Tighten them to zero point three five newton metres.',
      'Tighten them to three point one inch pounds.',
    ]);
  });
});
