/** What the screen shows of the sound: its level, ten times a second. Pure. */
import type { FromEar } from '../../electron/ipc/contract.ts';
import type { Endpoint } from './endpointer.ts';

const EVERY_FRAMES = 10;

export interface LevelMeter {
  /** The next frame; a message on every tenth, which says whether any frame since the last was clipped. */
  frame(point: Endpoint, clipping: boolean): FromEar | undefined;
}

export function createLevelMeter(): LevelMeter {
  let frames = 0;
  let clipped = false;
  return {
    frame: ({ levelDbfs, noiseDbfs, speech }, clipping) => {
      frames += 1;
      clipped ||= clipping;
      if (frames % EVERY_FRAMES !== 0) return undefined;
      const message: FromEar = { type: 'level', dbfs: levelDbfs, noiseDbfs, clipping: clipped, speech };
      clipped = false;
      return message;
    },
  };
}
