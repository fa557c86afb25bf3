/** The two kinds of store for the tests: embedded always, the server where an address is given. */
import pg from 'pg';
import { openStore, type Store } from '../../electron/store/client.ts';

export const SERVER_URL = process.env.STEPCALLER_TEST_DATABASE_URL;
/** On the build machine the server must be there: a test that is left out holds nothing. */
export const SERVER_MISSING = SERVER_URL === undefined && process.env.STEPCALLER_CI === '1';

let made = 0;
const databases: string[] = [];

async function asAdmin(statement: string): Promise<void> {
  const client = new pg.Client({ connectionString: SERVER_URL });
  await client.connect();
  await client.query(statement);
  await client.end();
}

/** Address of a new empty database on the test server. */
export async function newDatabase(): Promise<string> {
  made += 1;
  const name = `stepcaller_test_${process.pid}_${made}`;
  await asAdmin(`CREATE DATABASE ${name}`);
  databases.push(name);
  const url = new URL(SERVER_URL ?? '');
  url.pathname = `/${name}`;
  return url.toString();
}

/** Drops the databases made here. */
export async function dropDatabases(): Promise<void> {
  for (const name of databases.splice(0)) await asAdmin(`DROP DATABASE ${name} WITH (FORCE)`);
}

export interface StoreKind {
  readonly name: string;
  readonly open: () => Promise<Store>;
}

async function must(place: Parameters<typeof openStore>[0]): Promise<Store> {
  const opened = await openStore(place);
  if (!opened.ok) throw new Error(`${opened.error.code}: ${opened.error.message}`);
  return opened.value;
}

export const openServer = (url: string): Promise<Store> => must({ kind: 'server', url });

export const STORE_KINDS: readonly StoreKind[] = [
  { name: 'embedded', open: () => must({ kind: 'memory' }) },
  ...(SERVER_URL === undefined
    ? []
    : [{ name: 'server', open: async () => must({ kind: 'server', url: await newDatabase() }) }]),
];
