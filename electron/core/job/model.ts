/**
 * The words of a running job. Stage 3 of the flow.
 *
 * The step engine is event-sourced: `decide(plan, state, input)` says which records come of an input and
 * which effects follow; `evolve(plan, state, record)` is the only way state changes. The host appends the
 * records to the log and syncs BEFORE it performs the effects, and replaying the records of a log
 * rebuilds the state exactly. Both functions are pure and total.
 */
import type { PlanStep } from '../plan/model.ts';

/** What can be said. The list is short on purpose; each is also a key and a touch target. */
export type PhraseId =
  | 'next'
  | 'back'
  | 'repeat'
  | 'slower'
  | 'screw count'
  | 'which tool'
  | 'torque'
  | 'caution'
  | 'why'
  | 'where am i'
  | 'how long'
  | 'pause'
  | 'resume'
  | 'understood'
  | 'yes'
  | 'no'
  | 'problem'
  | 'note'
  | 'reading'
  | 'serial'
  | 'undo'
  | 'skip'
  | 'stop'
  | 'stop listening'
  | 'start listening'
  | 'finish'
  | 'what can i say';

export type Source = 'voice' | 'key' | 'touch' | 'script';

/** What the ear wants beside the phrase itself: a word before it, a key held. */
export interface SpeechMarks {
  readonly attentionWord: boolean;
  readonly talkKey: boolean;
}

/** What arrives from outside. `atMs` is the job's monotonic clock: milliseconds since the job was opened. */
export type JobInput =
  | {
      readonly type: 'phrase';
      readonly atMs: number;
      readonly phrase: PhraseId;
      readonly source: Source;
      readonly confidence?: number;
      readonly decidedMs?: number;
      /** How speech has to be marked for the ear, for the help to say; added by the host. */
      readonly marks?: SpeechMarks;
    }
  /** "the reading is NUMBER": value as understood; `text` what was heard. */
  | {
      readonly type: 'reading';
      readonly atMs: number;
      readonly value: number;
      readonly unit?: string;
      readonly source: Source;
      readonly confidence?: number;
    }
  /** "serial is SPELLING". */
  | {
      readonly type: 'serial';
      readonly atMs: number;
      readonly value: string;
      readonly source: Source;
      readonly confidence?: number;
    }
  /** The bare number answered to a question ("how many screws are in the tray?"). */
  | {
      readonly type: 'number';
      readonly atMs: number;
      readonly value: number;
      readonly source: Source;
      readonly confidence?: number;
    }
  /** One of the offered answers of a question (kind of problem, variant). */
  | {
      readonly type: 'answer';
      readonly atMs: number;
      readonly value: string;
      readonly source: Source;
      readonly confidence?: number;
    }
  /** A spoken note that was asked for lies on the disk beside the log; from the host alone. */
  | {
      readonly type: 'note-recorded';
      readonly atMs: number;
      /** Name of the file in the job's folder. */
      readonly audio: string;
      readonly sha256: string;
      readonly lengthMs: number;
    }
  /** A spoken note that was asked for came to nothing; from the host alone. */
  | { readonly type: 'note-failed'; readonly atMs: number; readonly why: NoteDropped }
  /** Free text typed or touched in (a note); never by voice. */
  | { readonly type: 'text'; readonly atMs: number; readonly value: string; readonly source: 'key' | 'touch' }
  /** The second person's sign-off code at a hold point. */
  | { readonly type: 'sign-off'; readonly atMs: number; readonly person: string; readonly source: Source }
  /** A colleague takes the job over; from here on `person` is the technician. */
  | { readonly type: 'hand-over'; readonly atMs: number; readonly person: string; readonly source: Source }
  /** A step was picked from the list. Only steps already reached can be gone to, and only after asking. */
  | { readonly type: 'go-to'; readonly atMs: number; readonly step: string; readonly source: Source }
  /** The ear heard something it does not act on. Nothing of the words is kept. */
  | { readonly type: 'unheard'; readonly atMs: number; readonly reason: RefusalReason }
  /** The mouth has read an utterance to its end, was interrupted, or has no voice (then the screen alone shows it). */
  | {
      readonly type: 'spoken';
      readonly atMs: number;
      readonly utterance: number;
      readonly outcome: 'completed' | 'interrupted' | 'no-voice';
    }
  /** A second has passed. */
  | { readonly type: 'tick'; readonly atMs: number }
  /** Something outside changed: microphone lost, model damaged, … or well again. */
  | { readonly type: 'trouble'; readonly atMs: number; readonly code: TroubleCode; readonly over: boolean }
  /** The job was opened again after the program ended. */
  | { readonly type: 'reopened'; readonly atMs: number; readonly awayMs: number }
  /** The window is closing or the technician leaves the job for later. */
  | { readonly type: 'left'; readonly atMs: number };

/** Why a spoken note that was asked for came to nothing. */
export type NoteDropped = 'nothing-said' | 'thrown-away' | 'no-microphone' | 'not-written' | 'broken-off';

export type RefusalReason = 'too-quiet' | 'too-noisy' | 'not-sure' | 'not-possible-now' | 'unknown-words';

export type TroubleCode =
  | 'no-microphone'
  | 'microphone-refused'
  | 'microphone-lost'
  | 'model-missing'
  | 'model-damaged'
  | 'recogniser-stopped'
  | 'audio-suspended'
  | 'no-voice'
  | 'log-not-written'
  | 'disk-full';

/**
 * What is written to the log, in order. Names are `noun.past-tense`; fields carry their units. A name
 * once released is never reused. `at_ms` is the job's monotonic clock.
 */
export type JobRecord =
  | {
      readonly event: 'job.opened';
      readonly at_ms: number;
      readonly technician: string;
      readonly unit_serial: string | null;
      readonly work_order: string | null;
      readonly reported_fault: string | null;
      readonly verbosity: Verbosity;
    }
  | { readonly event: 'job.reopened'; readonly at_ms: number; readonly away_ms: number }
  | { readonly event: 'job.left'; readonly at_ms: number }
  | { readonly event: 'step.shown'; readonly at_ms: number; readonly step: string; readonly visit: number }
  | {
      readonly event: 'step.confirmed';
      readonly at_ms: number;
      readonly step: string;
      readonly source: Source;
      readonly confidence: number | null;
      readonly with_help: boolean;
    }
  | { readonly event: 'step.skipped'; readonly at_ms: number; readonly step: string; readonly source: Source }
  | { readonly event: 'step.undone'; readonly at_ms: number; readonly step: string; readonly source: Source }
  | {
      readonly event: 'step.revisited';
      readonly at_ms: number;
      readonly step: string;
      readonly from: string;
      readonly source: Source;
    }
  /** The step's sentence has been read out (or shown, without a voice), or was cut off. */
  | {
      readonly event: 'step.read';
      readonly at_ms: number;
      readonly step: string;
      readonly outcome: 'completed' | 'interrupted' | 'no-voice';
    }
  | {
      readonly event: 'caution.started';
      readonly at_ms: number;
      readonly step: string;
      readonly caution: string;
    }
  | {
      readonly event: 'caution.read';
      readonly at_ms: number;
      readonly step: string;
      readonly caution: string;
      readonly by: 'voice' | 'screen';
    }
  /** Its reading was cut off ("stop"): it does not count as read. */
  | {
      readonly event: 'caution.interrupted';
      readonly at_ms: number;
      readonly step: string;
      readonly caution: string;
    }
  | {
      readonly event: 'caution.acknowledged';
      readonly at_ms: number;
      readonly step: string;
      readonly caution: string;
      readonly source: Source;
      readonly confidence: number | null;
    }
  | {
      readonly event: 'reading.proposed';
      readonly at_ms: number;
      readonly step: string;
      readonly measure: string;
      readonly value: number;
      readonly unit: string;
      readonly source: Source;
    }
  | {
      readonly event: 'reading.confirmed';
      readonly at_ms: number;
      readonly step: string;
      readonly measure: string;
      readonly value: number;
      readonly unit: string;
      readonly within: boolean;
      readonly source: Source;
    }
  | {
      readonly event: 'serial.proposed';
      readonly at_ms: number;
      readonly step: string;
      readonly record: string;
      readonly value: string;
      readonly source: Source;
    }
  | {
      readonly event: 'serial.confirmed';
      readonly at_ms: number;
      readonly step: string;
      readonly record: string;
      readonly value: string;
      readonly source: Source;
    }
  | {
      readonly event: 'value.rejected';
      readonly at_ms: number;
      readonly step: string;
      readonly source: Source;
    }
  | {
      readonly event: 'count.confirmed';
      readonly at_ms: number;
      readonly step: string;
      readonly compartment: number | null;
      readonly counted: number;
      readonly expected: number;
      readonly source: Source;
    }
  | {
      readonly event: 'fastener.found';
      readonly at_ms: number;
      readonly step: string;
      readonly compartment: number;
      readonly difference: number;
      readonly source: Source;
    }
  | {
      readonly event: 'note.taken';
      readonly at_ms: number;
      readonly step: string;
      readonly item: string | null;
      readonly text: string | null;
      /** File of a spoken note, in the job's folder. */
      readonly audio: string | null;
      /** SHA-256 (hex) of that file, and how long the note is. */
      readonly audio_sha256?: string;
      readonly audio_ms?: number;
      readonly source: Source;
    }
  /** From here on the microphone's sound is kept, until the note is taken or dropped. */
  | { readonly event: 'note.started'; readonly at_ms: number; readonly step: string }
  | {
      readonly event: 'note.dropped';
      readonly at_ms: number;
      readonly step: string;
      readonly why: NoteDropped;
    }
  | {
      readonly event: 'problem.reported';
      readonly at_ms: number;
      readonly step: string;
      readonly kind: string;
      readonly source: Source;
    }
  | {
      readonly event: 'problem.settled';
      readonly at_ms: number;
      readonly step: string;
      readonly decision: 'go-on' | 'stop';
      readonly source: Source;
    }
  | {
      readonly event: 'hold.signed';
      readonly at_ms: number;
      readonly step: string;
      readonly person: string;
      readonly source: Source;
    }
  | { readonly event: 'job.paused'; readonly at_ms: number; readonly source: Source }
  | { readonly event: 'job.resumed'; readonly at_ms: number; readonly source: Source }
  /** The technician was told that the pause has lasted long. */
  | { readonly event: 'pause.reminded'; readonly at_ms: number; readonly paused_ms: number }
  | {
      readonly event: 'job.handed-over';
      readonly at_ms: number;
      readonly from: string;
      readonly to: string;
      readonly source: Source;
    }
  | {
      readonly event: 'question.asked';
      readonly at_ms: number;
      readonly question: QuestionKind;
      /** What the question is about: the step to go to, the kind of problem. */
      readonly about?: string;
    }
  | {
      readonly event: 'question.answered';
      readonly at_ms: number;
      readonly question: QuestionKind;
      readonly answer: string;
      readonly source: Source;
    }
  | {
      readonly event: 'help.given';
      readonly at_ms: number;
      readonly step: string;
      readonly what: PhraseId;
      readonly source: Source;
    }
  | {
      readonly event: 'listening.stopped' | 'listening.started';
      readonly at_ms: number;
      readonly source: Source;
    }
  | { readonly event: 'utterance.refused'; readonly at_ms: number; readonly reason: RefusalReason }
  | {
      readonly event: 'phrase.refused';
      readonly at_ms: number;
      readonly phrase: string;
      readonly why: string;
      readonly source: Source;
    }
  | { readonly event: 'trouble.began' | 'trouble.ended'; readonly at_ms: number; readonly code: TroubleCode }
  | {
      readonly event: 'job.finished';
      readonly at_ms: number;
      readonly outcome: 'completed' | 'given-up';
      readonly open_compartments: number;
      readonly source: Source;
    };

export type Verbosity = 'full' | 'short' | 'trainee';
export type QuestionKind =
  | 'finish'
  | 'give-up'
  | 'skip'
  | 'undo'
  | 'go-back'
  | 'problem-kind'
  | 'problem-decision'
  | 'fastener-compartment'
  | 'tray-empty'
  | 'count'
  | 'reading'
  | 'serial'
  | 'note'
  | 'variant';

/** Something for the outside to do, after the records have been synced. */
export type Effect =
  | {
      readonly type: 'say';
      readonly utterance: number;
      readonly text: string;
      readonly kind: 'step' | 'caution' | 'answer' | 'question' | 'refusal' | 'trouble';
      readonly interruptible: boolean;
    }
  | { readonly type: 'hush' }
  | { readonly type: 'chime'; readonly chime: 'heard' | 'refused' | 'done' | 'caution' }
  | { readonly type: 'slower' }
  | { readonly type: 'listen'; readonly on: boolean }
  /** The ear records a spoken note, or ends it; `keep` false throws it away. */
  | { readonly type: 'record-note'; readonly on: boolean; readonly keep: boolean }
  | { readonly type: 'closed' };

/** What may be said now. Literal phrases, and whether a number or a spelling may follow its opening words. */
export interface Allowed {
  readonly phrases: readonly PhraseId[];
  /** "the reading is NUMBER" (or a bare number when a number was asked). */
  readonly number: 'none' | 'reading' | 'bare';
  /** "serial is SPELLING". */
  readonly spelling: boolean;
  /** Answers of an open question, spoken as they stand ("stripped screw", "four"). */
  readonly answers: readonly string[];
  /** The value that was read back and waits for "yes"; "no, five not nine" corrects one character of it. */
  readonly proposed?: string;
}

/** What is fastener-wise out of the unit right now, by compartment. */
export interface LedgerLine {
  readonly compartment: number;
  readonly label: string;
  readonly out: number;
  readonly total: number;
}

/** Everything the bench screen shows; computed from plan, state and the time, never stored. */
export interface BenchView {
  /** Tag of the language in which the job is told. */
  readonly language?: string;
  /** Product id. */
  readonly product: string;
  readonly product_name: string;
  readonly step: PlanStep;
  readonly step_number: number;
  readonly step_total: number;
  readonly phase: 'caution' | 'step' | 'question' | 'recording' | 'paused' | 'finished';
  /** The caution that waits to be read and acknowledged, with how far it is. */
  readonly caution: {
    readonly id: string;
    readonly word: string;
    readonly hazard: string;
    readonly consequence: string;
    readonly avoid: string;
    readonly symbol: string;
    readonly read: boolean;
    readonly index: number;
    readonly total: number;
  } | null;
  readonly question: {
    readonly kind: QuestionKind;
    readonly text: string;
    readonly answers: readonly string[];
  } | null;
  /** The last sentence spoken, for reading again. */
  readonly prompt: string;
  readonly allowed: Allowed;
  readonly listening: boolean;
  readonly ledger: readonly LedgerLine[];
  readonly lit_compartments: readonly number[];
  readonly active_ms: number;
  readonly step_ms: number;
  readonly expected_step_s: number;
  readonly expected_left_s: number;
  readonly paused_ms: number;
  readonly last_refusal: RefusalReason | null;
  /** What was asked for last on this step. */
  readonly last_help: PhraseId | null;
  readonly refusal_text: string | null;
  readonly troubles: readonly TroubleCode[];
  readonly value_proposed: string | null;
  /** A spoken note: whether it is being recorded already, and for how long. */
  readonly recording: { readonly on: boolean; readonly ms: number } | null;
  /** What this step still needs before "next" counts; null where nothing. */
  readonly waits_for: 'reading' | 'serial' | 'sign-off' | null;
  readonly steps: readonly {
    readonly id: string;
    readonly say: string;
    readonly stage: string;
    readonly state: 'done' | 'now' | 'to-do' | 'skipped';
    /** True where the job has been at this step, so that it may be gone to. */
    readonly reached: boolean;
  }[];
  readonly technician: string;
  readonly verbosity: Verbosity;
  readonly outcome: 'completed' | 'given-up' | null;
}
