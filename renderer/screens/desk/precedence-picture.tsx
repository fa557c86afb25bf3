/**
 * What must come off before what, as a picture: parts in columns by how many parts must be off before
 * them, an arrow from a part to the one that waits for it. Needs that follow from others are left out.
 */
import { useWords } from '../../words/words.ts';

export interface PartShown {
  readonly id: string;
  readonly name: string;
  readonly needs: readonly string[];
  readonly replaceable: boolean;
}

const BOX = { width: 190, height: 48, gapX: 58, gapY: 16 };
const LABEL_LENGTH = 24;

export interface Placed {
  readonly id: string;
  readonly name: string;
  readonly replaceable: boolean;
  readonly x: number;
  readonly y: number;
}

/** Column of each part: 0 without needs, otherwise one more than its deepest need. A cycle counts once. */
export function depths(parts: readonly PartShown[]): ReadonlyMap<string, number> {
  const byId = new Map(parts.map((part) => [part.id, part]));
  const depth = new Map<string, number>();
  const visit = (id: string, path: ReadonlySet<string>): number => {
    const known = depth.get(id);
    if (known !== undefined) return known;
    const part = byId.get(id);
    if (part === undefined || path.has(id)) return -1;
    const deeper = new Set([...path, id]);
    const value = 1 + Math.max(-1, ...part.needs.map((need) => visit(need, deeper)));
    depth.set(id, value);
    return value;
  };
  for (const part of parts) visit(part.id, new Set());
  return depth;
}

/** The needs that do not follow from other needs. */
export function directNeeds(parts: readonly PartShown[]): readonly { from: string; to: string }[] {
  const byId = new Map(parts.map((part) => [part.id, part]));
  const behind = (id: string, seen: Set<string>): Set<string> => {
    for (const need of byId.get(id)?.needs ?? [])
      if (!seen.has(need)) {
        seen.add(need);
        behind(need, seen);
      }
    return seen;
  };
  return parts.flatMap((part) =>
    part.needs
      .filter((need) => byId.has(need))
      .filter((need) => !part.needs.some((other) => other !== need && behind(other, new Set()).has(need)))
      .map((need) => ({ from: need, to: part.id })),
  );
}

/** Places of all boxes; within a column ordered by the middle of what they wait for, to keep arrows short. */
export function place(parts: readonly PartShown[]): readonly Placed[] {
  const depth = depths(parts);
  const columns = new Map<number, PartShown[]>();
  for (const part of parts) {
    const column = Math.max(0, depth.get(part.id) ?? 0);
    columns.set(column, [...(columns.get(column) ?? []), part]);
  }
  const placed = new Map<string, Placed>();
  const tallest = Math.max(1, ...[...columns.values()].map((column) => column.length));
  for (const column of [...columns.keys()].sort((a, b) => a - b)) {
    const list = (columns.get(column) ?? []).map((part) => {
      const ys = part.needs.flatMap((need) => placed.get(need)?.y ?? []);
      return { part, middle: ys.length === 0 ? 0 : ys.reduce((a, b) => a + b, 0) / ys.length };
    });
    list.sort((a, b) => a.middle - b.middle);
    const offset = ((tallest - list.length) * (BOX.height + BOX.gapY)) / 2;
    list.forEach(({ part }, row) => {
      placed.set(part.id, {
        id: part.id,
        name: part.name,
        replaceable: part.replaceable,
        x: column * (BOX.width + BOX.gapX),
        y: offset + row * (BOX.height + BOX.gapY),
      });
    });
  }
  return [...placed.values()];
}

export function PrecedencePicture({ parts, chosen }: { parts: readonly PartShown[]; chosen: string | null }) {
  const w = useWords();
  const placed = place(parts);
  const at = new Map(placed.map((one) => [one.id, one]));
  const arrows = directNeeds(parts);
  const width = Math.max(BOX.width, ...placed.map((one) => one.x + BOX.width)) + 4;
  const height = Math.max(BOX.height, ...placed.map((one) => one.y + BOX.height)) + 4;
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: it has to be scrolled by key.
    <section className="scrolls" aria-label={w.desk.precedence} tabIndex={0}>
      <svg
        className="precedence"
        viewBox={`-2 -2 ${width} ${height}`}
        width={width}
        height={height}
        role="img"
        aria-label={w.desk.precedenceText(parts.length, arrows.length)}
      >
        {arrows.map(({ from, to }) => {
          const a = at.get(from);
          const b = at.get(to);
          if (a === undefined || b === undefined) return null;
          const x1 = a.x + BOX.width;
          const y1 = a.y + BOX.height / 2;
          const x2 = b.x;
          const y2 = b.y + BOX.height / 2;
          const bend = Math.min(46, (x2 - x1) / 2);
          return (
            <g key={`${from} ${to}`} className={to === chosen || from === chosen ? 'arrow near' : 'arrow'}>
              <path d={`M${x1} ${y1} C${x1 + bend} ${y1} ${x2 - bend} ${y2} ${x2 - 7} ${y2}`} />
              <path className="tip" d={`M${x2} ${y2} l-9 -5 v10 Z`} />
            </g>
          );
        })}
        {placed.map((one) => (
          <g
            key={one.id}
            className={`part ${one.id === chosen ? 'chosen' : ''} ${one.replaceable ? '' : 'fixed'}`}
          >
            <rect x={one.x} y={one.y} width={BOX.width} height={BOX.height} rx="3" />
            <text x={one.x + 12} y={one.y + BOX.height / 2 + 5}>
              {one.name.length > LABEL_LENGTH ? `${one.name.slice(0, LABEL_LENGTH - 1)}…` : one.name}
            </text>
          </g>
        ))}
      </svg>
    </section>
  );
}
