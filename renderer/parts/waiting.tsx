/** Says that something is on its way; what takes longer than a second gets a bar, moving or, where it is known, filling. */
import { useEffect, useState } from 'react';
import { useWords } from '../words/words.ts';

/** What is answered sooner shows no bar: one that flashes up disturbs more than it tells. */
const BAR_AFTER_MS = 1000;

export function Waiting({ what, share }: { what?: string | undefined; share?: number | undefined }) {
  const w = useWords();
  const [long, setLong] = useState(false);
  useEffect(() => {
    const timer = setTimeout(() => setLong(true), BAR_AFTER_MS);
    return () => clearTimeout(timer);
  }, []);
  const text = what ?? w.app.loading;
  return (
    <div className="loading">
      <p>{text}</p>
      {long ? <progress aria-label={text} value={share} /> : null}
    </div>
  );
}
