/**
 * What the pages may ask of the host, the same for Electron and for the browser. It knows nothing of either:
 * disk, clock, processes and folders are given to it.
 */

import { type Clock, wallText } from './clock.ts';
import type { Language } from './core/base/language.ts';
import { err, ok, type Result } from './core/base/result.ts';
import { spokenNotesOf } from './core/log/notes.ts';
import { planJob } from './core/plan/plan-job.ts';
import { diagnosticText as planText } from './core/plan/words.ts';
import { jobReview } from './core/review/job-review.ts';
import type { ReviewOptions } from './core/review/summary.ts';
import { reviewIn } from './core/review/words.ts';
import { writeAtomically } from './disk/atomic-write.ts';
import { attempt, type Fault } from './disk/disk-fault.ts';
import type { DiskPort } from './disk/disk-port.ts';
import { fault, faultIn } from './disk/fault-words.ts';
import { makeFolders } from './disk/job-folder.ts';
import { listJobs } from './disk/job-list.ts';
import type { ProcessPort } from './disk/lock.ts';
import { readNote } from './disk/spoken-note.ts';
import type { Host } from './ipc/bridge.ts';
import type { Answer, Channel, PageInput, Push, Requests, Settings, StartJob } from './ipc/contract.ts';
import { pageInputFrom, pageInputSchema } from './ipc/schemas.ts';
import { JobService } from './job-service.ts';
import { Languages, languageText } from './languages.ts';
import { jobNameFrom, newJobFile } from './new-job.ts';
import { periodFile, periodName } from './period-file.ts';
import { findingsFrom, Products, viewOfProduct } from './products.ts';
import { reportOfJob } from './report.ts';
import { type ReviewStore, Reviews } from './reviews.ts';
import { loadSettings, saveSettings, settingsFrom } from './settings.ts';
import { jobLogOf } from './store/logs-review.ts';

/** How often the procedures folders are looked at for changes, in milliseconds. */
export const WATCH_MS = 2000;

export interface HostOptions {
  readonly disk: DiskPort;
  readonly clock: Clock;
  readonly processes: ProcessPort;
  /** A text that never comes twice, of letters and digits. */
  readonly token: () => string;
  readonly jobsFolder: string;
  /** The first is the program's own; of two files of one name the earlier folder's counts. */
  readonly proceduresFolders: readonly string[];
  readonly reportsFolder: string;
  /** Folders with languages beside English; of two of one tag the later folder's counts. */
  readonly languagesFolders?: readonly string[] | undefined;
  /** Tag of the system's language; English where it is missing. */
  readonly systemLanguage?: string | undefined;
  readonly settingsPath: string;
  readonly version: string;
  readonly mode: 'electron' | 'browser';
  /** Hash of the acoustic model in use, for job.json; null where there is none. */
  readonly modelSha256: string | null;
  /** Prints an HTML document to PDF; only Electron can. */
  readonly printPdf?: ((html: string) => Promise<Uint8Array>) | undefined;
  /** Makes the record store when it is first wanted; without it the review reads the logs. */
  readonly openRecordStore?: (() => Promise<ReviewStore>) | undefined;
}

type Handlers = { readonly [C in Channel]: (argument: Requests[C][0]) => Promise<Answer<Requests[C][1]>> };

/** Opens the host. `close` leaves the open job and stops watching. */
export function createHost(options: HostOptions): Host {
  const { disk, clock, processes, token } = options;
  const listeners = new Set<(push: Push) => void>();
  const push = (message: Push): void => {
    for (const listener of listeners) listener(message);
  };
  const languages = new Languages(disk, options.languagesFolders ?? [], options.systemLanguage ?? 'en');
  const jobs = new JobService({
    disk,
    clock,
    processes,
    token,
    languageOf: (tag) => languages.open(tag ?? 'en'),
  });
  const products = new Products(disk, options.proceduresFolders);
  jobs.onPush(push);
  const stopWatching = watchProducts(products, clock, () => push({ type: 'products-changed' }));
  const reviews = new Reviews({
    disk,
    clock,
    jobsFolder: options.jobsFolder,
    openStore: options.openRecordStore,
    jobIsOpen: () => jobs.openJobName !== null,
    onProgress: (progress) => push({ type: 'review-progress', progress }),
  });
  const context: Context = { options, jobs, products, reviews, languages, settings: undefined };
  const handlers: Handlers = {
    ...aboutHandlers(context),
    ...productHandlers(context),
    ...jobHandlers(context),
    ...reviewHandlers(context),
  };
  return {
    ask: async (channel, argument) => {
      const answer = await handlers[channel](argument);
      if (answer.ok) return answer;
      const { code, message, mend } = faultIn(answer.error, await languageOf(context));
      return { ok: false, error: { code, message, mend } };
    },
    onPush: (listener) => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    close: async () => {
      stopWatching();
      // Closing must go on whatever the disk says; the log is whole up to the last thing confirmed.
      await jobs.leave();
      await reviews.close();
    },
  };
}

interface Context {
  readonly options: HostOptions;
  readonly jobs: JobService;
  readonly products: Products;
  readonly reviews: Reviews;
  readonly languages: Languages;
  settings: Settings | undefined;
}

/** Looks at the folders now and then: simple, the same on every system and over network drives. */
function watchProducts(products: Products, clock: Clock, changed: () => void): () => void {
  let before: string | undefined;
  let looking = false;
  const look = (): void => {
    if (looking) return;
    looking = true;
    void products.signature().then((now) => {
      if (before !== undefined && before !== now) changed();
      before = now;
      looking = false;
    });
  };
  // At once, too: what is saved before the first interval is over must be noticed as a change.
  look();
  return clock.every(WATCH_MS, look);
}

async function settingsOf(context: Context): Promise<Settings> {
  context.settings ??= await loadSettings(context.options.disk, context.options.settingsPath);
  return context.settings;
}

/** The language of the settings. */
async function languageOf(context: Context): Promise<Language> {
  return context.languages.open((await settingsOf(context)).language);
}

type AboutChannel = 'app.info' | 'settings.get' | 'settings.set' | 'language.open';

function aboutHandlers(context: Context): Pick<Handlers, AboutChannel> {
  const { options, languages } = context;
  return {
    'app.info': async () =>
      ok({
        version: options.version,
        mode: options.mode,
        jobs_folder: options.jobsFolder,
        procedures_folder: options.proceduresFolders.at(-1) ?? '',
      }),
    'language.open': async ({ language }) => {
      const { table, tag } = await languages.open(language ?? (await settingsOf(context)).language);
      const [choices, findings] = [await languages.choices(), await languages.findings(tag)];
      return ok({
        table,
        choices,
        findings: findings.map((found) => ({ ...found, ...languageText(found) })),
      });
    },
    'settings.get': async () => ok(await settingsOf(context)),
    'settings.set': async (change) => {
      const next = settingsFrom({ ...(await settingsOf(context)), ...change });
      const folder = await attempt(() => makeFolders(options.disk, parentOf(options.settingsPath)));
      const saved = folder.ok
        ? await saveSettings(options.disk, options.settingsPath, next, options.token())
        : folder;
      if (!saved.ok) return saved;
      context.settings = next;
      return ok(next);
    },
  };
}

function parentOf(path: string): string {
  return path.slice(0, Math.max(path.lastIndexOf('/'), path.lastIndexOf('\\')));
}

function productHandlers(
  context: Context,
): Pick<Handlers, 'products.list' | 'product.open' | 'plan.preview'> {
  const { products, reviews } = context;
  return {
    'products.list': async () => ok(await products.list()),
    'product.open': async ({ file }) => {
      const source = await products.open(file);
      // While the parts are chosen there is time to learn what past jobs took.
      void reviews.prepare();
      return source.ok ? ok(viewOfProduct(file, source.value, await languageOf(context))) : source;
    },
    'plan.preview': async ({ file, replace, variants }) => {
      const source = await products.open(file);
      if (!source.ok) return source;
      const { product, diagnostics } = source.value;
      const language = await languageOf(context);
      if (product === undefined) return ok({ plan: null, findings: findingsFrom(diagnostics, language) });
      const planned = planJob(product, { replace, variants }, language);
      if (planned.ok) {
        const expected = reviews.expected(planned.value);
        return ok({ plan: planned.value, findings: [], ...(expected === undefined ? {} : { expected }) });
      }
      const findings = planned.error.map((found) => ({ ...found, ...planText(found, language) }));
      return ok({ plan: null, findings });
    },
  };
}

async function startJob(context: Context, start: StartJob): Promise<Result<{ readonly job: string }, Fault>> {
  const { options, jobs, products, reviews } = context;
  reviews.interrupt();
  const source = await products.open(start.file);
  if (!source.ok) return source;
  const { product, sha256 } = source.value;
  if (product === undefined) {
    return err(fault('product/has-errors', { file: start.file }));
  }
  const language = await languageOf(context);
  const planned = planJob(product, { replace: start.replace, variants: start.variants }, language);
  if (!planned.ok) {
    const first = planned.error[0];
    return err(first === undefined ? fault('plan/none') : { code: first.code, ...planText(first, language) });
  }
  const created = wallText(options.clock);
  const jobFile = newJobFile({
    job: jobNameFrom(created, product.id, options.token().slice(0, 8)),
    created,
    appVersion: options.version,
    productFile: start.file,
    productSha256: sha256,
    modelSha256: options.modelSha256,
    plan: planned.value,
  });
  const { verbosity } = await settingsOf(context);
  return jobs.start(options.jobsFolder, jobFile, {
    technician: start.technician,
    unitSerial: start.unit_serial,
    workOrder: start.work_order,
    reportedFault: start.reported_fault,
    verbosity,
  });
}

type JobChannel =
  | 'note.keep'
  | 'jobs.list'
  | 'job.start'
  | 'job.reopen'
  | 'job.leave'
  | 'job.input'
  | 'job.view';

/** The help tells how phrases have to be marked, which the settings know. */
function withMarks(input: PageInput, settings: Settings): PageInput {
  if (input.type !== 'phrase') return input;
  const talkKey = (settings.talk_key ?? 'none') !== 'none';
  return { ...input, marks: { attentionWord: settings.attention_word, talkKey } };
}

function jobHandlers(context: Context): Pick<Handlers, JobChannel> {
  const { options, jobs } = context;
  const { disk, processes, token, jobsFolder } = options;
  return {
    'jobs.list': async () => {
      const language = await languageOf(context);
      return listJobs({ disk, processes, token, jobsFolder, openJob: jobs.openJobName, language });
    },
    'job.start': (start) => startJob(context, start),
    'job.reopen': async ({ job }) => {
      // A page that was loaded anew while its job is open goes on with it.
      if (jobs.openJobName === job) return ok({ job });
      context.reviews.interrupt();
      const reopened = await jobs.reopen(`${jobsFolder}/${job}`);
      if (!reopened.ok) return reopened;
      const { recovered } = reopened.value;
      return ok(recovered === null ? { job } : { job, recovered });
    },
    'job.leave': () => jobs.leave(),
    'job.input': async (input) => {
      const checked = pageInputSchema.safeParse(input);
      if (!checked.success) {
        return err(fault('job/bad-input'));
      }
      return jobs.handle(withMarks(pageInputFrom(checked.data), await settingsOf(context)));
    },
    'note.keep': ({ endedBy, pcm }) => jobs.keepNote(endedBy, bytesFromBase64(pcm)),
    'job.view': async () => ok(jobs.view()),
  };
}

/** Bytes of a base64 text, and back; without Node, so that the host runs wherever it is put. */
function bytesFromBase64(text: string): Uint8Array {
  return Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0));
}
const BASE64_BLOCK = 8192;
function base64FromBytes(bytes: Uint8Array): string {
  let text = '';
  for (let at = 0; at < bytes.length; at += BASE64_BLOCK)
    text += String.fromCharCode(...bytes.subarray(at, at + BASE64_BLOCK));
  return btoa(text);
}

async function openNote(
  context: Context,
  job: string,
  audio: string,
): Promise<Result<{ readonly wav: string }, Fault>> {
  const { disk, jobsFolder } = context.options;
  const log = await jobLogOf(disk, `${jobsFolder}/${job}`);
  if (!log.ok) return log;
  const named = spokenNotesOf(log.value.lines).find((note) => note.audio === audio);
  if (named === undefined) {
    return err(fault('note/not-found'));
  }
  const bytes = await readNote(disk, `${jobsFolder}/${job}`, audio, named.sha256);
  return bytes.ok ? ok({ wav: base64FromBytes(bytes.value) }) : bytes;
}

type ReviewChannel =
  | 'note.open'
  | 'job.review'
  | 'review.summary'
  | 'review.compare'
  | 'review.save'
  | 'report.save';

function reviewHandlers(context: Context): Pick<Handlers, ReviewChannel> {
  const { disk, jobsFolder } = context.options;
  return {
    'note.open': ({ job, audio }) => openNote(context, job, audio),
    'job.review': async ({ job }) => {
      const log = await jobLogOf(disk, `${jobsFolder}/${job}`);
      return log.ok ? ok(jobReview(log.value.job, log.value.lines, log.value.verdict)) : log;
    },
    'review.summary': async ({ product }) => {
      const summary = await context.reviews.summary(await reviewOptionsOf(context, product));
      return summary.ok ? ok(reviewIn(summary.value, await languageOf(context))) : summary;
    },
    'review.compare': async ({ product, a, b }) => {
      const compared = await context.reviews.compare(a, b, await reviewOptionsOf(context, product));
      return compared.ok ? ok(reviewIn(compared.value, await languageOf(context))) : compared;
    },
    'review.save': ({ product, as }) => saveReview(context, product, as),
    'report.save': ({ job, as }) => saveReport(context, job, as),
  };
}

/** Names where the site turns them on; else everybody sees the own name and letters for the others. */
async function reviewOptionsOf(context: Context, product: string | null): Promise<ReviewOptions> {
  const { show_names, technician } = await settingsOf(context);
  if (show_names) return { product, show: 'names' };
  return { product, show: technician === '' ? 'pseudonyms' : { own: technician } };
}

async function saveReview(
  context: Context,
  product: string | null,
  as: Requests['review.save'][0]['as'],
): Promise<Result<{ readonly path: string }, Fault>> {
  const options = await reviewOptionsOf(context, product);
  const summary = await context.reviews.summary(options);
  if (!summary.ok) return summary;
  const made = wallText(context.options.clock);
  const text =
    as === 'xes'
      ? await context.reviews.eventLog(options)
      : ok(periodFile(summary.value, as === 'pdf' ? 'html' : as, made, await languageOf(context)));
  return text.ok ? saveText(context, periodName(summary.value, product), as, text.value) : text;
}

async function saveReport(
  context: Context,
  job: string,
  as: Requests['report.save'][0]['as'],
): Promise<Result<{ readonly path: string }, Fault>> {
  const { disk, jobsFolder, clock } = context.options;
  const log = await jobLogOf(disk, `${jobsFolder}/${job}`);
  if (!log.ok) return log;
  const language = await languageOf(context);
  const text = reportOfJob(log.value, as === 'pdf' ? 'html' : as, wallText(clock), language);
  return saveText(context, job, as, text);
}

/** Writes a report into the folder of reports; a PDF is printed from its HTML. */
async function saveText(
  context: Context,
  name: string,
  as: Requests['report.save'][0]['as'],
  text: string,
): Promise<Result<{ readonly path: string }, Fault>> {
  const { disk, reportsFolder, printPdf, token } = context.options;
  if (as === 'pdf' && printPdf === undefined) {
    return err(fault('report/no-pdf'));
  }
  const bytes =
    as === 'pdf' && printPdf !== undefined ? await printPdf(text) : new TextEncoder().encode(text);
  const path = `${reportsFolder}/${name}.${as}`;
  const folder = await attempt(() => makeFolders(disk, reportsFolder));
  const saved = folder.ok ? await writeAtomically(disk, path, bytes, token()) : folder;
  return saved.ok ? ok({ path }) : saved;
}
