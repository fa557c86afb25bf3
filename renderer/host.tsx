/**
 * How the pages reach the host. `window.stepcaller` is put there by the preload script, or by the
 * browser-mode client; a test passes its own. No exception leaves this file: a request that fails in
 * transport becomes a refusal like any other.
 */
import { createContext, type ReactNode, useCallback, useContext, useEffect, useMemo, useState } from 'react';
import type { Bridge, Channel, Push, Refusal, Requests } from '../electron/ipc/contract.ts';

declare global {
  interface Window {
    stepcaller?: Bridge;
  }
}

/** Code of the refusal made here when the host does not answer at all. */
export const NO_HOST = 'page/no-host';

export interface Host {
  ask<C extends Channel>(
    channel: C,
    argument: Requests[C][0],
  ): Promise<{ ok: true; value: Requests[C][1] } | { ok: false; error: Refusal }>;
  onPush(listener: (push: Push) => void): () => void;
}

/** A bridge whose transport failures are refusals. */
export function hostFrom(bridge: Bridge): Host {
  return {
    ask: async (channel, argument) => {
      try {
        return await bridge.ask(channel, argument);
      } catch {
        // The reason is of no use to a technician: whatever broke, the host is out of reach.
        return { ok: false, error: { code: NO_HOST, message: '', mend: '' } };
      }
    },
    onPush: (listener) => bridge.onPush(listener),
  };
}

const HostContext = createContext<Host | null>(null);

export function HostProvider({ bridge, children }: { bridge: Bridge; children: ReactNode }) {
  const host = useMemo(() => hostFrom(bridge), [bridge]);
  return <HostContext.Provider value={host}>{children}</HostContext.Provider>;
}

/** The host; must be used under `HostProvider`. */
export function useHost(): Host {
  const host = useContext(HostContext);
  if (host === null) throw new Error('assertion failed: a screen outside HostProvider');
  return host;
}

export type Asked<T> =
  | { readonly state: 'asking' }
  | { readonly state: 'answered'; readonly value: T }
  | { readonly state: 'refused'; readonly error: Refusal };

/**
 * The answer of the host to one request, asked again whenever the argument changes (compared as JSON) or
 * `again` is called. An older answer that arrives late is dropped.
 */
export function useAnswer<C extends Channel>(
  channel: C,
  argument: Requests[C][0],
): Asked<Requests[C][1]> & { readonly again: () => void } {
  const host = useHost();
  const [asked, setAsked] = useState<Asked<Requests[C][1]>>({ state: 'asking' });
  const [round, setRound] = useState(0);
  const key = JSON.stringify(argument);
  // biome-ignore lint/correctness/useExhaustiveDependencies: `round` asks again; `key` stands for `argument`.
  useEffect(() => {
    let current = true;
    void host.ask(channel, JSON.parse(key) as Requests[C][0]).then((answer) => {
      if (!current) return;
      setAsked(
        answer.ok ? { state: 'answered', value: answer.value } : { state: 'refused', error: answer.error },
      );
    });
    return () => {
      current = false;
    };
  }, [host, channel, key, round]);
  const again = useCallback(() => setRound((n) => n + 1), []);
  return { ...asked, again };
}

/** Calls `listener` with everything the host pushes, while the component is shown. */
export function usePush(listener: (push: Push) => void): void {
  const host = useHost();
  useEffect(() => host.onPush(listener), [host, listener]);
}
