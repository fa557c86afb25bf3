/**
 * The real recogniser in Node's worker thread, on a few recordings made now. The listening bench measures
 * quality; here it must only work: the right words, a refusal, real files, memory that does not grow.
 */
import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type NodeEar, openEar } from '../../electron/ear-node/ear.ts';
import { ALLOWED_EVERYTHING, hearFiles, hearSamples } from '../../electron/ear-node/hear.ts';
import { makeSequence, writeRecording } from '../sound/recording.ts';
import { installedVoices } from '../sound/voices.ts';

const voice = installedVoices().find((one) => one.id === 'espeak us man');
const missing =
  voice === undefined ? 'espeak-ng is not installed (Debian: apt-get install espeak-ng)' : undefined;

it('has a synthesiser where it must have one', () => {
  if (missing !== undefined) process.stderr.write(`recogniser tests are skipped: ${missing}\n`);
  expect(process.env.STEPCALLER_CI === '1' ? missing : undefined).toBeUndefined();
});

describe.skipIf(voice === undefined)('the recogniser in Node', () => {
  const folder = mkdtempSync(join(tmpdir(), 'stepcaller-ear-'));
  let ear: NodeEar;

  beforeAll(async () => {
    const opened = await openEar();
    if (!opened.ok) throw new Error(opened.error.detail);
    ear = opened.value;
  });
  afterAll(() => ear.close());

  const record = async (text: string) => {
    if (voice === undefined) throw new Error('skipped without a voice');
    return (await makeSequence([text], voice, 300)).samples;
  };
  const hear = async (text: string) => hearSamples(ear, text, await record(text), ALLOWED_EVERYTHING);

  it('hears phrases said alone', async () => {
    for (const text of ['next', 'screw count', 'which tool', 'torque']) {
      const found = await hear(text);
      expect(
        found.map((one) => one.phrase),
        text,
      ).toEqual([text]);
      expect(found[0]?.confidence, text).toBeGreaterThan(0.6);
      expect(found[0]?.decided_ms, text).toBeGreaterThan(0);
    }
  });

  it('refuses what is no phrase', async () => {
    const found = await hear('please water the plants in the office');
    expect(found.map((one) => one.phrase)).toEqual([null]);
  });

  it('says so when there is no speech', async () => {
    const found = await hearSamples(ear, 'silence', new Float32Array(16_000), ALLOWED_EVERYTHING);
    expect(found).toMatchObject([{ phrase: null, refused: 'no-speech' }]);
  });

  it('understands a reading and a bare number', async () => {
    const reading = await hearSamples(ear, 'r', await record('the reading is three point two five'), {
      phrases: ['reading', 'stop'],
      number: 'reading',
      spelling: false,
      answers: [],
    });
    expect(reading).toMatchObject([{ understood: { type: 'reading', value: 3.25 } }]);
    const count = await hearSamples(ear, 'n', await record('six'), {
      phrases: ['no', 'stop'],
      number: 'bare',
      spelling: false,
      answers: [],
    });
    expect(count).toMatchObject([{ understood: { type: 'number', value: 6 } }]);
  });

  it('changes its grammar many times without growing', async () => {
    const grammars = [ALLOWED_EVERYTHING, { ...ALLOWED_EVERYTHING, phrases: ['yes', 'no'] as const }];
    let first = 0;
    for (let turn = 0; turn < 60; turn += 1) {
      const allowed = grammars[turn % 2] ?? ALLOWED_EVERYTHING;
      const reply = await ear.tell({ type: 'grammar', allowed });
      if (turn === 10) first = reply.memoryBytes;
      if (turn === 59) expect(reply.memoryBytes).toBeLessThanOrEqual(first);
    }
  });

  it('hears files by name, with a grammar of its own, at any rate', async () => {
    const file = join(folder, 'stripped.wav');
    writeRecording(file, await record('stripped screw'), 44_100);
    const found = await hearFiles([file], { grammar: ['stripped screw', 'missing screw'] });
    expect(found).toMatchObject({ ok: true, value: [{ file, phrase: 'stripped screw', refused: null }] });
  });

  it('says which file is unusable and why', async () => {
    const text = join(folder, 'text.wav');
    writeFileSync(text, 'not a recording');
    expect(await hearFiles([text])).toMatchObject({
      ok: false,
      error: { code: 'wav-unusable', file: text, detail: expect.stringContaining('not-wav') },
    });
    expect(await hearFiles([join(folder, 'none.wav')])).toMatchObject({
      ok: false,
      error: { code: 'file-unreadable' },
    });
  });
});
