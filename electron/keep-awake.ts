/**
 * Keeps the machine from going to sleep while a job is open: hands are busy, nobody touches a key, and the ear
 * and the mouth must stay. The screen may go dark; nothing needs it.
 */
import type { Push } from './ipc/contract.ts';

/** What Electron's `powerSaveBlocker` offers. */
export interface SleepBlocker {
  start(kind: 'prevent-app-suspension'): number;
  stop(id: number): unknown;
}

/** Follows the host's pushes from now on; gives the function that lets go. */
export function keepAwake(
  host: { onPush(listener: (push: Push) => void): () => void },
  blocker: SleepBlocker,
): () => void {
  let held: number | undefined;
  const hold = (open: boolean): void => {
    if (open && held === undefined) held = blocker.start('prevent-app-suspension');
    if (open || held === undefined) return;
    blocker.stop(held);
    held = undefined;
  };
  const end = host.onPush((push) => {
    if (push.type === 'view') hold(push.view !== null && push.view.outcome === null);
  });
  return () => {
    end();
    hold(false);
  };
}
