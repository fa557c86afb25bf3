/**
 * The bridge of the bench page: two functions, nothing else. It runs sandboxed in the top frame only, may
 * use nothing but `electron`, and hands pages the payload without Electron's event object.
 */
import { contextBridge, ipcRenderer } from 'electron';
import type { Bridge, Push } from './ipc/contract.ts';

// Written out here: a sandboxed preload is one file and may not load another.
const ASK_CHANNEL = 'stepcaller:ask';
const PUSH_CHANNEL = 'stepcaller:push';

const bridge = {
  ask: (channel, argument) => ipcRenderer.invoke(ASK_CHANNEL, channel, argument),
  onPush: (listener) => {
    const forward = (_event: unknown, push: Push): void => listener(push);
    ipcRenderer.on(PUSH_CHANNEL, forward);
    return () => {
      ipcRenderer.removeListener(PUSH_CHANNEL, forward);
    };
  },
} satisfies Bridge;

contextBridge.exposeInMainWorld('stepcaller', bridge);
