/**
 * Symbols drawn for this program after the published rules: the safety-alert symbol is a triangle with an
 * exclamation mark in the colours of its signal word; a warning sign is a yellow triangle with a black
 * border and a black drawing. A notice is about things, never about people: no alert symbol, no triangle.
 */
import type { ReactElement } from 'react';
import type { SignalWord } from '../../electron/core/product/model.ts';
import { useWords } from '../words/words.ts';

const TRIANGLE = 'M50 7 L96 89 Q97 92 94 92 L6 92 Q3 92 4 89 Z';

/** The safety-alert symbol of a signal word, or nothing for a notice. Decorative: the word stands beside it. */
export function AlertSymbol({ word }: { word: SignalWord }) {
  if (word === 'notice') return null;
  return (
    <svg className={`alert-symbol ${word}`} viewBox="0 0 100 96" aria-hidden="true" focusable="false">
      <path className="plate" d={TRIANGLE} />
      <path
        className="cut"
        d="M43.5 34 Q43.5 29 50 29 Q56.5 29 56.5 34 L53.8 63 Q53.5 66 50 66 Q46.5 66 46.2 63 Z"
      />
      <circle className="cut" cx="50" cy="76.5" r="6" />
    </svg>
  );
}

type Symbol = keyof ReturnType<typeof useWords>['symbol'];

/** Each drawing fits into the box 26…74 × 40…86, where a triangle is wide enough. */
const DRAWINGS: Record<Symbol, ReactElement> = {
  electric: <path d="M55 32 L37 63 L48 61 L42 78 L37 75 L41 89 L55 79 L49 79 L61 53 L50 56 L62 32 Z" />,
  'stored-energy': (
    <g>
      <path d="M26 60 H43 V66 H26 Z M57 60 H74 V66 H57 Z M42 46 H47 V82 H42 Z M53 46 H58 V82 H53 Z" />
      <path d="M66 44 l-6 10 h5 l-4 8 10 -11 h-5 l4 -7 Z" />
    </g>
  ),
  battery: (
    <g>
      <path d="M30 54 H70 V84 H30 Z M36 60 V78 H64 V60 Z" fillRule="evenodd" />
      <path d="M36 48 H44 V54 H36 Z M56 48 H64 V54 H56 Z M38 67 H46 V71 H38 Z M54 67 H57 V64 H60 V67 H63 V71 H60 V74 H57 V71 H54 Z" />
    </g>
  ),
  hot: (
    <g>
      <path d="M28 79 H72 V85 H28 Z" />
      <path
        d="M38 74 q-5 -6 0 -12 t0 -12 M50 74 q-5 -6 0 -12 t0 -16 M62 74 q-5 -6 0 -12 t0 -12"
        fill="none"
        strokeWidth="5"
      />
    </g>
  ),
  sharp: (
    <g>
      <path d="M27 84 L66 50 L73 57 L60 71 L46 76 Z" />
      <path d="M59 78 H74 V83 H53 Z" />
    </g>
  ),
  pinch: (
    <g>
      <path d="M28 46 H72 V52 H28 Z M28 80 H72 V86 H28 Z" />
      <path d="M46 53 H54 V58 H60 L50 66 L40 58 H46 Z M46 79 H54 V75 H60 L50 68 L40 75 H46 Z" />
    </g>
  ),
  chemical: (
    <g>
      <path d="M27 44 L45 37 L47 42 L29 49 Z M55 37 L73 44 L71 49 L53 42 Z" />
      <path d="M44 50 q-5 7 0 9 q5 -2 0 -9 Z M58 52 q-6 9 0 11 q6 -2 0 -11 Z" />
      <path d="M27 74 Q38 66 46 72 L54 69 Q60 68 58 73 L73 68 V85 H27 Z" />
    </g>
  ),
  pressure: (
    <g>
      <path d="M50 44 a20 20 0 1 1 -0.1 0 Z M50 50 a14 14 0 1 0 0.1 0 Z" fillRule="evenodd" />
      <path d="M48 65 L60 54 L63 57 L53 68 Z M46 84 H54 V90 H46 Z" />
    </g>
  ),
  esd: (
    <g>
      <path d="M30 84 Q33 64 44 58 L59 50 Q64 49 62 54 L52 61 L68 61 Q74 62 72 66 L54 72 L48 84 Z" />
      <path d="M27 40 L33 36 L73 84 L67 88 Z" className="gap" />
      <path d="M28.500 38.500 L32 36 L72 84.500 L68.500 87 Z" />
    </g>
  ),
  eye: (
    <g>
      <path d="M26 68 Q50 46 74 68 Q50 88 26 68 Z M33 68 Q50 81 67 68 Q50 54 33 68 Z" fillRule="evenodd" />
      <circle cx="50" cy="67.500" r="6.500" />
      <path d="M40 42 l4 9 M50 38 v10 M60 42 l-4 9" fill="none" strokeWidth="4" />
    </g>
  ),
  heavy: (
    <g>
      <path d="M38 62 H62 L70 86 H30 Z" />
      <path d="M50 44 a9 9 0 1 1 -0.1 0 Z M50 49 a4 4 0 1 0 0.1 0 Z" fillRule="evenodd" />
    </g>
  ),
  fragile: (
    <g>
      <path d="M37 40 H47 L51 48 L47 53 L52 60 L51 40 H63 Q64 60 53 63 V80 H62 V85 H38 V80 H47 V63 Q36 60 37 40 Z" />
    </g>
  ),
  general: (
    <g>
      <path d="M44 40 Q44 36 50 36 Q56 36 56 40 L53.500 66 Q53 69 50 69 Q47 69 46.500 66 Z" />
      <circle cx="50" cy="78.500" r="5.500" />
    </g>
  ),
};

function isSymbol(name: string): name is Symbol {
  return name in DRAWINGS;
}

/**
 * The drawing of what can hurt or be damaged, named for screen readers. `word` decides the frame: a
 * warning triangle for people, a plain square for things.
 */
export function HazardSymbol({ symbol, word }: { symbol: string; word: SignalWord }) {
  const w = useWords();
  const known: Symbol = isSymbol(symbol) ? symbol : 'general';
  const things = word === 'notice';
  return (
    <svg
      className={`hazard-symbol ${things ? 'things' : 'people'}`}
      viewBox="0 0 100 96"
      role="img"
      aria-label={w.symbol[known]}
      focusable="false"
    >
      {things ? (
        <rect className="frame" x="8" y="8" width="84" height="80" rx="4" />
      ) : (
        <path className="frame" d={TRIANGLE} />
      )}
      <g className="drawing" transform={things ? 'translate(-11 -30) scale(1.22)' : 'translate(0 -4)'}>
        {DRAWINGS[known]}
      </g>
    </svg>
  );
}
