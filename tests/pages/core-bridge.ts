/**
 * The real core behind a `Bridge`, in memory and without a host: product files as texts, planner, step
 * engine, log codec, review. For page tests and pictures; nothing in it is canned. The clock moves only by
 * `advance`.
 */
import type { Diagnostic } from '../../electron/core/base/diagnostic.ts';
import { type Language, languageOf } from '../../electron/core/base/language.ts';
import { ENGLISH_TABLE, type LanguageTable } from '../../electron/core/base/language-table.ts';
import { decide, evolve, initialState, openJob, PRESS_AGAIN_MS } from '../../electron/core/job/engine.ts';
import type { BenchView, Effect, JobInput, JobRecord } from '../../electron/core/job/model.ts';
import { expectedCount, type JobState } from '../../electron/core/job/state.ts';
import { viewOf } from '../../electron/core/job/view.ts';
import { encodeBatch, type LogEnd, readLog } from '../../electron/core/log/codec.ts';
import type { JobFile } from '../../electron/core/log/model.ts';
import { partsAlsoOff } from '../../electron/core/plan/closure.ts';
import type { Plan } from '../../electron/core/plan/model.ts';
import { planJob } from '../../electron/core/plan/plan-job.ts';
import { planAsAnswered } from '../../electron/core/plan/questions.ts';
import { diagnosticText as planText } from '../../electron/core/plan/words.ts';
import { readProduct } from '../../electron/core/product/read-product.ts';
import { diagnosticText as productText } from '../../electron/core/product/words.ts';
import { compareGroups } from '../../electron/core/review/groups.ts';
import { jobReview } from '../../electron/core/review/job-review.ts';
import type { JobLog } from '../../electron/core/review/model.ts';
import { stepTimes } from '../../electron/core/review/step-times.ts';
import { reviewLogs } from '../../electron/core/review/summary.ts';
import { reviewIn } from '../../electron/core/review/words.ts';
import type {
  Answer,
  Bridge,
  Channel,
  Finding,
  JobSummary,
  PageInput,
  ProductSummary,
  ProductView,
  Push,
  Requests,
  Settings,
} from '../../electron/ipc/contract.ts';

export const SETTINGS: Settings = {
  technician: 'A',
  verbosity: 'full',
  rate: 1,
  units: 'metric',
  theme: 'light',
  viewing_distance_m: 1.5,
  attention_word: false,
  voice: 'embedded',
  show_names: true,
};

interface Job {
  readonly file: JobFile;
  state: JobState;
  log: string;
  end: LogEnd;
  open: boolean;
}

const START_MS = Date.parse('2026-01-12T08:00:00Z');
type Handlers = { [C in Channel]: (argument: Requests[C][0]) => Answer<Requests[C][1]> };

const ok = <T>(value: T): Answer<T> => ({ ok: true, value });
const refuse = (code: string, message: string, mend: string): Answer<never> => ({
  ok: false,
  error: { code, message, mend },
});

/** Reading takes most of a page test's time, and the pages ask for the same few files again and again. */
const alreadyRead = new Map<string, ReturnType<typeof readProduct>>();
function readOnce(text: string, file: string): ReturnType<typeof readProduct> {
  const key = `${file}\n${text}`;
  const read = alreadyRead.get(key) ?? readProduct(text, file);
  alreadyRead.set(key, read);
  return read;
}

export class CoreBridge implements Bridge {
  /** Everything the page sent to the open job, in order. */
  readonly inputs: PageInput[] = [];
  /** Spoken notes that the page handed over. */
  readonly notes: Requests['note.keep'][0][] = [];
  /** Utterances that the host wanted said. */
  readonly said: string[] = [];
  /** Number of the newest of them. */
  lastUtterance = 0;
  /** Every answer given, for telling data from words of the page. */
  readonly everAnswered: unknown[] = [];
  readonly saved: Requests['report.save'][0][] = [];
  /** With this set, cautions and steps are read out at once, as by a mouth without delay. */
  readsAtOnce = true;
  /** What the host says of a log whose end it had to cut off, when a job is opened again. */
  recovered: string | undefined;
  /** Languages there are beside English. */
  readonly tables: readonly LanguageTable[];
  #files: Map<string, string>;
  #jobs = new Map<string, Job>();
  #current: Job | undefined;
  #settings: Settings;
  #listeners = new Set<(push: Push) => void>();
  #nowMs = 0;
  readonly #handlers: Handlers;

  constructor(
    files: Readonly<Record<string, string>>,
    settings: Partial<Settings> = {},
    tables: readonly LanguageTable[] = [],
  ) {
    this.tables = tables;
    this.#files = new Map(Object.entries(files));
    this.#settings = { ...SETTINGS, ...settings };
    this.#handlers = this.#makeHandlers();
  }

  async ask<C extends Channel>(channel: C, argument: Requests[C][0]): Promise<Answer<Requests[C][1]>> {
    const handler = this.#handlers[channel] as (a: Requests[C][0]) => Answer<Requests[C][1]>;
    // Through JSON, as over a wire: nothing but data passes.
    const answer = JSON.parse(
      JSON.stringify(handler(JSON.parse(JSON.stringify(argument)) as Requests[C][0])),
    );
    this.everAnswered.push(answer);
    return answer;
  }

  onPush(listener: (push: Push) => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  push(push: Push): void {
    for (const listener of [...this.#listeners]) listener(push);
  }

  /** Moves the job's clock and tells the page. */
  advance(ms: number): void {
    this.#nowMs += ms;
    if (this.#current !== undefined) this.#take({ type: 'tick', atMs: this.#nowMs });
  }

  /** Moves the clock while no job is open. */
  wait(ms: number): void {
    this.#nowMs += ms;
  }

  /** An input as if the voice, a script or the page had given it. */
  input(input: PageInput): void {
    if (this.#current !== undefined) this.#take({ ...input, atMs: this.#nowMs } as JobInput);
  }

  setFile(file: string, text: string): void {
    this.#files.set(file, text);
    this.push({ type: 'products-changed' });
  }

  view(): BenchView | null {
    const job = this.#current;
    return job === undefined
      ? null
      : viewOf(job.file.plan, job.state, this.#nowMs, this.#language(job.file.plan.language));
  }

  /** Answers everything with a plain "next", "understood", "yes", a fitting reading… until the job ends. */
  finishByScript(msPerStep: (stepNumber: number) => number, until = Number.POSITIVE_INFINITY): void {
    for (let guard = 0; guard < 3000; guard += 1) {
      const view = this.view();
      if (view === null || view.outcome !== null || view.step_number > until) return;
      this.oneByScript(msPerStep(view.step_number));
    }
    throw new Error('assertion failed: the script did not finish the job');
  }

  /** One plausible answer of a technician who takes `ms` for a step. */
  oneByScript(ms: number): void {
    const view = this.view();
    if (view === null || view.outcome !== null) return;
    this.advance(view.phase === 'step' ? ms : 2500);
    this.input(this.#plausible(this.view() ?? view));
  }

  #plausible(view: BenchView): PageInput {
    const source = 'script' as const;
    const say = (phrase: 'understood' | 'yes' | 'next' | 'finish' | 'resume'): PageInput => ({
      type: 'phrase',
      phrase,
      source,
    });
    if (view.phase === 'caution') return say('understood');
    if (view.phase === 'paused') return say('resume');
    const job = this.#current;
    if (view.question?.kind === 'count' && job !== undefined)
      return {
        type: 'number',
        value: expectedCount(planAsAnswered(job.file.plan, job.state.variants), job.state).count,
        source,
      };
    const offered = view.question?.answers.find((answer) => answer !== 'yes' && answer !== 'no');
    if (offered !== undefined) return { type: 'answer', value: offered, source };
    if (view.question !== null) return say('yes');
    if (view.waits_for === 'reading') {
      const { min, max } = view.step.measure ?? {};
      const value = min !== undefined && max !== undefined ? (min + max) / 2 : (min ?? max ?? 0);
      return { type: 'reading', value, source };
    }
    if (view.waits_for === 'serial') return { type: 'serial', value: 'AB1234', source };
    if (view.waits_for === 'sign-off') return { type: 'sign-off', person: 'E', source };
    return say(view.allowed.phrases.includes('next') ? 'next' : 'finish');
  }

  #take(input: JobInput): void {
    const job = this.#current;
    if (job === undefined) return;
    const { records, effects } = decide(job.file.plan, job.state, input, {
      words: this.#language(job.file.plan.language),
    });
    this.#record(job, records);
    this.#perform(effects);
  }

  #record(job: Job, records: readonly JobRecord[]): void {
    if (records.length === 0) return;
    for (const record of records) job.state = evolve(job.file.plan, job.state, record);
    const wall = new Date(START_MS + this.#nowMs).toISOString();
    const batch = encodeBatch(records, wall, job.end);
    if (!batch.ok) throw new Error(`assertion failed: log refused ${batch.error.code}`);
    job.log += batch.value.text;
    job.end = batch.value.end;
  }

  #perform(effects: readonly Effect[]): void {
    this.push({ type: 'view', view: this.view() });
    for (const effect of effects) {
      this.push({ type: 'effect', effect });
      if (effect.type === 'say') {
        this.said.push(effect.text);
        this.lastUtterance = effect.utterance;
        if (this.readsAtOnce)
          this.#take({
            type: 'spoken',
            atMs: this.#nowMs,
            utterance: effect.utterance,
            outcome: 'completed',
          });
      }
      // As in the host: the last view of a finished job stays on the screen.
      if (effect.type === 'closed') this.#close(false);
    }
  }

  #close(tell: boolean): void {
    if (this.#current !== undefined) this.#current.open = false;
    this.#current = undefined;
    if (tell) this.push({ type: 'view', view: null });
  }

  /** The language of a tag; without one that of the settings. */
  #language(tag = this.#settings.language): Language {
    return languageOf(this.tables.find((one) => one.language.tag === tag) ?? ENGLISH_TABLE);
  }

  #read(file: string) {
    const text = this.#files.get(file);
    return text === undefined ? undefined : readOnce(text, file);
  }

  #summary(file: string): ProductSummary {
    const read = this.#read(file);
    const count = (severity: string): number =>
      read?.diagnostics.filter((one) => one.severity === severity).length ?? 0;
    const product = read?.product;
    return {
      file,
      id: product?.id ?? '',
      name: product?.name ?? '',
      revision: product?.revision ?? 0,
      summary: product?.summary ?? '',
      errors: count('error'),
      warnings: count('warning'),
    };
  }

  #open(file: string): Answer<ProductView> {
    const read = this.#read(file);
    if (read === undefined)
      return refuse('product/not-there', 'There is no such product file.', 'Choose another one.');
    const product = read.product;
    return ok({
      summary: this.#summary(file),
      findings: read.diagnostics.map((one) => ({ ...one, ...productText(one, this.#language()) })),
      parts:
        product?.parts.map((part) => ({
          id: part.id,
          name: part.name,
          replaceable: part.replaceable,
          needs: part.needs,
          also_off: partsAlsoOff(product, part.id),
          steps: part.steps.length,
        })) ?? [],
      variants: product?.variants.map(({ id, ask, answers }) => ({ id, ask, answers })) ?? [],
      has_serial: product?.unit_serial !== undefined,
    });
  }

  #plan(argument: Requests['plan.preview'][0]): { plan: Plan | null; findings: readonly Finding[] } {
    const product = this.#read(argument.file)?.product;
    if (product === undefined) return { plan: null, findings: [] };
    const { replace, variants } = argument;
    const made = planJob(product, { replace, variants }, this.#language());
    return made.ok
      ? { plan: made.value, findings: [] }
      : { plan: null, findings: planFindings(made.error, this.#language()) };
  }

  #start(argument: Requests['job.start'][0]): Answer<{ job: string }> {
    const { plan } = this.#plan(argument);
    if (plan === null) return refuse('plan/none', 'There is no plan for this.', 'Choose other parts.');
    const name = `job-${this.#jobs.size + 1}`;
    const job: Job = {
      file: {
        format: 1,
        job: name,
        created: new Date(START_MS + this.#nowMs).toISOString(),
        app_version: 'test',
        product_file: argument.file,
        product_sha256: '0'.repeat(64),
        model_sha256: null,
        plan,
        plan_sha256: '0'.repeat(64),
      },
      state: initialState(plan),
      log: '',
      end: { seq: 0, prev: '0'.repeat(64), mono_ms: 0 },
      open: true,
    };
    this.#jobs.set(name, job);
    this.#current = job;
    const opening = {
      technician: argument.technician,
      unitSerial: argument.unit_serial,
      workOrder: argument.work_order,
      reportedFault: argument.reported_fault,
      verbosity: this.#settings.verbosity,
      atMs: this.#nowMs,
    };
    const opened = openJob(plan, opening, { words: this.#language(plan.language) });
    this.#record(job, opened.records);
    this.#perform(opened.effects);
    return ok({ job: name });
  }

  #jobSummary(name: string, job: Job): JobSummary {
    return { ...jobReview(job.file, readLog(job.log).lines, readLog(job.log).verdict).summary, job: name };
  }

  #logs(): JobLog[] {
    return [...this.#jobs].map(([name, job]) => {
      const { lines, verdict } = readLog(job.log);
      return { job: { ...job.file, job: name }, lines, verdict };
    });
  }

  #makeHandlers(): Handlers {
    return {
      'app.info': () =>
        ok({
          version: '0.1.0',
          mode: 'browser',
          jobs_folder: '/home/bench/jobs',
          procedures_folder: '/home/bench/procedures',
        }),
      'language.open': ({ language }) => {
        const { table } = this.#language(language ?? undefined);
        const choices = [ENGLISH_TABLE, ...this.tables].map((one) => one.language);
        return ok({ table, choices, findings: [] });
      },
      'settings.get': () => ok(this.#settings),
      'settings.set': (change) => {
        this.#settings = { ...this.#settings, ...change };
        return ok(this.#settings);
      },
      'products.list': () => ok([...this.#files.keys()].map((file) => this.#summary(file))),
      'product.open': ({ file }) => this.#open(file),
      'plan.preview': (argument) => ok(this.#plan(argument)),
      'jobs.list': () => ok([...this.#jobs].map(([name, job]) => this.#jobSummary(name, job))),
      'job.start': (argument) => this.#start(argument),
      'job.reopen': ({ job: name }) => {
        const job = this.#jobs.get(name);
        if (job === undefined) return refuse('job/not-there', 'There is no such job.', 'Choose another one.');
        job.open = true;
        this.#current = job;
        this.#take({ type: 'reopened', atMs: this.#nowMs, awayMs: 0 });
        return ok(this.recovered === undefined ? { job: name } : { job: name, recovered: this.recovered });
      },
      'job.leave': () => {
        if (this.#current !== undefined) this.#take({ type: 'left', atMs: this.#nowMs });
        this.#close(true);
        return ok(null);
      },
      'job.input': (input) => {
        this.inputs.push(input);
        // Nobody presses twice in one moment.
        if ('source' in input && input.source !== 'voice') this.#nowMs += PRESS_AGAIN_MS;
        this.input(input);
        return ok(null);
      },
      'job.view': () => ok(this.view()),
      'note.keep': ({ endedBy, pcm }) => {
        this.notes.push({ endedBy, pcm });
        const atMs = this.#nowMs;
        if (pcm === '') this.#take({ type: 'note-failed', atMs, why: 'nothing-said' });
        else
          this.#take({
            type: 'note-recorded',
            atMs,
            audio: 'note-1.wav',
            sha256: 'ab'.repeat(32),
            lengthMs: 7000,
          });
        return ok(null);
      },
      'note.open': () => ok({ wav: 'UklGRg==' }),
      'job.review': ({ job: name }) => {
        const job = this.#jobs.get(name);
        if (job === undefined) return refuse('job/not-there', 'There is no such job.', 'Choose another one.');
        const read = readLog(job.log);
        const review = jobReview(job.file, read.lines, read.verdict);
        return ok({ ...review, summary: { ...review.summary, job: name } });
      },
      'review.summary': ({ product }) =>
        ok(reviewIn(reviewLogs(this.#logs(), { product }), this.#language())),
      'review.compare': ({ product, a, b }) => {
        const times = this.#logs().map((log) => stepTimes(log.job, log.lines, log.verdict));
        return ok(reviewIn(compareGroups(times, a, b, { product }), this.#language()));
      },
      'review.save': ({ product, as }) =>
        ok({ path: `/home/bench/reports/review-${product ?? 'all'}.${as}` }),
      'report.save': (argument) => {
        this.saved.push(argument);
        return ok({ path: `/home/bench/reports/${argument.job}.${argument.as}` });
      },
    };
  }
}

function planFindings(findings: readonly Diagnostic[], language: Language): readonly Finding[] {
  return findings.map((one) => ({ ...one, ...planText(one, language) }));
}
