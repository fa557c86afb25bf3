/**
 * The key or pedal that is held while speaking. A pedal is a keyboard to the computer. The ear is told when
 * the key goes down and when it is let go; a window that loses the keys counts as letting go.
 */
import type { TalkKey } from '../electron/core/job/keys.ts';
import { isTyping } from './keys.ts';

/** What is needed of a window. */
export type KeyTarget = Pick<EventTarget, 'addEventListener' | 'removeEventListener'>;

export interface TalkKeyWatch {
  /** `none`: the ear listens all the time. */
  configure(key: TalkKey): void;
  stop(): void;
}

/** `tell` is called when what it would say changes. */
export function watchTalkKey(
  target: KeyTarget,
  tell: (state: { readonly on: boolean; readonly held: boolean }) => void,
): TalkKeyWatch {
  let wanted: TalkKey = 'none';
  let held = false;
  const hold = (now: boolean): void => {
    if (held === now) return;
    held = now;
    tell({ on: wanted !== 'none', held });
  };
  const isTalkKey = (event: Event): boolean => {
    const { key } = event as KeyboardEvent;
    const same = wanted !== 'none' && key.toLowerCase() === wanted.toLowerCase();
    return same && !(key.length === 1 && isTyping(event.target, key));
  };
  const down = (event: Event): void => {
    if (!isTalkKey(event)) return;
    event.preventDefault();
    hold(true);
  };
  const up = (event: Event): void => {
    if ((event as KeyboardEvent).key.toLowerCase() === wanted.toLowerCase()) hold(false);
  };
  const away = (): void => hold(false);
  target.addEventListener('keydown', down);
  target.addEventListener('keyup', up);
  target.addEventListener('blur', away);
  return {
    configure: (key) => {
      if (key === wanted) return;
      wanted = key;
      held = false;
      tell({ on: key !== 'none', held });
    },
    stop: () => {
      target.removeEventListener('keydown', down);
      target.removeEventListener('keyup', up);
      target.removeEventListener('blur', away);
    },
  };
}
