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
  thread: z.string().min(1).max(20),
  length_mm: z.number().min(0).max(2000),
  head: z.enum(['pan', 'countersunk', 'socket-cap', 'button', 'hex', 'set']).optional(),
  drive,
  torque_nm: z.number().positive().max(5000).optional(),
  property_class: z.string().min(1).max(10).optional(),
  single_use: z.boolean().optional(),
  tool: id.optional(),
  tighten_tool: id.optional(),
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
  renew: z.enum(['always', 'if-needed', 'never']).optional(),
  uses: ids.optional(),
  orientation: text.optional(),
  seated: text.optional(),
  route: text.optional(),
});

const variant = z.strictObject({ id, ask: text, answers: z.array(name).min(2).max(LIMITS.answers) });

const measure = z.strictObject({
  id,
  name,
  unit: z.string().min(1).max(12),
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
  say: text.optional(),
  say_back: text.optional(),
  tool: id.optional(),
  supporting: id.optional(),
  hazards: ids.optional(),
  hazards_back: ids.optional(),
  side: name.optional(),
  expected_s: seconds.optional(),
  expected_back_s: seconds.optional(),
  why: text.optional(),
  look_for: text.optional(),
  hold: text.optional(),
  picture: picture.optional(),
  when: z.strictObject({ variant: id, is: name }).optional(),
  optional: z.boolean().optional(),
  way: z.enum(['both', 'in', 'out']).optional(),
};

const fastenerFields = {
  fastener: id,
  count,
  place: name.optional(),
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
  inspect: workFields,
  clean: workFields,
  measure: { measure },
  record: { record },
  do: { what: text, back: text.optional() },
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
    needs: ids.optional(),
    carries: ids.optional(),
    replaceable: z.boolean().optional(),
    serial: record.optional(),
    steps,
    install_after: ids.optional(),
    new_part_steps: steps.optional(),
    energy_source: z.boolean().optional(),
  });
  const list = <T extends z.ZodType>(entry: T) => z.array(entry).max(LIMITS.entriesPerList).optional();
  return z.strictObject({
    stepcaller: z.literal(FORMAT_VERSION),
    id,
    name,
    revision: z.number().int().min(1).max(1_000_000),
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
