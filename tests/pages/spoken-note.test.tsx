// @vitest-environment jsdom
/** A spoken note on the page: what is shown while sound is kept, what goes to the ear and to the host, the record. */
import { act, fireEvent, screen, within } from '@testing-library/react';
import { afterEach, describe, expect, it } from 'vitest';
import { base64FromPcm, samplesFromWav } from '../../renderer/note-sound.ts';
import { en } from '../../renderer/words/en.ts';
import { type Opened, openBench, playUntil, settle } from './render-app.tsx';

afterEach(() => {
  document.body.innerHTML = '';
});

const click = async (name: string | RegExp): Promise<void> => {
  fireEvent.click(screen.getByRole('button', { name }));
  await settle();
};
const toEar = ({ ear }: Opened) => ear.sent.filter((message) => message.type === 'record-note');

async function recording(): Promise<Opened> {
  const opened = await openBench('practice.yaml', 'sheet');
  await playUntil(opened.bridge, (view) => view.phase === 'step' && view.allowed.phrases.includes('note'));
  await click(new RegExp(`^${en.phrase.note}`));
  expect(toEar(opened)).toEqual([]);
  await click(en.bench.noteSpeak);
  return opened;
}

describe('a spoken note', () => {
  it('is recorded only after it was asked for, and the screen says so', async () => {
    const opened = await recording();
    expect(toEar(opened)).toEqual([{ type: 'record-note', on: true, keep: true }]);
    expect(screen.getByText(en.bench.recording)).toBeDefined();
    // Two ways to end it, one of them the large key.
    const keys = within(screen.getByRole('region', { name: en.bench.say })).getAllByRole('button');
    expect(keys.map((key) => key.querySelector('.phrase-word')?.textContent)).toEqual([
      en.phrase.stop,
      en.phrase.undo,
    ]);
    expect(keys[0]?.className).toContain('large');
  });

  it('is ended by the key that confirms a step, and goes from the ear to the host', async () => {
    const opened = await recording();
    fireEvent.keyDown(window, { key: ' ' });
    await settle();
    expect(toEar(opened).at(-1)).toEqual({ type: 'record-note', on: false, keep: true });
    const pcm = Int16Array.of(1, -2, 300);
    await act(async () => opened.ear.tell({ type: 'note', endedBy: 'stop', rateHz: 16_000, pcm }));
    await settle();
    expect(opened.bridge.notes).toEqual([{ endedBy: 'stop', pcm: base64FromPcm(pcm) }]);
    expect(opened.bridge.view()?.phase).toBe('step');
    await playUntil(opened.bridge, (view) => view.outcome !== null);
    await click(en.bench.seeJob);
    expect(screen.getByRole('button', { name: en.after.playNote('0:07') })).toBeDefined();
  });

  it('is thrown away by undo', async () => {
    const opened = await recording();
    await click(new RegExp(`^${en.phrase.undo}`));
    expect(toEar(opened).at(-1)).toEqual({ type: 'record-note', on: false, keep: false });
    expect(opened.bridge.notes).toEqual([]);
  });

  it('is not offered where there is no microphone', async () => {
    const opened = await openBench('practice.yaml', 'sheet');
    await playUntil(opened.bridge, (view) => view.phase === 'step');
    await act(async () =>
      opened.ear.tell({ type: 'trouble', code: 'no-microphone', over: false, detail: '' }),
    );
    await settle();
    await click(new RegExp(`^${en.phrase.note}`));
    expect(screen.queryByRole('button', { name: en.bench.noteSpeak })).toBeNull();
    expect(screen.getByRole('button', { name: en.bench.noteSave })).toBeDefined();
  });
});

describe('the sound of a note', () => {
  it('is packed little-endian and unpacked from its WAV file', () => {
    expect(atob(base64FromPcm(Int16Array.of(258)))).toBe('\u0002\u0001');
    const wav = new Uint8Array(48);
    new DataView(wav.buffer).setInt16(44, -32_768, true);
    new DataView(wav.buffer).setInt16(46, 16_384, true);
    expect([...samplesFromWav(btoa(String.fromCharCode(...wav)))]).toEqual([-1, 0.5]);
    expect(samplesFromWav(btoa('RIFF')).length).toBe(0);
  });
});
