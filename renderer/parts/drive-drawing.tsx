/** The recess or head that a tool has to fit, seen from above; the drive's name stands beside it. */
import type { DriveKind } from '../../electron/core/product/model.ts';

const hexagon = (radius: number): string =>
  `${Array.from({ length: 6 }, (_, i) => {
    const a = (Math.PI / 3) * i + Math.PI / 6;
    return `${i === 0 ? 'M' : 'L'}${(24 + radius * Math.cos(a)).toFixed(2)} ${(24 + radius * Math.sin(a)).toFixed(2)}`;
  }).join(' ')} Z`;

const lobes = Array.from({ length: 6 }, (_, i) => {
  const a = (Math.PI / 3) * i;
  return { x: 24 + 8.5 * Math.cos(a), y: 24 + 8.5 * Math.sin(a), key: i };
});

const RECESS: Record<DriveKind, React.ReactElement | null> = {
  phillips: <path className="recess" d="M21 10 H27 V21 H38 V27 H27 V38 H21 V27 H10 V21 H21 Z" />,
  pozidriv: (
    <g className="recess">
      <path d="M21 10 H27 V21 H38 V27 H27 V38 H21 V27 H10 V21 H21 Z" />
      <path d="M13 15 L15 13 L35 33 L33 35 Z M33 13 L35 15 L15 35 L13 33 Z" />
    </g>
  ),
  slotted: <path className="recess" d="M8 21 H40 V27 H8 Z" />,
  hex: <path className="recess" d={hexagon(12)} />,
  hexalobular: (
    <g className="recess">
      <circle cx="24" cy="24" r="9" />
      {lobes.map((l) => (
        <circle key={l.key} cx={l.x} cy={l.y} r="4" />
      ))}
    </g>
  ),
  'hex-head': null,
  none: null,
};

export function DriveDrawing({ kind }: { kind: DriveKind }) {
  return (
    <svg className="drive" viewBox="0 0 48 48" aria-hidden="true" focusable="false">
      {kind === 'hex-head' ? (
        <path className="head" d={hexagon(21)} />
      ) : (
        <circle className="head" cx="24" cy="24" r="21" />
      )}
      {RECESS[kind]}
    </svg>
  );
}
