// @vitest-environment jsdom
/** The loop between ear, mouth and host. */
import { beforeEach, describe, expect, it } from 'vitest';
import { ENGLISH } from '../../electron/core/base/language.ts';
import type { Bridge, FromEar, Push } from '../../electron/ipc/contract.ts';
import { hostFrom } from '../../renderer/host.tsx';
import { startVoiceLoop, type VoiceLoop } from '../../renderer/voice-loop.ts';
import { pseudoTable } from '../language/pseudo-locale.ts';
import { CoreBridge, SETTINGS } from './core-bridge.ts';
import { shipped, startJob, TestEar, TestMouth } from './render-app.tsx';

let bridge: CoreBridge;
let ear: TestEar;
let mouth: TestMouth;
let loop: VoiceLoop;

const heard = (phrase: string, confidence = 0.9): FromEar => ({
  type: 'heard',
  text: phrase,
  understood: { type: 'phrase', phrase },
  confidence,
  decidedMs: 210,
  early: true,
});

beforeEach(async () => {
  bridge = new CoreBridge({ 'practice.yaml': shipped('practice.yaml') });
  bridge.readsAtOnce = false;
  ear = new TestEar();
  mouth = new TestMouth();
  loop = startVoiceLoop(hostFrom(bridge), { mouth, ear });
  loop.settings(SETTINGS);
  await startJob(bridge, 'practice.yaml', 'sheet');
});

describe('voice loop', () => {
  it('has the mouth say what the host wants said, and reports the outcome', () => {
    expect(mouth.spoken.map((one) => one.text)).toEqual(bridge.said);
    const first = mouth.spoken[0];
    expect(first).toBeDefined();
    mouth.outcome(first?.utterance ?? 0, 'interrupted');
    expect(bridge.inputs).toEqual([{ type: 'spoken', utterance: first?.utterance, outcome: 'interrupted' }]);
  });

  it('reports "no voice" at once where there is no mouth', async () => {
    const alone = new CoreBridge({ 'practice.yaml': shipped('practice.yaml') });
    alone.readsAtOnce = false;
    startVoiceLoop(hostFrom(alone), { mouth: null, ear: null });
    await startJob(alone, 'practice.yaml', 'sheet');
    expect(alone.inputs.map((one) => one.type)).toEqual(['spoken']);
    expect(alone.inputs[0]).toMatchObject({ outcome: 'no-voice' });
  });

  it('reports "no voice" where the voice is switched off, and the mouth stays silent', async () => {
    loop.settings({ ...SETTINGS, voice: 'off' });
    const before = mouth.spoken.length;
    bridge.input({ type: 'phrase', phrase: 'repeat', source: 'key' });
    expect(mouth.spoken.length).toBe(before);
    expect(bridge.inputs.at(-1)).toMatchObject({ type: 'spoken', outcome: 'no-voice' });
  });

  it('reports an outcome also where the first sentence comes before the first view', () => {
    // The host pushes effects before the view; a caution would wait for ever for a lost report.
    const asked: unknown[] = [];
    let push: (push: Push) => void = () => {};
    const early: Bridge = {
      ask: async (channel, argument) => {
        asked.push([channel, argument]);
        return { ok: false, error: { code: 'host/none', message: '', mend: '' } };
      },
      onPush: (listener) => {
        push = listener;
        return () => {};
      },
    };
    startVoiceLoop(hostFrom(early), { mouth: null, ear: null });
    const effect = {
      type: 'say',
      utterance: 3,
      text: 'Caution.',
      kind: 'caution',
      interruptible: false,
    } as const;
    push({ type: 'effect', effect });
    expect(asked).toContainEqual(['job.input', { type: 'spoken', utterance: 3, outcome: 'no-voice' }]);
  });

  it('tells a job that opens of the troubles that were there before it', async () => {
    await bridge.ask('job.leave', null);
    ear.tell({ type: 'trouble', code: 'microphone-refused', over: false, detail: '' });
    await startJob(bridge, 'practice.yaml', 'sheet');
    expect(bridge.view()?.troubles).toEqual(['microphone-refused']);
  });

  it('sends a phrase that was heard as the voice’s input, with its confidence', () => {
    ear.tell(heard('next', 0.87));
    expect(bridge.inputs.at(-1)).toEqual({
      type: 'phrase',
      phrase: 'next',
      source: 'voice',
      confidence: 0.87,
      decidedMs: 210,
    });
    expect(bridge.view()?.step_number).toBe(2);
    expect(loop.state().heard).toEqual({ text: 'next', confidence: 0.87 });
  });

  it('sends readings, numbers, serials and answers as what they are', () => {
    const common = { type: 'heard', text: '', confidence: 0.8, decidedMs: 1, early: false } as const;
    ear.tell({ ...common, understood: { type: 'reading', value: 3.25, unit: 'V' } });
    ear.tell({ ...common, understood: { type: 'number', value: 4 } });
    ear.tell({ ...common, understood: { type: 'serial', value: 'AB12' } });
    ear.tell({ ...common, understood: { type: 'answer', value: 'lost screw' } });
    expect(bridge.inputs.slice(-4)).toMatchObject([
      { type: 'reading', value: 3.25, unit: 'V', source: 'voice' },
      { type: 'number', value: 4, source: 'voice' },
      { type: 'serial', value: 'AB12', source: 'voice' },
      { type: 'answer', value: 'lost screw', source: 'voice' },
    ]);
  });

  it('tells the host why nothing was taken, without any words', () => {
    ear.tell({ type: 'refused', reason: 'too-noisy', confidence: 0.2 });
    expect(bridge.inputs.at(-1)).toEqual({ type: 'unheard', reason: 'too-noisy' });
  });

  it('gives the ear a grammar only when what may be said has changed', () => {
    const count = (): number => ear.sent.filter((one) => one.type === 'grammar').length;
    const before = count();
    bridge.advance(1000);
    bridge.advance(1000);
    expect(count()).toBe(before);
    bridge.input({ type: 'phrase', phrase: 'pause', source: 'key' });
    expect(count()).toBe(before + 1);
  });

  it('tells the ear what the mouth is saying, so that it does not hear it', () => {
    mouth.speaking(true, 'take the pencil');
    expect(ear.sent.at(-1)).toEqual({ type: 'mouth', speaking: true, text: 'take the pencil' });
    expect(loop.state().speaking).toBe(true);
  });

  it('slows the mouth down with each "slower" and forgets it with the next job', async () => {
    bridge.input({ type: 'phrase', phrase: 'slower', source: 'key' });
    expect(mouth.configured.at(-1)).toMatchObject({ rate: 0.85 });
    await bridge.ask('job.leave', null);
    await startJob(bridge, 'practice.yaml', 'sheet');
    loop.settings(SETTINGS);
    expect(mouth.configured.at(-1)).toMatchObject({ rate: 1 });
  });

  it('passes troubles of ear and mouth to the job and shows them', () => {
    ear.tell({ type: 'trouble', code: 'microphone-lost', over: false, detail: '' });
    mouth.trouble('no-voice', false);
    expect(loop.state().troubles).toEqual(['microphone-lost', 'no-voice']);
    expect(bridge.view()?.troubles).toEqual(['microphone-lost', 'no-voice']);
    ear.tell({ type: 'trouble', code: 'microphone-lost', over: true, detail: '' });
    expect(bridge.view()?.troubles).toEqual(['no-voice']);
  });

  it('tells the ear of the attention word and of the talk key, and shows both', () => {
    loop.settings({ ...SETTINGS, attention_word: true, talk_key: 'F9' });
    expect(loop.state()).toMatchObject({ attention: true, talk: { key: 'F9', held: false } });
    window.dispatchEvent(new KeyboardEvent('keydown', { key: 'F9' }));
    expect(ear.sent.at(-1)).toEqual({ type: 'hold-to-talk', on: true, held: true });
    expect(loop.state().talk).toEqual({ key: 'F9', held: true });
    loop.settings(SETTINGS);
    expect(ear.sent).toContainEqual({ type: 'hold-to-talk', on: false, held: false });
    expect(loop.state()).toMatchObject({ attention: false, talk: null });
  });

  it('keeps samples of the page away from the job', () => {
    const before = bridge.inputs.length;
    loop.sample('Remove the six case screws.');
    const sample = mouth.spoken.at(-1);
    mouth.outcome(sample?.utterance ?? 0, 'completed');
    expect(bridge.inputs.length).toBe(before);
  });

  it('reports utterances of the host itself, which have negative numbers, like all others', () => {
    bridge.push({
      type: 'effect',
      effect: {
        type: 'say',
        utterance: -1,
        text: 'The disk is full.',
        kind: 'trouble',
        interruptible: false,
      },
    });
    expect(mouth.spoken.at(-1)?.text).toBe('The disk is full.');
    mouth.outcome(-1, 'completed');
    expect(bridge.inputs.at(-1)).toEqual({ type: 'spoken', utterance: -1, outcome: 'completed' });
  });

  it('speaks the language of the job’s plan, whatever the settings say by then, and hears it', async () => {
    const pseudo = pseudoTable('de-XA');
    const table = { ...pseudo, language: { ...pseudo.language, model: 'xa' } };
    const own = new CoreBridge({ 'practice.yaml': shipped('practice.yaml') }, { language: 'de-XA' }, [table]);
    own.readsAtOnce = false;
    const [itsMouth, itsEar] = [new TestMouth(), new TestEar()];
    const itsLoop = startVoiceLoop(hostFrom(own), { mouth: itsMouth, ear: itsEar });
    itsLoop.settings(SETTINGS);
    // The settings were changed to English after the job began.
    await startJob(own, 'practice.yaml', 'sheet');
    expect(itsMouth.spoken.map((one) => one.text)).toEqual(own.said);
    expect(itsMouth.configured.at(-1)).toMatchObject({ language: { tag: 'de-XA' } });
    expect(itsEar.sent).toContainEqual({ type: 'language', table });
    itsLoop.language(ENGLISH);
    expect(itsMouth.configured.at(-1)).toMatchObject({ language: { tag: 'de-XA' } });
    await own.ask('job.leave', null);
    expect(itsMouth.configured.at(-1)).toMatchObject({ language: { tag: 'en' } });
    expect(itsEar.sent.filter((one) => one.type === 'language').at(-1)).toEqual({
      type: 'language',
      table: null,
    });
  });

  it('sends nothing more once the job has ended', () => {
    bridge.readsAtOnce = true;
    bridge.finishByScript(() => 1000);
    const before = bridge.inputs.length;
    ear.tell(heard('next'));
    expect(bridge.inputs.length).toBe(before);
  });
});
