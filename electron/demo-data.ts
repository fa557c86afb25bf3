/**
 * `npm run demo-data`: three months of invented but plausible jobs of technicians A to E on the demo units,
 * played by the real job service and step engine with a simulated clock and written as real job folders.
 * What is true in them: people learn and level off; one step (the case gasket of the tester) is slow and often
 * asked for again until a revision of the product file mends its sentence; from the tenth week on the power supply
 * takes longer, because its capacitors discharge more slowly and its cover fits tighter.
 *
 *     npm run demo-data -- [--out DIR] [--seed N] [--jobs N]
 *
 * The same seed gives the same jobs; jobs that are there already are passed over. Writes are not synced one by
 * one: if the power fails, delete the folder and write it again.
 */
import { readdir, readFile } from 'node:fs/promises';
import { resolve } from 'node:path';
import process from 'node:process';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { type RandomSource, randomFromSeed } from './core/base/random.ts';
import { err, ok, type Result } from './core/base/result.ts';
import { sha256Hex } from './core/log/canonical-json.ts';
import { timestampFromEpochMs } from './core/log/timestamp.ts';
import type { Plan } from './core/plan/model.ts';
import { planJob } from './core/plan/plan-job.ts';
import { readProduct } from './core/product/read-product.ts';
import { type DemoJob, DemoTechnician, type Person } from './demo-technician.ts';
import type { Fault } from './disk/disk-fault.ts';
import type { DiskPort, OpenFile } from './disk/disk-port.ts';
import { createNodeDisk } from './disk/node-disk.ts';
import { createNodeProcesses } from './disk/node-processes.ts';
import { drive } from './drive.ts';
import { jobNameFrom, newJobFile } from './new-job.ts';
import { userFolders } from './user-folders.ts';
import { APP_VERSION } from './version.ts';

export const DEFAULT_JOBS = 260;
const OFFSET_MINUTES = 60;
const DAY_MS = 86_400_000;
/** A Monday. */
const FIRST_DAY_MS = Date.UTC(2026, 0, 5);
const WEEKS = 13;
/** Mark in the name of every demo job, so that they are never taken for real ones. */
const MARK = 'demo';

const PEOPLE: readonly Person[] = [
  {
    name: 'Technician A',
    first: 0.95,
    rate: 0.99,
    least: 0.9,
    straying: 0.03,
    hasty: 0,
    trainee: false,
    fromDay: 0,
  },
  {
    name: 'Technician B',
    first: 1.6,
    rate: 0.87,
    least: 0.95,
    straying: 0.04,
    hasty: 0.01,
    trainee: false,
    fromDay: 0,
  },
  {
    name: 'Technician C',
    first: 1.35,
    rate: 0.9,
    least: 0.9,
    straying: 0.05,
    hasty: 0.12,
    trainee: false,
    fromDay: 0,
  },
  {
    name: 'Technician D',
    first: 2.1,
    rate: 0.82,
    least: 1,
    straying: 0.08,
    hasty: 0,
    trainee: true,
    fromDay: 21,
  },
  {
    name: 'Technician E',
    first: 1.25,
    rate: 0.93,
    least: 1,
    straying: 0.04,
    hasty: 0,
    trainee: false,
    fromDay: 0,
  },
];

/** What is done on one kind of unit. */
interface Work {
  readonly file: string;
  readonly replace: readonly string[];
  readonly variants: Readonly<Record<string, string>>;
  readonly weight: number;
}

const WORKS: readonly Work[] = [
  { file: 'wt-3.yaml', replace: ['battery-pack'], variants: {}, weight: 5 },
  { file: 'bp-60.yaml', replace: ['fan'], variants: {}, weight: 3 },
  { file: 'dp-8.yaml', replace: ['diaphragm'], variants: { 'head-material': 'plastic' }, weight: 2 },
];

/** The step with the bad sentence, and the sentence it had until the seventh week. */
const SLOW_FILE = 'wt-3.yaml';
const SLOW_STEP = 'case-gasket-out';
const OLD_SENTENCE = 'Put in a new case gasket and make sure that it is right everywhere.';
const REVISED_DAY = 7 * 7;
const SHIFT_FILE = 'bp-60.yaml';
const SHIFT_DAY = 9 * 7;
/** The capacitors take longer to discharge, and what goes back after the fan fits tighter. */
const SHIFT_WAIT_STEP = 'remove.charge-wait';
const SHIFT_WAIT_FACTOR = 1.7;
const SHIFT_FACTOR = 1.35;

/**
 * The product file as it was one revision earlier: the number is one lower and the slow step has its old
 * sentence. The text is changed, not the product, so that it goes through the same checks and has its own hash.
 */
export function olderRevision(text: string): string {
  const lower = text.replace(
    /^revision: (\d+)$/m,
    (_, number: string) => `revision: ${Math.max(1, Number(number) - 1)}`,
  );
  return lower.replace(
    new RegExp(`^( +)- id: ${SLOW_STEP}$`, 'm'),
    (line, indent: string) => `${line}\n${indent}  say_back: ${OLD_SENTENCE}`,
  );
}

interface Prepared {
  readonly plan: Plan;
  readonly sha256: string;
  readonly file: string;
}

function prepareWork(work: Work, text: string): Result<Prepared, Fault> {
  const { product } = readProduct(text, work.file);
  const planned = product === undefined ? undefined : planJob(product, work);
  if (planned === undefined || !planned.ok) {
    const codes =
      planned === undefined || planned.ok
        ? 'errors in the file'
        : planned.error.map((one) => one.code).join();
    return err({
      code: 'demo/no-plan',
      message: `${work.file} gives no plan (${codes}).`,
      mend: 'Check the product file with `stepcaller check`.',
    });
  }
  return ok({ plan: planned.value, sha256: sha256Hex(text), file: work.file });
}

/** The disk without syncing: one job more or less is no loss here, and the review needs hundreds. */
function unsynced(disk: DiskPort): DiskPort {
  const fileOf = (file: OpenFile): OpenFile => ({ ...file, datasync: async () => {}, sync: async () => {} });
  return {
    ...disk,
    openAppend: async (path) => fileOf(await disk.openAppend(path)),
    createExclusive: async (path) => fileOf(await disk.createExclusive(path)),
    syncFolder: async () => {},
  };
}

/** One job to be played. */
interface Planned {
  readonly name: string;
  readonly startMs: number;
  readonly prepared: Prepared;
  readonly job: DemoJob;
  readonly seed: number;
  readonly unitSerial: string;
}

function pickWork(random: RandomSource): Work {
  let left = random.next() * WORKS.reduce((sum, work) => sum + work.weight, 0);
  for (const work of WORKS) {
    left -= work.weight;
    if (left < 0) return work;
  }
  return WORKS[0] as Work;
}

/** Start times: working days only, from eight in the morning, several people side by side. */
function startTimes(random: RandomSource, jobs: number): number[] {
  return Array.from({ length: jobs }, (_, index) => {
    const workday = Math.floor((index * WEEKS * 5) / jobs);
    const day = Math.floor(workday / 5) * 7 + (workday % 5);
    const minutes = random.integer(0, 420);
    return FIRST_DAY_MS + day * DAY_MS + (8 * 60 + minutes - OFFSET_MINUTES) * 60_000;
  }).sort((a, b) => a - b);
}

function stepFactors(file: string, plan: Plan, day: number): Record<string, number> {
  const factors: Record<string, number> = {};
  if (file === SLOW_FILE) factors[`install.${SLOW_STEP}`] = day < REVISED_DAY ? 2.4 : 1.1;
  if (file === SHIFT_FILE && day >= SHIFT_DAY) {
    for (const step of plan.steps) if (step.stage === 'install') factors[step.id] = SHIFT_FACTOR;
    factors[SHIFT_WAIT_STEP] = SHIFT_WAIT_FACTOR;
  }
  return factors;
}

/** The jobs of three months, in order of time. */
function planJobs(seed: number, jobs: number, texts: ReadonlyMap<string, Prepared>): Planned[] {
  const random = randomFromSeed(seed);
  const done = new Map<string, number>();
  return startTimes(random, jobs).map((startMs, index) => {
    const day = Math.floor((startMs - FIRST_DAY_MS) / DAY_MS);
    const work = pickWork(random);
    const person = random.pick(PEOPLE.filter((one) => one.fromDay <= day));
    const older = work.file === SLOW_FILE && day < REVISED_DAY;
    const prepared = texts.get(`${work.file}${older ? ' older' : ''}`) as Prepared;
    const key = `${person.name} ${work.file}`;
    const before = done.get(key) ?? 0;
    done.set(key, before + 1);
    const wall = timestampFromEpochMs(startMs, OFFSET_MINUTES);
    return {
      name: jobNameFrom(wall, prepared.plan.product, `${MARK}-${seed}-${String(index + 1).padStart(3, '0')}`),
      startMs,
      prepared,
      seed: random.integer(1, 1_000_000_000),
      unitSerial: `${prepared.plan.product.toUpperCase()}-${random.integer(1000, 9999)}`,
      job: {
        person,
        before,
        stepFactors: stepFactors(work.file, prepared.plan, day),
        // Good and bad days of the whole job.
        factor: Math.exp(0.05 * random.normal()),
        unclear: older ? { step: `install.${SLOW_STEP}`, chance: 0.6 } : null,
        giveUpAt: random.next() < 0.015 ? random.integer(8, 20) : null,
      },
    };
  });
}

async function play(
  planned: Planned,
  folder: string,
  disk: DiskPort,
): Promise<Result<'written' | 'there', Fault>> {
  if ((await disk.stat(`${folder}/${planned.name}`)) !== undefined) return ok('there');
  const { prepared, job, startMs } = planned;
  let tokens = 0;
  const driven = await drive({
    disk,
    processes: createNodeProcesses(`Stepcaller ${APP_VERSION} (demo data)`),
    jobsFolder: folder,
    jobFile: newJobFile({
      job: planned.name,
      created: timestampFromEpochMs(startMs, OFFSET_MINUTES),
      appVersion: APP_VERSION,
      productFile: `procedures/${prepared.file}`,
      productSha256: prepared.sha256,
      modelSha256: null,
      plan: prepared.plan,
    }),
    opening: {
      technician: job.person.name,
      unitSerial: planned.unitSerial,
      verbosity: job.person.trainee ? 'trainee' : 'full',
    },
    startMs,
    token: () => {
      tokens += 1;
      return `demo${planned.seed}x${tokens}`;
    },
    by: { technician: new DemoTechnician(planned.seed, job) },
  });
  return driven.ok ? ok('written') : driven;
}

export interface DemoOptions {
  readonly out: string;
  readonly procedures: string;
  readonly seed: number;
  readonly jobs: number;
  readonly onProgress?: (done: number, total: number) => void;
}

/** Writes the demo jobs; gives how many were written and how many were there already. */
export async function writeDemoData(
  options: DemoOptions,
): Promise<Result<{ readonly written: number; readonly there: number }, Fault>> {
  const texts = new Map<string, Prepared>();
  for (const work of WORKS) {
    const text = await readFile(`${options.procedures}/${work.file}`, 'utf8');
    for (const [key, content] of [
      [work.file, text],
      [`${work.file} older`, olderRevision(text)],
    ] as const) {
      const prepared = prepareWork(work, content);
      if (!prepared.ok) return prepared;
      texts.set(key, prepared.value);
    }
  }
  const disk = unsynced(createNodeDisk());
  let written = 0;
  let there = 0;
  const planned = planJobs(options.seed, options.jobs, texts);
  for (const [index, one] of planned.entries()) {
    const played = await play(one, options.out, disk);
    if (!played.ok) return played;
    if (played.value === 'written') written += 1;
    else there += 1;
    options.onProgress?.(index + 1, planned.length);
  }
  return ok({ written, there });
}

/** Names of jobs in a folder that are no demo jobs. */
async function realJobs(folder: string): Promise<string[]> {
  try {
    const names = await readdir(folder);
    return names.filter((name) => !name.startsWith('.') && !name.includes(`-${MARK}-`));
  } catch (thrown) {
    if ((thrown as { code?: string }).code === 'ENOENT') return [];
    throw thrown;
  }
}

async function main(): Promise<number> {
  const { values } = parseArgs({
    options: { out: { type: 'string' }, seed: { type: 'string' }, jobs: { type: 'string' } },
  });
  const out = resolve(values.out ?? userFolders().jobs);
  const [seed, jobs] = [Number(values.seed ?? '8'), Number(values.jobs ?? DEFAULT_JOBS)];
  if (!Number.isInteger(seed) || seed < 0 || !Number.isInteger(jobs) || jobs < 1) {
    console.error('--seed and --jobs are whole numbers.');
    return 2;
  }
  if (values.out === undefined && (await realJobs(out)).length > 0) {
    console.error(
      `${out} holds real jobs. Name another folder with --out, so that invented jobs do not mix with them.`,
    );
    return 2;
  }
  const result = await writeDemoData({
    out,
    procedures: fileURLToPath(new URL('../procedures', import.meta.url)),
    seed,
    jobs,
    onProgress: (done, total) => {
      if (done % 20 === 0 || done === total) console.error(`${done} of ${total} jobs`);
    },
  });
  if (!result.ok) {
    console.error(`${result.error.code}: ${result.error.message}\n  ${result.error.mend}`);
    return 1;
  }
  console.log(
    `${out}: ${result.value.written} jobs written, ${result.value.there} were there already (seed ${seed}).`,
  );
  return 0;
}

if (process.argv[1] !== undefined && fileURLToPath(import.meta.url) === resolve(process.argv[1]))
  process.exitCode = await main();
