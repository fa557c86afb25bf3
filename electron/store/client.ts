/**
 * The record store: SQL tables derived from the logs. The logs are the truth; everything here can be thrown
 * away and made again from them. One bench keeps it in the user's data folder (PostgreSQL as WebAssembly);
 * a workshop of many benches points STEPCALLER_DATABASE_URL at a PostgreSQL server. Same schema, same SQL.
 */
import { readFileSync } from 'node:fs';
import { rm } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { PGlite, type PGliteOptions } from '@electric-sql/pglite';
import pg from 'pg';
import { err, ok, type Result } from '../core/base/result.ts';
import type { Fault } from '../disk/disk-fault.ts';
import type { DiskPort } from '../disk/disk-port.ts';
import { fault } from '../disk/fault-words.ts';
import { makeFolders } from '../disk/job-folder.ts';
import { type Lock, type ProcessPort, takeLock } from '../disk/lock.ts';
import { migrate } from './schema.ts';

/** A value of a statement; arrays go to `unnest`. */
export type SqlValue = string | number | boolean | null | readonly (string | number | boolean | null)[];

/** Runs statements. Rows come as plain objects; ask for `::float8` where a number is wanted. */
export interface SqlClient {
  query<R>(sql: string, values?: readonly SqlValue[]): Promise<readonly R[]>;
}

export interface Store extends SqlClient {
  readonly kind: 'embedded' | 'server';
  /** Everything in `work` or nothing; an exception in it rolls back and goes on. */
  transaction<T>(work: (client: SqlClient) => Promise<T>): Promise<T>;
  close(): Promise<void>;
}

/** Where the store is. `folder` is made if it is missing; `memory` is for tests. */
export type StorePlace =
  | { readonly kind: 'server'; readonly url: string }
  | {
      readonly kind: 'embedded';
      readonly folder: string;
      readonly disk: DiskPort;
      readonly processes: ProcessPort;
      readonly since: string;
      readonly token: string;
    }
  | { readonly kind: 'memory' };

/** Most connections a program opens to a server. */
const MAX_CONNECTIONS = 4;
const CONNECT_TIMEOUT_MS = 10_000;

function serverStore(pool: pg.Pool): Store {
  const clientOf = (connection: pg.Pool | pg.PoolClient): SqlClient => ({
    query: async <R>(sql: string, values: readonly SqlValue[] = []) =>
      (await connection.query(sql, values as unknown[])).rows as R[],
  });
  return {
    kind: 'server',
    ...clientOf(pool),
    transaction: async (work) => {
      const connection = await pool.connect();
      try {
        await connection.query('BEGIN');
        const value = await work(clientOf(connection));
        await connection.query('COMMIT');
        connection.release();
        return value;
      } catch (thrown) {
        // A connection that cannot even roll back is thrown away with the error that broke it.
        const broken = await connection.query('ROLLBACK').then(
          () => undefined,
          (error: unknown) => error as Error,
        );
        connection.release(broken);
        throw thrown;
      }
    },
    close: () => pool.end(),
  };
}

function embeddedStore(database: PGlite, lock: Lock | null): Store {
  const clientOf = (connection: Pick<PGlite, 'query'>): SqlClient => ({
    query: async <R>(sql: string, values: readonly SqlValue[] = []) =>
      (await connection.query<R>(sql, values as unknown[])).rows,
  });
  return {
    kind: 'embedded',
    ...clientOf(database),
    transaction: (work) => database.transaction((inside) => work(clientOf(inside as unknown as PGlite))),
    close: async () => {
      await database.close();
      await lock?.release();
    },
  };
}

/** The server and database of a URL, without user and password. */
function nameOf(url: string): string {
  try {
    const { host, pathname } = new URL(url);
    return `${host}${pathname}`;
  } catch {
    return 'the address given';
  }
}

function messageOf(thrown: unknown): string {
  return thrown instanceof Error ? thrown.message : String(thrown);
}

async function openServer(url: string): Promise<Result<Store, Fault>> {
  const unreachable = (thrown: unknown): Result<Store, Fault> =>
    err(fault('store/unreachable', { place: nameOf(url), why: messageOf(thrown) }));
  let pool: pg.Pool;
  try {
    pool = new pg.Pool({
      connectionString: url,
      max: MAX_CONNECTIONS,
      connectionTimeoutMillis: CONNECT_TIMEOUT_MS,
    });
  } catch (thrown) {
    return unreachable(thrown);
  }
  // An idle connection that the server drops must not end the program; the next query says so instead.
  pool.on('error', () => undefined);
  try {
    const store = serverStore(pool);
    const migrated = await migrate(store);
    if (migrated.ok) return ok(store);
    await pool.end();
    return migrated;
  } catch (thrown) {
    await pool.end();
    return unreachable(thrown);
  }
}

/**
 * The database's own files. It would read them with calls that do not reach into the archive of an installed
 * program, so they are read for it.
 */
async function programFiles(): Promise<PGliteOptions> {
  const folder = dirname(createRequire(import.meta.url).resolve('@electric-sql/pglite'));
  const file = (name: string): Uint8Array<ArrayBuffer> => new Uint8Array(readFileSync(join(folder, name)));
  const [pgliteWasmModule, initdbWasmModule] = await Promise.all([
    WebAssembly.compile(file('pglite.wasm')),
    WebAssembly.compile(file('initdb.wasm')),
  ]);
  return { pgliteWasmModule, initdbWasmModule, fsBundle: new Blob([file('pglite.data')]) };
}

async function openEmbedded(
  dataDir: string | null,
  lock: Lock | null,
  describe: string,
): Promise<Result<Store, Fault>> {
  let database: PGlite | null = null;
  try {
    // The store can be made again from the logs, so it need not wait for the disk at every statement.
    const files = await programFiles();
    database = await PGlite.create(dataDir === null ? files : { ...files, dataDir, relaxedDurability: true });
    const store = embeddedStore(database, lock);
    const migrated = await migrate(store);
    if (migrated.ok) return ok(store);
    await store.close();
    return migrated;
  } catch (thrown) {
    await database?.close().catch(() => undefined); // it failed already; the first reason is told
    await lock?.release();
    return err(fault('store/damaged', { place: describe, why: messageOf(thrown) }));
  }
}

/**
 * The folder of a program that was ended while it made or changed the database cannot be opened again. What was in
 * it comes from the logs, so it is thrown away and made anew, once; the lock is held all the while.
 */
async function openOrRemake(folder: string, lock: Lock): Promise<Result<Store, Fault>> {
  const kept: Lock = { ...lock, release: async () => undefined };
  const dataDir = `${folder}/postgres`;
  const first = await openEmbedded(dataDir, kept, folder);
  if (!first.ok && first.error.code === 'store/damaged') {
    await rm(dataDir, { recursive: true, force: true }).catch(() => undefined); // the second try tells
    return openEmbedded(dataDir, lock, folder);
  }
  if (!first.ok) {
    await lock.release();
    return first;
  }
  const store = first.value;
  return ok({
    ...store,
    close: async () => {
      await store.close();
      await lock.release();
    },
  });
}

/**
 * Opens the store and brings its schema up to date. Errors: `store/unreachable` (server), `store/damaged`
 * (also when made anew), `store/newer-version`, `store/in-use` (the folder is open in another program), those of the disk.
 */
export async function openStore(place: StorePlace): Promise<Result<Store, Fault>> {
  if (place.kind === 'server') return openServer(place.url);
  if (place.kind === 'memory') return openEmbedded(null, null, 'memory');
  const { disk, processes, folder, since, token } = place;
  try {
    await makeFolders(disk, folder);
  } catch (thrown) {
    return err(fault('store/no-folder', { folder, why: messageOf(thrown) }));
  }
  const lock = await takeLock(disk, folder, processes, { since, token });
  if (!lock.ok) {
    if (lock.error.code !== 'job/locked') return lock;
    return err(fault('store/in-use', { folder }));
  }
  return openOrRemake(folder, lock.value);
}
