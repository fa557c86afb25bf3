/** The bridge of browser mode with a connection that is moved by hand. */
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { connectBrowserBridge, takeKey } from '../../renderer/bridge-browser.ts';

class HandSocket {
  static readonly all: HandSocket[] = [];
  readyState = 0;
  sent: string[] = [];
  onopen: (() => void) | null = null;
  onmessage: ((event: { data: string }) => void) | null = null;
  onclose: ((event: { code: number }) => void) | null = null;
  constructor(readonly address: string) {
    HandSocket.all.push(this);
  }
  send(text: string): void {
    this.sent.push(text);
  }
  open(): void {
    this.readyState = 1;
    this.onopen?.();
  }
  answer(id: number, value: unknown): void {
    this.onmessage?.({ data: JSON.stringify({ id, answer: { ok: true, value } }) });
  }
  drop(code = 1006): void {
    this.readyState = 3;
    this.onclose?.({ code });
  }
  close(): void {
    this.drop(1000);
  }
}

const states: string[] = [];
function connect() {
  return connectBrowserBridge(
    'ws://bench/bridge',
    (state) => states.push(state),
    (address) => new HandSocket(address) as unknown as WebSocket,
  );
}
const last = (): HandSocket => HandSocket.all[HandSocket.all.length - 1] as HandSocket;

beforeEach(() => {
  vi.useFakeTimers();
  HandSocket.all.length = 0;
  states.length = 0;
});
afterEach(() => {
  vi.useRealTimers();
});

describe('bridge of the browser', () => {
  it('asks when the connection is there, also what was asked before', async () => {
    const bridge = connect();
    const early = bridge.ask('app.info', null);
    expect(last().sent).toEqual([]);
    last().open();
    expect(last().sent).toEqual(['{"id":1,"channel":"app.info","argument":null}']);
    last().answer(1, 'here');
    expect(await early).toEqual({ ok: true, value: 'here' });
  });

  it('tells pushes to every listener until it leaves', () => {
    const bridge = connect();
    last().open();
    const heard: unknown[] = [];
    const leave = bridge.onPush((push) => heard.push(push));
    last().onmessage?.({ data: '{"push":{"type":"products-changed"}}' });
    leave();
    last().onmessage?.({ data: '{"push":{"type":"products-changed"}}' });
    expect(heard).toEqual([{ type: 'products-changed' }]);
  });

  it('connects again by itself, slower each time, and never sends a question twice', async () => {
    const bridge = connect();
    last().open();
    const lost = bridge.ask('job.leave', null);
    last().drop();
    expect(await lost).toMatchObject({ ok: false, error: { code: 'bridge/lost' } });
    await vi.advanceTimersByTimeAsync(250);
    expect(HandSocket.all).toHaveLength(2);
    last().drop();
    await vi.advanceTimersByTimeAsync(499);
    expect(HandSocket.all).toHaveLength(2);
    await vi.advanceTimersByTimeAsync(1);
    expect(HandSocket.all).toHaveLength(3);
    last().open();
    expect(last().sent).toEqual([]);
    expect(states).toEqual(['open', 'lost', 'lost', 'open']);
  });

  it('stays silent once another window has taken the bench', async () => {
    const bridge = connect();
    last().open();
    const open = bridge.ask('job.view', null);
    last().drop(4001);
    expect(await open).toMatchObject({ ok: false });
    await vi.advanceTimersByTimeAsync(60_000);
    expect(HandSocket.all).toHaveLength(1);
    expect(await bridge.ask('app.info', null)).toMatchObject({
      ok: false,
      error: { code: 'bridge/taken-over' },
    });
    expect(states.at(-1)).toBe('taken-over');
  });

  it('gives up an answer that does not come, and refuses when too much waits', async () => {
    const bridge = connect();
    const waiting = Array.from({ length: 64 }, () => bridge.ask('app.info', null));
    expect(await bridge.ask('app.info', null)).toMatchObject({ ok: false, error: { code: 'bridge/lost' } });
    await vi.advanceTimersByTimeAsync(30_000);
    expect((await Promise.all(waiting)).every((answer) => !answer.ok)).toBe(true);
  });

  it('waits for a review as long as its progress is told, and for nothing else', async () => {
    const bridge = connect();
    last().open();
    const settled: string[] = [];
    const review = bridge.ask('review.summary', { product: null });
    void review.then(() => settled.push('review'));
    void bridge.ask('app.info', null).then(() => settled.push('info'));
    const told = JSON.stringify({
      push: { type: 'review-progress', progress: { stage: 'reading', done: 1, total: 9 } },
    });
    for (let s = 0; s < 120; s += 1) {
      await vi.advanceTimersByTimeAsync(1000);
      last().onmessage?.({ data: told });
    }
    expect(settled).toEqual(['info']);
    last().answer(1, 'the review');
    expect(await review).toEqual({ ok: true, value: 'the review' });
    const silent = bridge.ask('review.summary', { product: null });
    await vi.advanceTimersByTimeAsync(30_000);
    expect(await silent).toMatchObject({ ok: false, error: { code: 'bridge/lost' } });
  });
});

describe('the key of the bridge', () => {
  it('comes behind the first address, is kept for later pages and leaves the address', () => {
    const kept = new Map<string, string>();
    const addresses: string[] = [];
    const pageAt = (hash: string) =>
      ({
        location: { hash, pathname: '/' },
        history: { replaceState: (_state: unknown, _title: string, to: string) => addresses.push(to) },
        localStorage: {
          getItem: (name: string) => kept.get(name) ?? null,
          setItem: (name: string, value: string) => kept.set(name, value),
        },
      }) as unknown as Window;
    expect(takeKey(pageAt(''))).toBe('');
    expect(takeKey(pageAt('#first'))).toBe('first');
    expect(takeKey(pageAt(''))).toBe('first');
    expect(takeKey(pageAt('#second'))).toBe('second');
    expect(addresses).toEqual(['/', '/']);
  });
});
