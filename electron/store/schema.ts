/**
 * Tables of the record store and how they came to be. A released migration is never changed; a new one is
 * added at the end. Statements must run on PostgreSQL 15 and later and on PGlite.
 */
import { err, ok, type Result } from '../core/base/result.ts';
import type { Fault } from '../disk/disk-fault.ts';
import { fault } from '../disk/fault-words.ts';
import type { SqlClient, Store } from './client.ts';

/** Number of the advisory lock that lets one program at a time change the schema or rebuild. */
export const SCHEMA_LOCK = 7_301_001;

interface Migration {
  readonly number: number;
  readonly name: string;
  readonly statements: readonly string[];
}

export const MIGRATIONS: readonly Migration[] = [
  {
    number: 1,
    name: 'jobs, events, step times and rejected logs',
    statements: [
      `CREATE TABLE stepcaller.plan_step (
        plan_sha256 text NOT NULL,
        step text NOT NULL,
        step_index integer NOT NULL,
        say text NOT NULL,
        stage text NOT NULL,
        part text,
        expected_s double precision NOT NULL,
        fastener_turns integer NOT NULL,
        PRIMARY KEY (plan_sha256, step)
      )`,
      `CREATE TABLE stepcaller.job (
        id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
        job text NOT NULL UNIQUE,
        job_sha256 text NOT NULL,
        plan_sha256 text NOT NULL,
        log_sha256 text NOT NULL,
        product text NOT NULL,
        product_name text NOT NULL,
        product_revision integer NOT NULL,
        product_sha256 text NOT NULL,
        replaced jsonb NOT NULL,
        job_type text NOT NULL,
        technician text NOT NULL,
        technicians jsonb NOT NULL,
        started text NOT NULL,
        started_s double precision NOT NULL,
        verdict text NOT NULL,
        outcome text,
        expected_s double precision NOT NULL,
        span_ms bigint NOT NULL,
        active_ms bigint NOT NULL,
        hands_ms bigint NOT NULL,
        reading_ms bigint NOT NULL,
        waiting_ms bigint NOT NULL,
        paused_ms bigint NOT NULL,
        away_ms bigint NOT NULL,
        unattributed_ms bigint NOT NULL,
        events integer NOT NULL,
        clock_jumps integer NOT NULL,
        fasteners_missing integer NOT NULL,
        readings_out integer NOT NULL,
        cautions jsonb NOT NULL
      )`,
      'CREATE INDEX job_by_type ON stepcaller.job (job_type, started_s)',
      `CREATE TABLE stepcaller.event (
        job_id bigint NOT NULL REFERENCES stepcaller.job (id) ON DELETE CASCADE,
        seq integer NOT NULL,
        mono_ms bigint NOT NULL,
        wall timestamptz NOT NULL,
        event text NOT NULL,
        step text,
        fields text NOT NULL,
        PRIMARY KEY (job_id, seq)
      )`,
      `CREATE TABLE stepcaller.step_time (
        job_id bigint NOT NULL REFERENCES stepcaller.job (id) ON DELETE CASCADE,
        step text NOT NULL,
        active_ms bigint NOT NULL,
        hands_ms bigint NOT NULL,
        reading_ms bigint NOT NULL,
        waiting_ms bigint NOT NULL,
        first_pass_ms bigint NOT NULL,
        visits integer NOT NULL,
        repeats integer NOT NULL,
        say_agains integer NOT NULL,
        helps integer NOT NULL,
        problems integer NOT NULL,
        undone integer NOT NULL,
        state text NOT NULL,
        PRIMARY KEY (job_id, step)
      )`,
      `CREATE TABLE stepcaller.rejected_log (
        bench text NOT NULL,
        folder text NOT NULL,
        log_sha256 text NOT NULL,
        code text NOT NULL,
        line integer,
        message text NOT NULL,
        seen_at timestamptz NOT NULL DEFAULT now(),
        PRIMARY KEY (bench, folder)
      )`,
    ],
  },
  {
    number: 2,
    name: 'step times by number of the step',
    // The per-step table of many jobs has to look at each of their steps: a number to group by and a mark for those
    // that count spare it the texts and the jobs.
    statements: [
      `CREATE TABLE stepcaller.step_kind (
        id integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
        product text NOT NULL,
        job_type text NOT NULL,
        step text NOT NULL,
        UNIQUE (job_type, step)
      )`,
      `INSERT INTO stepcaller.step_kind (product, job_type, step)
       SELECT DISTINCT ON (j.job_type, s.step) j.product, j.job_type, s.step
         FROM stepcaller.step_time s JOIN stepcaller.job j ON j.id = s.job_id`,
      `CREATE TABLE stepcaller.step_time_2 (
        job_id bigint NOT NULL,
        kind integer NOT NULL,
        counts boolean NOT NULL,
        visits integer NOT NULL,
        active_ms bigint NOT NULL,
        repeats integer NOT NULL,
        say_agains integer NOT NULL,
        problems integer NOT NULL,
        helps integer NOT NULL,
        undone integer NOT NULL,
        hands_ms bigint NOT NULL,
        reading_ms bigint NOT NULL,
        waiting_ms bigint NOT NULL,
        first_pass_ms bigint NOT NULL,
        state text NOT NULL
      )`,
      `INSERT INTO stepcaller.step_time_2
       SELECT s.job_id, k.id,
              j.verdict = 'complete' AND j.outcome IS NOT DISTINCT FROM 'completed' AND s.state = 'confirmed',
              s.visits, s.active_ms, s.repeats, s.say_agains, s.problems, s.helps, s.undone,
              s.hands_ms, s.reading_ms, s.waiting_ms, s.first_pass_ms, s.state
         FROM stepcaller.step_time s
         JOIN stepcaller.job j ON j.id = s.job_id
         JOIN stepcaller.step_kind k ON k.job_type = j.job_type AND k.step = s.step`,
      'DROP TABLE stepcaller.step_time',
      'ALTER TABLE stepcaller.step_time_2 RENAME TO step_time',
      `ALTER TABLE stepcaller.step_time
         ADD PRIMARY KEY (job_id, kind),
         ADD FOREIGN KEY (job_id) REFERENCES stepcaller.job (id) ON DELETE CASCADE,
         ADD FOREIGN KEY (kind) REFERENCES stepcaller.step_kind (id)`,
    ],
  },
];

/** Number of the newest migration this program knows. */
export const NEWEST = MIGRATIONS[MIGRATIONS.length - 1]?.number ?? 0;

async function apply(client: SqlClient, from: number): Promise<void> {
  for (const migration of MIGRATIONS.filter((one) => one.number > from)) {
    for (const statement of migration.statements) await client.query(statement);
    await client.query('INSERT INTO stepcaller.migration (number, name) VALUES ($1, $2)', [
      migration.number,
      migration.name,
    ]);
  }
}

/**
 * Brings the schema up to date, in one transaction and one program at a time. Error: `store/newer-version`
 * where a newer program has been here; then nothing is changed.
 */
export async function migrate(store: Store): Promise<Result<null, Fault>> {
  return store.transaction(async (client): Promise<Result<null, Fault>> => {
    await client.query('SELECT pg_advisory_xact_lock($1::bigint)', [SCHEMA_LOCK]);
    await client.query('CREATE SCHEMA IF NOT EXISTS stepcaller');
    await client.query(
      `CREATE TABLE IF NOT EXISTS stepcaller.migration (
        number integer PRIMARY KEY,
        name text NOT NULL,
        applied_at timestamptz NOT NULL DEFAULT now()
      )`,
    );
    const rows = await client.query<{ number: number }>(
      'SELECT coalesce(max(number), 0)::int AS number FROM stepcaller.migration',
    );
    const present = rows[0]?.number ?? 0;
    if (present > NEWEST) {
      return err(fault('store/newer-version', { present, known: NEWEST }));
    }
    await apply(client, present);
    return ok(null);
  });
}
