import { describe, expect, it, vi } from 'vitest';
import { z } from 'zod';
import { ARGUMENT_CHARS_MAX, type ArgumentChecks, createGate, type Host } from '../../electron/ipc/bridge.ts';

function gateWith(ask: (channel: string, argument: unknown) => Promise<unknown>) {
  const faults: string[] = [];
  const checks = {
    'app.info': z.null(),
    'product.open': z.strictObject({ file: z.string().max(200) }),
  } as unknown as ArgumentChecks;
  const host = { ask, onPush: () => () => undefined, close: async () => undefined } as unknown as Host;
  return { gate: createGate(host, checks, (channel) => faults.push(channel)), faults };
}

describe('gate between pages and host', () => {
  it('passes a known channel with a good argument and gives the answer back', async () => {
    const ask = vi.fn(async () => ({ ok: true, value: 7 }));
    const { gate } = gateWith(ask);
    expect(await gate('product.open', { file: 'wt-3.yaml' })).toEqual({ ok: true, value: 7 });
    expect(ask).toHaveBeenCalledWith('product.open', { file: 'wt-3.yaml' });
    await gate('app.info', undefined);
    expect(ask).toHaveBeenLastCalledWith('app.info', null);
  });

  it('asks the host nothing for an unknown channel, whatever its type', async () => {
    const ask = vi.fn(async () => ({ ok: true, value: 7 }));
    const { gate } = gateWith(ask);
    for (const channel of [
      'no.such',
      '__proto__',
      'constructor',
      'toString',
      '',
      7,
      null,
      undefined,
      {},
      ['app.info'],
    ]) {
      expect(await gate(channel, null)).toMatchObject({
        ok: false,
        error: { code: 'bridge/unknown-request' },
      });
    }
    expect(ask).not.toHaveBeenCalled();
  });

  it('asks the host nothing for a bad argument', async () => {
    const ask = vi.fn(async () => ({ ok: true, value: 7 }));
    const { gate } = gateWith(ask);
    const cycle: Record<string, unknown> = {};
    cycle.self = cycle;
    for (const argument of [
      { file: 7 },
      { file: 'a', more: 1 },
      'wt-3.yaml',
      null,
      [],
      { file: 'a'.repeat(ARGUMENT_CHARS_MAX) },
      { file: 1n },
      cycle,
      () => 1,
    ]) {
      expect(await gate('product.open', argument)).toMatchObject({
        ok: false,
        error: { code: 'bridge/bad-argument' },
      });
    }
    expect(ask).not.toHaveBeenCalled();
  });

  it('never shows an exception’s text to a page, and reports it', async () => {
    const { gate, faults } = gateWith(async () => {
      throw new Error('secret path /home/x');
    });
    const answer = await gate('app.info', null);
    expect(JSON.stringify(answer)).not.toContain('secret');
    expect(answer).toMatchObject({ ok: false, error: { code: 'bridge/failed' } });
    expect(faults).toEqual(['app.info']);
  });
});
