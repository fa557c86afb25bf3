/** Disk full, folder not writable…: what is wrong, what to do, and the host's own words with the place. */
import { useCallback, useState } from 'react';
import type { Push } from '../../electron/ipc/contract.ts';
import { usePush } from '../host.tsx';
import { useWords } from '../words/words.ts';

type Told = Extract<Push, { type: 'host-trouble' }>;

/** The last trouble that the host told of while the component is shown, or null. */
export function useHostTrouble(): readonly [told: Told | null, forget: () => void] {
  const [told, setTold] = useState<Told | null>(null);
  usePush(useCallback((push: Push) => push.type === 'host-trouble' && setTold(push), []));
  return [told, useCallback(() => setTold(null), [])];
}

/** Shown whatever screen but the bench is open; the bench shows its troubles itself. */
export function HostTrouble() {
  const w = useWords();
  const [told, forget] = useHostTrouble();
  if (told === null) return null;
  return (
    <div className="trouble" role="alert">
      <div>
        <strong>{w.trouble[told.code].what}</strong>
        <p>{w.trouble[told.code].mend}</p>
        {told.message === '' ? null : <p className="trouble-detail">{told.message}</p>}
      </div>
      <button type="button" className="button" onClick={forget}>
        {w.app.dismiss}
      </button>
    </div>
  );
}
