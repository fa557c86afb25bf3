/** Microphone level as a row of cells, with the noise around marked. Levels in dB below full scale. */
import { useWords } from '../words/words.ts';

export interface Level {
  readonly dbfs: number;
  readonly noiseDbfs: number;
  readonly clipping: boolean;
  readonly speech: boolean;
}

const CELLS = 24;
const FLOOR_DBFS = -66;

/** How many of the cells a level fills. */
export function cellsLit(dbfs: number): number {
  const share = (dbfs - FLOOR_DBFS) / -FLOOR_DBFS;
  return Math.round(Math.min(1, Math.max(0, share)) * CELLS);
}

export function Meter({ level }: { level: Level | null }) {
  const w = useWords();
  const lit = level === null ? 0 : cellsLit(level.dbfs);
  const noise = level === null ? -1 : cellsLit(level.noiseDbfs);
  return (
    // biome-ignore lint/a11y/useSemanticElements: a meter element cannot hold the drawn cells.
    <div
      className={`meter ${level?.clipping === true ? 'clipping' : ''}`}
      role="meter"
      aria-label={w.mic.meter}
      aria-valuemin={FLOOR_DBFS}
      aria-valuemax={0}
      aria-valuenow={level === null ? FLOOR_DBFS : Math.round(Math.max(FLOOR_DBFS, Math.min(0, level.dbfs)))}
      aria-valuetext={level === null ? w.mic.notChecked : w.mic.db(level.dbfs)}
    >
      {Array.from({ length: CELLS }, (_, i) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: the cells never change places.
        <i key={i} className={`${i < lit ? 'on' : ''} ${i === noise ? 'noise' : ''}`} />
      ))}
    </div>
  );
}
