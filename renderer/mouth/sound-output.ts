/** Plays rendered sounds through the loudspeaker, one at a time. */
import type { Sound } from './flite.ts';

export type PlayedHow = 'ended' | 'stopped' | 'no-sound';

/** The loudspeaker, as far as the mouth needs it. */
export interface SoundOutput {
  /** Plays to the end. Settles exactly once; `no-sound` where the system keeps the page silent. */
  play(sound: Sound): Promise<PlayedHow>;
  stop(): void;
  /** The context for short tones; `undefined` where it cannot sound now. */
  context(): AudioContext | undefined;
  close(): void;
}

/** How long the system may take to let the page sound. */
export const RESUME_TIMEOUT_MS = 500;
/** The end of a sound counts as missed this long after it was due. */
export const END_SLACK_MS = 1500;

/**
 * The loudspeaker by WebAudio. `onSuspended` is told when the system does not let the page sound before
 * somebody has touched it, and again when that is over; the first touch or key ends it.
 */
export function webAudioOutput(onSuspended: (suspended: boolean) => void): SoundOutput {
  let made: AudioContext | undefined;
  let stopCurrent: (() => void) | undefined;
  let suspended = false;

  const tellSuspended = (now: boolean): void => {
    if (now === suspended) return;
    suspended = now;
    onSuspended(now);
  };
  const wake = (): void => {
    void made?.resume().then(() => tellSuspended(false));
  };
  for (const event of ['pointerdown', 'keydown']) addEventListener(event, wake, { capture: true });

  const running = async (): Promise<AudioContext | undefined> => {
    made ??= new AudioContext({ latencyHint: 'interactive' });
    if (made.state !== 'running') {
      const late = new Promise((resolve) => setTimeout(resolve, RESUME_TIMEOUT_MS));
      await Promise.race([made.resume().catch(() => undefined), late]);
    }
    tellSuspended(made.state !== 'running');
    return made.state === 'running' ? made : undefined;
  };

  return {
    async play(sound) {
      if (sound.samples.length === 0) return 'ended';
      const context = await running();
      if (context === undefined) return 'no-sound';
      const buffer = context.createBuffer(1, sound.samples.length, sound.sampleRateHz);
      buffer.copyToChannel(sound.samples, 0);
      const source = context.createBufferSource();
      source.buffer = buffer;
      source.connect(context.destination);
      return new Promise((resolve) => {
        const settle = (how: PlayedHow): void => {
          clearTimeout(watch);
          source.onended = null;
          source.disconnect();
          stopCurrent = undefined;
          resolve(how);
        };
        const watch = setTimeout(
          () => settle(context.state === 'running' ? 'ended' : 'no-sound'),
          buffer.duration * 1000 + END_SLACK_MS,
        );
        source.onended = () => settle('ended');
        stopCurrent = () => {
          source.stop();
          settle('stopped');
        };
        source.start();
      });
    },
    stop() {
      stopCurrent?.();
    },
    context() {
      return made?.state === 'running' ? made : undefined;
    },
    close() {
      for (const event of ['pointerdown', 'keydown']) removeEventListener(event, wake, { capture: true });
      stopCurrent?.();
      void made?.close();
      made = undefined;
    },
  };
}
