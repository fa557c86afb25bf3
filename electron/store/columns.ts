/**
 * Rows as columns: a batch goes to the server as one array a column and comes apart there with `unnest`, which
 * takes one round trip however many rows there are and runs the same on both kinds of store.
 */
import type { SqlClient, SqlValue } from './client.ts';

/** Name and PostgreSQL type of each column. */
export type Columns<R> = readonly (readonly [name: Extract<keyof R, string>, type: string])[];

/** Statement that inserts a batch; `tail` is what follows, such as ON CONFLICT. */
export function insertSql<R>(table: string, columns: Columns<R>, tail: string): string {
  const names = columns.map(([name]) => name).join(', ');
  const arrays = columns.map(([, type], index) => `$${index + 1}::${type}[]`).join(', ');
  // Sorted where rows can meet those of another program, so that two programs never wait for each other.
  return `INSERT INTO stepcaller.${table} (${names}) SELECT * FROM unnest(${arrays}) ${tail}`;
}

type Scalar = string | number | boolean | null;

/**
 * The text of a PostgreSQL array. Both drivers take it as it is; writing it here spares a general writer that
 * looks at every value twice.
 */
export function arrayText(values: readonly Scalar[]): string {
  const parts = values.map((value) => {
    if (value === null) return 'NULL';
    if (typeof value === 'string') return `"${value.replace(/[\\"]/g, '\\$&')}"`;
    return String(value);
  });
  return `{${parts.join(',')}}`;
}

/** Inserts rows; nothing to insert is nothing to do. */
export async function insertRows<R extends Readonly<Record<string, unknown>>, Back = never>(
  client: SqlClient,
  table: string,
  columns: Columns<R>,
  rows: readonly R[],
  tail = '',
): Promise<readonly Back[]> {
  if (rows.length === 0) return [];
  const values: SqlValue[] = columns.map(([name]) => arrayText(rows.map((row) => row[name] as Scalar)));
  return client.query<Back>(insertSql(table, columns, tail), values);
}
