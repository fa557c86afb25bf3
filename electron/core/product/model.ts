/**
 * The checked product: what a unit is made of and how each part comes off. This is what the product
 * file (YAML) becomes after parsing and checking; it owns no prose beyond names and author overrides.
 * Stage 1 of the flow: product → plan → job → log → review → export.
 *
 * Field names are those of the YAML file, so that an author, the JSON Schema and the code use one word.
 */

/** ANSI Z535.4 signal words, most severe first. `notice` is for damage to things, never for injury. */
export type SignalWord = 'danger' | 'warning' | 'caution' | 'notice';

/** Hazards are named once and referred to by id from the steps they belong to. */
export interface Hazard {
  readonly id: string;
  readonly word: SignalWord;
  /** What the hazard is: "The capacitors hold a dangerous charge". */
  readonly hazard: string;
  /** What happens if it is not avoided. */
  readonly consequence: string;
  /** How to avoid it, in the imperative. */
  readonly avoid: string;
  /** Kind of hazard, for the symbol on screen. */
  readonly symbol:
    | 'electric'
    | 'stored-energy'
    | 'battery'
    | 'hot'
    | 'sharp'
    | 'pinch'
    | 'chemical'
    | 'pressure'
    | 'esd'
    | 'eye'
    | 'heavy'
    | 'fragile'
    | 'general';
}

export type DriveKind = 'phillips' | 'pozidriv' | 'slotted' | 'hex' | 'hexalobular' | 'hex-head' | 'none';
/** Drive of a fastener or tool: cross recess number, hex key width or across-flats in mm, T number. */
export interface Drive {
  readonly kind: DriveKind;
  readonly size: number;
}

export interface Tool {
  readonly id: string;
  readonly name: string;
  /** Set on screwdrivers, keys, bits and sockets. */
  readonly drive?: Drive;
  /** Set on torque tools: range in N·m. */
  readonly torque_range_nm?: readonly [number, number];
}

/** Something used up: thermal compound, lubricant, cleaning alcohol, a cable tie. */
export interface Consumable {
  readonly id: string;
  readonly name: string;
  /** How much one use takes, in words ("a rice grain", "2 ml"). */
  readonly amount?: string;
}

export type FastenerKind = 'screw' | 'bolt' | 'nut' | 'standoff' | 'washer' | 'captive-screw';
/** A kind of fastener. How many and where is said by the steps that take them out. */
export interface Fastener {
  readonly id: string;
  readonly name: string;
  readonly kind: FastenerKind;
  /** Thread designation "M2.5" or "M8x1". */
  readonly thread: string;
  /** Nominal length in mm; 0 for nuts. */
  readonly length_mm: number;
  readonly head?: 'pan' | 'countersunk' | 'socket-cap' | 'button' | 'hex' | 'set';
  readonly drive: Drive;
  /** Tightening torque in N·m. */
  readonly torque_nm?: number;
  readonly property_class?: string;
  /** Must not be used twice (thread lock patch, distorted nut). */
  readonly single_use?: boolean;
  /** Tool id that turns it. */
  readonly tool?: string;
  /** Tool id that tightens it to its torque on the way back, where that is another than `tool`. */
  readonly tighten_tool?: string;
}

/** Connectors, tapes, seals, adhesive strips and cables are "items": named things a step acts on. */
export type ItemKind =
  | 'connector'
  | 'ribbon-connector'
  | 'tape'
  | 'strip'
  | 'seal'
  | 'cable'
  | 'clip'
  | 'compound'
  | 'module';
export interface Item {
  readonly id: string;
  readonly kind: ItemKind;
  readonly name: string;
  /** `always`: replaced whenever it is removed. `if-needed`: replaced where it no longer holds. */
  readonly renew?: 'always' | 'if-needed' | 'never';
  /** Consumable ids used when it goes back (lubricant for an O-ring, compound for a heat sink). */
  readonly uses?: readonly string[];
  /** For single-use strips: which way round they go. */
  readonly orientation?: string;
  /** What to look or feel for when it is right: "latch clicks", "white line level with the bar". */
  readonly seated?: string;
  /** For a cable: the route, spoken on the way back if the technician noted nothing else. */
  readonly route?: string;
}

/** A question about the unit at hand, asked by voice before planning or when it matters. */
export interface Variant {
  readonly id: string;
  readonly ask: string;
  /** Allowed answers, spoken as they stand. */
  readonly answers: readonly string[];
  /** Where the job asks what was not answered before: `start`, or right before it matters (default). */
  readonly asked?: 'start' | 'when-needed';
}

/** A measurement with limits; at least one limit is set. */
export interface Measure {
  readonly id: string;
  readonly name: string;
  /** Unit as printed: V, mV, A, Ω, N·m, °C, mm, bar, ml/min, %. */
  readonly unit: string;
  readonly min?: number;
  readonly max?: number;
  /** Decimal places that are meaningful; default 2. */
  readonly decimals?: number;
}

/** A record to take: a serial number or other code, spelled. */
export interface RecordField {
  readonly id: string;
  readonly name: string;
  readonly check?: 'none' | 'iso7064-mod37-36' | 'iso7064-mod11-10' | 'luhn';
  readonly min_length?: number;
  readonly max_length?: number;
}

export type Pattern = 'any' | 'numbered' | 'cross' | 'centre-out' | 'in-line';

/**
 * What a step does. `kind` is the word written after `do:` in the file. The table of ways in and out
 * in the author's guide says what each becomes on the way back.
 */
export type Action =
  | {
      readonly kind: 'remove-fasteners' | 'loosen-fasteners';
      readonly fastener: string;
      readonly count: number;
      readonly place: string;
      readonly pattern: Pattern;
      /** Tightening passes in percent of the torque, rising, the last one 100: `[30, 60, 100]`. */
      readonly passes?: readonly number[];
    }
  | { readonly kind: 'disconnect'; readonly item: string }
  | { readonly kind: 'release-ribbon'; readonly item: string }
  | { readonly kind: 'peel-tape'; readonly item: string }
  | { readonly kind: 'pull-strips'; readonly item: string; readonly count: number }
  | { readonly kind: 'take-out-seal'; readonly item: string }
  | {
      readonly kind: 'unroute';
      readonly item: string;
      readonly partly: boolean;
      readonly note_route: boolean;
    }
  | { readonly kind: 'lift-off-pins' }
  | { readonly kind: 'open-arms' }
  | { readonly kind: 'slide-out' }
  | { readonly kind: 'unclip'; readonly count: number }
  | { readonly kind: 'part-edges' }
  | { readonly kind: 'lift-out' }
  | { readonly kind: 'separate-heat-sink'; readonly item: string }
  | { readonly kind: 'open-to-angle'; readonly angle_deg: number }
  | { readonly kind: 'support' }
  | {
      readonly kind: 'isolate' | 'discharge' | 'verify-dead';
      readonly what: string;
      readonly measure?: Measure;
    }
  | { readonly kind: 'inspect' | 'clean'; readonly what: string; readonly uses?: readonly string[] }
  | { readonly kind: 'measure'; readonly measure: Measure }
  | { readonly kind: 'record'; readonly record: RecordField }
  | { readonly kind: 'do'; readonly what: string; readonly back?: string };

export type ActionKind = Action['kind'];

/** A picture of a step: a local file beside the product file, with a text alternative and marked spots. */
export interface Picture {
  readonly file: string;
  readonly alt: string;
  /** Spots to mark: x and y in 0…1 of width and height. */
  readonly marks: readonly { readonly x: number; readonly y: number; readonly label: string }[];
}

/** One step of taking a part off (or of preparation, or of the final checks). */
export interface ProductStep {
  /** Stable and unique in the file; timings stay comparable as long as it does not change. */
  readonly id: string;
  readonly action: Action;
  /** The author's own sentence for the way in / the way back, instead of the one written from structure. */
  readonly say?: string;
  readonly say_back?: string;
  /** Tool id; defaults to the fastener's tool. */
  readonly tool?: string;
  /** Part to be held meanwhile: "while supporting the display". */
  readonly supporting?: string;
  /** Hazard ids whose cautions are read before this step. */
  readonly hazards: readonly string[];
  /** Hazard ids for the inverse; default: the same as `hazards`. */
  readonly hazards_back?: readonly string[];
  /** Which side of the unit faces the technician: "front", "back"… Changing it costs a turn. */
  readonly side?: string;
  /** The author's estimate in seconds for the way in and the way back. */
  readonly expected_s?: number;
  readonly expected_back_s?: number;
  /** Said after "why". */
  readonly why?: string;
  /** What a trainee should look for. */
  readonly look_for?: string;
  /** On the way back: `why` holds where this is left out; `look_for` is said there for fasteners only. */
  readonly why_back?: string;
  readonly look_for_back?: string;
  /** A second person signs off before the job goes on. */
  readonly hold?: string;
  readonly picture?: Picture;
  /** Only where the variant was answered so. */
  readonly when?: { readonly variant: string; readonly is: string };
  /** Variant id: doing this step (inspect, do) shows the answer, so the job asks here. */
  readonly finds?: string;
  /** The technician may skip it after being asked. */
  readonly optional?: boolean;
  /** Mirrors an earlier step on the other side: `mirrors: left-arm-screws` with `side_word: right`. */
  readonly mirrors?: string;
  /** The word for this side of a mirrored step ("right"), already put into place and texts. */
  readonly side_word?: string;
  /** `both` (default): has an inverse in the installation; `in`: only on the way in; `out`: only on the way back. */
  readonly way: 'both' | 'in' | 'out';
}

export interface Part {
  readonly id: string;
  readonly name: string;
  /** True where the name is plural ("side arms"). */
  readonly plural: boolean;
  /** Part ids that must be off before this part can come off. */
  readonly needs: readonly string[];
  /** Parts that sit on this one and move over to the new one when this one is replaced. */
  readonly carries: readonly string[];
  readonly replaceable: boolean;
  /** Record to take from the new part (serial number). */
  readonly serial?: RecordField;
  readonly steps: readonly ProductStep[];
  /** Part ids that must be back before this one may go back, beyond what the inverse order says. */
  readonly install_after: readonly string[];
  /** Steps on the new part before it goes in (remove protective film, set address switch). */
  readonly new_part_steps: readonly ProductStep[];
  /** Energy source: comes back last. */
  readonly energy_source: boolean;
}

export interface Product {
  readonly format: 1;
  readonly id: string;
  readonly name: string;
  readonly revision: number;
  readonly summary: string;
  readonly start_side: string;
  readonly tools: readonly Tool[];
  readonly consumables: readonly Consumable[];
  readonly hazards: readonly Hazard[];
  readonly fasteners: readonly Fastener[];
  readonly items: readonly Item[];
  readonly variants: readonly Variant[];
  /** Hazards of the whole job, read before its first step (ESD, licence, local codes). */
  readonly job_hazards: readonly string[];
  readonly prepare: readonly ProductStep[];
  readonly parts: readonly Part[];
  readonly checks: readonly ProductStep[];
  /** Records taken at the start of each job. */
  readonly unit_serial?: RecordField;
}
