/**
 * What must come off before what, as a picture: parts in rows by how many parts must be off before
 * them, an arrow from a part to the one that waits for it. Needs that follow from others are left out.
 */
import { useWords } from '../../words/words.ts';

export interface PartShown {
  readonly id: string;
  readonly name: string;
  readonly needs: readonly string[];
  readonly replaceable: boolean;
}

const BOX = { width: 128, height: 54, gapX: 14, gapY: 40 };
/** Letters that fit into one of the two lines of a box. */
const LINE_LENGTH = 15;

/** A name in at most two lines, broken between words; what does not fit ends in dots. */
export function twoLines(name: string): readonly string[] {
  const lines: string[] = [];
  for (const word of name.split(' ')) {
    const last = lines[lines.length - 1];
    if (last !== undefined && last.length + 1 + word.length <= LINE_LENGTH)
      lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  const cut = (line: string, more: boolean): string =>
    line.length > LINE_LENGTH || more ? `${line.slice(0, LINE_LENGTH - 1)}…` : line;
  return lines.slice(0, 2).map((line, i) => cut(line, i === 1 && lines.length > 2));
}

export interface Placed {
  readonly id: string;
  readonly name: string;
  readonly replaceable: boolean;
  readonly x: number;
  readonly y: number;
}

/** Row of each part: 0 without needs, otherwise one more than its deepest need. A cycle counts once. */
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

/** Places of all boxes; within a row ordered by the middle of what they wait for, to keep arrows short. */
export function place(parts: readonly PartShown[]): readonly Placed[] {
  const depth = depths(parts);
  const rows = new Map<number, PartShown[]>();
  for (const part of parts) {
    const row = Math.max(0, depth.get(part.id) ?? 0);
    rows.set(row, [...(rows.get(row) ?? []), part]);
  }
  const placed = new Map<string, Placed>();
  const widest = Math.max(1, ...[...rows.values()].map((row) => row.length));
  for (const row of [...rows.keys()].sort((a, b) => a - b)) {
    const list = (rows.get(row) ?? []).map((part) => {
      const xs = part.needs.flatMap((need) => placed.get(need)?.x ?? []);
      return { part, middle: xs.length === 0 ? 0 : xs.reduce((a, b) => a + b, 0) / xs.length };
    });
    list.sort((a, b) => a.middle - b.middle);
    const offset = ((widest - list.length) * (BOX.width + BOX.gapX)) / 2;
    list.forEach(({ part }, column) => {
      placed.set(part.id, {
        id: part.id,
        name: part.name,
        replaceable: part.replaceable,
        x: offset + column * (BOX.width + BOX.gapX),
        y: row * (BOX.height + BOX.gapY),
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
    <section className="scrolls" aria-label={w.desk.scrollPicture} tabIndex={0}>
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
          const x1 = a.x + BOX.width / 2;
          const y1 = a.y + BOX.height;
          const x2 = b.x + BOX.width / 2;
          const y2 = b.y;
          const bend = Math.max(24, (y2 - y1) / 2);
          return (
            <g key={`${from} ${to}`} className={to === chosen || from === chosen ? 'arrow near' : 'arrow'}>
              <path d={`M${x1} ${y1} C${x1} ${y1 + bend} ${x2} ${y2 - bend} ${x2} ${y2 - 7}`} />
              <path className="tip" d={`M${x2} ${y2} l-5 -9 h10 Z`} />
            </g>
          );
        })}
        {placed.map((one) => (
          <g
            key={one.id}
            className={`part ${one.id === chosen ? 'chosen' : ''} ${one.replaceable ? '' : 'fixed'}`}
          >
            <rect x={one.x} y={one.y} width={BOX.width} height={BOX.height} rx="3" />
            <text x={one.x + BOX.width / 2} textAnchor="middle">
              {twoLines(one.name).map((line, i, lines) => (
                <tspan
                  key={line}
                  x={one.x + BOX.width / 2}
                  y={one.y + BOX.height / 2 + 5 + (i - (lines.length - 1) / 2) * 19}
                >
                  {line}
                </tspan>
              ))}
            </text>
          </g>
        ))}
      </svg>
    </section>
  );
}
