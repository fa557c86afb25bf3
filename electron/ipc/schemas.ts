/**
 * The shape of every argument a page may send. Strict objects, bounded texts and lists: what is not named
 * here is refused before a handler sees it.
 */
import { z } from 'zod';
import { SPOKEN_PHRASES } from '../core/job/grammar.ts';
import { TALK_KEYS } from '../core/job/keys.ts';
import type { PhraseId } from '../core/job/model.ts';
import { isJobName } from '../disk/job-folder.ts';
import { isNoteName, NOTE_PCM_CHARS_MAX } from '../disk/spoken-note.ts';
import type { ArgumentChecks } from './bridge.ts';
import type { Channel, PageInput, Requests } from './contract.ts';

const NAME_CHARACTERS = 100;
const NOTE_CHARACTERS = 2000;
const PATH_CHARACTERS = 1000;
const ID_CHARACTERS = 100;
const MAX_PARTS = 200;
const MAX_VARIANTS = 100;
const MAX_CHOSEN = 200;

/** Text of people: no control characters but line breaks and tabs, which notes may have. */
const plain = (most: number) =>
  z
    .string()
    .max(most)
    // biome-ignore lint/suspicious/noControlCharactersInRegex: these are what is refused
    .regex(/^[^\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f]*$/);
const name = plain(NAME_CHARACTERS);
const id = plain(ID_CHARACTERS);
const file = plain(PATH_CHARACTERS);
const job = z.string().max(120).refine(isJobName);
const source = z.enum(['voice', 'key', 'touch']);
const confidence = z.number().min(0).max(1).optional();
const phrase = z.enum(Object.keys(SPOKEN_PHRASES) as [PhraseId, ...PhraseId[]]);
const reason = z.enum(['too-quiet', 'too-noisy', 'not-sure', 'not-possible-now', 'unknown-words']);
const code = z.enum([
  'no-microphone',
  'microphone-refused',
  'microphone-lost',
  'model-missing',
  'model-damaged',
  'recogniser-stopped',
  'audio-suspended',
  'no-voice',
]);
const variants = z.record(id, id).refine((answers) => Object.keys(answers).length <= MAX_VARIANTS);
const replace = z.array(id).max(MAX_PARTS);
const day = z.string().regex(/^\d{4}-\d{2}-\d{2}$/);
/** A group of jobs to compare. A type of job names the unit and what is replaced. */
const group = z.strictObject({
  job_type: plain(PATH_CHARACTERS).nullable(),
  people: z.array(name).max(MAX_CHOSEN),
  from: day.nullable(),
  to: day.nullable(),
  revisions: z.array(z.number().int().min(0).max(1_000_000)).max(MAX_CHOSEN),
});

/**
 * What a page may put into a job. Ticks, reopening and leaving are the host's own; the troubles of the log are
 * found by the host alone.
 */
export const pageInputSchema = z.discriminatedUnion('type', [
  z.strictObject({
    type: z.literal('phrase'),
    phrase,
    source,
    confidence,
    decidedMs: z.number().min(-60_000).max(600_000).optional(),
  }),
  z.strictObject({
    type: z.literal('reading'),
    value: z.number(),
    unit: plain(20).optional(),
    source,
    confidence,
  }),
  z.strictObject({ type: z.literal('serial'), value: plain(200), source, confidence }),
  z.strictObject({ type: z.literal('number'), value: z.number(), source, confidence }),
  z.strictObject({ type: z.literal('answer'), value: name, source, confidence }),
  z.strictObject({
    type: z.literal('text'),
    value: plain(NOTE_CHARACTERS),
    source: z.enum(['key', 'touch']),
  }),
  z.strictObject({ type: z.literal('sign-off'), person: name, source }),
  z.strictObject({ type: z.literal('hand-over'), person: name, source }),
  z.strictObject({ type: z.literal('go-to'), step: plain(200), source }),
  z.strictObject({ type: z.literal('unheard'), reason }),
  z.strictObject({
    type: z.literal('spoken'),
    utterance: z.number().int(),
    outcome: z.enum(['completed', 'interrupted', 'no-voice']),
  }),
  z.strictObject({ type: z.literal('trouble'), code, over: z.boolean() }),
]);

/** A language tag, or nothing for the system's language. */
const language = z
  .string()
  .regex(/^([A-Za-z]{2,8}(-[A-Za-z0-9]{1,8})*)?$/)
  .max(35);

/** Settings as a page may change them; each is optional. */
export const settingsChangeSchema = z.strictObject({
  technician: name.optional(),
  verbosity: z.enum(['full', 'short', 'trainee']).optional(),
  rate: z.number().min(0.4).max(3).optional(),
  units: z.enum(['metric', 'imperial']).optional(),
  theme: z.enum(['light', 'dark', 'system']).optional(),
  viewing_distance_m: z.number().min(0.2).max(10).optional(),
  attention_word: z.boolean().optional(),
  talk_key: z.enum(TALK_KEYS).optional(),
  voice: z.enum(['system', 'embedded', 'off']).optional(),
  show_names: z.boolean().optional(),
  screen_px_per_mm: z.number().min(0.5).max(100).optional(),
  language: language.optional(),
});

const empty = z.null();

/** One check for each channel. */
export const ARGUMENT_CHECKS = {
  'app.info': empty,
  'settings.get': empty,
  'settings.set': settingsChangeSchema,
  'language.open': z.strictObject({ language: language.nullable() }),
  'products.list': empty,
  'product.open': z.strictObject({ file }),
  'plan.preview': z.strictObject({ file, replace, variants }),
  'jobs.list': empty,
  'job.start': z.strictObject({
    file,
    replace: replace.min(1),
    variants,
    technician: name,
    unit_serial: name.nullable(),
    work_order: name.nullable(),
    reported_fault: plain(NOTE_CHARACTERS).nullable(),
  }),
  'job.reopen': z.strictObject({ job }),
  'job.leave': empty,
  'job.input': pageInputSchema,
  'job.view': empty,
  'note.keep': z.strictObject({
    endedBy: z.enum(['silence', 'stop', 'limit', 'nothing-said']),
    pcm: z
      .string()
      .max(NOTE_PCM_CHARS_MAX)
      .regex(/^[A-Za-z0-9+/]*={0,2}$/),
  }),
  'note.open': z.strictObject({ job, audio: z.string().max(40).refine(isNoteName) }),
  'job.review': z.strictObject({ job }),
  'review.summary': z.strictObject({ product: id.nullable() }),
  'review.compare': z.strictObject({ product: id.nullable(), a: group, b: group }),
  'review.save': z.strictObject({
    product: id.nullable(),
    as: z.enum(['csv', 'json', 'xes', 'html', 'pdf']),
  }),
  'report.save': z.strictObject({ job, as: z.enum(['csv', 'json', 'xes', 'html', 'pdf']) }),
} satisfies ArgumentChecks & Record<Channel, z.ZodType>;

/** An argument in the contract's words; `undefined` members count as absent. */
export type CheckedArgument<C extends Channel> = Requests[C][0];

/** The input of a page after its check: absent members are left out, as the engine's types ask for. */
export function pageInputFrom(checked: z.output<typeof pageInputSchema>): PageInput {
  return Object.fromEntries(
    Object.entries(checked).filter(([, value]) => value !== undefined),
  ) as unknown as PageInput;
}
