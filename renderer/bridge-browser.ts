/**
 * The bridge of browser mode: the same two functions that Electron's preload offers, over a WebSocket to
 * the program on this machine. Connects again by itself when the connection is lost; a page that another
 * window has replaced stays silent, so that a step is never answered twice.
 */
import type { LanguageTable } from '../electron/core/base/language-table.ts';
import type { Answer, Bridge, Channel, Push, Requests } from '../electron/ipc/contract.ts';

const CLOSE_TAKEN_OVER = 4001;
const RETRY_MS_MIN = 250;
const RETRY_MS_MAX = 4000;
const ANSWER_TIMEOUT_MS = 30_000;
const WAITING_MAX = 64;

type Reply = Answer<unknown>;
export type BridgeState = 'connecting' | 'open' | 'lost' | 'taken-over';

/** The page has the words for it. */
function refused(code: keyof LanguageTable['page']['bridge']): Reply {
  return { ok: false, error: { code, message: '', mend: '' } };
}
const LOST = refused('bridge/lost');
const TAKEN_OVER = refused('bridge/taken-over');

interface Question {
  readonly channel: Channel;
  readonly text: string;
  sent: boolean;
  /** Waits the whole time again: the program has told that it is at work on the answer. */
  readonly goOnWaiting: () => void;
  readonly settle: (reply: Reply) => void;
}

/** What the bridge needs of a WebSocket; the real one fits. */
export type SocketMaker = (address: string) => WebSocket;

/**
 * Connects to the program that served this page. `onState` is told of every change of the connection.
 * Questions asked while it is lost wait for the next connection, at most `WAITING_MAX` of them and
 * `ANSWER_TIMEOUT_MS` each; then they are refused in words. A review may take longer, while its progress is told.
 */
export function connectBrowserBridge(
  address: string,
  onState: (state: BridgeState) => void = () => undefined,
  newSocket: SocketMaker,
): Bridge & { close(): void } {
  const listeners = new Set<(push: Push) => void>();
  const open = new Map<number, Question>();
  let socket: WebSocket | undefined;
  let state: BridgeState = 'connecting';
  let lastId = 0;
  let retryMs = RETRY_MS_MIN;
  let ended = false;

  const become = (next: BridgeState): void => {
    state = next;
    onState(next);
  };
  const settle = (id: number, reply: Reply): void => {
    const question = open.get(id);
    open.delete(id);
    question?.settle(reply);
  };
  const send = (): void => {
    for (const question of open.values()) {
      if (question.sent || socket?.readyState !== 1) continue;
      question.sent = true;
      socket.send(question.text);
    }
  };
  const receive = (text: string): void => {
    const message = JSON.parse(text) as { id?: number; answer?: Reply; push?: Push };
    if (message.push !== undefined) {
      if (message.push.type === 'review-progress')
        for (const question of open.values())
          if (question.sent && question.channel.startsWith('review.')) question.goOnWaiting();
      for (const listener of listeners) listener(message.push);
    } else if (message.id !== undefined && message.answer !== undefined) settle(message.id, message.answer);
  };
  const connect = (): void => {
    socket = newSocket(address);
    socket.onopen = () => {
      retryMs = RETRY_MS_MIN;
      become('open');
      send();
    };
    socket.onmessage = (event) => receive(String(event.data));
    socket.onclose = (event) => {
      // What was sent may have happened or not: it is never sent twice, the page asks for the view again.
      for (const [id, question] of open) if (question.sent) settle(id, LOST);
      if (ended) return;
      if (event.code === CLOSE_TAKEN_OVER) {
        become('taken-over');
        for (const id of open.keys()) settle(id, TAKEN_OVER);
        return;
      }
      become('lost');
      setTimeout(connect, retryMs);
      retryMs = Math.min(RETRY_MS_MAX, retryMs * 2);
    };
  };
  connect();

  return {
    ask<C extends Channel>(channel: C, argument: Requests[C][0]): Promise<Answer<Requests[C][1]>> {
      if (state === 'taken-over') return Promise.resolve(TAKEN_OVER as Answer<Requests[C][1]>);
      if (open.size >= WAITING_MAX) return Promise.resolve(LOST as Answer<Requests[C][1]>);
      lastId += 1;
      const id = lastId;
      return new Promise((resolve) => {
        const wait = () => setTimeout(() => settle(id, LOST), ANSWER_TIMEOUT_MS);
        let timer = wait();
        open.set(id, {
          channel,
          goOnWaiting: () => {
            clearTimeout(timer);
            timer = wait();
          },
          text: JSON.stringify({ id, channel, argument }),
          sent: false,
          settle: (reply) => {
            clearTimeout(timer);
            resolve(reply as Answer<Requests[C][1]>);
          },
        });
        send();
      });
    },
    onPush(listener) {
      listeners.add(listener);
      return () => {
        listeners.delete(listener);
      };
    },
    close() {
      ended = true;
      socket?.close();
    },
  };
}

declare global {
  interface Window {
    /** Put there by Electron's preload; missing in browser mode until `bridge()` is called. */
    stepcaller?: Bridge;
  }
}

let made: Bridge | undefined;

const PROTOCOL = 'stepcaller';
const KEY_PLACE = 'stepcaller-key';

/**
 * The key of the bridge: it comes once, behind the `#` of the first address, and is kept where only this origin can
 * read it. Empty where there is none; then the program refuses the bridge.
 */
export function takeKey(page: Pick<Window, 'location' | 'history' | 'localStorage'>): string {
  const given = page.location.hash.slice(1);
  if (given !== '') {
    page.localStorage.setItem(KEY_PLACE, given);
    page.history.replaceState(null, '', page.location.pathname);
  }
  return page.localStorage.getItem(KEY_PLACE) ?? '';
}

/** The bridge of this page, whichever way the program runs. */
export function bridge(onState?: (state: BridgeState) => void): Bridge {
  if (window.stepcaller !== undefined) return window.stepcaller;
  if (made === undefined) {
    const protocols = [PROTOCOL, takeKey(window)].filter((one) => one !== '');
    const address = `${location.origin.replace(/^http/, 'ws')}/bridge`;
    made = connectBrowserBridge(address, onState, (url) => new WebSocket(url, protocols));
  }
  return made;
}

/** Origin of the ears page: `app://ears` in Electron, another port of this machine in browser mode. */
export function earsOrigin(): string {
  const named = document.querySelector('meta[name="ears-origin"]')?.getAttribute('content');
  return named ?? 'app://ears';
}
