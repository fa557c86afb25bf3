/**
 * What was heard leaves nothing behind but the phrase: no words outside the grammar, no sound. First the tool that
 * the journeys use to look through everything written and sent, then a whole job at the host with nonsense said.
 */
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { deflateSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { randomFromSeed } from '../../electron/core/base/random.ts';
import { SPOKEN_PHRASES } from '../../electron/core/job/grammar.ts';
import { bytesFromText } from '../../electron/core/log/canonical-json.ts';
import { readLog, recordFromLine } from '../../electron/core/log/codec.ts';
import { writeWav } from '../../electron/ear-node/wav.ts';
import { ARGUMENT_CHECKS } from '../../electron/ipc/schemas.ts';
import { renderSpeech } from '../../electron/mouth-node.ts';
import { SimulatedProcesses } from '../crash/ports.ts';
import { Session } from '../crash/session.ts';
import { jobFileOf, SHORT_PLAN } from '../crash/short-plan.ts';
import { SimulatedDisk } from '../crash/simulated-disk.ts';
import { soundIn } from './sound-like.ts';

function filesBelow(path: string): string[] {
  return readdirSync(path, { recursive: true, encoding: 'utf8' })
    .map((name) => join(path, name))
    .filter((name) => statSync(name).isFile());
}

describe('the tool that finds sound', () => {
  it('finds a voice in every form in which it could lie about', async () => {
    const { samples, sampleRate } = await renderSpeech(
      'Remove the four screws of the back cover. The pack can burn.',
    );
    const shorts = new Uint8Array(Int16Array.from(samples, (one) => Math.round(one * 32767)).buffer);
    const floats = new Uint8Array(Float32Array.from(samples).buffer);
    const shifted = new Uint8Array(shorts.length + 7);
    shifted.set(shorts, 7);
    expect(soundIn(writeWav(Float32Array.from(samples), sampleRate))).toBe('WAV');
    expect(soundIn(shorts)).toBe('16-bit samples');
    expect(soundIn(shifted)).toBe('16-bit samples');
    expect(soundIn(floats)).toBe('floating-point samples');
    const quiet = new Uint8Array(Int16Array.from(samples, (one) => Math.round(one * 600)).buffer);
    expect(soundIn(quiet)).toBe('16-bit samples');
    const inText = bytesFromText(JSON.stringify({ note: 'x', pcm: Buffer.from(shorts).toString('base64') }));
    expect(soundIn(inText)).toBe('sound in base64');
    for (const mark of ['OggS', 'fLaC', '\u001a\u0045\u00df\u00a3']) {
      expect(soundIn(Uint8Array.from(mark, (one) => one.charCodeAt(0)))).toBeDefined();
    }
  });

  it('finds none in product files, sources, programs, noise, and compressed data', {
    timeout: 60_000,
  }, async () => {
    const random = randomFromSeed(4);
    expect(soundIn(Uint8Array.from({ length: 200_000 }, () => random.integer(0, 255)))).toBeUndefined();
    expect(soundIn(new Uint8Array(200_000))).toBeUndefined();
    expect(soundIn(Uint8Array.from({ length: 200_000 }, (_, i) => i >> 8))).toBeUndefined();
    const root = join(import.meta.dirname, '../..');
    const texts = ['procedures', 'electron/core', 'languages'].flatMap((name) =>
      filesBelow(join(root, name)),
    );
    const all = Buffer.concat(texts.map((name) => readFileSync(name)));
    for (const bytes of [all, deflateSync(all), readFileSync(process.execPath).subarray(0, 2_000_000)]) {
      expect(soundIn(new Uint8Array(bytes))).toBeUndefined();
    }
  });
});

describe('what was heard', () => {
  const NONSENSE = 'please do not write this sentence down';

  it('reaches the host as a phrase of the grammar or not at all', () => {
    const check = ARGUMENT_CHECKS['job.input'];
    const heard = { source: 'voice', confidence: 0.9 } as const;
    expect(check.safeParse({ type: 'phrase', phrase: NONSENSE, ...heard }).success).toBe(false);
    expect(check.safeParse({ type: 'unheard', reason: 'unknown-words', text: NONSENSE }).success).toBe(false);
    expect(check.safeParse({ type: 'unheard', reason: NONSENSE }).success).toBe(false);
    expect(check.safeParse({ type: 'text', value: NONSENSE, source: 'voice' }).success).toBe(false);
    expect(check.safeParse({ type: 'phrase', phrase: 'next', words: NONSENSE, ...heard }).success).toBe(
      false,
    );
    expect(check.safeParse({ type: 'phrase', phrase: 'next', ...heard }).success).toBe(true);
  });

  it('stands in the log as phrase and confidence where it counted, and as a count where it did not', async () => {
    const disk = new SimulatedDisk();
    const session = new Session(disk, new SimulatedProcesses().start(), jobFileOf(SHORT_PLAN));
    await session.start();
    for (let n = 0; n < 5; n += 1) {
      await session.handle({ type: 'unheard', reason: 'unknown-words' });
      await session.handle({ type: 'phrase', phrase: 'torque', source: 'voice', confidence: 0.2 });
    }
    expect(await session.work(0)).toBe(true);
    const log = readLog(disk.peek(`${session.folder}/log.jsonl`) ?? new Uint8Array());
    const records = log.lines.flatMap((line) => {
      const record = recordFromLine(line);
      return record.ok ? [record.value] : [];
    });
    expect(records.filter((record) => record.event === 'utterance.refused')).toHaveLength(10);
    for (const record of records) {
      // Not even the phrase that was not sure: a reason, and so a count.
      if (record.event === 'utterance.refused')
        expect(Object.keys(record).sort()).toEqual(['at_ms', 'event', 'reason']);
      if (record.event === 'phrase.refused') expect(record.phrase in SPOKEN_PHRASES).toBe(true);
    }
    expect(disk.peek(`${session.folder}/log.jsonl`)?.length).toBeLessThan(60_000);
  });
});
