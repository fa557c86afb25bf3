/**
 * The microphone: opens it, sends its samples to a port, tells when it is lost, suspended or back, and
 * frees everything. Knows nothing of recognition.
 */
import type { TroubleCode } from '../../electron/core/job/model.ts';
import { SAMPLE_RATE_HZ } from './decoder.ts';
import workletUrl from './microphone-worklet.js?url&no-inline';
import { messageOf } from './model-files.ts';

export type MicrophoneTrouble = Extract<
  TroubleCode,
  'no-microphone' | 'microphone-refused' | 'microphone-lost' | 'audio-suspended'
>;

export interface Microphone {
  readonly rateHz: number;
  /** The device's id in the list of devices; undefined where the browser does not tell. */
  readonly deviceId: string | undefined;
  /** Where the samples come out; belongs to whoever takes it. */
  readonly port: MessagePort;
  /** Asks the system once more to let the sound through; what becomes of it is told by `onTrouble`. */
  resume(): void;
  /** Ends tracks, worklet and context. Safe to call twice. */
  release(): Promise<void>;
}

export interface MicrophoneEvents {
  /** Trouble after the microphone was open: it has to be opened again, except for `audio-suspended`. */
  readonly onTrouble: (code: MicrophoneTrouble, over: boolean, detail: string) => void;
}

/** Rejects with a `MicrophoneFault`. */
export class MicrophoneFault extends Error {
  readonly code: MicrophoneTrouble;
  constructor(code: MicrophoneTrouble, detail: string) {
    super(detail);
    this.name = 'MicrophoneFault';
    this.code = code;
  }
}

/** Browser's error names to ours, in one place. */
const CODE_BY_ERROR: Readonly<Record<string, MicrophoneTrouble>> = {
  NotAllowedError: 'microphone-refused',
  SecurityError: 'microphone-refused',
  NotFoundError: 'no-microphone',
  OverconstrainedError: 'no-microphone',
  NotReadableError: 'microphone-lost',
  AbortError: 'microphone-lost',
};

/** What the microphone is asked for: echo cancellation, because the mouth speaks in the same room. */
const CONSTRAINTS: MediaStreamConstraints = {
  video: false,
  audio: { channelCount: 1, echoCancellation: true, noiseSuppression: false, autoGainControl: true },
};

/** Opens the default microphone. */
export async function openMicrophone(events: MicrophoneEvents): Promise<Microphone> {
  const stream = await askForStream();
  const track = stream.getAudioTracks()[0];
  if (track === undefined) throw new MicrophoneFault('no-microphone', 'the stream has no audio');
  let context: AudioContext | undefined;
  let node: AudioWorkletNode | undefined;
  let released = false;
  const release = async (): Promise<void> => {
    if (released) return;
    released = true;
    for (const one of stream.getTracks()) one.stop();
    node?.port.postMessage({ type: 'end' });
    node?.disconnect();
    if (context !== undefined && context.state !== 'closed') await context.close();
  };
  try {
    const joined = await join(stream);
    context = joined.context;
    node = joined.node;
    watch(track, joined.context, () => released, events);
    const channel = new MessageChannel();
    joined.node.port.postMessage({ type: 'port', port: channel.port1 }, [channel.port1]);
    const { deviceId } = track.getSettings();
    const resume = (): void => resumed(joined.context);
    return { rateHz: joined.context.sampleRate, deviceId, port: channel.port2, resume, release };
  } catch (error) {
    await release();
    if (error instanceof MicrophoneFault) throw error;
    throw new MicrophoneFault('microphone-lost', messageOf(error));
  }
}

async function askForStream(): Promise<MediaStream> {
  if (navigator.mediaDevices === undefined) {
    throw new MicrophoneFault('no-microphone', 'this page may not use a microphone (not a secure address)');
  }
  try {
    return await navigator.mediaDevices.getUserMedia(CONSTRAINTS);
  } catch (error) {
    const name = error instanceof DOMException ? error.name : '';
    throw new MicrophoneFault(CODE_BY_ERROR[name] ?? 'no-microphone', messageOf(error));
  }
}

/** Stream → worklet. Some browsers refuse to mix rates: then the context takes the microphone's own. */
async function join(stream: MediaStream): Promise<{ context: AudioContext; node: AudioWorkletNode }> {
  let context = new AudioContext({ sampleRate: SAMPLE_RATE_HZ });
  let source: MediaStreamAudioSourceNode;
  try {
    source = context.createMediaStreamSource(stream);
  } catch {
    // Not supported at this rate; the worker resamples.
    await context.close();
    context = new AudioContext();
    source = context.createMediaStreamSource(stream);
  }
  await context.audioWorklet.addModule(workletUrl);
  const node = new AudioWorkletNode(context, 'stepcaller-microphone', {
    numberOfInputs: 1,
    numberOfOutputs: 1,
    channelCount: 1,
    channelCountMode: 'explicit',
  });
  source.connect(node);
  // The node must be pulled by the context; it puts out silence.
  node.connect(context.destination);
  resumed(context);
  return { context, node };
}

function resumed(context: AudioContext): void {
  if (context.state === 'running' || context.state === 'closed') return;
  context.resume().catch(() => {
    // Not yet: `ear.ts` asks again.
  });
}

function watch(
  track: MediaStreamTrack,
  context: AudioContext,
  released: () => boolean,
  events: MicrophoneEvents,
): void {
  const lost = (detail: string): void => {
    if (!released()) events.onTrouble('microphone-lost', false, detail);
  };
  track.addEventListener('ended', () => lost('the microphone was unplugged or taken away'));
  track.addEventListener('mute', () => lost('the microphone gives no sound'));
  const tellState = (): void => {
    if (released() || context.state === 'closed') return;
    events.onTrouble('audio-suspended', context.state === 'running', `audio is ${context.state}`);
  };
  context.addEventListener('statechange', tellState);
  tellState();
}
