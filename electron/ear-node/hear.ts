/**
 * What the ear makes of recordings: the command line's `hear`. The recording is streamed in chunks as a
 * microphone gives them, as fast as it will go, through the very listener of the microphone.
 */
import { readFile } from 'node:fs/promises';
import { SAMPLE_RATE_HZ } from '../../renderer/ears/decoder.ts';
import { resample } from '../../renderer/ears/stream-resampler.ts';
import { err, ok, type Result } from '../core/base/result.ts';
import { SPOKEN_PHRASES } from '../core/job/grammar.ts';
import type { Allowed, PhraseId, RefusalReason } from '../core/job/model.ts';
import type { Understood } from '../ipc/contract.ts';
import { type EarReply, type EarTrouble, type NodeEar, type NodeEarOptions, openEar } from './ear.ts';
import { readWav } from './wav.ts';

/** One utterance of one recording. */
export interface Hearing {
  readonly file: string;
  /** The phrase as understood; null where the utterance was refused or the file holds no speech. */
  readonly phrase: string | null;
  readonly confidence: number | null;
  /** From the end of the speech to the decision: audio time plus computing, in ms. */
  readonly decided_ms: number | null;
  readonly refused: RefusalReason | 'no-speech' | null;
  /** Where in the recording the decision fell, in ms. */
  readonly at_ms: number;
  readonly early: boolean;
  readonly understood: Understood | null;
}

export interface HearOptions extends NodeEarOptions {
  /** What may be said; every command where neither this nor `grammar` is given. */
  readonly allowed?: Allowed;
  /** Literal phrases in place of a job's state. */
  readonly grammar?: readonly string[];
}

export interface FileFault {
  readonly code: 'file-unreadable' | 'wav-unusable';
  readonly file: string;
  readonly detail: string;
}

/** Samples to a chunk: what the microphone's worklet sends at once. */
const CHUNK_SAMPLES = 320;
/** Quiet before and after each recording, so that the ear knows the floor and closes the last utterance. */
const LEAD_MS = 400;
const TRAIL_MS = 1_500;
/** Level of the quiet, as of a still room (-78 dBFS): digital silence occurs in no microphone. */
const QUIET_AMPLITUDE = 0.000_2;

/** What may be said when nothing else was asked for. */
export const ALLOWED_EVERYTHING: Allowed = {
  phrases: (Object.keys(SPOKEN_PHRASES) as PhraseId[]).filter(
    (phrase) => phrase !== 'reading' && phrase !== 'serial',
  ),
  number: 'none',
  spelling: false,
  answers: [],
};

/**
 * Hears each file in order; every utterance gives one entry, a file without speech one with `no-speech`.
 * Fails as a whole when the model cannot be used or a file is no usable WAV.
 */
export async function hearFiles(
  files: readonly string[],
  options: HearOptions = {},
): Promise<Result<readonly Hearing[], EarTrouble | FileFault>> {
  const recordings: { file: string; samples: Float32Array }[] = [];
  for (const file of files) {
    const samples = await readRecording(file);
    if (!samples.ok) return samples;
    recordings.push({ file, samples: samples.value });
  }
  const ear = await openEar(options);
  if (!ear.ok) return ear;
  try {
    const allowed = allowedFrom(options);
    const hearings: Hearing[] = [];
    for (const { file, samples } of recordings)
      hearings.push(...(await hearSamples(ear.value, file, samples, allowed)));
    return ok(hearings);
  } finally {
    await ear.value.close();
  }
}

function allowedFrom(options: HearOptions): Allowed {
  if (options.grammar !== undefined) {
    return { phrases: [], number: 'none', spelling: false, answers: options.grammar };
  }
  return options.allowed ?? ALLOWED_EVERYTHING;
}

/** Mono samples at 16 kHz of a WAV file. */
export async function readRecording(file: string): Promise<Result<Float32Array, FileFault>> {
  let bytes: Uint8Array;
  try {
    bytes = await readFile(file);
  } catch (error) {
    return err({
      code: 'file-unreadable',
      file,
      detail: error instanceof Error ? error.message : String(error),
    });
  }
  const wav = readWav(bytes);
  if (!wav.ok) return err({ code: 'wav-unusable', file, detail: `${wav.error.code}: ${wav.error.detail}` });
  return ok(resample(wav.value.samples, wav.value.rateHz, SAMPLE_RATE_HZ));
}

/** Hears one recording from a fresh start. */
export async function hearSamples(
  ear: NodeEar,
  file: string,
  samples: Float32Array,
  allowed: Allowed,
): Promise<readonly Hearing[]> {
  await ear.fresh();
  await ear.tell({ type: 'grammar', allowed });
  const lead = quiet(LEAD_MS);
  const whole = new Float32Array(lead.length + samples.length + (SAMPLE_RATE_HZ * TRAIL_MS) / 1000);
  whole.set(lead);
  whole.set(samples, lead.length);
  whole.set(quiet(TRAIL_MS), lead.length + samples.length);
  const hearings: Hearing[] = [];
  for (let at = 0; at < whole.length; at += CHUNK_SAMPLES) {
    const reply = await ear.feed(whole.slice(at, at + CHUNK_SAMPLES));
    hearings.push(...hearingsOf(file, reply));
  }
  hearings.push(...hearingsOf(file, await ear.flush()));
  if (hearings.length === 0) {
    return [
      {
        file,
        phrase: null,
        confidence: null,
        decided_ms: null,
        refused: 'no-speech',
        at_ms: 0,
        early: false,
        understood: null,
      },
    ];
  }
  return hearings;
}

function hearingsOf(file: string, reply: EarReply): readonly Hearing[] {
  const at_ms = Math.max(0, reply.nowMs - LEAD_MS);
  return reply.messages.flatMap((message): Hearing[] => {
    if (message.type === 'heard') {
      const { text: phrase, confidence, early, understood } = message;
      const decided_ms = Math.round(message.decidedMs);
      return [{ file, phrase, confidence, decided_ms, refused: null, at_ms, early, understood }];
    }
    if (message.type === 'refused') {
      const { reason: refused, confidence } = message;
      return [
        { file, phrase: null, confidence, decided_ms: null, refused, at_ms, early: false, understood: null },
      ];
    }
    return [];
  });
}

/** Faint noise from a fixed sequence. */
function quiet(ms: number): Float32Array {
  let state = 12_345;
  return Float32Array.from({ length: (SAMPLE_RATE_HZ * ms) / 1000 }, () => {
    state = (Math.imul(state, 1_103_515_245) + 12_345) >>> 0;
    return (state / 2 ** 31 - 1) * QUIET_AMPLITUDE;
  });
}
