/** The program's own mark: three rising ticks of a rule and the call that goes out from the last one. */
export function Mark() {
  return (
    <svg viewBox="0 0 60 42" aria-hidden="true" focusable="false" className="mark-drawing">
      <path d="M4 38 V27 M15 38 V18 M26 38 V9" stroke="currentColor" strokeWidth="6" fill="none" />
      <path d="M2 39.500 H30" stroke="currentColor" strokeWidth="3" fill="none" />
      <path
        d="M36 18 a10 10 0 0 1 0 14 M43 12 a18 18 0 0 1 0 26 M50 6 a26 26 0 0 1 0 34"
        className="mark-call"
        strokeWidth="4.500"
        fill="none"
        strokeLinecap="round"
      />
    </svg>
  );
}
