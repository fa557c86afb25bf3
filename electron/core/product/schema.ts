/**
 * The shape of a product file: one zod object per thing, all strict, so that a misspelt key is found.
 * Names and meanings are those of `model.ts`; what differs in the file is
 *
 * - the first key is `stepcaller: 1`, the version of this format;
 * - a step is written flat: `do: remove-fasteners` beside `fastener:` and `count:`;
 * - a step may be `{id, mirrors, side_word}` and nothing else: the same on the other side;
 * - `{do: caution, hazard, before}` in a list of steps puts a caution before the step that follows.
 *
 * The same builders give the reader's schema and the JSON Schema for editors (`editor-schema.ts`); only
 * the step differs: the reader picks the shape by `do`, so that its findings are about one action.
 */
import { z } from 'zod';
import { LIMITS } from './limits.ts';
import { idProblem, picturePathProblem, textProblem } from './plain-text.ts';

// Without this, zod probes `new Function`, which the pages' content-security policy reports.
z.config({ jitless: true });

/** Format version this program reads and writes. */
export const FORMAT_VERSION = 1;

type Facts = Record<string, string | number | boolean>;

function textOf(limit: number) {
  return z
    .string()
    .min(1)
    .max(limit)
    .superRefine((value, context) => {
      const problem = textProblem(value);
      if (problem) context.addIssue({ code: 'custom', message: problem.code, params: problem });
    });
}

const id = z
  .string()
  .min(1)
  .max(LIMITS.idCharacters)
  .superRefine((value, context) => {
    const problem = idProblem(value);
    if (problem) context.addIssue({ code: 'custom', message: problem.code, params: problem });
  })
  .meta({
    pattern: '^[a-z0-9]+(-[a-z0-9]+)*$',
    description: 'lower-case letters, digits and single hyphens',
  });
/** Adds the words that an editor shows beside a key. */
function said<T extends z.ZodType>(schema: T, description: string): T {
  return schema.meta({ description }) as T;
}

const name = textOf(LIMITS.nameCharacters);
const text = textOf(LIMITS.textCharacters);
const ids = z.array(id).max(LIMITS.references);
const seconds = z.number().int().min(1).max(14_400);
const count = z.number().int().min(1).max(LIMITS.fastenersPerStep);

const drive = z.strictObject({
  kind: z.enum(['phillips', 'pozidriv', 'slotted', 'hex', 'hexalobular', 'hex-head', 'none']),
  size: z.number().min(0).max(100),
});

const tool = z.strictObject({
  id,
  name,
  drive: drive.optional(),
  torque_range_nm: z.tuple([z.number().positive().max(5000), z.number().positive().max(5000)]).optional(),
});

const consumable = z.strictObject({ id, name, amount: name.optional() });

const hazard = z.strictObject({
  id,
  word: z.enum(['danger', 'warning', 'caution', 'notice']),
  hazard: text,
  consequence: text,
  avoid: text,
  symbol: z.enum([
    'electric',
    'stored-energy',
    'battery',
    'hot',
    'sharp',
    'pinch',
    'chemical',
    'pressure',
    'esd',
    'eye',
    'heavy',
    'fragile',
    'general',
  ]),
});

const fastener = z.strictObject({
  id,
  name,
  kind: z.enum(['screw', 'bolt', 'nut', 'standoff', 'washer', 'captive-screw']),
  thread: said(textOf(20), 'Thread without length: M3, M8x1.'),
  length_mm: said(z.number().min(0).max(2000), 'Nominal length in millimetres; 0 for nuts.'),
  head: z.enum(['pan', 'countersunk', 'socket-cap', 'button', 'hex', 'set']).optional(),
  drive,
  torque_nm: said(z.number().positive().max(5000).optional(), 'Tightening torque in newton metres.'),
  property_class: said(textOf(10).optional(), "In quotes: '4.8', '8.8', A2-70."),
  single_use: said(z.boolean().optional(), 'Must not be used twice.'),
  tool: id.optional(),
  tighten_tool: said(
    id.optional(),
    'Tool that tightens it to its torque, where that is another than `tool`.',
  ),
});

const item = z.strictObject({
  id,
  kind: z.enum([
    'connector',
    'ribbon-connector',
    'tape',
    'strip',
    'seal',
    'cable',
    'clip',
    'compound',
    'module',
  ]),
  name,
  renew: said(
    z.enum(['always', 'if-needed', 'never']).optional(),
    '`always` is usual for strips, seals and compounds, `if-needed` for tapes, `never` for the rest.',
  ),
  uses: said(ids.optional(), 'Consumables used when it goes back.'),
  orientation: text.optional(),
  seated: said(text.optional(), 'What to look or feel for when it is right; a whole sentence.'),
  route: said(text.optional(), 'The route of a cable, without a full stop.'),
});

const variant = z.strictObject({
  id,
  ask: text,
  answers: z.array(name).min(2).max(LIMITS.answers),
  asked: said(
    z.enum(['start', 'when-needed']).optional(),
    'Where the job asks what was not answered before it: `start`, or right before it matters (usual).',
  ),
});

const measure = z.strictObject({
  id,
  name,
  unit: textOf(12),
  min: z.number().optional(),
  max: z.number().optional(),
  decimals: z.number().int().min(0).max(6).optional(),
});

const record = z.strictObject({
  id,
  name,
  check: z.enum(['none', 'iso7064-mod37-36', 'iso7064-mod11-10', 'luhn']).optional(),
  min_length: z.number().int().min(1).max(64).optional(),
  max_length: z.number().int().min(1).max(64).optional(),
});

const picture = z.strictObject({
  file: z
    .string()
    .min(1)
    .max(LIMITS.pathCharacters)
    .superRefine((value, context) => {
      const problem = picturePathProblem(value);
      if (problem) context.addIssue({ code: 'custom', message: problem.code, params: problem });
    }),
  alt: text,
  marks: z
    .array(z.strictObject({ x: z.number().min(0).max(1), y: z.number().min(0).max(1), label: name }))
    .max(LIMITS.marks)
    .optional(),
});

/** Keys that any step may have. */
const stepShape = {
  id,
  say: said(
    text.optional(),
    'The sentences read aloud on the way in, instead of the ones written from structure.',
  ),
  say_back: said(text.optional(), 'The sentences read aloud on the way back.'),
  tool: id.optional(),
  supporting: said(id.optional(), 'Part to be held meanwhile.'),
  hazards: said(ids.optional(), 'Hazards whose cautions are read before this step.'),
  hazards_back: said(ids.optional(), 'Hazards on the way back; the same as `hazards` where it is left out.'),
  side: said(name.optional(), 'Which side of the unit faces the technician.'),
  expected_s: said(seconds.optional(), 'Expected seconds on the way in.'),
  expected_back_s: said(seconds.optional(), 'Expected seconds on the way back.'),
  why: said(text.optional(), 'Said after “why”.'),
  why_back: said(text.optional(), 'Said after “why” on the way back; `why` where it is left out.'),
  look_for: said(text.optional(), 'What a trainee should look for.'),
  look_for_back: said(
    text.optional(),
    'What to look for on the way back; `look_for` is said there for fasteners only.',
  ),
  hold: said(text.optional(), 'A second person signs off before the job goes on.'),
  picture: picture.optional(),
  when: z.strictObject({ variant: id, is: name }).optional(),
  optional: said(z.boolean().optional(), 'The technician may skip it after being asked.'),
  way: said(
    z.enum(['both', 'in', 'out']).optional(),
    '`both` (usual), `in`: only on the way in, `out`: only on the way back.',
  ),
};

/** Only on steps that are nothing but looking or doing: the answer confirms the step. */
const finds = said(id.optional(), 'Variant whose answer this step shows: the job asks here.');

const fastenerFields = {
  fastener: id,
  count,
  place: said(name.optional(), "Where they are; the part's name where it is left out."),
  pattern: z.enum(['any', 'numbered', 'cross', 'centre-out', 'in-line']).optional(),
  passes: z.array(z.number().min(1).max(100)).min(1).max(LIMITS.passes).optional(),
};
const withItem = { item: id };
const energyFields = { what: text, measure: measure.optional() };
const workFields = { what: text, uses: ids.optional() };

/** The fields of each action, by the word after `do:`. */
const actionFields = {
  'remove-fasteners': fastenerFields,
  'loosen-fasteners': fastenerFields,
  disconnect: withItem,
  'release-ribbon': withItem,
  'peel-tape': withItem,
  'pull-strips': { item: id, count },
  'take-out-seal': withItem,
  unroute: { item: id, partly: z.boolean().optional(), note_route: z.boolean().optional() },
  'lift-off-pins': {},
  'open-arms': {},
  'slide-out': {},
  unclip: { count },
  'part-edges': {},
  'lift-out': {},
  'separate-heat-sink': withItem,
  'open-to-angle': { angle_deg: z.number().min(1).max(270) },
  support: {},
  isolate: energyFields,
  discharge: energyFields,
  'verify-dead': energyFields,
  inspect: { ...workFields, finds },
  clean: workFields,
  measure: { measure },
  record: { record },
  do: { what: text, back: text.optional(), finds },
} as const;

function stepOf<K extends keyof typeof actionFields>(kind: K) {
  return z.strictObject({ do: z.literal(kind), ...stepShape, ...actionFields[kind] });
}

/** One strict object per action. Written out so that each keeps its own type. */
export const stepSchemas = [
  stepOf('remove-fasteners'),
  stepOf('loosen-fasteners'),
  stepOf('disconnect'),
  stepOf('release-ribbon'),
  stepOf('peel-tape'),
  stepOf('pull-strips'),
  stepOf('take-out-seal'),
  stepOf('unroute'),
  stepOf('lift-off-pins'),
  stepOf('open-arms'),
  stepOf('slide-out'),
  stepOf('unclip'),
  stepOf('part-edges'),
  stepOf('lift-out'),
  stepOf('separate-heat-sink'),
  stepOf('open-to-angle'),
  stepOf('support'),
  stepOf('isolate'),
  stepOf('discharge'),
  stepOf('verify-dead'),
  stepOf('inspect'),
  stepOf('clean'),
  stepOf('measure'),
  stepOf('record'),
  stepOf('do'),
] as const;

/** The same step on the other side; what is given here wins over the step it mirrors. */
export const mirrorSchema = z.strictObject({
  ...stepShape,
  mirrors: id,
  side_word: name,
  item: id.optional(),
  place: name.optional(),
  what: text.optional(),
});

/** A caution of its own in a list of steps: belongs to the step it names, or to the one that follows. */
export const cautionSchema = z.strictObject({ do: z.literal('caution'), hazard: id, before: id.optional() });

export type FileStep = z.output<(typeof stepSchemas)[number]>;
export type FileMirror = z.output<typeof mirrorSchema>;
export type FileCaution = z.output<typeof cautionSchema>;
export type FileAnyStep = FileStep | FileMirror | FileCaution;

/** Words allowed after `do:`. */
export const stepKinds: readonly string[] = [...Object.keys(actionFields), 'caution'];

/** The schema that fits a raw step, or the reason why none can be chosen. */
export function schemaOfStep(
  raw: unknown,
):
  | { readonly schema: z.ZodType<FileAnyStep> }
  | { readonly problem: { code: string; facts: Facts; key?: string } } {
  if (typeof raw !== 'object' || raw === null || Array.isArray(raw)) {
    return {
      problem: {
        code: 'product/wrong-type',
        facts: { expected: 'step', found: Array.isArray(raw) ? 'list' : typeof raw },
      },
    };
  }
  const word: unknown = (raw as Record<string, unknown>).do;
  if ('mirrors' in raw && word === undefined) return { schema: mirrorSchema };
  if (word === 'caution') return { schema: cautionSchema };
  if (word === undefined)
    return { problem: { code: 'product/missing-key', facts: { key: 'do', of: 'step' } } };
  const found = stepSchemas.find((schema) => schema.shape.do.value === word);
  if (found) return { schema: found };
  return {
    problem: {
      code: 'product/unknown-action',
      facts: { value: typeof word === 'string' ? word.slice(0, 60) : typeof word },
      key: 'do',
    },
  };
}

/** Marks the reader's step schema, so that the path walk of `shape-findings.ts` can choose by `do`. */
export const readerStep: z.ZodType<FileAnyStep> = z.unknown().transform((raw, context): FileAnyStep => {
  const chosen = schemaOfStep(raw);
  if ('problem' in chosen) {
    const { code, facts, key } = chosen.problem;
    const path = key === undefined ? [] : [key];
    context.issues.push({ code: 'custom', message: code, input: raw, path, params: { code, facts } });
    return z.NEVER;
  }
  const parsed = chosen.schema.safeParse(raw);
  if (parsed.success) return parsed.data;
  for (const issue of parsed.error.issues) context.issues.push({ ...issue, input: raw } as never);
  return z.NEVER;
});

/** The whole file with a given step schema. */
export function fileSchema<S extends z.ZodType<FileAnyStep>>(step: S) {
  const steps = z.array(step).max(LIMITS.stepsPerList);
  const part = z.strictObject({
    id,
    name,
    plural: z.boolean().optional(),
    needs: said(ids.optional(), 'Parts that must be off before; what those need follows by itself.'),
    carries: said(ids.optional(), 'Parts that sit on this one and move over to the new one.'),
    replaceable: said(z.boolean().optional(), 'Whether a job may replace it; true where it is left out.'),
    serial: record.optional(),
    steps,
    install_after: said(ids.optional(), 'Parts that must be back before this one goes back.'),
    new_part_steps: steps.optional(),
    energy_source: said(z.boolean().optional(), 'Comes back last.'),
  });
  const list = <T extends z.ZodType>(entry: T) => z.array(entry).max(LIMITS.entriesPerList).optional();
  return z.strictObject({
    stepcaller: said(z.literal(FORMAT_VERSION), 'Version of this format; always the first key.'),
    id,
    name,
    revision: said(z.number().int().min(1).max(1_000_000), 'Raise it with every change.'),
    summary: text,
    start_side: name,
    unit_serial: record.optional(),
    job_hazards: ids.optional(),
    variants: list(variant),
    tools: list(tool),
    consumables: list(consumable),
    hazards: list(hazard),
    fasteners: list(fastener),
    items: list(item),
    prepare: steps.optional(),
    parts: z.array(part).min(1).max(LIMITS.parts),
    checks: steps.optional(),
  });
}

/** The schema the reader uses. */
export const readerFileSchema = fileSchema(readerStep);
export type ProductFile = z.output<typeof readerFileSchema>;
export type FilePart = ProductFile['parts'][number];
