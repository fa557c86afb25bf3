/** Figures in rows: the first cell of a row names it, the others are numbers but for columns of words. */

export interface TableData {
  readonly head: readonly string[];
  readonly rows: readonly (readonly string[])[];
}

export function Table({
  head,
  rows,
  caption,
  words = [0],
}: TableData & {
  readonly caption?: string;
  /** Columns of words, by index: they wrap and start at the left. */
  readonly words?: readonly number[];
}) {
  const kind = (column: number): string => (words.includes(column) ? '' : 'number');
  return (
    // A wide table is scrolled by keyboard too. A group, because many of them would be too many landmarks.
    // biome-ignore lint/a11y/useSemanticElements: a fieldset is for controls.
    <div
      className="scrolls figures-table"
      role="group"
      // biome-ignore lint/a11y/noNoninteractiveTabindex: it scrolls.
      tabIndex={0}
      aria-label={caption ?? head.join(', ')}
    >
      <table>
        <thead>
          <tr>
            {head.map((cell, i) => (
              <th scope="col" key={cell} className={kind(i)}>
                {cell}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row, n) => (
            // biome-ignore lint/suspicious/noArrayIndexKey: rows come in the order of the review.
            <tr key={n}>
              {row.map((cell, i) =>
                i === 0 ? (
                  <th scope="row" key={head[i]}>
                    {cell}
                  </th>
                ) : (
                  <td key={head[i]} className={kind(i)}>
                    {cell}
                  </td>
                ),
              )}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
