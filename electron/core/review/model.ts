/**
 * What the review says about jobs. Stage 5 of the flow: it reads logs and plans and never writes them.
 * Everything here is plain JSON, ready for charts, tables and files.
 *
 * Two habits hold for every type: a figure never stands alone (it carries what it rests on and how it was
 * computed), and times are whole milliseconds of the job's monotonic clock, never of the wall clock, so a
 * clock that jumps back or changes its zone does not change a duration.
 */
import type { LogLine, Verdict } from '../log/model.ts';
import type { Stage } from '../plan/model.ts';
import type { HowKey } from './words.ts';

// ---- one job -----------------------------------------------------------------------------------------

/** Where a stretch of time went. Every millisecond of a job belongs to exactly one of these. */
export type TimeKind = 'hands' | 'reading' | 'waiting' | 'paused' | 'away' | 'unattributed';

/**
 * Times of one step in one job. `active_ms` = `hands_ms` + `reading_ms` + `waiting_ms`: from shown to
 * confirmed, without pauses and absence, visits added up.
 */
export interface StepTimes {
  readonly step: string;
  readonly say: string;
  readonly stage: Stage | 'unknown';
  readonly part: string | null;
  /** Position in the plan from 0; −1 for a step the plan does not have. */
  readonly index: number;
  readonly expected_s: number;
  readonly active_ms: number;
  /** Active time less reading and waiting: the work itself. */
  readonly hands_ms: number;
  /** A caution or the step's own sentence was being read out, as far as the log records its end. */
  readonly reading_ms: number;
  /** The step could not go on before an answer: caution to be understood, open question, open problem. */
  readonly waiting_ms: number;
  /** Active time of the first visit alone, up to its confirmation, its skipping or the leaving of the step. */
  readonly first_pass_ms: number;
  readonly visits: number;
  /** How often "repeat" or "slower" was said. */
  readonly repeats: number;
  /** Refused utterances: the ear had to ask "say again". */
  readonly say_agains: number;
  /** Other questions answered: screw count, which tool, torque, why, … */
  readonly helps: number;
  readonly problems: number;
  readonly undone: number;
  readonly state: 'confirmed' | 'skipped' | 'open';
  /** Fasteners the step turns, and passes over them; for the shortest plausible time. */
  readonly fastener_turns: number;
}

/** A stretch of the job for the timeline, in order, without gaps and overlaps. */
export interface TimeSpan {
  readonly from_ms: number;
  readonly to_ms: number;
  readonly kind: TimeKind;
  /** Step on screen, or null outside any step. */
  readonly step: string | null;
}

/** Something that happened at one moment, for marks on the timeline. */
export interface TimeMark {
  readonly at_ms: number;
  readonly step: string | null;
  readonly kind:
    | 'caution'
    | 'problem'
    | 'note'
    | 'reading'
    | 'serial'
    | 'count'
    | 'undo'
    | 'revisit'
    | 'skip'
    | 'hand-over'
    | 'trouble'
    | 'hold';
  /** What the log has to it: the kind of a problem, a value, "3/4" counted, to whom it was handed over. */
  readonly text: string;
}

export interface CautionTimes {
  readonly step: string;
  readonly caution: string;
  readonly word: string;
  readonly hazard: string;
  /** Length of what had to be read, in words. */
  readonly words: number;
  readonly by: 'voice' | 'screen' | null;
  /** From the start of the reading to its end; null where it was never finished. */
  readonly read_ms: number | null;
  /** From the end of the reading to "understood", without pauses; null where either is missing. */
  readonly read_to_acknowledged_ms: number | null;
  readonly acknowledged: boolean;
}

/** All times of one job. The parts add up: span = active + paused + away + unattributed. */
export interface JobTimes {
  readonly job: string;
  readonly product: string;
  readonly product_name: string;
  readonly product_revision: number;
  readonly product_sha256: string;
  readonly replace: readonly string[];
  /** Product and parts replaced; jobs of one type are compared with each other. */
  readonly job_type: string;
  /** Who did the most of it. */
  readonly technician: string;
  readonly technicians: readonly { readonly name: string; readonly active_ms: number }[];
  /** Wall time of the first line, RFC 3339; empty for an empty log. */
  readonly started: string;
  /** Seconds since 1970 of `started`, for ordering; 0 when empty. */
  readonly started_s: number;
  readonly verdict: Verdict;
  readonly outcome: 'completed' | 'given-up' | null;
  readonly expected_s: number;
  readonly span_ms: number;
  readonly active_ms: number;
  readonly hands_ms: number;
  readonly reading_ms: number;
  readonly waiting_ms: number;
  readonly paused_ms: number;
  readonly away_ms: number;
  /** Time outside any step: before the first and after the last one. */
  readonly unattributed_ms: number;
  readonly events: number;
  readonly steps: readonly StepTimes[];
  readonly cautions: readonly CautionTimes[];
  /** The wall clock went back, or the monotonic clock did; durations then rest on the latter alone. */
  readonly clock_jumps: number;
  readonly fasteners_missing: number;
  readonly readings_out: number;
}

/** The stretches and marks of a job, beside its times. */
export interface JobTimeline {
  readonly times: JobTimes;
  readonly spans: readonly TimeSpan[];
  readonly marks: readonly TimeMark[];
}

/** State of a job in lists. */
export interface JobSummary {
  readonly job: string;
  readonly product: string;
  readonly product_name: string;
  readonly replace: readonly string[];
  readonly technician: string;
  readonly started: string;
  readonly state: 'unfinished' | 'completed' | 'given-up' | 'unknown';
  readonly step_number: number;
  readonly step_total: number;
  /** Set where the log cannot be trusted or another program holds the job. */
  readonly trouble: string | null;
}

/**
 * One job, as the job screen and the service report show it. It has every field of the contract between
 * pages and host and more beside.
 */
export interface JobReview {
  readonly summary: JobSummary;
  readonly steps: readonly (StepTimes & { readonly visits: number; readonly repeats: number })[];
  readonly active_ms: number;
  readonly paused_ms: number;
  readonly waiting_ms: number;
  readonly cautions: readonly CautionTimes[];
  readonly readings: readonly {
    readonly step: string;
    readonly name: string;
    readonly value: number;
    readonly unit: string;
    readonly within: boolean;
    readonly min: number | null;
    readonly max: number | null;
  }[];
  readonly serials: readonly { readonly step: string; readonly name: string; readonly value: string }[];
  readonly problems: readonly {
    readonly step: string;
    readonly kind: string;
    readonly decision: string | null;
  }[];
  /** The chain of the log was checked and holds to the last line. */
  readonly verified: boolean;
  readonly times: JobTimes;
  readonly spans: readonly TimeSpan[];
  readonly marks: readonly TimeMark[];
  readonly unit_serial: string | null;
  readonly work_order: string | null;
  readonly reported_fault: string | null;
  readonly replaced: readonly { readonly id: string; readonly name: string }[];
  /** Items and consumables used up in confirmed steps. */
  readonly consumables: readonly {
    readonly id: string;
    readonly name: string;
    readonly count: number;
    readonly amount: string | null;
  }[];
  /** Notes in words, and spoken ones with the name and the hash of their file. */
  readonly notes: readonly {
    readonly step: string;
    readonly item: string | null;
    readonly text: string;
    readonly audio: string | null;
    readonly audio_sha256: string | null;
    readonly audio_ms: number;
  }[];
  readonly holds: readonly { readonly step: string; readonly person: string; readonly at: string }[];
  readonly skipped: readonly { readonly step: string; readonly say: string }[];
  readonly counts: readonly {
    readonly step: string;
    readonly compartment: number | null;
    readonly counted: number;
    readonly expected: number;
  }[];
  readonly finished: string | null;
}

// ---- figures -----------------------------------------------------------------------------------------

/** One number with what it rests on. `value` is null where there is too little to say anything. */
export interface Figure {
  readonly value: number | null;
  readonly low: number | null;
  readonly high: number | null;
  /** Confidence or coverage of low…high, 0.95 or 0.8; what was really reached where that is known. */
  readonly level: number | null;
  /** Observations it rests on. */
  readonly n: number;
  readonly unit: 'ms' | 's' | 'share' | 'count' | 'ratio';
  readonly how: HowKey;
}

/** A remark for the reader: code, facts, and the sentence made from them. */
export interface Notice {
  readonly code: string;
  readonly facts: Readonly<Record<string, string | number>>;
  readonly text: string;
}

// ---- per step over jobs ------------------------------------------------------------------------------

export interface StepStatistics {
  readonly step: string;
  readonly say: string;
  readonly stage: Stage | 'unknown';
  readonly index: number;
  readonly expected_s: number;
  readonly n: number;
  readonly mean_ms: number;
  readonly median: Figure;
  /** 90th percentile, Hyndman and Fan type 7. */
  readonly p90_ms: number;
  readonly q1_ms: number;
  readonly q3_ms: number;
  readonly min_ms: number;
  readonly max_ms: number;
  /** Median absolute deviation × 1.4826. */
  readonly spread_ms: number;
  readonly reading_mean_ms: number;
  readonly waiting_mean_ms: number;
  readonly first_pass_median_ms: number;
  /** Share of the active time of all jobs of this type. */
  readonly share: number;
  readonly revisit_rate: Figure;
  readonly repeat_rate: Figure;
  readonly say_again_rate: Figure;
  readonly help_rate: Figure;
  readonly problem_rate: Figure;
  readonly skip_rate: Figure;
  /** Answers faster than the step can be done, with the bound that says so. */
  readonly too_fast: {
    readonly count: number;
    readonly limit_ms: number | null;
    readonly by: 'distribution' | 'fasteners' | null;
    readonly jobs: readonly string[];
  };
  /** Every active time, in job order, for the distribution picture. At most `limits.sample`. */
  readonly sample_ms: readonly number[];
  /** Individuals chart of the latest times; null where there are too few. */
  readonly control: StepControl | null;
  readonly standard: StandardTime | null;
}

/** Limits of a step's times in order, and the points that break a rule. */
export interface StepControl {
  readonly scale: 'linear' | 'log';
  readonly center: number;
  readonly low: number;
  readonly high: number;
  readonly values_ms: readonly number[];
  /** `index` from 0 in `values_ms`. */
  readonly flagged: readonly {
    readonly index: number;
    readonly job: string;
    readonly rules: readonly string[];
  }[];
  readonly how: HowKey;
}

/** One caution over jobs: how long "understood" took after its reading, and how often it cannot have been taken in. */
export interface CautionStatistics {
  readonly step: string;
  readonly caution: string;
  readonly word: string;
  readonly hazard: string;
  /** Times it was given. */
  readonly given: number;
  /** From the end of the reading to "understood". */
  readonly answer: Figure;
  readonly too_fast_rate: Figure;
  readonly unanswered: number;
}

// ---- control charts ----------------------------------------------------------------------------------

export interface ControlPoint {
  readonly label: string;
  readonly value: number;
  readonly center: number;
  readonly low: number;
  readonly high: number;
  /** Names of the rules that end at this point: "nelson-1", … */
  readonly rules: readonly string[];
}

export interface ControlChart {
  readonly kind: 'individuals' | 'moving-range' | 'mean' | 'range' | 'c' | 'p';
  /** `log`: limits were computed on logarithms and shown back on the time scale. */
  readonly scale: 'linear' | 'log';
  readonly center: number;
  readonly low: number;
  readonly high: number;
  readonly sigma: number;
  readonly points: readonly ControlPoint[];
  readonly how: HowKey;
}

// ---- learning ----------------------------------------------------------------------------------------

export interface LearningFit {
  /** `crawford`: time of unit n is a·n^b. `wright`: average of the first n units is a·n^b. */
  readonly model: 'crawford' | 'wright';
  readonly n: number;
  /** Time of the first unit by the fit, in the unit of the data. */
  readonly a: number;
  readonly b: number;
  /** 2^b: what a doubling of the number of jobs leaves of the time. */
  readonly rate: number;
  readonly b_se: number;
  readonly b_low: number;
  readonly b_high: number;
  readonly r_squared: number;
  readonly residual_sd: number;
  readonly level: number;
}

export interface LearningCurve {
  readonly technician: string;
  readonly points: readonly { readonly number: number; readonly job: string; readonly active_ms: number }[];
  /** Crawford's curve: time of the n-th job. */
  readonly fit: LearningFit | null;
  /** Wright's curve: average of the first n jobs. */
  readonly wright: LearningFit | null;
  readonly forecast: readonly {
    readonly number: number;
    readonly active_ms: number;
    readonly low: number;
    readonly high: number;
  }[];
  /** Job number from which the curve no longer falls noticeably; null while it still does. */
  readonly plateau_from: number | null;
  readonly plateau_ms: number | null;
  readonly how: HowKey;
}

// ---- comparison and prediction -----------------------------------------------------------------------

export interface StepComparison {
  readonly step: string;
  readonly say: string;
  readonly n_a: number;
  readonly n_b: number;
  readonly median_a_ms: number;
  readonly median_b_ms: number;
  /** Geometric mean of B over that of A, with interval; below 1 means B is faster. */
  readonly ratio: Figure;
  readonly p: number | null;
  /** p after Holm's correction for looking at many steps at once. */
  readonly p_holm: number | null;
  readonly verdict: 'faster' | 'slower' | 'no-difference-shown' | 'too-few';
}

/** A step by its id and its sentence. */
export type StepName = Pick<StepTimes, 'step' | 'say'>;

export interface Comparison {
  readonly what: 'revisions' | 'groups';
  /** What the two sets are called: `compare/revision` and the like. */
  readonly a: Notice;
  readonly b: Notice;
  readonly jobs_a: number;
  readonly jobs_b: number;
  /** Its `step` and `say` are empty. */
  readonly job: StepComparison;
  readonly steps: readonly StepComparison[];
  readonly only_in_a: readonly StepName[];
  readonly only_in_b: readonly StepName[];
  readonly notices: readonly Notice[];
  readonly how: HowKey;
}

export interface Prediction {
  readonly expected: Figure;
  /** Share of held-out jobs that fell into their interval, each predicted from the jobs before it. */
  readonly coverage: Figure;
  readonly how: HowKey;
}

// ---- the supervisor's screen -------------------------------------------------------------------------

export interface ParetoRow {
  readonly step: string;
  readonly say: string;
  readonly stage: Stage | 'unknown';
  readonly total_ms: number;
  readonly share: number;
  readonly cumulative: number;
  /** One of the fewest steps that make up 80 % of the time. */
  readonly vital: boolean;
}

/** A step whose text or method is worth another look, worst first, with why. */
export interface RewriteCandidate {
  readonly step: string;
  readonly say: string;
  readonly score: number;
  readonly reasons: readonly Notice[];
}

/** Something that was not done as it should be, in one job. */
export interface Lapse {
  readonly job: string;
  readonly started: string;
  readonly technician: string;
  readonly step: string | null;
  readonly kind:
    | 'caution-too-fast'
    | 'caution-not-understood'
    | 'step-too-fast'
    | 'reading-out-of-limits'
    | 'step-skipped'
    | 'fastener-missing'
    | 'given-up'
    | 'clock-jumped';
  /** What its sentence is filled with. */
  readonly facts: Readonly<Record<string, string | number>>;
  readonly text: string;
}

export interface JobPoint {
  readonly job: string;
  readonly started: string;
  readonly technician: string;
  readonly revision: number;
  readonly active_ms: number;
  readonly span_ms: number;
  readonly paused_ms: number;
  readonly outcome: 'completed' | 'given-up' | null;
}

export interface StandardTime {
  /** Observed mean, trimmed as stated in `how`, at the rating given. */
  readonly observed_ms: number;
  readonly rating: number;
  readonly normal_ms: number;
  readonly allowance: number;
  /** normal ÷ (1 − A): A is a share of the shift. */
  readonly standard_of_shift_ms: number;
  /** normal × (1 + A): A is a share of the work. */
  readonly standard_of_work_ms: number;
  readonly n: number;
  readonly left_out: number;
  /** Observations needed for ±5 % at 95 %. */
  readonly n_needed: number | null;
  readonly how: HowKey;
}

/** Everything about one type of job: one product with one set of parts replaced. */
export interface JobTypeReview {
  readonly job_type: string;
  readonly product: string;
  readonly product_name: string;
  readonly replace: readonly string[];
  readonly revisions: readonly number[];
  readonly expected_s: number;
  readonly jobs: readonly JobPoint[];
  readonly median: Figure;
  readonly p90_ms: number | null;
  readonly time_parts: readonly { readonly kind: TimeKind; readonly ms: number; readonly share: number }[];
  readonly pareto: readonly ParetoRow[];
  readonly steps: readonly StepStatistics[];
  readonly chart: ControlChart | null;
  readonly range_chart: ControlChart | null;
  /** Means and ranges of groups of jobs in order; null where there are too few. */
  readonly subgroups: {
    readonly size: number;
    readonly mean: ControlChart;
    readonly range: ControlChart;
  } | null;
  readonly cautions: readonly CautionStatistics[];
  readonly trend: Figure;
  readonly trend_says: 'faster' | 'slower' | 'no-trend-shown' | 'too-few';
  readonly learning: readonly LearningCurve[];
  readonly rewrite: readonly RewriteCandidate[];
  readonly comparisons: readonly Comparison[];
  readonly standard: StandardTime | null;
  readonly prediction: Prediction | null;
  /** Jobs in which something was not done as it should be. */
  readonly lapse_jobs: number;
  readonly notices: readonly Notice[];
}

/** A log that was not taken, and why. */
export interface Rejected {
  readonly job: string;
  /** Line from 1 where the trust ends; null where it is not about a line. */
  readonly line: number | null;
  readonly code: string;
  readonly message: string;
}

/** The whole review: what the supervisor sees first. */
export interface ReviewSummary {
  readonly format: 1;
  readonly jobs: {
    readonly total: number;
    readonly completed: number;
    readonly given_up: number;
    readonly unfinished: number;
    /** Left out because their log cannot be trusted. */
    readonly unknown: number;
  };
  readonly from: string | null;
  readonly to: string | null;
  /** Pseudonyms in the order of first appearance; `name` only where the site shows names. */
  readonly people: readonly { readonly alias: string; readonly name: string | null; readonly jobs: number }[];
  readonly types: readonly JobTypeReview[];
  readonly lapses: readonly Lapse[];
  /** Share of the jobs in which each kind of lapse happened, the most frequent first; of all of them, listed or not. */
  readonly lapse_rates: readonly { readonly kind: Lapse['kind']; readonly rate: Figure }[];
  /** Logs that are not in the review because they cannot be trusted, with the line where that shows. */
  readonly rejected: readonly Rejected[];
  readonly notices: readonly Notice[];
  /** How each kind of figure is computed, in words, for the keys that occur. */
  readonly how: Readonly<Partial<Record<HowKey, string>>>;
}

/** How far the making of a review is. */
export interface ReviewProgress {
  /** The database is being made or opened; logs are being read; figures are being computed. */
  readonly stage: 'opening' | 'reading' | 'computing';
  /** Jobs looked at, of `total`; both 0 where they are not counted. */
  readonly done: number;
  readonly total: number;
}

/** What the review reads: one job's file and lines, and what the check of its chain said. */
export interface JobLog {
  readonly job: import('../log/model.ts').JobFile;
  readonly lines: readonly LogLine[];
  readonly verdict: Verdict;
}
