/**
 * What pages and host say to each other; the same messages over Electron's IPC and, in browser mode, over
 * a WebSocket on 127.0.0.1. A page asks (`Requests`), the host answers or refuses; the host pushes
 * (`Push`). Every argument is checked with the zod schemas in `schemas.ts` and every sender in
 * `sender.ts` before a handler sees it.
 */
import type { Diagnostic, DiagnosticText } from '../core/base/diagnostic.ts';
import type { LanguageTable } from '../core/base/language-table.ts';
import type { TalkKey } from '../core/job/keys.ts';
import type {
  Allowed,
  BenchView,
  Effect,
  JobInput,
  RefusalReason,
  TroubleCode,
  Verbosity,
} from '../core/job/model.ts';
import type { Plan } from '../core/plan/model.ts';
import type { GroupComparison, JobGroup } from '../core/review/groups.ts';
import type { JobSummary, ReviewProgress } from '../core/review/model.ts';

export type Finding = Diagnostic & DiagnosticText;

export interface AppInfo {
  readonly version: string;
  readonly mode: 'electron' | 'browser';
  /** Where logs are kept, shown to the user. */
  readonly jobs_folder: string;
  readonly procedures_folder: string;
}

export interface ProductSummary {
  readonly file: string;
  readonly id: string;
  readonly name: string;
  readonly revision: number;
  readonly summary: string;
  readonly errors: number;
  readonly warnings: number;
}

export interface ProductView {
  readonly summary: ProductSummary;
  readonly findings: readonly Finding[];
  readonly parts: readonly {
    readonly id: string;
    readonly name: string;
    readonly replaceable: boolean;
    readonly needs: readonly string[];
    readonly also_off: readonly string[];
    readonly steps: number;
  }[];
  readonly variants: readonly {
    readonly id: string;
    readonly ask: string;
    readonly answers: readonly string[];
  }[];
  readonly has_serial: boolean;
}

export type { JobSummary };

export interface StepTime {
  readonly step: string;
  readonly say: string;
  readonly stage: string;
  readonly active_ms: number;
  readonly reading_ms: number;
  readonly visits: number;
  readonly repeats: number;
}

export interface JobReview {
  readonly summary: JobSummary;
  readonly steps: readonly StepTime[];
  readonly active_ms: number;
  readonly paused_ms: number;
  readonly waiting_ms: number;
  readonly cautions: readonly {
    readonly step: string;
    readonly word: string;
    readonly hazard: string;
    readonly read_to_acknowledged_ms: number | null;
  }[];
  readonly readings: readonly {
    readonly step: string;
    readonly name: string;
    readonly value: number;
    readonly unit: string;
    readonly within: boolean;
  }[];
  readonly serials: readonly { readonly name: string; readonly value: string }[];
  readonly problems: readonly {
    readonly step: string;
    readonly kind: string;
    readonly decision: string | null;
  }[];
  readonly notes: readonly {
    readonly step: string;
    readonly text: string;
    /** File of a spoken note in the job's folder, or null. */
    readonly audio: string | null;
    readonly audio_ms: number;
  }[];
  readonly verified: boolean;
}

export interface Settings {
  readonly technician: string;
  readonly verbosity: Verbosity;
  /** Speaking rate: 1 is normal. */
  readonly rate: number;
  readonly units: 'metric' | 'imperial';
  readonly theme: 'light' | 'dark' | 'system';
  /** Eye to screen in metres; text size follows. */
  readonly viewing_distance_m: number;
  readonly attention_word: boolean;
  /** Key or pedal that is held while speaking; the ear listens all the time where it is not set or `none`. */
  readonly talk_key?: TalkKey;
  readonly voice: 'system' | 'embedded' | 'off';
  readonly show_names: boolean;
  /** CSS pixels to one millimetre of this screen, measured once by the user; 96/25.4 where not set. */
  readonly screen_px_per_mm?: number;
  /** Language tag of all words shown and spoken ("en"); the system's language where not set or empty. */
  readonly language?: string;
}

export interface StartJob {
  readonly file: string;
  readonly replace: readonly string[];
  readonly variants: Readonly<Record<string, string>>;
  readonly technician: string;
  readonly unit_serial: string | null;
  readonly work_order: string | null;
  readonly reported_fault: string | null;
}

/** Input from a page, without its time: the host stamps it. */
export type PageInput = JobInput extends infer I
  ? I extends { atMs: number }
    ? Omit<I, 'atMs'>
    : never
  : never;

/** Expected active time of a job by past ones, in seconds, with the interval that holds 80 % of single jobs. */
export interface ExpectedFromJobs {
  readonly s: number;
  readonly low_s: number;
  readonly high_s: number;
  /** How many finished jobs it rests on. */
  readonly jobs: number;
}

/** The words for the pages, complete: English stands in for what the language lacks. */
export interface LanguageInUse {
  readonly table: LanguageTable;
  /** What can be chosen; names are in their own language. */
  readonly choices: readonly { readonly tag: string; readonly name: string }[];
  /** What is wrong with the files of the language, and with folders that could not be used at all. */
  readonly findings: readonly Finding[];
}

/** A request's argument and its answer. */
export interface Requests {
  'app.info': [null, AppInfo];
  'settings.get': [null, Settings];
  'settings.set': [Partial<Settings>, Settings];
  /** The language of this tag; of an empty one that of the system, of null that of the settings. */
  'language.open': [{ readonly language: string | null }, LanguageInUse];
  'products.list': [null, readonly ProductSummary[]];
  'product.open': [{ readonly file: string }, ProductView];
  'plan.preview': [
    {
      readonly file: string;
      readonly replace: readonly string[];
      readonly variants: Readonly<Record<string, string>>;
    },
    {
      readonly plan: Plan | null;
      readonly findings: readonly Finding[];
      /** From finished jobs like this one; missing where there are none, or none is known yet. */
      readonly expected?: ExpectedFromJobs;
    },
  ];
  'jobs.list': [null, readonly JobSummary[]];
  'job.start': [StartJob, { readonly job: string }];
  /** `recovered`: what a loss of power had left at the end of the log and was cut off, in words. */
  'job.reopen': [{ readonly job: string }, { readonly job: string; readonly recovered?: string }];
  'job.leave': [null, null];
  'job.input': [PageInput, null];
  'job.view': [null, BenchView | null];
  /** The sound of a spoken note, only while one is asked for: mono, 16 bits, little-endian, as base64. */
  'note.keep': [{ readonly endedBy: NoteEnd; readonly pcm: string }, null];
  /** A kept note as a WAV file in base64, checked against the hash in the log. */
  'note.open': [{ readonly job: string; readonly audio: string }, { readonly wav: string }];
  'job.review': [{ readonly job: string }, JobReview];
  'review.summary': [{ readonly product: string | null }, unknown];
  /** Two groups of the jobs in that review, step by step. */
  'review.compare': [
    { readonly product: string | null; readonly a: JobGroup; readonly b: JobGroup },
    GroupComparison,
  ];
  /** Saves the review of all jobs, or of one product, as a file; `xes` takes the newest logs of this bench. */
  'review.save': [
    { readonly product: string | null; readonly as: 'csv' | 'json' | 'xes' | 'html' | 'pdf' },
    { readonly path: string },
  ];
  'report.save': [
    { readonly job: string; readonly as: 'csv' | 'json' | 'xes' | 'html' | 'pdf' },
    { readonly path: string },
  ];
}

export type Channel = keyof Requests;

/** Pushed by the host to the page with the buttons. */
export type Push =
  | { readonly type: 'view'; readonly view: BenchView | null }
  | { readonly type: 'effect'; readonly effect: Effect }
  /** Sentences that will probably be spoken next: render their sound ahead. */
  | { readonly type: 'render-ahead'; readonly texts: readonly string[] }
  | { readonly type: 'products-changed' }
  /** How far a review is that is being waited for; comes while it is worked on. */
  | { readonly type: 'review-progress'; readonly progress: ReviewProgress }
  /** Disk full, folder not writable…: shown and spoken whatever screen is open. */
  | { readonly type: 'host-trouble'; readonly code: TroubleCode; readonly message: string };

/** A refused request: never an exception's text, always a code and words. */
export interface Refusal {
  readonly code: string;
  readonly message: string;
  readonly mend: string;
}
export type Answer<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly error: Refusal };

/** What the preload (or the browser-mode client) puts on `window.stepcaller`. */
export interface Bridge {
  ask<C extends Channel>(channel: C, argument: Requests[C][0]): Promise<Answer<Requests[C][1]>>;
  onPush(listener: (push: Push) => void): () => void;
}

// ---- page with the buttons <-> ears page, over a MessageChannel --------------------------------------

export type ToEar =
  | { readonly type: 'grammar'; readonly allowed: Allowed; readonly extraAnswers?: readonly string[] }
  | { readonly type: 'listen'; readonly on: boolean }
  /** The language that is spoken from now on, where it has a recogniser's model of its own; null: the shipped one. */
  | { readonly type: 'language'; readonly table: LanguageTable | null }
  /** The mouth starts or ends an utterance; the text lets the ear ignore its own words. */
  | { readonly type: 'mouth'; readonly speaking: boolean; readonly text: string }
  | { readonly type: 'attention-word'; readonly on: boolean }
  /** With `on` the ear listens only while the key is held. */
  | { readonly type: 'hold-to-talk'; readonly on: boolean; readonly held: boolean }
  | { readonly type: 'check-microphone'; readonly seconds: number }
  /** Starts a spoken note, or ends it: `keep` false throws it away and nothing comes back. */
  | { readonly type: 'record-note'; readonly on: boolean; readonly keep: boolean };

/** What ended a spoken note. */
export type NoteEnd = 'silence' | 'stop' | 'limit' | 'nothing-said';

/** What was understood: exactly one of the shapes of `JobInput` that the voice can make. */
export type Understood =
  | { readonly type: 'phrase'; readonly phrase: string }
  | { readonly type: 'reading'; readonly value: number; readonly unit?: string }
  | { readonly type: 'number'; readonly value: number }
  | { readonly type: 'serial'; readonly value: string }
  | { readonly type: 'answer'; readonly value: string };

export type FromEar =
  | { readonly type: 'ready'; readonly modelSha256: string; readonly loadMs: number }
  | { readonly type: 'progress'; readonly share: number; readonly what: 'model' }
  | {
      readonly type: 'heard';
      readonly text: string;
      readonly understood: Understood;
      readonly confidence: number;
      readonly decidedMs: number;
      readonly early: boolean;
    }
  | { readonly type: 'refused'; readonly reason: RefusalReason; readonly confidence: number | null }
  | {
      readonly type: 'level';
      readonly dbfs: number;
      readonly noiseDbfs: number;
      readonly clipping: boolean;
      readonly speech: boolean;
    }
  | {
      readonly type: 'microphone-check';
      readonly levelDbfs: number;
      readonly noiseDbfs: number;
      readonly snrDb: number;
      readonly verdict: 'good' | 'usable' | 'poor';
      readonly advice: readonly string[];
    }
  /** A spoken note that was asked for: mono, 16 bits; empty where nothing was said. */
  | {
      readonly type: 'note';
      readonly endedBy: NoteEnd;
      readonly rateHz: number;
      readonly pcm: Int16Array;
    }
  | { readonly type: 'trouble'; readonly code: TroubleCode; readonly over: boolean; readonly detail: string };
